"""Sound plans of homes, drawn at random from a seed: storeys of rooms on either side of a hall.

Lengths are metres and areas square metres. The front of a plan is at y = 0, and outlines run along
the middle of walls. Nothing here reads the trade rules: what makes a plan sound is worked out from
its geometry, and a plan that cannot be made sound is drawn again.
"""

import random
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

from shapely import Polygon
from shapely.ops import unary_union

Corner = tuple[float, float]
Data = dict[str, Any]
WALL_LEFT = 0.2
"""Metres of wall that stay at each end of a door or window."""


class UnbuildableError(Exception):
    """A plan that was drawn and has no place for something that it needs."""


@dataclass(frozen=True)
class Want:
    """A room that a storey is to have. ``via``: the room that it is reached through, else the hall.

    ``least`` is its smallest depth, ``front`` whether it stands at the front, as a garage does,
    ``row`` whether it takes the whole width of the back, and ``inside_of`` whose corner it takes.
    """

    id: str
    kind: str
    name: str
    area: float
    via: str | None = None
    opening: bool = False
    least: float = 1.0
    front: bool = False
    inside_of: str | None = None
    row: bool = False


@dataclass(frozen=True)
class Storey:
    """One storey: its hall or landing and the rooms beside it."""

    id: str
    name: str
    level: int
    above_ground: float
    spine: Want
    wants: tuple[Want, ...]
    ceiling: float = 2.4


@dataclass(frozen=True)
class Widths:
    """The walls that run from front to back: outside, hall, hall, outside."""

    left: float
    right: float
    whole: float

    @property
    def columns(self) -> tuple[tuple[float, float], ...]:
        """The strips on either side of the hall; a hall at the side of a home has one."""
        both = ((0.0, self.left), (self.right, self.whole))
        return tuple(each for each in both if each[1] - each[0] > 0)


@dataclass
class Plan:
    """What has been drawn so far. ``doors`` and ``windows`` are data as authors write it."""

    storeys: tuple[Storey, ...]
    outlines: dict[str, Polygon] = field(default_factory=dict)
    wants: dict[str, Want] = field(default_factory=dict)
    doors: dict[str, Data] = field(default_factory=dict)
    windows: dict[str, Data] = field(default_factory=dict)
    taken: list[tuple[str, "Wall"]] = field(default_factory=list)
    apart: frozenset[str] = frozenset()

    def storey_of(self, room: str) -> Storey:
        for storey in self.storeys:
            if room == storey.spine.id or any(want.id == room for want in storey.wants):
                return storey
        raise KeyError(room)

    def rooms(self, storey: Storey) -> list[str]:
        """The drawn rooms of a storey."""
        names = [storey.spine.id, *(want.id for want in storey.wants)]
        return [name for name in names if name in self.outlines and name not in self.apart]

    def shell(self, storey: Storey) -> Polygon:
        return unary_union([self.outlines[name] for name in self.rooms(storey)])


def on_grid(length: float) -> float:
    """To five centimetres, so that walls that meet are written alike."""
    return round(round(length * 20) / 20, 2)


def drawn(rng: random.Random, storeys: Sequence[Storey], widths: Widths) -> Plan:
    """The outlines of all storeys, over one another within the same outside walls."""
    plan = Plan(tuple(storeys))
    shared = [_shared_out(rng, storey, widths) for storey in storeys]
    deepest = max(
        _row(storey, widths) + _depth(column)
        for storey, columns in zip(storeys, shared, strict=True)
        for column in columns
    )
    depth = on_grid(max(deepest, 4.0) + 0.05)
    for storey, columns in zip(storeys, shared, strict=True):
        _draw_storey(rng, plan, storey, columns, widths, depth)
    return plan


def _row(storey: Storey, widths: Widths) -> float:
    """The depth of the room that takes the whole width of the back; 0 where there is none."""
    return sum(on_grid(max(want.area / widths.whole, 2.6)) for want in storey.wants if want.row)


@dataclass(frozen=True)
class Cell:
    """A room as part of a column: its depth, before the column is stretched to the outside wall."""

    want: Want
    depth: float


def _shared_out(rng: random.Random, storey: Storey, widths: Widths) -> list[list[Cell]]:
    """The rooms of a storey in its columns: those that must adjoin stay together."""
    columns: list[list[list[Cell]]] = [[] for _ in widths.columns]
    across = [end - start for start, end in widths.columns]
    for group in sorted(_groups(storey), key=lambda group: -sum(want.area for want in group)):
        fills = [_depth([cell for cells in column for cell in cells]) for column in columns]
        first = min(range(len(columns)), key=lambda index: fills[index])
        column = columns[first]
        column.append([Cell(want, _depth_of(want, across[first])) for want in group])
    if any(not column for column in columns):
        raise UnbuildableError("an empty column")
    return [_in_order(rng, column) for column in columns]


