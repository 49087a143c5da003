"""The shortest way from one place in a home to another, through its doors and round its corners.

A way inside a room is straight where the room lets it be, and bends at the corners that stick into
the room; from room to room it goes through the middle of a door. Lengths are metres on one floor:
stairs join floors and have no length on a plan.
"""

import heapq
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

from shapely import LineString, Point, Polygon

Spot = tuple[float, float]
_SKIN = 0.001
"""Metres that a way may run beyond the middle line of a wall: what arithmetic leaves."""


@dataclass(frozen=True, slots=True)
class Stop:
    """A door as a way goes through it; ``at`` is none for stairs, which a plan cannot measure."""

    between: tuple[str, str]
    at: Spot | None


@dataclass(frozen=True)
class Ways:
    """The rooms and doors that ways go through."""

    outlines: Mapping[str, Polygon]
    doors: Mapping[str, Stop]

    def distance(self, start: tuple[str, Spot], end: tuple[str, Spot]) -> float:
        """Metres of the shortest way between spots, each in a room; infinite where there is none."""
        graph = self._graph_with(start, end)
        return shortest(graph, "start").get("end", math.inf)

    def to_door(self, start: tuple[str, Spot], door: str) -> float:
        """Metres of the shortest way from a spot in a room to the middle of a door."""
        stop = self.doors[door]
        if stop.at is None:
            return math.inf
        reached = (self.distance(start, (room, stop.at)) for room in stop.between)
        return min(reached, default=math.inf)

    def farthest(self, start: tuple[str, Spot], room: str) -> float:
        """Metres of the shortest way to the corner of a room that is farthest."""
        corners = list(self.outlines[room].exterior.coords)[:-1]
        return max(self.distance(start, (room, (x, y))) for x, y in corners)

    def reached(self, room: str, *, shut: frozenset[str] = frozenset()) -> frozenset[str]:
        """The rooms that can be walked to from a room, itself among them, not through ``shut``."""
        found, waiting = {room}, [room]
        while waiting:
            here = waiting.pop()
            if here in shut:
                continue
            for door in self.doors.values():
                if here in door.between:
                    beyond = door.between[door.between[0] == here]
                    if beyond not in found:
                        found.add(beyond)
                        waiting.append(beyond)
        return frozenset(found)

    @cached_property
    def _fixed(self) -> Mapping[str, tuple[tuple[str, Spot], ...]]:
        """For each room the doors and the inner corners that ways through it go by."""
        return {room: tuple(self._spots_of(room)) for room in self.outlines}

    def _spots_of(self, room: str) -> Iterator[tuple[str, Spot]]:
        for name, door in self.doors.items():
            if room in door.between and door.at is not None:
                yield f"door {name}", self._within(room, door.at)
        for index, corner in enumerate(_inner_corners(self.outlines[room])):
            yield f"corner {room} {index}", corner

    @cached_property
    def _graph(self) -> Mapping[str, Mapping[str, float]]:
        graph: dict[str, dict[str, float]] = {}
        for room, spots in self._fixed.items():
            for one, other in combinations(spots, 2):
                self._join(graph, room, one, other)
        return graph

    def _within(self, room: str, spot: Spot) -> Spot:
        """The spot itself, or the nearest of a room's outline to one that is drawn beyond it."""
        outline = self.outlines[room]
        if outline.covers(Point(spot)):
            return spot
        edge = outline.exterior
        near = edge.interpolate(edge.project(Point(spot)))
        return near.x, near.y

    def _graph_with(
        self, start: tuple[str, Spot], end: tuple[str, Spot]
    ) -> Mapping[str, Mapping[str, float]]:
        """The fixed graph with two spots more."""
        graph = {name: dict(edges) for name, edges in self._graph.items()}
        start, end = (
            (room, self._within(room, spot)) if room in self.outlines else (room, spot)
            for room, spot in (start, end)
        )
        for name, room, spot in (("start", *start), ("end", *end)):
            for fixed in self._fixed.get(room, ()):
                self._join(graph, room, (name, spot), fixed)
        if start[0] == end[0] and start[0] in self.outlines:
            self._join(graph, start[0], ("start", start[1]), ("end", end[1]))
        return graph

    def _join(
        self,
        graph: dict[str, dict[str, float]],
        room: str,
        one: tuple[str, Spot],
        other: tuple[str, Spot],
    ) -> None:
        """Joins two spots of a room where the straight line between them stays inside it."""
        length = math.dist(one[1], other[1])
        if length > _SKIN and not self._loose[room].covers(LineString([one[1], other[1]])):
            return
        for here, there in ((one[0], other[0]), (other[0], one[0])):
            known = graph.setdefault(here, {}).get(there, math.inf)
            graph[here][there] = min(length, known)

    @cached_property
    def _loose(self) -> Mapping[str, Polygon]:
        return {
            room: outline.buffer(_SKIN, join_style="mitre")
            for room, outline in self.outlines.items()
        }


def shortest(graph: Mapping[str, Mapping[str, float]], start: str) -> dict[str, float]:
    """The least length from one node to each that can be reached (Dijkstra, 1959)."""
    found: dict[str, float] = {}
    waiting = [(0.0, start)]
    while waiting:
        length, here = heapq.heappop(waiting)
        if here in found:
            continue
        found[here] = length
        for there, step in graph.get(here, {}).items():
            if there not in found:
                heapq.heappush(waiting, (length + step, there))
    return found


def _inner_corners(outline: Polygon) -> Iterator[Spot]:
    """The corners that stick into a room, at which a way may bend."""
    corners = list(outline.exterior.coords)[:-1]
    turn = 1 if outline.exterior.is_ccw else -1
    for index, (x, y) in enumerate(corners):
        (before_x, before_y), (after_x, after_y) = (
            corners[index - 1],
            corners[(index + 1) % len(corners)],
        )
        cross = (x - before_x) * (after_y - y) - (y - before_y) * (after_x - x)
        if cross * turn < 0:
            yield (x, y)
