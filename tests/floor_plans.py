"""Floor plans drawn at random on a grid, and the shortest ways through them by networkx.

Rooms are rectangles and L-shapes side by side, with doors in some of their walls. What is seen from
where is worked out cell by cell in whole fractions, and nothing of it is the builder's own.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, pairwise, product
from random import Random

import networkx
from hypothesis import strategies as st
from shapely import Polygon

from builder.home.ways import Ways, WayStop

Spot = tuple[float, float]
Cell = tuple[int, int]


@dataclass(frozen=True)
class Plan:
    """Rooms as sets of unit cells, doors in their walls, and two spots; lengths are whole quarters."""

    rooms: dict[str, frozenset[Cell]]
    doors: dict[str, tuple[str, str, Spot]]
    start: tuple[str, Spot]
    end: tuple[str, Spot]

    @property
    def ways(self) -> Ways:
        outlines = {name: Polygon(corners_of(cells)) for name, cells in self.rooms.items()}
        stops = {name: WayStop((one, other), at) for name, (one, other, at) in self.doors.items()}
        return Ways(outlines, stops)


def corners_of(cells: frozenset[Cell]) -> list[Spot]:
    """The outline of cells that hang together without a hole: their outer sides, end to end."""
    sides: dict[Cell, Cell] = {}
    for x, y in cells:
        for beyond, start, end in (
            ((x, y - 1), (x, y), (x + 1, y)),
            ((x + 1, y), (x + 1, y), (x + 1, y + 1)),
            ((x, y + 1), (x + 1, y + 1), (x, y + 1)),
            ((x - 1, y), (x, y + 1), (x, y)),
        ):
            if beyond not in cells:
                assert start not in sides, "two cells that meet at a corner alone"
                sides[start] = end
    corners = [min(sides)]
    while sides[corners[-1]] != corners[0]:
        corners.append(sides[corners[-1]])
    assert len(corners) == len(sides), "a hole"
    return [(float(x), float(y)) for x, y in corners]


def plans() -> st.SearchStrategy[Plan]:
    """A plan for each seed: the choices within one are even, so that most plans are intricate."""
    return st.integers(0, 2**32 - 1).map(lambda seed: plan_of(Random(seed)))


def plan_of(chance: Random) -> Plan:
    """Rectangles and L-shapes side by side, with doors in three of four of their walls."""
    widths, depths = ([chance.randint(1, 3) for _ in range(chance.randint(2, 4))] for _ in "xy")
    blocks = {each: each for each in product(range(len(widths)), range(len(depths)))}
    for corner in product(range(len(widths) - 1), range(len(depths) - 1)):
        _join_in_an_l(chance, blocks, corner)
    rooms: dict[str, set[Cell]] = {}
    for (column, row), room in blocks.items():
        across = range(sum(widths[:column]), sum(widths[: column + 1]))
        back = range(sum(depths[:row]), sum(depths[: row + 1]))
        rooms.setdefault(f"room {room}", set()).update(product(across, back))
    fixed = {name: frozenset(cells) for name, cells in rooms.items()}
    return Plan(fixed, _doors(chance, fixed), _spot(chance, fixed), _spot(chance, fixed))


def _join_in_an_l(chance: Random, blocks: dict[Cell, Cell], corner: Cell) -> None:
    """Makes one room of three of the four blocks round a corner, where they are still apart."""
    column, row = corner
    around = [(column + right, row + back) for right, back in product((0, 1), (0, 1))]
    left_out = chance.choice(around)
    joined = [block for block in around if block != left_out]
    apart = all(list(blocks.values()).count(blocks[block]) == 1 for block in joined)
    if apart and chance.random() < 0.6:
        for block in joined:
            blocks[block] = joined[0]


def _doors(chance: Random, rooms: dict[str, frozenset[Cell]]) -> dict[str, tuple[str, str, Spot]]:
    doors: dict[str, tuple[str, str, Spot]] = {}
    for one, other in combinations(sorted(rooms), 2):
        walls = sorted(walls_between(rooms[one], rooms[other]))
        if walls and chance.random() < 0.75:
            (x, y), (step_x, step_y) = chance.choice(walls)
            part = chance.randint(1, 3) / 4
            doors[f"{one}/{other}"] = (one, other, (x + part * step_x, y + part * step_y))
    return doors


def _spot(chance: Random, rooms: dict[str, frozenset[Cell]]) -> tuple[str, Spot]:
    room = chance.choice(sorted(rooms))
    x, y = chance.choice(sorted(rooms[room]))
    return room, (x + chance.randint(0, 4) / 4, y + chance.randint(0, 4) / 4)


def walls_between(one: frozenset[Cell], other: frozenset[Cell]) -> Iterator[tuple[Cell, Cell]]:
    """The unit pieces of wall between two rooms: where each starts, and which way it runs."""
    for x, y in one:
        if (x + 1, y) in other:
            yield (x + 1, y), (0, 1)
        if (x - 1, y) in other:
            yield (x, y), (0, 1)
        if (x, y + 1) in other:
            yield (x, y + 1), (1, 0)
        if (x, y - 1) in other:
            yield (x, y), (1, 0)


def sees(cells: frozenset[Cell], start: Spot, end: Spot) -> bool:
    """Whether a straight line stays in the cells or on their sides: in fractions, without rounding.

    Between two lines of the grid it is in one cell, or runs along the side of two.
    """
    (x, y), (end_x, end_y) = ((Fraction(each) for each in spot) for spot in (start, end))
    cuts = {Fraction(0), Fraction(1)}
    for here, there in ((x, end_x), (y, end_y)):
        if here != there:
            low, high = sorted((here, there))
            lines = range(math.floor(low), math.ceil(high) + 1)
            cuts |= {cut for line in lines if 0 <= (cut := (line - here) / (there - here)) <= 1}
    middles = [(before + after) / 2 for before, after in pairwise(sorted(cuts))]
    return all(
        not _cells_at(x + part * (end_x - x), y + part * (end_y - y)).isdisjoint(cells)
        for part in middles
    )


def _cells_at(x: Fraction, y: Fraction) -> set[Cell]:
    """The cell of a spot, or those on both sides of the line that it is on."""
    across = {math.ceil(x) - 1, math.floor(x)}
    back = {math.ceil(y) - 1, math.floor(y)}
    return set(product(across, back))


def _turns(cells: frozenset[Cell]) -> Iterator[Spot]:
    """The corners of an outline at which it turns."""
    corners = corners_of(cells)
    befores, afters = corners[-1:] + corners[:-1], corners[1:] + corners[:1]
    for before, here, after in zip(befores, corners, afters, strict=True):
        if before[0] != after[0] and before[1] != after[1]:
            yield here


def by_networkx(plan: Plan) -> float:
    """The shortest way by the visibility graph of all corners of all rooms."""
    graph = networkx.Graph()
    graph.add_nodes_from(["start", "end"])
    for room, cells in plan.rooms.items():
        spots: dict[object, Spot] = {(room, corner): corner for corner in _turns(cells)}
        spots |= {name: at for name, (*between, at) in plan.doors.items() if room in between}
        ends = (("start", *plan.start), ("end", *plan.end))
        spots |= {name: at for name, where, at in ends if where == room}
        for one, other in combinations(spots, 2):
            if sees(cells, spots[one], spots[other]):
                graph.add_edge(one, other, weight=math.dist(spots[one], spots[other]))
    try:
        return float(networkx.dijkstra_path_length(graph, "start", "end"))
    except networkx.NetworkXNoPath:
        return math.inf
