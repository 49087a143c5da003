"""Where the names of rooms stand on a plan: inside their rooms where they fit, else beside the home."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, pairwise

from shapely import Polygon
from shapely.ops import polylabel

from builder.guide.plan.boxes import Box, around, nearest_free, text_width
from builder.guide.plan.drawing import Area, Base, Name, Spot
from builder.guide.plan.ground import FloorGround, Ground

LINE = 1.2
"""The height of a line of text, as a share of its size."""
_GRID, _CLEAR = 12, 2
"""Units between the places that are tried, and between a name and the faces of walls."""


_BESIDE = 12
"""Units between the home and a name beside it."""


@dataclass(frozen=True, slots=True)
class Wrapped:
    """A name on lines, and the room that it takes."""

    lines: tuple[str, ...]
    size: int

    @property
    def width(self) -> float:
        return max(text_width(line, self.size) for line in self.lines)

    @property
    def height(self) -> float:
        return len(self.lines) * self.size * LINE


@dataclass(frozen=True)
class NamedRoom:
    """A room on a plan, for the names that are tried in it."""

    area: Area
    ground: Ground
    """Where a name may stand, clear of the walls."""

    @cached_property
    def middle(self) -> Spot:
        """The place farthest from the walls."""
        shape = self.ground.shape
        if isinstance(shape, Polygon) and not shape.is_empty:
            centre = polylabel(shape, tolerance=5)
        else:
            centre = Polygon(self.area.corners).representative_point()
        return round(centre.x), round(centre.y)

    @cached_property
    def places(self) -> tuple[Spot, ...]:
        """The places that are tried, those nearest to the middle first."""
        bounds = self.ground.bounds
        if bounds is None:
            return ()
        x, y = self.middle
        grid = [
            (across, down)
            for down in range(round(bounds.top), round(bounds.bottom) + 1, _GRID)
            for across in range(round(bounds.left), round(bounds.right) + 1, _GRID)
        ]
        near = sorted(grid, key=lambda each: ((each[0] - x) ** 2 + (each[1] - y) ** 2, each))
        return (self.middle, *near)


def names_of(
    site: FloorGround,
    named: dict[str, str],
    sizes: Sequence[int],
    avoided: Sequence[Spot] = (),
    *,
    marks: Sequence[Box] = (),
    outside: bool = True,
) -> tuple[Name, ...]:
    """The names of the rooms of a floor, none over another.

    ``sizes``: those of type that are tried, the largest first. ``avoided``: spots that a name had
    better not cover. ``marks``: what is drawn over names, so that a name stands under none of it or
    is left out. ``outside``: a name that fits nowhere in its room stands beside the home, with a line
    to the room; otherwise it is left out.
    """
    names: list[Name] = []
    left_over = []
    for area in site.base.areas:
        room = NamedRoom(area, site.within(area, _CLEAR))
        things = (*site.swings, *site.built_in)
        inside = _inside(room, named[area.room], sizes, avoided, things, marks)
        if inside is None:
            left_over.append(room)
        else:
            names.append(inside)
    for room in left_over if outside else ():
        names.append(_beside(room, named[room.area.room], sizes[-1], site.base, names))
    return tuple(names)


def _inside(
    room: NamedRoom,
    text: str,
    sizes: Sequence[int],
    avoided: Sequence[Spot],
    things: Sequence[Box],
    marks: Sequence[Box],
) -> Name | None:
    """The name at the largest size that fits in its room clear of marks, where it covers least."""
    for size in sizes:
        best, least = None, math.inf
        for wrapped, place in _fitting(room, _wraps(text, size)):
            if any(place.overlaps(mark) for mark in marks):
                continue
            covered = _covered(place, avoided, things)
            if covered < least:
                best, least = (wrapped, place), covered
            if covered == 0:
                break
        if best is not None:
            return _name(room, *best, led=False)
    return None


def _fitting(room: NamedRoom, wraps: Sequence[Wrapped]) -> Iterator[tuple[Wrapped, Box]]:
    """The places in a room at which the name fits on one line or more, nearest to the middle first."""
    bounds = room.ground.bounds
    small = [
        each
        for each in wraps
        if bounds is not None and each.width <= bounds.width and each.height <= bounds.height
    ]
    for x, y in room.places if small else ():
        for wrapped in small:
            place = around(x, y, wrapped.width, wrapped.height)
            if room.ground.holds(place):
                yield wrapped, place


def _covered(place: Box, avoided: Sequence[Spot], things: Sequence[Box]) -> int:
    spots = sum(place.grown(2).holds(*spot) for spot in avoided)
    return 2 * spots + sum(place.overlaps(thing) for thing in things)


def _beside(room: NamedRoom, text: str, size: int, base: Base, names: Sequence[Name]) -> Name:
    """The name outside the walls, as near to its room as is free."""
    wrapped = _wraps(text, size)[-1]
    taken = [base.box.grown(_BESIDE), *(each.box for each in names)]
    place = nearest_free(
        room.middle, (wrapped.width, wrapped.height), taken, lambda _box, _limit: 0.0, _GRID
    )
    return _name(room, wrapped, place, led=True)


def _name(room: NamedRoom, wrapped: Wrapped, place: Box, *, led: bool) -> Name:
    step = wrapped.size * LINE
    first = place.top + wrapped.size * (LINE + 0.7) / 2
    return Name(
        room=room.area.room,
        lines=wrapped.lines,
        x=round((place.left + place.right) / 2),
        tops=tuple(round(first + index * step) for index in range(len(wrapped.lines))),
        size=wrapped.size,
        box=place,
        spot=room.middle,
        led=led,
    )


def _wraps(text: str, size: int) -> list[Wrapped]:
    """A name on one line, on two and on three, each broken where it is narrowest."""
    words = text.split()
    return [
        min((Wrapped(lines, size) for lines in _broken(words, count)), key=lambda each: each.width)
        for count in range(1, min(len(words), 3) + 1)
    ]


def _broken(words: list[str], count: int) -> Iterator[tuple[str, ...]]:
    for breaks in combinations(range(1, len(words)), count - 1):
        edges = (0, *breaks, len(words))
        yield tuple(" ".join(words[start:end]) for start, end in pairwise(edges))
