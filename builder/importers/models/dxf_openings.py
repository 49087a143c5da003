"""Doors and windows of a plan: by the swings of their leaves, else by what stands on their layers.

A swing is drawn as part of a circle: its middle is the hinge, its radius the leaf, one end lies where
the leaf is shut, in the wall, and the other where it stands open, in the room. Lengths in metres.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from shapely import LineString, MultiPoint, Point, Polygon, STRtree, affinity
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from builder.importers.models.drawn import ModelOpening, ModelOrigin, Space, Vector
from builder.importers.models.dxf_parts import Arc, DrawnPart, Plan, Symbol, scaled, times

_LEAF = (0.4, 1.4)
"""Metres that a leaf is wide."""
_TURN = (25.0, 125.0)
"""Degrees that a swing goes round: some draw doors half open."""
_WIDE, _THICK = (0.3, 8.0), 0.8
"""Metres that an opening is wide, and how thick what is drawn of it is at most."""
_IN_WALL, _WALL = 0.15, 0.35
"""Metres that a shut leaf lies inside a room at most, where rooms are drawn to the middle of walls; and
how thick walls are at most, between rooms that are drawn to their faces."""
_REACH = 0.8
_SURE = 0.15
"""Metres by which one end of a swing is deeper in a room than the other, and outdoes a drawn leaf."""
_SAME = 0.12
"""Metres within which two drawn doors are one, and the leaves of a double door meet."""
_TOGETHER = 0.05
"""Metres within which lines on a layer belong to one thing."""

Says = Callable[[str], str]
"""What a layer or block is for: ``door``, ``window`` or nothing."""


@dataclass(frozen=True, slots=True)
class _Swing:
    """One leaf: its hinge, the way along the shut leaf, and the way that it opens."""

    hinge: Vector
    along: Vector
    opens: Vector
    radius: float
    depth: float

    @property
    def tip(self) -> Vector:
        """Where the shut leaf ends."""
        return _point_along(self.hinge, self.along, self.radius)


@dataclass
class PlanOpenings:
    """What was read: ``doors`` and ``windows``, each on a storey, and sentences about the rest."""

    doors: list[tuple[int, ModelOpening]] = field(default_factory=list)
    windows: list[tuple[int, ModelOpening]] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)


def openings_of(
    plan: Plan, spaces: Sequence[Space], storeys: Sequence[str], says: Says, scale: float, file: str
) -> PlanOpenings:
    """The doors and windows of a plan. ``storeys``: the layers of rooms, floor by floor. ``says``: what
    a layer or block is for. ``scale``: metres in a unit of the drawing."""
    return _Opening(plan, spaces, storeys, says, scale, file).read()


class _Opening:
    """One plan on its way to its openings."""

    def __init__(
        self, plan: Plan, spaces: Sequence[Space], storeys: Sequence[str], says: Says, scale: float, file: str
    ) -> None:  # fmt: skip
        self.storeys, self.says, self.file = storeys, says, file
        rooms = {each.casefold() for each in storeys}
        drawn = [
            each for each in plan.parts if not each.text and each.layer.casefold() not in rooms
        ]
        swung = {each.layer for each in drawn if each.arc is not None}
        self.symbols = [_symbol_in_metres(each, scale) for each in plan.symbols]
        self.parts = [
            _part_in_metres(each, scale)
            for each in drawn
            if each.layer in swung or says(each.layer)
        ]
        self.lines = [each for each in self.parts if each.arc is None and len(each.points) > 1]
        self.line_tree = STRtree([LineString(each.points) for each in self.lines])
        self.rooms = [(each.storey, Polygon(each.rings[0]).buffer(0)) for each in spaces]
        self.tree = STRtree([shape for _, shape in self.rooms])
        self.found = PlanOpenings()
        self.leaves: list[tuple[_Swing, Symbol]] = []
        self.unread: dict[str, list[str]] = {}

    def read(self) -> PlanOpenings:
        """All doors, then all windows, and what could not be read."""
        for symbol in self.symbols:
            for swing in self._leaves(symbol, symbol.parts):
                self.leaves.append((swing, symbol))
        self._swings()
        for use in ("door", "window"):
            self._hang([each for each in self.leaves if self._use(each[1]) == use], use)
        swung = {id(symbol) for _, symbol in self.leaves}
        for symbol in self.symbols:
            if id(symbol) not in swung:
                self._add_by_outline(symbol, self._use(symbol))
        for use in ("door", "window"):
            loose = [
                each for each in self.parts if each.arc is None and self.says(each.layer) == use
            ]
            for symbol in _lines_that_touch(loose):
                self._add_by_outline(symbol, use)
        self._tell()
        return self.found

    def _use(self, symbol: Symbol) -> str:
        return self.says(symbol.name) or self.says(symbol.layer)

    def _swings(self) -> None:
        """Doors whose swing is no part of a symbol. Off the layers of doors, an arc is one only where
        it fits: stairs, basins and tables have arcs too."""
        fitting = []
        for part in self.parts:
            use = self.says(part.layer)
            if part.arc is None or use == "window":
                continue
            symbol = Symbol("", part.layer, part.handle, "ARC", (part,))
            near = self.line_tree.query(Point(part.arc.centre).buffer(_SAME))
            for swing in self._leaves(symbol, [self.lines[index] for index in sorted(near)]):
                if use:
                    self.leaves.append((swing, symbol))
                elif self._fits(swing):
                    fitting.append((swing, symbol))
        self._hang(fitting, "door")

    def _hang(self, leaves: Sequence[tuple[_Swing, Symbol]], use: str) -> None:
        whose = {id(swing): symbol for swing, symbol in leaves}
        for group in _leaves_that_shut([swing for swing, _ in leaves]):
            symbol = whose[id(group[0])]
            origin = self._origin(symbol, group[0].hinge)
            self._add(use, _hung(group, symbol.name, symbol.texts, origin), symbol)

    def _leaves(self, symbol: Symbol, parts: Sequence[DrawnPart]) -> Iterator[_Swing]:
        for arc in symbol.arcs:
            if _LEAF[0] <= arc.radius <= _LEAF[1] and _TURN[0] <= arc.degrees <= _TURN[1]:
                yield self._leaf(arc, parts)

    def _leaf(self, arc: Arc, parts: Sequence[DrawnPart]) -> _Swing:
        """Which end of a swing is shut: the one in the wall, and the one that no leaf is drawn to."""
        depths = [self._depth(arc.centre, end) for end in arc.ends]
        drawn = [_has_line(arc, end, parts) for end in arc.ends]
        shut = 0 if depths[0] <= depths[1] else 1
        if drawn[0] != drawn[1]:
            by_leaf = 1 if drawn[0] else 0
            if depths[by_leaf] - depths[1 - by_leaf] < _SURE:
                shut = by_leaf
        along = _unit(arc.centre, arc.ends[shut])
        open_ = _unit(arc.centre, arc.ends[1 - shut])
        lean = open_[0] * along[0] + open_[1] * along[1]
        opens = _unit((0.0, 0.0), (open_[0] - lean * along[0], open_[1] - lean * along[1]))
        return _Swing(arc.centre, along, opens, arc.radius, depths[shut])

    def _depth(self, hinge: Vector, end: Vector) -> float:
        """How deep the line from a hinge lies inside of rooms, in the mean."""
        points = [Point(_between(hinge, end, share)) for share in (0.25, 0.5, 0.75, 1.0)]
        return sum(self._inside(each) for each in points) / len(points)

    def _inside(self, point: Point) -> float:
        """How deep a point lies in a room; outside of all rooms, how far off it is of any wall."""
        near = (self.rooms[index][1] for index in self.tree.query(point))
        deep = [each.boundary.distance(point) for each in near if each.contains(point)]
        if deep:
            return float(max(deep))
        nearest = self.tree.nearest(point)
        off = self.rooms[nearest][1].distance(point) if nearest is not None else 0.0
        return max(float(off) - _WALL, 0.0)

    def _fits(self, swing: _Swing) -> bool:
        """Whether an arc can be a door: shut it lies in a wall, and opens out of one room into another."""
        middle = _point_along(swing.hinge, swing.along, swing.radius / 2)
        into, beyond = (self._room_towards(middle, swing.opens, way) for way in (1.0, -1.0))
        return swing.depth <= _IN_WALL and into != beyond

    def _room_towards(self, middle: Vector, way: Vector, sign: float) -> int | None:
        for step in range(1, 9):
            point = Point(_point_along(middle, way, sign * step * _REACH / 8))
            for index in self.tree.query(point):
                if self.rooms[index][1].contains(point):
                    return int(index)
        return None

    def _add_by_outline(self, symbol: Symbol, use: str) -> None:
        """A door or window without a swing: as far as it reaches, it is one opening."""
        box = _box(symbol)
        wide, thick, along, middle = box
        if not _WIDE[0] <= wide <= _WIDE[1] or thick > _THICK:
            self._unread(symbol, f"it is {wide:.2f} m long and {thick:.2f} m thick", middle)
            return
        if any(math.dist(middle, door.middle) < wide / 2 for _, door in self.found.doors):
            return  # the leaf, frame or threshold of a door whose swing was read
        opening = ModelOpening(
            name=symbol.name, middle=middle, along=along, swing=(-along[1], along[0]), low=0.0, width=wide,
            height=None, operation="", origin=self._origin(symbol, middle), words=(symbol.name, *symbol.texts),
            is_flat=True,
        )  # fmt: skip
        self._add(use, opening, symbol)

    def _add(self, use: str, opening: ModelOpening, symbol: Symbol) -> None:
        storeys = {self.rooms[index][0] for index in self.tree.query(Point(opening.middle).buffer(_REACH))
                   if self.rooms[index][1].distance(Point(opening.middle)) <= _REACH}  # fmt: skip
        if not storeys:
            self._unread(symbol, "no room lies beside it", opening.middle)
            return
        on = [
            each
            for each in storeys
            if _floor_ending(symbol.layer) == _floor_ending(self.storeys[each])
        ]
        if len(storeys) > 1 and len(on) != 1:
            self._unread(symbol, "rooms of several floors lie beside it; give its layer the ending of its floor", opening.middle)  # fmt: skip
            return
        into = self.found.doors if use == "door" else self.found.windows
        if all(math.dist(each.middle, opening.middle) > _SAME for _, each in into):
            into.append(((on or sorted(storeys))[0], opening))

    def _origin(self, symbol: Symbol, at: Vector) -> ModelOrigin:
        which = symbol.handle or f"{at[0]:.2f},{at[1]:.2f}"
        name = next(iter(symbol.texts), "") or symbol.name
        return ModelOrigin(symbol.kind, f"{symbol.layer}/{which}", name, self.file)

    def _unread(self, symbol: Symbol, why: str, at: Vector) -> None:
        called = f"'{symbol.name}' " if symbol.name else ""
        said = f"{symbol.kind} {called}on layer '{symbol.layer}' at {at[0]:.2f}, {at[1]:.2f}"
        self.unread.setdefault(why, []).append(said)

    def _tell(self) -> None:
        """Sentences about what was read, and what was not."""
        swung = sum(bool(each.operation) for _, each in self.found.doors)
        if self.found.doors or self.found.windows:
            self.found.faults.append(
                f"The drawing shows {len(self.found.doors)} doors, {swung} of them with the swing of their leaf, and "
                f"{len(self.found.windows)} windows."
            )
        for why, things in self.unread.items():
            for said in things[:_LISTED]:
                self.found.faults.append(f"Not read: {said}: {why}.")
            if len(things) > _LISTED:
                self.found.faults.append(
                    f"Not read: {len(things) - _LISTED} more of which is so: {why}."
                )


_LISTED = 8
"""Things of one kind that are named one by one."""


def _hung(
    leaves: Sequence[_Swing], name: str, texts: Sequence[str], origin: ModelOrigin
) -> ModelOpening:
    """A door of one leaf or two. The model's words for it look the way that the leaf swings."""
    first = leaves[0]
    ends = [each.hinge for each in leaves] if len(leaves) > 1 else [first.hinge, first.tip]
    middle = _between(ends[0], ends[1], 0.5)
    # Seen the way that the leaf swings, left is a quarter turn on from it.
    left = (-first.opens[1], first.opens[0])
    towards = _unit(middle, first.hinge)
    is_left = towards[0] * left[0] + towards[1] * left[1] > 0
    single = "SINGLE_SWING_LEFT" if is_left else "SINGLE_SWING_RIGHT"
    return ModelOpening(
        name=name, middle=middle, along=(first.opens[1], -first.opens[0]), swing=first.opens, low=0.0,
        width=round(math.dist(ends[0], ends[1]), 4), height=None,
        operation="DOUBLE_DOOR_SINGLE_SWING" if len(leaves) > 1 else single,
        operation_from=f"{origin.entity}.OperationType", origin=origin, words=(name, *texts), is_flat=True,
    )  # fmt: skip


