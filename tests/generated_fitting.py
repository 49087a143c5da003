"""Puts equipment into a generated home: each piece at a spot of its own inside its room."""

import math
import random
from dataclasses import dataclass, field

from shapely import Point, Polygon

from tests.generated_forms import Building
from tests.generated_plans import Corner, Data

APART = 0.12
"""Metres between two pieces of a room."""
NEAR_A_BATH = 0.9
"""Metres from a bath or shower within which nothing else is put (BS 7671, section 701, has 0.6 m)."""


@dataclass
class Fitting:
    """A home on its way: its plan, its data so far, and the spots that are taken."""

    rng: random.Random
    home: Building
    data: Data
    taken: dict[str, list[Corner]] = field(default_factory=dict)

    def chance(self, share: float) -> bool:
        return self.rng.random() < share

    def piece(
        self, name: str, kind: str, room: str, place: str, *, at: Corner | None = None,
        height: float | None = None, serves: str | None = None, called: str | None = None,
        facts: Data | None = None, gap: float = 0.2,
    ) -> None:  # fmt: skip
        """Adds a piece; where no spot is given it gets one of its own, ``gap`` from the walls."""
        piece: Data = {"kind": kind, "room": room, "place": place}
        at = at or self.spot(room, gap)
        said = {"at": at and list(at), "height": height, "serves": serves, "name": called}
        piece |= {key: value for key, value in said.items() if value is not None}
        if facts:
            piece["facts"] = facts
        if at:
            self.taken.setdefault(room, []).append(at)
        self.data["equipment"][name] = piece

    def spot(self, room: str, gap: float = 0.2) -> Corner | None:
        """A free spot in a drawn room; none where the room has no outline."""
        outline = self.outline(room)
        if outline is None:
            return None
        low_x, low_y, high_x, high_y = outline.bounds
        for tries in range(200):
            apart = APART if tries < 100 else 0.02
            x, y = self.rng.uniform(low_x, high_x), self.rng.uniform(low_y, high_y)
            spot = (round(x, 2), round(y, 2))
            if self.free(room, spot, apart) and clear(outline, spot) >= gap - 0.005:
                return spot
        raise AssertionError(f"no spot in {room}")

    def outline(self, room: str) -> Polygon | None:
        if room == "corridor" and "corridor" in self.home.rooms:
            return Polygon(self.home.rooms["corridor"]["outline"])
        return self.home.plan.outlines.get(room)

    def free(self, room: str, spot: Corner, apart: float = APART) -> bool:
        return all(math.dist(spot, other) >= apart for other in self.taken.get(room, []))

    def ceiling(self, room: str) -> float:
        return self.home.plan.storey_of(room).ceiling

    @property
    def kitchen(self) -> str:
        return self.home.of_kind("kitchen", "kitchen-dining", "kitchen-living")[0]

    @property
    def hall(self) -> str:
        return self.home.plan.storeys[0].spine.id

    @property
    def machines(self) -> str:
        """The room for washing: the utility room, else the kitchen."""
        return next(iter(self.home.of_kind("utility")), self.kitchen)


def clear(outline: Polygon, spot: Corner) -> float:
    """Metres from a spot inside an outline to its nearest wall; below zero outside."""
    point = Point(spot)
    return float(outline.exterior.distance(point)) if outline.covers(point) else -1.0
