"""How far it is from one place in a home to another, on foot: measured where it is drawn."""

import math
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from shapely import Point

from builder.home.survey import Survey

UNMEASURED = 4.0
"""Metres for each door on a way that no plan measures: about the side of a room."""

_APART = 100.0
"""Metres between rooms that no doors join: farther than any way through a home."""


@dataclass(frozen=True, slots=True)
class WalkSpot:
    """Where somebody stands: at a spot in a room, or in its middle where no spot is given."""

    room: str
    at: tuple[float, float] | None


@dataclass(frozen=True)
class Paces:
    """Lengths of ways in one home as drawn."""

    survey: Survey

    def millimetres(self, one: WalkSpot, other: WalkSpot) -> int:
        """The shortest way through doors, in whole millimetres, so that equal ways are equal."""
        return round(self._metres(one, other) * 1000)

    def _metres(self, one: WalkSpot, other: WalkSpot) -> float:
        start, end = self._spot(one), self._spot(other)
        if start is None or end is None:
            return self._pace_by_doors(one.room, other.room)
        length = self.survey.ways.distance((one.room, start), (other.room, end))
        return self._pace_by_doors(one.room, other.room) if math.isinf(length) else length

    def _spot(self, standing: WalkSpot) -> tuple[float, float] | None:
        return standing.at or self._middles.get(standing.room)

    @cached_property
    def _middles(self) -> Mapping[str, tuple[float, float]]:
        """The middle of each drawn room, or a point inside it where the middle lies beyond it."""
        middles = {}
        for name, outline in self.survey.outlines.items():
            middle = outline.centroid
            inside = middle if outline.covers(Point(middle)) else outline.representative_point()
            middles[name] = (inside.x, inside.y)
        return middles

    def _pace_by_doors(self, room: str, other: str) -> float:
        joined = other in self._ways_from(room)
        return UNMEASURED * self.doors(room, other) if joined else _APART

    def doors(self, room: str, other: str) -> int:
        """The doors on the way with the fewest; 0 to the room itself, and where there is no way."""
        joined = room != other and other in self._ways_from(room)
        return len(self.between(room, other)) + 1 if joined else 0

    def between(self, room: str, other: str) -> tuple[str, ...]:
        """The rooms that the way with the fewest doors goes through, without its ends."""
        before = self._ways_from(room)
        if other not in before:
            return ()
        passed = []
        here = before[other]
        while here is not None and here != room:
            passed.append(here)
            here = before[here]
        return tuple(reversed(passed))

    def _ways_from(self, room: str) -> Mapping[str, str | None]:
        """Every room that is reached from one, with the room before it on the way: round the outside only where
        no way leads there under the roof."""
        before: dict[str, str | None] = {room: None}
        waiting, outside = deque([room]), deque[str]()
        while waiting or outside:
            here = (waiting or outside).popleft()
            for _, door in self.survey.doors_of(here):
                beyond = door.between[door.between[0] == here]
                if beyond not in before:
                    before[beyond] = here
                    (outside if self._open_air(beyond) else waiting).append(beyond)
        return before

    def _open_air(self, room: str) -> bool:
        """Whether a room is a garden, a yard or the street, and not what homes share under a roof."""
        kind = self.survey.kind_of_room(room)
        return not (kind.inside or kind.shared)
