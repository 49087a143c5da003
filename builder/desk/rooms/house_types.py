"""House types: the plan beside its data, with what a check says marked on the drawing."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup, escape
from starlette.exceptions import HTTPException

from builder.board.standing import Standing, text_at
from builder.desk.answers import Answer, PageAnswer
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.room import DeskRoom, page
from builder.desk.rooms.history import history_of
from builder.errors import Finding, Findings, Severity
from builder.guide.about import About
from builder.guide.plan.drawing import spot_of
from builder.guide.plan.svg import full_svg
from builder.home.assemble import TracedHome
from builder.importers.models.record import read_record
from builder.model.home import Home
from builder.selection.choosing import choose
from builder.sources.entry import Entry, plain

SECTIONS = (
    "house_type", "floors", "rooms", "doors", "windows", "zones", "equipment", "ventilation", "keys", "finishes",
)  # fmt: skip
"""The sections of a house type's file that are listed first."""
_AT_PATH = 2
"""Steps of a path to one thing: its section and its id."""
_SIGN = "M-7-16h14l9 9v14l-9 9h-14l-9-9v-14z"
"""The outline of the sign of a finding: eight corners, as no mark of equipment on a plan has them large."""


@dataclass(frozen=True, slots=True)
class HouseTypeLine:
    """One house type in the list: how many plots have it, and what a check says of its file."""

    id: str
    name: str
    plots: int
    mistakes: int
    warnings: int
    from_model: bool


@dataclass(frozen=True, slots=True)
class Remark:
    """A finding with the number of its sign on the drawing; 0 where it is at no place of the plan."""

    finding: Finding
    number: int


@dataclass(frozen=True, slots=True)
class ThingGroup:
    """One thing of a house type: its id, what it says by itself, and the line that it begins on."""

    id: str
    title: str
    line: int
    says: tuple[tuple[str, str], ...]


def show_all(desk: Desk, asked: Asked) -> Answer:
    """The list of house types."""
    del asked
    looking, view = desk.board.looking(), desk.board.view()
    plots = Counter(each.facts.house_type for each in view.plots)
    found = [*looking.read, *looking.shared]
    mistakes, warnings = (
        Counter(each.place.file for each in found if each.severity is severity)
        for severity in (Severity.ERROR, Severity.WARNING)
    )
    lines = [
        HouseTypeLine(name, _name(entry, name), plots[name], mistakes[_file(name)], warnings[_file(name)],
             read_record(desk.setting.root, name) is not None)
        for name, entry in looking.workspace.house_types.items()
    ]  # fmt: skip
    return PageAnswer("house_types.html", "House types", "house-types", {"lines": lines})


def _file(name: str) -> str:
    return f"housetypes/{name}.yaml"


def _name(entry: Entry, name: str) -> str:
    return text_at(entry, "house_type", "name") or name


def show(desk: Desk, asked: Asked) -> Answer:
    """One house type as its file is now."""
    name = asked.named["type"]
    looking = desk.board.looking()
    entry = looking.workspace.house_types.get(name)
    if entry is None:
        raise HTTPException(404)
    found = Findings()
    found.extend(looking.of_file(_file(name)))
    traced, told = desk.board.house_type(name)
    found.extend(told)
    view = desk.board.view()
    plots = [each for each in view.plots if each.facts.house_type == name]
    known = [each for each in plots if each.reference not in view.outdated]
    found.extend(_told_by(known, _file(name)))
    remarks = remarks_on(found, traced.home if traced else None)
    record = read_record(desk.setting.root, name)
    values = {
        "name": name,
        "file": _file(name),
        "remarks": remarks,
        "plans": plans_of(traced, remarks) if traced else (),
        "sections": tuple(_sections(entry)),
        "plots": [each.reference for each in plots],
        "waiting": len(plots) - len(known),
        "history": history_of(_file(name)),
        "sources": [each.file for each in record.sources] if record else [],
        "may": asked.who.may("house-types"),
    }
    return PageAnswer("house_type.html", _name(entry, name), "house-types", values)


def _told_by(plots: Iterable[Standing], file: str) -> Iterator[Finding]:
    """What a check of these plots found in one file."""
    for plot in plots:
        yield from (each for each in plot.in_house_types if each.place.file == file)


