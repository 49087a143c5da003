"""Outlines of rooms: squared, in one line with each other, and drawn to the middle of the walls.

A model draws its spaces to the faces of the walls; a house type is drawn to their middle, so that
rooms share their walls. Lengths in metres, areas in square metres.
"""

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, pairwise

from shapely import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from builder.importers.models.drawn import Ring, Vector

SQUARED = 0.035
"""How much a wall may lean, as a share of its length (2 degrees), to be taken for straight."""
IN_LINE = 0.03
"""Metres that two faces may differ by and are taken for one line."""
WALL = 0.6
"""The thickest wall, in metres, that rooms on both sides of it are drawn together over."""
_MILLIMETRE = 1e-3
_TURNS = 5e-4
"""Metres that a corner lies off the line of its neighbours at least."""
_CRUMB = 1e-4
_DUST = 1e-7

Point = tuple[float, float]


def squared(rings: Mapping[str, Ring]) -> dict[str, Polygon]:
    """Rooms of one storey with straight walls where they nearly are, faces in line with each other."""
    turned = {name: _straightened(ring) for name, ring in rings.items()}
    for axis in (0, 1):
        places = _lines(turned, axis)
        turned = {name: _shifted(ring, axis, places) for name, ring in turned.items()}
    return {
        name: polygon for name, ring in turned.items() if (polygon := _polygon(ring)) is not None
    }


def _straightened(ring: Ring) -> Ring:
    """Both ends of a nearly straight wall moved to the place of its middle."""
    points = [list(point) for point in ring]
    for axis in (0, 1):
        for run in _runs(ring, axis):
            weight = sum(_length(ring, i, 1 - axis) for i in run) or 1.0
            place = sum(_middle(ring, i, axis) * _length(ring, i, 1 - axis) for i in run) / weight
            for i in run:
                points[i][axis] = points[(i + 1) % len(ring)][axis] = round(place, 6)
    return tuple((x, y) for x, y in points)


def _runs(ring: Ring, axis: int) -> Iterator[list[int]]:
    """Walls, by the number of their first corner, along which one coordinate stays the same."""
    straight = [i for i in range(len(ring)) if _is_straight(ring, i, axis)]
    groups: list[list[int]] = []
    for i in straight:
        if groups and groups[-1][-1] == i - 1:
            groups[-1].append(i)
        else:
            groups.append([i])
    if len(groups) > 1 and groups[0][0] == 0 and groups[-1][-1] == len(ring) - 1:
        groups[0] = groups.pop() + groups[0]
    yield from groups


def _is_straight(ring: Ring, i: int, axis: int) -> bool:
    off, along = _length(ring, i, axis), _length(ring, i, 1 - axis)
    return along > 0 and off <= SQUARED * along


def _length(ring: Ring, i: int, axis: int) -> float:
    return abs(ring[(i + 1) % len(ring)][axis] - ring[i][axis])


def _middle(ring: Ring, i: int, axis: int) -> float:
    return (ring[(i + 1) % len(ring)][axis] + ring[i][axis]) / 2


def _lines(rings: Mapping[str, Ring], axis: int) -> dict[float, float]:
    """For each coordinate of a straight wall the one that it is written as: that of the longest
    wall of those that are nearly in line."""
    lengths: dict[float, float] = defaultdict(float)
    for ring in rings.values():
        for i in range(len(ring)):
            if ring[i][axis] == ring[(i + 1) % len(ring)][axis]:
                lengths[ring[i][axis]] += _length(ring, i, 1 - axis)
    places: dict[float, float] = {}
    for place in sorted(lengths, key=lambda each: (-lengths[each], each)):
        near = [each for each in set(places.values()) if abs(each - place) <= IN_LINE]
        places[place] = min(near, key=lambda each: abs(each - place)) if near else place
    return places


def _shifted(ring: Ring, axis: int, places: Mapping[float, float]) -> Ring:
    def moved(point: Vector) -> Vector:
        x, y = point
        return (places.get(x, x), y) if axis == 0 else (x, places.get(y, y))

    return tuple(moved(point) for point in ring)


def _polygon(ring: Ring) -> Polygon | None:
    """The ring as a shape of whole walls; the largest part where it crosses itself."""
    whole = Polygon(ring).buffer(0) if len(ring) > 2 else Polygon()
    parts = sorted(_polygons(whole), key=lambda each: -each.area)
    return cleaned(parts[0]) if parts else None


def cleaned(polygon: Polygon) -> Polygon:
    """The same shape without corners in the middle of a wall, and without holes."""
    ring = _apart(ring_of(polygon))
    kept = [
        here
        for before, here, after in zip([ring[-1], *ring], ring, [*ring[1:], ring[0]], strict=False)
        if _turns(before, here, after)
    ]
    return Polygon(kept) if len(kept) > 2 else polygon


def _apart(ring: Ring) -> list[Point]:
    """A ring in which no two corners that follow each other are within a millimetre."""
    kept: list[Point] = []
    for point in ring:
        if not kept or math.dist(kept[-1], point) > _MILLIMETRE:
            kept.append(point)
    while len(kept) > 1 and math.dist(kept[0], kept[-1]) <= _MILLIMETRE:
        kept.pop()
    return kept


def _turns(before: Point, here: Point, after: Point) -> bool:
    """Whether a ring turns at a corner by more than a millimetre in the length of its walls."""
    (ax, ay), (bx, by) = (
        (here[0] - before[0], here[1] - before[1]),
        (after[0] - here[0], after[1] - here[1]),
    )
    cross, longest = abs(ax * by - ay * bx), max(ax * ax + ay * ay, bx * bx + by * by) ** 0.5
    return bool(longest > 0 and cross / longest > _TURNS)


