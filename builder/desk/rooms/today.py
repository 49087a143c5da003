"""Today: what each role owes, the handovers to come, and every development as a board of its plots."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import get_args

from builder.board.board import BoardView
from builder.board.standing import WEEKS_AHEAD, Standing, text_at
from builder.desk.answers import PageAnswer
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.room import DeskRoom, page
from builder.model.handover import OwedBy
from builder.readiness.assess import NeedQuestion, in_a_word
from builder.readiness.need import Stage

ON_A_PAGE = 50
"""Plots on one page of the board."""
FIRST = 8
"""Plots that are listed of those on which a role owes something; the others are on the board."""
STATES = ("not published", "published", "handed over", "closed")


@dataclass(frozen=True, slots=True)
class BoardLine:
    """One plot on the board: how it stands, and a word for each stage."""

    standing: Standing
    stages: tuple[str, ...]
    yours: int


@dataclass(frozen=True, slots=True)
class Filter:
    """Which plots are shown, as the query of the page says."""

    development: str
    state: str
    owed_by: str
    words: str

    @classmethod
    def of(cls, query: Mapping[str, str]) -> "Filter":
        """What a query asks for; nothing of it names a file."""
        return cls(*(query.get(each, "").strip() for each in ("development", "state", "owed", "find")))  # fmt: skip

    def takes(self, each: Standing) -> bool:
        """Whether a plot is shown."""
        facts = each.facts
        searched = f"{facts.reference} {facts.address} {facts.postcode} {facts.house_type_name}"
        return (
            self.development in ("", facts.development)
            and self.state in ("", each.state)
            and (not self.owed_by or bool(each.owed_by(self.owed_by)))
            and all(word in searched.lower() for word in self.words.lower().split())
        )

    @property
    def narrows(self) -> bool:
        """Whether anything is asked for."""
        return any((self.development, self.state, self.owed_by, self.words))


@dataclass(frozen=True, slots=True)
class DevelopmentBoard:
    """One development on the board: its name, how many plots are in each state, and how many can be
    published today and are not."""

    id: str
    name: str
    plots: int
    states: Mapping[str, int]
    can_be_published: int
    changed: int


def show(desk: Desk, asked: Asked) -> PageAnswer:
    """The page of today."""
    view = desk.board.view()
    chosen = Filter.of(asked.query)
    shown = [each for each in view.plots if chosen.takes(each)]
    number = _number(asked.query.get("page", ""), len(shown))
    listed = shown[(number - 1) * ON_A_PAGE : number * ON_A_PAGE]
    role = asked.who.role
    yours = [each for each in view.plots if each.owed_by(role)]
    values = {
        "view": view,
        "chosen": chosen,
        "owners": get_args(OwedBy),
        "states": STATES,
        "sites": sites(view),
        "stages": tuple(Stage),
        "lines": [_line(each, role) for each in listed],
        "number": number,
        "pages": max(1, -(-len(shown) // ON_A_PAGE)),
        "shown": len(shown),
        "owes": role in get_args(OwedBy),
        "yours": sorted(yours, key=_day_order)[:FIRST],
        "yours_plots": len(yours),
        "yours_things": sum(len(each.owed_by(role)) for each in yours),
        "soon": [_line(each, role) for each in sorted(filter_due(view), key=_day_order)],
        "weeks": WEEKS_AHEAD,
    }
    return PageAnswer("today.html", "Today", "today", values)


def filter_due(view: BoardView) -> Iterable[Standing]:
    """The plots that are handed over in the next weeks, or should have been."""
    return (each for each in view.plots if each.due(view.day))


def sites(view: BoardView) -> tuple[DevelopmentBoard, ...]:
    """Every development with the states of its plots."""
    by_site: dict[str, list[Standing]] = {name: [] for name in view.workspace.developments}
    for each in view.plots:
        by_site[each.facts.development].append(each)
    return tuple(_site(name, plots, view) for name, plots in by_site.items())


def _site(name: str, plots: list[Standing], view: BoardView) -> DevelopmentBoard:
    entry = view.workspace.developments[name].entry
    ready = [each for each in plots if each.readiness and each.readiness.ready(Stage.PUBLISHED)]
    return DevelopmentBoard(
        name,
        text_at(entry, "development", "name") or name,
        len(plots),
        Counter(each.state for each in plots),
        sum(each.publication is None for each in ready),
        sum(bool(each.publication and each.publication.changed) for each in plots),
    )


def _line(each: Standing, role: str) -> BoardLine:
    readiness = each.readiness
    stages = tuple(
        in_a_word(readiness, stage, NeedQuestion()) if readiness else "" for stage in Stage
    )
    return BoardLine(each, stages, len(each.owed_by(role)))


def _day_order(each: Standing) -> tuple[bool, object, str]:
    """Those with a day first, the next one at the top."""
    day = each.facts.completion
    return day is None, day or "", each.reference


def _number(given: str, plots: int) -> int:
    last = max(1, -(-plots // ON_A_PAGE))
    return min(max(int(given), 1), last) if given.isdecimal() and len(given) < 6 else 1  # noqa: PLR2004


ROOM = DeskRoom("today", "Today", "/", (page("/", show),))
