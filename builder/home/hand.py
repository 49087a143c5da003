"""Turns a home from the drawing's hand to the plot's: geometry, swings and words, never text.

A house type is drawn once, as drawn. The opposite hand is its mirror image, left to right, about
the middle of all outlines, so that the mirrored home stands on the same ground.
"""

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from pydantic import BaseModel

from builder.layers.memo import Memo
from builder.model.building import Door, Fitting, Room, Stairs
from builder.model.home import Home
from builder.model.record import PLAIN, Placed, Point, entries_of
from builder.model.shape import marks

_OTHER = {"left": "right", "right": "left"}


def turned(home: Home, kept: Memo | None = None) -> Home:
    """The home in the hand of its plot, with every ``{left}`` and ``{right}`` made a word."""
    kept = kept or Memo()
    opposite = home.plot.hand == "opposite"
    worded = {
        name: kept.once(_spoken_records, section, opposite)
        for name, section in entries_of(home).items()
    }
    if opposite:
        twice_middle = kept.once(_twice_the_middle, home.rooms)
        for name, mirror in _MIRRORED.items():
            worded[name] = kept.once(mirror, worded[name], twice_middle)
    return home.model_copy(update=worded)


def spoken(text: str, *, mirrored: bool) -> str:
    """A place text in words: ``{left}`` is "left" as drawn, and "right" in the opposite hand."""
    for side, other in _OTHER.items():
        text = text.replace(f"{{{side}}}", other if mirrored else side)
    return text


def middle(home: Home) -> float:
    """Twice the x of the mirror line, in metres: the least and the greatest x of all outlines."""
    return _twice_the_middle(home.rooms)


def _twice_the_middle(rooms: Mapping[str, Room]) -> float:
    across = [x for room in rooms.values() for x, _ in room.outline or ()]
    return min(across) + max(across) if across else 0.0


def _spoken_records(value: Any, mirrored: bool) -> Any:  # noqa: FBT001 - asked through ``Memo.once``
    """The records with the markers of their place texts spoken: the very same where there is none."""
    if isinstance(value, Mapping):
        changes = _changed_entries(value, mirrored)
        return type(value)({**value, **changes}) if changes else value  # type: ignore[call-arg]
    if not isinstance(value, BaseModel):
        return value
    changes = _changed_entries(entries_of(value), mirrored)
    for name in _place_texts(type(value)):
        text = getattr(value, name)
        if isinstance(text, str) and "{" in text:
            changes[name] = spoken(text, mirrored=mirrored)
    return value.model_copy(update=changes) if changes else value


def _changed_entries(entries: Mapping[str, Any], mirrored: bool) -> dict[str, Any]:  # noqa: FBT001
    """Those of the entries that are others once they are spoken."""
    return {
        name: said
        for name, each in entries.items()
        if not isinstance(each, PLAIN) and (said := _spoken_records(each, mirrored)) is not each
    }


@cache
def _place_texts(record: type[BaseModel]) -> tuple[str, ...]:
    """The fields of a record in which markers follow the hand."""
    return tuple(
        name
        for name, info in record.model_fields.items()
        if any(isinstance(mark, Placed) for mark in marks(info.rebuild_annotation()))
    )


def _across(point: Point | None, twice_middle: float) -> Point | None:
    return point and (round(twice_middle - point[0], 6), point[1])


def _rooms(rooms: Mapping[str, Room], twice_middle: float) -> Mapping[str, Room]:
    return _each_changed(rooms, lambda room: {
        "outline": room.outline
        and tuple(_across(point, twice_middle) for point in reversed(room.outline))
    })  # fmt: skip


def _doors(doors: Mapping[str, Door], twice_middle: float) -> Mapping[str, Door]:
    return _each_changed(doors, lambda door: {
        "at": _across(door.at, twice_middle), "hinge": door.hinge and _OTHER[door.hinge]
    })  # fmt: skip


def _mirrored_things(things: Mapping[str, Any], twice_middle: float) -> Mapping[str, Any]:
    """Windows and equipment, which stand somewhere and have no hand of their own."""
    return _each_changed(things, lambda thing: {"at": _across(thing.at, twice_middle)})


def _stairs(stairs: Mapping[str, Stairs], twice_middle: float) -> Mapping[str, Stairs]:
    return _each_changed(stairs, lambda flight: {
        "line": tuple(_across(point, twice_middle) for point in flight.line)
    })  # fmt: skip


def _fittings(fittings: Mapping[str, Fitting], twice_middle: float) -> Mapping[str, Fitting]:
    return _each_changed(fittings, lambda fitting: {
        "at": _across(fitting.at, twice_middle), "turn": fitting.turn and -fitting.turn
    })  # fmt: skip


_MIRRORED: Mapping[str, Callable[[Any, float], Any]] = {
    "rooms": _rooms, "doors": _doors, "windows": _mirrored_things, "equipment": _mirrored_things,
    "stairs": _stairs, "fittings": _fittings,
}  # fmt: skip
"""How each section that has a hand becomes its mirror image about a line."""


def _each_changed(
    entries: Mapping[str, Any], changes: Callable[[Any], dict[str, Any]]
) -> Mapping[str, Any]:
    kind = type(entries)
    return kind({key: each.model_copy(update=changes(each)) for key, each in entries.items()})  # type: ignore[call-arg]
