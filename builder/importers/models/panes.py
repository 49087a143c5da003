"""The windows of a house type, each in the room that it lights."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shapely import Point

from builder.importers.models.draft import (
    DraftedValue,
    Entry,
    HouseTypeDraft,
    LeftOut,
    identifier,
    plain,
)
from builder.importers.models.drawn import ModelOpening, Vector
from builder.importers.models.homes import Known, Rooms, beside
from builder.importers.models.rooms import HomeOfModel, PlacedRoom, RoomLayout
from builder.importers.models.ways import on_wall
from builder.importers.models.words import OPEN_AIR, Vocabulary

_STACKED = 0.15
"""Metres in plan within which panes over each other are parts of one window."""
_OPERATIONS = (
    ("FIXED", "fixed"), ("TILT", "tilt"), ("SLIDING", "sash"), ("VERTICAL", "sash"), ("HUNG", "casement"),
    ("PIVOT", "casement"), ("REMOVABLE", "casement"), ("OTHEROPERATION", "casement"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Pane:
    """One window of the model in the room that it lights."""

    window: ModelOpening
    room: PlacedRoom
    at: Vector
    kind: str
    why: str


def lit(home: HomeOfModel) -> None:
    """All windows of the home, written into the draft."""
    panes: list[_Pane] = []
    for window in home.drawing.windows:
        pane = _pane(window, home.rooms, home.layout, home.words)
        if isinstance(pane, _Pane):
            panes.append(pane)
        elif pane:
            home.draft.left_out.append(LeftOut(_window_in_words(window), pane))
    groups: list[list[_Pane]] = []
    for pane in panes:
        group = next((each for each in groups if _is_over(each[0], pane)), None)
        if group is None:
            groups.append([pane])
        else:
            group.append(pane)
    for group in groups:
        _window(group, home.draft)


def _window_in_words(window: ModelOpening) -> str:
    return f"{window.origin.entity} '{plain(window.name)}' ({window.origin.identifier})"


def _pane(window: ModelOpening, rooms: Rooms, layout: RoomLayout, words: Vocabulary) -> _Pane | str:
    """A window in its room, or in words why it has none. Nothing where it belongs to another home."""
    kind, why = _kind(window, words)
    at = layout.frame.point(window.middle)
    if kind == "roof":
        under = [
            each
            for each in rooms
            if each.shape.contains(Point(window.middle)) and _is_lived_in(each)
        ]
        room = layout.of(max(under, key=lambda each: each.space.high, default=None))
        return _Pane(window, room, at, kind, why) if room else ""
    sides = beside(window, rooms)
    own = [placed for each in sides if (placed := layout.of(each)) is not None]
    own.sort(key=lambda each: each.kind in OPEN_AIR)
    if not own:
        return "" if any(sides) else "no room lies behind it"
    if all(each is not None and each.kind not in OPEN_AIR for each in sides):
        return "it stands between two rooms"
    return _Pane(window, own[0], on_wall(at, [own[0].outline]), kind, why)


def _is_lived_in(room: Known) -> bool:
    return room.kind not in ("loft", *OPEN_AIR)


def _kind(window: ModelOpening, words: Vocabulary) -> tuple[str, str]:
    heard = {each.kind: each.word for each in words.opening(window.words)}
    if "roof" in heard:
        return "roof", f"its name says '{heard['roof']}'"
    operation = window.operation.upper()
    for part, kind in _OPERATIONS:
        if part in operation:
            return kind, ""
    for kind in ("fixed", "tilt", "sash", "casement"):
        if kind in heard:
            return kind, f"its name says '{heard[kind]}'"
    return "", ""


def _is_over(one: _Pane, other: _Pane) -> bool:
    """Whether two panes stand over each other in one wall."""
    near = Point(one.at).distance(Point(other.at)) <= _STACKED
    return near and one.room.id == other.room.id and (one.kind == "roof") == (other.kind == "roof")


def _window(panes: list[_Pane], draft: HouseTypeDraft) -> None:
    """One window; of panes over each other the one that opens says how, and how high its sill is."""
    panes = sorted(panes, key=lambda each: each.window.low)
    first = next((each for each in panes if each.kind not in ("fixed", "")), panes[0])
    room, window, origin = first.room, first.window, first.window.origin
    title = f"{room.name} window"
    entry: Entry = {
        "name": DraftedValue(
            title, origin, "Name", note=f"the model says '{plain(window.name)}'{_stack(panes)}"
        ),
        "room": DraftedValue(room.id, origin, "ObjectPlacement"),
        "at": DraftedValue(first.at, origin, "ObjectPlacement"),
    }
    if window.width:
        entry["width"] = DraftedValue(
            round(max(each.window.width or 0 for each in panes), 3), origin, "OverallWidth"
        )
    if first.kind and first.kind != "casement":
        attribute = window.operation_from.partition(".")[2] or "Name"
        entry["kind"] = DraftedValue(first.kind, origin, attribute, first.why)
    if first.kind != "roof" and not window.is_flat:
        sill = round(window.low - room.known.space.low, 3)
        entry["sill"] = DraftedValue(max(sill, 0.0), origin, "ObjectPlacement")
    for name, value in (("clear_width", window.clear_width), ("clear_height", window.clear_height)):
        if value:
            attribute = "".join(each.capitalize() for each in name.split("_"))
            entry[name] = DraftedValue(round(value, 3), origin, attribute)
    draft.add("windows", identifier(f"{room.id}-window", "window"), entry)


def _stack(panes: Sequence[_Pane]) -> str:
    return f"; {len(panes)} panes over each other are one window" if len(panes) > 1 else ""


def numbered(draft: HouseTypeDraft, sections: Iterable[str] = ("windows", "doors")) -> None:
    """Names that several entries have get a number each."""
    for section in sections:
        titles: dict[str, list[str]] = {}
        for name, entry in draft.entries(section).items():
            titles.setdefault(entry["name"].value, []).append(name)
        for title, names in titles.items():
            for number, name in enumerate(names, start=1):
                if len(names) > 1:
                    said = draft.sections[section][name]["name"]
                    draft.sections[section][name]["name"] = DraftedValue(f"{title} {number}", said.origin, said.attribute, said.guess)  # fmt: skip