def _leaves_that_shut(swings: Sequence[_Swing]) -> Iterator[tuple[_Swing, ...]]:
    """Leaves one by one, and two by two where they shut against each other."""
    rest = list(swings)
    while rest:
        one = rest.pop(0)
        other = next((each for each in rest if _meet(one, each)), None)
        if other is not None:
            rest.remove(other)
            yield one, other
        else:
            yield (one,)


def _meet(one: _Swing, other: _Swing) -> bool:
    apart = math.dist(one.tip, other.tip) <= _SAME
    facing = one.along[0] * other.along[0] + one.along[1] * other.along[1] < -0.9
    return apart and facing and one.opens[0] * other.opens[0] + one.opens[1] * other.opens[1] > 0.9


def _has_line(arc: Arc, end: Vector, parts: Sequence[DrawnPart]) -> bool:
    """Whether a line runs from the hinge to this end of its swing, as a leaf is drawn."""
    near = _SAME * max(arc.radius, 0.5)
    for part in parts:
        ring = (*part.points, part.points[0]) if part.outline else part.points
        for start, stop in pairwise(ring):
            if part.arc is None and any(
                math.dist(a, arc.centre) < near and math.dist(b, end) < near
                for a, b in ((start, stop), (stop, start))
            ):
                return True
    return False


