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

from shapely import LineString, Point, Polygon, prepare

Spot = tuple[float, float]
_SKIN = 0.001
"""Metres that a way may run beyond the middle line of a wall: what arithmetic leaves."""


@dataclass(frozen=True, slots=True)
class WayStop:
    """A door as a way goes through it; ``at`` is none for stairs, which a plan cannot measure."""

    between: tuple[str, str]
    at: Spot | None


@dataclass(frozen=True)
class Ways:
    """The rooms and doors that ways go through."""

    outlines: Mapping[str, Polygon]
    doors: Mapping[str, WayStop]

    def distance(self, start: tuple[str, Spot], end: tuple[str, Spot]) -> float:
        """Metres of the shortest way between spots, each in a room; infinite where there is none."""
        reached, room = self._lengths_from(start), start[0]
        through = [
            reached[name] + length for name, length in self._seen_from(end) if name in reached
        ]
        if room == end[0] and room in self.outlines:
            straight = self._straight(room, self._spot_of(start), self._spot_of(end))
            through += [] if straight is None else [straight]
        return min(through, default=math.inf)

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
        for index, corner in enumerate(corners_of(self.outlines[room], sticking_in=True)):
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

    def _spot_of(self, place: tuple[str, Spot]) -> Spot:
        """Where a way begins or ends: the spot itself, or the nearest of its room's outline."""
        if place not in self._spots:
            room, spot = place
            self._spots[place] = self._within(room, spot) if room in self.outlines else spot
        return self._spots[place]

    def _lengths_from(self, start: tuple[str, Spot]) -> Mapping[str, float]:
        """Metres from a spot to every door and corner that can be reached; worked out once."""
        if start not in self._lengths:
            seen: dict[str, float] = {}
            for name, length in self._seen_from(start):
                seen[name] = min(length, seen.get(name, math.inf))
            self._lengths[start] = shortest({**self._graph, "start": seen}, "start")
        return self._lengths[start]

    def _seen_from(self, place: tuple[str, Spot]) -> tuple[tuple[str, float], ...]:
        """The doors and corners of its room in a straight line from a spot; worked out once."""
        if place not in self._ways_seen:
            room, spot = place[0], self._spot_of(place)
            self._ways_seen[place] = tuple(
                (name, length)
                for name, fixed in self._fixed.get(room, ())
                if (length := self._straight(room, spot, fixed)) is not None
            )
        return self._ways_seen[place]

    @cached_property
    def _spots(self) -> dict[tuple[str, Spot], Spot]:
        return {}

    @cached_property
    def _lengths(self) -> dict[tuple[str, Spot], Mapping[str, float]]:
        return {}

    @cached_property
    def _ways_seen(self) -> dict[tuple[str, Spot], tuple[tuple[str, float], ...]]:
        return {}

    def _straight(self, room: str, one: Spot, other: Spot) -> float | None:
        """Metres between two spots of a room; none where the line between them leaves it."""
        length = math.dist(one, other)
        if length > _SKIN and not self._loose[room].covers(LineString([one, other])):
            return None
        return length

    def _join(
        self,
        graph: dict[str, dict[str, float]],
        room: str,
        one: tuple[str, Spot],
        other: tuple[str, Spot],
    ) -> None:
        """Joins two spots of a room where the straight line between them stays inside it."""
        length = self._straight(room, one[1], other[1])
        if length is None:
            return
        for here, there in ((one[0], other[0]), (other[0], one[0])):
            known = graph.setdefault(here, {}).get(there, math.inf)
            graph[here][there] = min(length, known)

    @cached_property
    def _loose(self) -> Mapping[str, Polygon]:
        """Each room and what arithmetic may leave beyond its outline, asked many times."""
        loose = {
            room: outline.buffer(_SKIN, join_style="mitre")
            for room, outline in self.outlines.items()
        }
        prepare(list(loose.values()))
        return loose


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


def corners_of(outline: Polygon, *, sticking_in: bool) -> Iterator[Spot]:
    """The corners that stick into a room, at which a way may bend, or those that people stand within."""
    corners = list(outline.exterior.coords)[:-1]
    turn = -1 if outline.exterior.is_ccw == sticking_in else 1
    for index, (x, y) in enumerate(corners):
        (before_x, before_y), (after_x, after_y) = (
            corners[index - 1],
            corners[(index + 1) % len(corners)],
        )
        cross = (x - before_x) * (after_y - y) - (y - before_y) * (after_x - x)
        if cross * turn > 0:
            yield (x, y)