def _groups(storey: Storey) -> list[list[Want]]:
    """The rooms that must adjoin: a room, and those that are reached through it."""
    beside = [want for want in storey.wants if not want.row and want.inside_of is None]
    groups = [[want] for want in beside if want.via is None]
    for want in beside:
        if want.via is not None:
            next(group for group in groups if group[0].id == want.via).append(want)
    return groups


def _in_order(rng: random.Random, column: list[list[Cell]]) -> list[Cell]:
    """From front to back: a garage first, the rest shuffled; of a group either end first."""
    rng.shuffle(column)
    column.sort(key=lambda cells: not cells[0].want.front)
    cells = []
    for group in column:
        turn = len(group) == 2 and not group[0].want.front and rng.random() < 0.5
        cells += group[::-1] if turn else group
    return cells


def _depth_of(want: Want, width: float) -> float:
    return max(want.area / width, want.least)


def _depth(column: Sequence[Cell]) -> float:
    return sum(cell.depth for cell in column)


def _draw_storey(
    rng: random.Random, plan: Plan, storey: Storey, columns: list[list[Cell]], widths: Widths,
    depth: float,
) -> None:  # fmt: skip
    back = depth
    for want in storey.wants:
        if want.row:
            depth = on_grid(back - _row(storey, widths))
            plan.outlines[want.id] = _box(0, depth, widths.whole, back)
            plan.wants[want.id] = want
    cuts = [_cuts(column, depth) for column in columns]
    ends = _hall_end(rng, columns, cuts, depth) if depth == back else None
    plan.outlines[storey.spine.id] = _box(widths.left, 0, widths.right, ends[0] if ends else depth)
    plan.wants[storey.spine.id] = storey.spine
    for index, column in enumerate(columns):
        start, end = widths.columns[index]
        for cell, (low, high) in zip(column, pairwise(cuts[index]), strict=True):
            outline = _box(start, low, end, high)
            if ends and ends[1] == index and high == depth:
                outline = unary_union([outline, _box(widths.left, ends[0], widths.right, depth)])
            plan.outlines[cell.want.id] = outline
            plan.wants[cell.want.id] = cell.want
    for want in storey.wants:
        if want.inside_of is not None:
            _carve(rng, plan, want, widths)


def _cuts(column: Sequence[Cell], depth: float) -> list[float]:
    """Where the walls across a column stand, from the front to the back of the home."""
    stretch, at, cuts = depth / _depth(column), 0.0, [0.0]
    for cell in column[:-1]:
        at += cell.depth * stretch
        cuts.append(on_grid(at))
    return [*cuts, depth]


def _hall_end(
    rng: random.Random, columns: list[list[Cell]], cuts: list[list[float]], depth: float
) -> tuple[float, int] | None:
    """Where the hall ends, and the column whose last room takes the rest, in an L; or none."""
    starts = [each[-2] for each in cuts]
    end = on_grid(max(starts) + rng.uniform(1.3, 1.8))
    if end > depth - 1.2 or rng.random() < 0.3:
        return None
    fit = [
        index
        for index, column in enumerate(columns)
        if column[-1].want.kind not in ("garage", "toilet", "cupboard", "utility", "bathroom")
    ]
    return (end, rng.choice(fit)) if fit else None


def _carve(rng: random.Random, plan: Plan, want: Want, widths: Widths) -> None:
    """A room in the outer corner of another, which is an L round it."""
    around = plan.outlines[str(want.inside_of)]
    low_x, low, high_x, high = around.bounds
    if Polygon.from_bounds(*around.bounds).area - around.area > 0.01:
        raise UnbuildableError("a room in the corner of a room that is an L")
    wide = on_grid(rng.uniform(1.6, min(2.2, high_x - low_x - 1.0)))
    deep = on_grid(max(want.area / wide, 1.2))
    if wide < 1.4 or deep > high - low - 2.2:
        raise UnbuildableError("no corner for a room")
    outer = (low_x, low_x + wide) if low_x < widths.left else (high_x - wide, high_x)
    along = (high - deep, high) if rng.random() < 0.5 else (low, low + deep)
    corner = _box(on_grid(outer[0]), on_grid(along[0]), on_grid(outer[1]), on_grid(along[1]))
    plan.outlines[want.id] = corner
    plan.outlines[str(want.inside_of)] = around.difference(corner)
    plan.wants[want.id] = want