def _box(symbol: Symbol) -> tuple[float, float, Vector, Vector]:
    """How long and thick something is, the way of its length, and its middle."""
    straight = [each for each in symbol.parts if each.arc is None] or list(symbol.parts)
    points = MultiPoint([point for each in straight for point in each.points])
    hull = points.convex_hull
    if symbol.kind == "INSERT":
        level = affinity.rotate(hull, -symbol.turned, origin=(0, 0))
        hull = affinity.rotate(level.envelope, symbol.turned, origin=(0, 0))
    else:
        hull = hull.minimum_rotated_rectangle
    if not isinstance(hull, Polygon):
        ends = (
            list(hull.coords) if isinstance(hull, LineString) else [points.centroid.coords[0]] * 2
        )
        return math.dist(ends[0], ends[-1]), 0.0, _unit(ends[0], ends[-1]), _between(ends[0], ends[-1], 0.5)  # fmt: skip
    a, b, c = list(hull.exterior.coords)[:3]
    long, short = ((a, b), (b, c)) if math.dist(a, b) >= math.dist(b, c) else ((b, c), (a, b))
    middle = (float(hull.centroid.x), float(hull.centroid.y))
    return math.dist(*long), math.dist(*short), _unit(*long), middle


def _lines_that_touch(parts: Sequence[DrawnPart]) -> Iterator[Symbol]:
    """Lines that touch, as one thing each, layer by layer."""
    for layer in sorted({each.layer for each in parts}):
        own = [each for each in parts if each.layer == layer and len(each.points) > 1]
        if not own:
            continue
        lines = [LineString(each.points) for each in own]
        whole = unary_union([each.buffer(_TOGETHER) for each in lines])
        for shape in getattr(whole, "geoms", (whole,)):
            inside = tuple(
                part for part, line in zip(own, lines, strict=True) if _touches(shape, line)
            )
            if inside:
                yield Symbol("", layer, inside[0].handle, inside[0].kind, inside)


