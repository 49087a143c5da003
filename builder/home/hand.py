"""Turns a home from the drawing's hand to the plot's: geometry, swings and words, never text.

A house type is drawn once, as drawn. The opposite hand is its mirror image, left to right, about
the middle of all outlines, so that the mirrored home stands on the same ground.
"""

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from pydantic import BaseModel

from builder.model.home import Home
from builder.model.record import Placed, Point
from builder.model.shape import marks

_OTHER = {"left": "right", "right": "left"}


def turned(home: Home) -> Home:
    """The home in the hand of its plot, with every ``{left}`` and ``{right}`` made a word."""
    opposite = home.plot.hand == "opposite"
    worded = _worded(home, mirrored=opposite)
    return _mirrored(worded) if opposite else worded


def spoken(text: str, *, mirrored: bool) -> str:
    """A place text in words: ``{left}`` is "left" as drawn, and "right" in the opposite hand."""
    for side, other in _OTHER.items():
        text = text.replace(f"{{{side}}}", other if mirrored else side)
    return text


def middle(home: Home) -> float:
    """Twice the x of the mirror line, in metres: the least and the greatest x of all outlines."""
    across = [x for room in home.rooms.values() for x, _ in room.outline or ()]
    return min(across) + max(across) if across else 0.0


def _worded(value: Any, *, mirrored: bool) -> Any:
    """The same records, with the markers of their place texts spoken."""
    if isinstance(value, Mapping):
        return type(value)({key: _worded(each, mirrored=mirrored) for key, each in value.items()})  # type: ignore[call-arg]
    if not isinstance(value, BaseModel):
        return value
    changes = {
        name: _worded(getattr(value, name), mirrored=mirrored) for name in type(value).model_fields
    }
    for name in _place_texts(type(value)):
        if isinstance(changes[name], str):
            changes[name] = spoken(changes[name], mirrored=mirrored)
    return value.model_copy(update=changes)


@cache
def _place_texts(record: type[BaseModel]) -> tuple[str, ...]:
    """The fields of a record in which markers follow the hand."""
    return tuple(
        name
        for name, info in record.model_fields.items()
        if any(isinstance(mark, Placed) for mark in marks(info.rebuild_annotation()))
    )


def _mirrored(home: Home) -> Home:
    twice_middle = middle(home)

    def across(point: Point) -> Point:
        return (round(twice_middle - point[0], 6), point[1])

    return home.model_copy(
        update={
            "rooms": _each(home.rooms, lambda room: {
                "outline": room.outline and tuple(across(point) for point in reversed(room.outline))
            }),
            "doors": _each(home.doors, lambda door: {
                "at": door.at and across(door.at), "hinge": door.hinge and _OTHER[door.hinge]
            }),
            "windows": _each(home.windows, lambda window: {"at": window.at and across(window.at)}),
            "equipment": _each(home.equipment, lambda piece: {"at": piece.at and across(piece.at)}),
            "fences": _each(home.fences, lambda fence: {"side": _OTHER.get(fence.side, fence.side)}),
        }
    )  # fmt: skip


def _each(
    entries: Mapping[str, Any], changes: Callable[[Any], dict[str, Any]]
) -> Mapping[str, Any]:
    kind = type(entries)
    return kind({key: each.model_copy(update=changes(each)) for key, each in entries.items()})  # type: ignore[call-arg]