def to_the_middle(rooms: Mapping[str, Polygon]) -> dict[str, Polygon]:
    """Rooms of one storey that share their walls: each grown to the middle of the walls between."""
    grown = dict(rooms)
    gap = _between(rooms)
    for one, other in sorted(
        _neighbours(rooms), key=lambda pair: rooms[pair[0]].distance(rooms[pair[1]])
    ):
        both = (rooms[one], rooms[other], grown[one], grown[other])
        grown[one], grown[other], gap = _halved(*both, gap)
    for crumb in _polygons(gap):
        _given_away(crumb, grown)
    # Walls of different thickness leave steps of a finger's width where they meet.
    return squared({name: ring_of(each) for name, each in grown.items()})


def _between(rooms: Mapping[str, Polygon]) -> BaseGeometry:
    """The walls between rooms: what lies between two of them, no further apart than a wall."""
    whole = unary_union(list(rooms.values()))
    half = WALL / 2 + 0.001
    closed = whole.buffer(half, join_style="mitre").buffer(-half, join_style="mitre")
    return closed.difference(whole)


def _neighbours(rooms: Mapping[str, Polygon]) -> Iterator[tuple[str, str]]:
    for one, other in combinations(rooms, 2):
        if 0 < rooms[one].distance(rooms[other]) <= WALL:
            yield one, other


def _halved(
    one: Polygon, other: Polygon, mine: Polygon, its: Polygon, gap: BaseGeometry
) -> tuple[Polygon, Polygon, BaseGeometry]:
    """Two rooms and what lies between them, halved along the middle of the wall."""
    between = one.distance(other)
    wide, half = between + 0.001, between / 2
    strip = gap.intersection(_swollen(one, wide)).intersection(_swollen(other, wide))
    if strip.area < _DUST:
        return mine, its, gap
    near = strip.intersection(_swollen(one, half))
    far = strip.difference(near).intersection(_swollen(other, half + _CRUMB))
    rest = gap.difference(unary_union([near, far]))
    return _largest_part(unary_union([mine, near])), _largest_part(unary_union([its, far])), rest


def _swollen(room: Polygon, by: float) -> BaseGeometry:
    return room.buffer(by, join_style="mitre")


def _given_away(crumb: Polygon, rooms: dict[str, Polygon]) -> None:
    """What is left of a wall goes to the room that it lies along for longest."""
    beside = {
        name: crumb.boundary.intersection(room.buffer(_CRUMB)).length
        for name, room in rooms.items()
    }
    longest = max(beside, key=lambda name: (beside[name], name), default="")
    if crumb.area > _DUST and longest and beside[longest] > 10 * _CRUMB:
        rooms[longest] = _largest_part(
            unary_union([rooms[longest], crumb.buffer(_CRUMB, join_style="mitre")])
        )
        others = {name: room for name, room in rooms.items() if name != longest}
        rooms.update(
            (name, _largest_part(room.difference(rooms[longest]))) for name, room in others.items()
        )


def _largest_part(shape: BaseGeometry) -> Polygon:
    """The largest part of a shape, without slits that arithmetic leaves."""
    closed = shape.buffer(_CRUMB, join_style="mitre").buffer(-_CRUMB, join_style="mitre")
    return max(_polygons(closed), key=lambda each: each.area, default=Polygon())


def _polygons(shape: BaseGeometry) -> Iterator[Polygon]:
    for part in getattr(shape, "geoms", (shape,)):
        if isinstance(part, Polygon) and not part.is_empty:
            yield part


def ring_of(polygon: Polygon) -> Ring:
    """The corners of a shape as the library has them, each once."""
    return tuple((float(x), float(y)) for x, y in list(polygon.exterior.coords)[:-1])


def corners(polygon: Polygon) -> tuple[Point, ...]:
    """The corners of a room as they are written: to the millimetre, from the one nearest to 0, 0."""
    points = [(round(x, 3) + 0.0, round(y, 3) + 0.0) for x, y in list(polygon.exterior.coords)[:-1]]
    points = [here for before, here in pairwise([points[-1], *points]) if here != before]
    if not polygon.exterior.is_ccw:
        points.reverse()
    first = min(range(len(points)), key=lambda i: (points[i][1] + points[i][0], points[i]))
    return tuple(points[first:] + points[:first])


def overlaps(rooms: Mapping[str, Polygon]) -> Iterator[tuple[str, str, float]]:
    """Pairs of rooms of one storey that take up the same space, and how much of it."""
    for one, other in combinations(rooms, 2):
        area = rooms[one].intersection(rooms[other]).area
        if area > 0.02:
            yield one, other, area


def without_overlaps(rooms: Mapping[str, Polygon]) -> tuple[dict[str, Polygon], Sequence[str]]:
    """Rooms that share no space: the smaller of two keeps it; and the rooms that nothing is left of."""
    kept, gone = dict(rooms), []
    for one, other, _ in sorted(overlaps(rooms), key=lambda each: -each[2]):
        small, large = sorted((one, other), key=lambda name: rooms[name].area)
        if small not in kept or large not in kept:
            continue
        rest = _largest_part(kept[large].difference(kept[small]))
        if rest.area < 0.2 * rooms[large].area:
            gone.append(large)
            del kept[large]
        else:
            kept[large] = cleaned(rest)
    return kept, tuple(gone)