def remarks_on(found: Iterable[Finding], home: Home | None) -> tuple[Remark, ...]:
    """All that matters, the gravest first; what stands somewhere on a plan has a number there."""
    listed = sorted((each for each in found if each.severity >= Severity.WARNING), key=lambda each: (-each.severity, each.place))  # fmt: skip
    remarks, number = [], 0
    for each in listed:
        there = home is not None and _spot(each, home) is not None
        number += there
        remarks.append(Remark(each, number if there else 0))
    return tuple(remarks)


def _spot(finding: Finding, home: Home) -> tuple[str, tuple[float, float]] | None:
    """The floor and the point, in metres, of the thing that a finding is about."""
    steps = finding.path.split(".")
    if len(steps) < _AT_PATH:
        return None
    section, name = ("equipment", steps[1]) if steps[0] == "positions" else (steps[0], steps[1].partition("[")[0])  # fmt: skip
    if section == "rooms" and name in home.rooms:
        outline = home.rooms[name].outline
        return (home.rooms[name].floor or "", _middle(outline)) if outline else None
    things: Any = getattr(home, section, None) if section in ("equipment", "doors", "windows") else None  # fmt: skip
    thing = things.get(name) if isinstance(things, Mapping) else None
    at = getattr(thing, "at", None)
    room = home.rooms.get(getattr(thing, "room", None) or next(iter(getattr(thing, "between", ())), ""))  # fmt: skip
    return (room.floor or "", (float(at[0]), float(at[1]))) if at and room else None


def _middle(outline: Iterable[tuple[float, float]]) -> tuple[float, float]:
    across, up = zip(*outline, strict=True)
    return (min(across) + max(across)) / 2, (min(up) + max(up)) / 2


def plans_of(traced: TracedHome, remarks: Iterable[Remark]) -> tuple[tuple[str, Markup], ...]:
    """The plan of each floor, with the signs of what was found there."""
    home = traced.home
    plans = About(home, choose((), home), traced.kept).plans
    signs: dict[str, list[str]] = {}
    for each in remarks:
        spot = _spot(each.finding, home) if each.number else None
        if spot is not None:
            signs.setdefault(spot[0], []).append(_sign(each, spot[1], len(signs.get(spot[0], ()))))
    return tuple(
        (
            base.title,
            _svg_with_signs(full_svg(plans.full(floor), f"plan-{floor}"), signs.get(floor, ())),
        )
        for floor, base in plans.bases.items()
    )


def _sign(remark: Remark, point: tuple[float, float], before: int) -> str:
    x, y = spot_of(point)
    says = escape(f"{remark.number}: {remark.finding.severity.word}. {remark.finding.wrong}")
    return (
        f'<g class="sign {remark.finding.severity.word}" transform="translate({x + 18 + before % 3 * 6} {y - 18})">'
        f'<title>{says}</title><path d="{_SIGN}"/><text text-anchor="middle" y="6">{remark.number}</text></g>'
    )


def _svg_with_signs(svg: Markup, signs: Iterable[str]) -> Markup:
    return Markup(f"{svg.removesuffix('</svg>')}{''.join(signs)}</svg>")  # noqa: S704 - drawn by the builder, with every text escaped


def _sections(entry: Entry) -> Iterator[tuple[str, tuple[ThingGroup, ...]]]:
    """What the file says by itself, section by section."""
    order = [each for each in SECTIONS if each in entry.children]
    for section in (*order, *(each for each in entry.children if each not in order)):
        held = entry.children[section]
        nested = held.children and all(each.children for each in held.children.values())
        things = held.children.items() if nested else [("", held)]
        yield section, tuple(_group(name, each) for name, each in things)


def _group(name: str, entry: Entry) -> ThingGroup:
    title = entry.children["name"].value if "name" in entry.children else name
    says = tuple(_value_rows(entry, ()))
    return ThingGroup(name, str(title), entry.named_at.line, says)


def _value_rows(entry: Entry, path: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    if entry.children:
        for name, each in entry.children.items():
            if name != "name" or path:
                yield from _value_rows(each, (*path, name))
        return
    value = plain(entry)
    shown = ", ".join(map(str, value)) if isinstance(value, list) else "taken away" if value is None else str(value)  # fmt: skip
    yield " ".join(each.replace("_", " ").replace("-", " ") for each in path) or "value", shown


ROOM = DeskRoom(
    "house-types", "House types", "/house-types",
    (page("/house-types", show_all), page("/house-types/{type}", show)),
)  # fmt: skip
