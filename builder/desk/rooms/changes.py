"""The page of a plot's row, its options and its departures."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from builder.board.looking import Looked
from builder.board.standing import text_at
from builder.desk.answers import PageAnswer
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.editing import ShownForm
from builder.desk.forms.fields import Field, as_text, called, can_be_typed, spoken, titles_of
from builder.desk.room import page
from builder.desk.rooms.plots import PLOT, looked_at, plot_page
from builder.guide.terms import spoken_day
from builder.model.home import Home
from builder.model.shape import bare, child_type, type_at
from builder.sources.entry import plain
from builder.sources.workspace import Workspace

FACTS = ("address", "postcode", "house_type", "hand", "front_faces", "warrant")
"""The columns that sales and technical keep; the day of completion stands by itself."""
SECTIONS = (
    "equipment", "rooms", "doors", "windows", "finishes", "keys", "zones", "contacts", "fences", "gates",
    "parking", "stores", "lawns", "communal",
)  # fmt: skip
"""The sections of a home of which one thing can be another on one plot."""
IN, NEW = "departures", "~"
"""Where departures stand, and what stands for the id of a thing that no layer has."""


def table_of(looked: Looked) -> str:
    """The table in which the row of a plot stands."""
    return f"developments/{looked.plot.development}/plots.csv"


def row_fields(looked: Looked, workspace: Workspace) -> tuple[Field, ...]:
    """The cells of a plot's row, but for its number and its options."""
    row = plain(looked.plot.row).get("plot", {})
    types = tuple((name, _house_type_name(workspace, name)) for name in workspace.house_types)
    hands = (("as-drawn", "as drawn"), ("opposite", "opposite hand"))
    choices = {"house_type": types, "hand": hands}
    return tuple(
        Field(
            ("plot", name), called(name),
            "choice" if name in choices else "day" if name == "warrant" else "text",
            _cell(row.get(name)), choices.get(name, ()), group="plot",
        )
        for name in FACTS
        if name != "warrant" or row.get(name) or _goes_by_warrant(looked)
    )  # fmt: skip


def _cell(value: Any) -> str:
    """What a cell says, with no more figures than a number needs."""
    return f"{value:g}" if isinstance(value, float) else as_text(value)


def _goes_by_warrant(looked: Looked) -> bool:
    """Whether the day of a building warrant decides which standards hold for a plot."""
    home = looked.prepared.traced.home if looked.prepared is not None else None
    return home is None or home.nation.editions_by == "warrant"


def completion_field(looked: Looked) -> Field:
    """The day of legal completion."""
    day = looked.standing.facts.completion
    return Field(("plot", "completion"), "Legal completion", "day", day.isoformat() if day else "")


def _house_type_name(workspace: Workspace, house_type: str) -> str:
    return text_at(workspace.house_types[house_type], "house_type", "name") or house_type


@cache
def addable() -> tuple[tuple[str, str], ...]:
    """The sections of which one plot may have a thing of its own, with their names: those of which all
    that is needed can be typed."""
    types = ((name, bare(child_type(type_at(Home, (name,)), NEW))) for name in SECTIONS)
    return tuple((name, spoken(name)) for name, each in types if can_be_typed(each))


@dataclass(frozen=True, slots=True)
class DepartureTold:
    """One departure as people read it: its id, why, since when, and each value that it says."""

    id: str
    note: str
    day: str
    says: tuple[str, ...]


def departures_of(looked: Looked) -> tuple[DepartureTold, ...]:
    """The departures of a plot, in the order of its file."""
    written = plain(looked.plot.own).get(IN) if looked.plot.own is not None else None
    found = []
    for name, each in (written or {}).items():
        lines = tuple(_lines(each.get("changes") or {}, ()))
        found.append(
            DepartureTold(str(name), str(each.get("note", "")), _day(each.get("date")), lines)
        )
    return tuple(found)


def _day(written: Any) -> str:
    return spoken_day(written) if isinstance(written, date) else str(written or "")


def _lines(value: Any, path: tuple[str, ...]) -> Iterator[str]:
    if isinstance(value, Mapping) and value:
        for name, each in value.items():
            yield from _lines(each, (*path, str(name)))
    else:
        shown = "taken away" if value is None else value
        yield f"{' → '.join(spoken(each) for each in path)}: {shown}"


def changes_page(desk: Desk, looked: Looked, form: ShownForm) -> PageAnswer:
    """The page of options and departures. ``form``: the one of its forms that was sent and not saved."""
    workspace = desk.board.looking().workspace
    row = row_fields(looked, workspace)
    completion = completion_field(looked)
    now = looked.standing.facts.options
    asked, sent = form.sent, {each.name: each for each in form.fields}
    chosen = asked.several("option") if asked is not None and asked.path.endswith("/options") else now  # fmt: skip
    home = looked.prepared.traced.home if looked.prepared is not None else None
    values = {
        **form.values(desk, looked, table_of(looked), looked.plot.file),
        "row": [sent.get(each.name, each) for each in row],
        "completion": sent.get(completion.name, completion),
        "first": {each.name: each.value for each in (*row, completion)},
        "options": [(name, text_at(entry, "option", "name"), text_at(entry, "option", "summary"), name in chosen) for name, entry in workspace.options.items()],
        "departures": departures_of(looked),
        "things": {each: titles for each in SECTIONS if (titles := titles_of(home, each))} if home else {},
        "addable": addable(),
        "table": table_of(looked),
    }  # fmt: skip
    return plot_page("changes.html", looked, "changes", values, form.status)


def show(desk: Desk, asked: Asked) -> PageAnswer:
    """The page as the files are now."""
    return changes_page(desk, looked_at(desk, asked), ShownForm(()))


WAYS = (page(f"{PLOT}/changes", show),)