def _box(left: float, front: float, right: float, back: float) -> Polygon:
    return Polygon([(left, front), (right, front), (right, back), (left, back)])


def corners(outline: Polygon) -> list[list[float]]:
    """An outline as authors write it, corner by corner."""
    ring = outline.simplify(0.001).normalize().exterior.coords[:-1]
    points = [[round(x, 2), round(y, 2)] for x, y in ring]
    first, second, last = points[0], points[1], points[-1]
    in_line = (first[0] == second[0] == last[0]) or (first[1] == second[1] == last[1])
    return points[1:] if in_line else points


@dataclass(frozen=True)
class Wall:
    """A straight piece of wall: across the plan at y = ``at``, or, ``upright``, at x = ``at``."""

    upright: bool
    at: float
    low: float
    high: float

    @property
    def length(self) -> float:
        return self.high - self.low

    def spot(self, along: float) -> Corner:
        return (self.at, round(along, 2)) if self.upright else (round(along, 2), self.at)

    def beside(self, other: "Wall") -> "Wall | None":
        """What two walls of one line have in common."""
        low, high = max(self.low, other.low), min(self.high, other.high)
        in_line = self.upright == other.upright and abs(self.at - other.at) < 0.001
        return replace(self, low=low, high=high) if in_line and high - low > 0.001 else None

    def without(self, other: "Wall") -> "list[Wall]":
        """What is left of a wall when another is taken out of it."""
        shared = self.beside(other)
        if shared is None:
            return [self]
        parts = replace(self, high=shared.low), replace(self, low=shared.high)
        return [part for part in parts if part.length > 0.001]


def walls_of(plan: Plan, room: str) -> list[Wall]:
    ring = corners(plan.outlines[room])
    found = []
    for (x, y), (end_x, end_y) in zip(ring, [*ring[1:], ring[0]], strict=True):
        ends = sorted((y, end_y)) if x == end_x else sorted((x, end_x))
        found.append(Wall(x == end_x, x if x == end_x else y, ends[0], ends[1]))
    return found


def shared_wall(plan: Plan, one: str, other: str) -> list[Wall]:
    """The pieces of wall between two rooms."""
    both = ((wall, beside) for wall in walls_of(plan, one) for beside in walls_of(plan, other))
    return [shared for wall, beside in both if (shared := wall.beside(beside)) is not None]


def outside_walls(plan: Plan, room: str) -> list[Wall]:
    """The pieces of wall of a room that no other room of its storey is behind."""
    left = walls_of(plan, room)
    for other in plan.rooms(plan.storey_of(room)):
        for beside in walls_of(plan, other) if other != room else ():
            left = [part for wall in left for part in wall.without(beside)]
    return left


def placed(
    rng: random.Random, plan: Plan, storey: str, walls: Sequence[Wall], width: float
) -> Corner:
    """The middle of an opening of this width, free of all others, in the longest wall that has room.

    Raises:
        UnbuildableError: no wall is long enough.
    """
    for wall in sorted(walls, key=lambda wall: -wall.length):
        least, most = wall.low + WALL_LEFT + width / 2, wall.high - WALL_LEFT - width / 2
        for _ in range(8 if least <= most else 0):
            spot = wall.spot(rng.uniform(least, most))
            along = spot[wall.upright]
            span = replace(wall, low=along - width / 2, high=along + width / 2)
            if not any(name == storey and _meet(span, other) for name, other in plan.taken):
                plan.taken.append((storey, span))
                return spot
    raise UnbuildableError("no wall for an opening")


def _meet(one: Wall, other: Wall) -> bool:
    """Whether two openings of one wall line come within ten centimetres of each other."""
    if one.upright != other.upright or abs(one.at - other.at) > 0.4:
        return False
    return one.low - 0.1 < other.high and other.low - 0.1 < one.high


def added(plan: Plan, want: Want, outline: Polygon, *, apart: bool) -> None:
    """Adds a room to the lowest storey beside its columns, as a garage at the side of a home."""
    storey = plan.storeys[0]
    plan.storeys = (replace(storey, wants=(*storey.wants, want)), *plan.storeys[1:])
    plan.outlines[want.id], plan.wants[want.id] = outline, want
    plan.apart |= {want.id} if apart else frozenset()