def _touches(shape: BaseGeometry, line: LineString) -> bool:
    return bool(shape.intersects(line))


def _floor_ending(layer: str) -> str:
    """What tells the floors of layers apart: the last word or number of a name."""
    words = [
        each for each in "".join(each if each.isalnum() else " " for each in layer).split() if each
    ]
    return words[-1].casefold() if words else ""


def _symbol_in_metres(symbol: Symbol, scale: float) -> Symbol:
    return replace(symbol, parts=tuple(_part_in_metres(each, scale) for each in symbol.parts))


def _part_in_metres(part: DrawnPart, scale: float) -> DrawnPart:
    arc = part.arc and Arc(times(part.arc.centre, scale), part.arc.radius * scale,
                           (times(part.arc.ends[0], scale), times(part.arc.ends[1], scale)), part.arc.degrees)  # fmt: skip
    return replace(
        part, points=scaled(part.points, scale), outline=scaled(part.outline, scale), arc=arc
    )


def _point_along(point: Vector, way: Vector, by: float) -> Vector:
    return point[0] + way[0] * by, point[1] + way[1] * by


def _between(one: Sequence[float], other: Sequence[float], share: float) -> Vector:
    return one[0] + (other[0] - one[0]) * share, one[1] + (other[1] - one[1]) * share


def _unit(start: Sequence[float], end: Sequence[float]) -> Vector:
    length = math.dist(start, end) or 1.0
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length
