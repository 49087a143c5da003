"""The ground of rooms, asked many times whether a label stands wholly on it."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from shapely import Polygon, box, prepare
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from builder.guide.plan.boxes import Box
from builder.guide.plan.drawing import BUILT_IN, Area, Base

INNER, OUTER = 4, 10
"""Units from the outline of a room to the face of its wall: to another room, and to outside."""


@dataclass(frozen=True)
class Ground:
    """A polygon in units, or nothing. Most rooms are rectangles, and those are asked without geometry."""

    shape: BaseGeometry

    @classmethod
    def of(cls, shape: BaseGeometry) -> "Ground":
        """The largest piece of a shape, which may be in pieces or empty."""
        largest = max(getattr(shape, "geoms", (shape,)), key=lambda each: each.area, default=shape)
        prepare(largest)
        return cls(largest)

    @cached_property
    def bounds(self) -> Box | None:
        """The least box around it; none where nothing is left."""
        return None if self.shape.is_empty else Box(*self.shape.bounds)

    @cached_property
    def _square(self) -> bool:
        around = self.bounds
        return around is not None and abs(around.width * around.height - self.shape.area) < 1

    def holds(self, label: Box) -> bool:
        """Whether a label stands wholly on it."""
        bounds = self.bounds
        if bounds is None or not bounds.encloses(label):
            return False
        if self._square:
            return True
        return bool(self.shape.covers(box(label.left, label.top, label.right, label.bottom)))

    def meets(self, label: Box) -> bool:
        """Whether a label stands on some of it."""
        bounds = self.bounds
        if bounds is None or not bounds.overlaps(label):
            return False
        if self._square:
            return True
        return bool(self.shape.intersects(box(label.left, label.top, label.right, label.bottom)))


@dataclass(frozen=True)
class FloorGround:
    """The ground of one floor, worked out once for all that is placed on it."""

    base: Base

    @cached_property
    def rooms(self) -> Mapping[str, Ground]:
        """Each room between the faces of its walls."""
        return {area.room: self.within(area, 1) for area in self.base.areas}

    @cached_property
    def surroundings(self) -> Mapping[str, Ground]:
        """Each room with its walls and a step beyond."""
        return {name: Ground.of(shape.buffer(16, join_style="mitre")) for name, shape in self._shapes.items()}  # fmt: skip

    @cached_property
    def buildings(self) -> tuple[Ground, ...]:
        """All that stands within outside walls, and these walls."""
        walled = self._walled.buffer(OUTER, join_style="mitre")
        return tuple(map(Ground.of, getattr(walled, "geoms", (walled,))))

    @cached_property
    def swings(self) -> tuple[Box, ...]:
        """The squares that open doors sweep."""
        return tuple(_square((leaf.hinge, leaf.tip, leaf.jamb)) for leaf in self.base.leaves)

    @cached_property
    def windows(self) -> tuple[Box, ...]:
        return tuple(each.box for each in self.base.strokes if each.kind == "sill")

    @cached_property
    def built_in(self) -> tuple[Box, ...]:
        """The boxes around what stands in rooms, such as baths and the steps of stairs."""
        return tuple(
            each.box for each in self.base.strokes if each.kind in BUILT_IN and each.closed
        )

    def within(self, area: Area, clear: float) -> Ground:
        """The ground of a room, so many units clear of the faces of its walls."""
        ground = self._shapes[area.room].buffer(-INNER - clear, join_style="mitre")
        if area.light:
            return Ground.of(ground)
        return Ground.of(
            ground.intersection(self._walled.buffer(-OUTER - clear, join_style="mitre"))
        )

    @cached_property
    def _shapes(self) -> Mapping[str, Polygon]:
        return {area.room: Polygon(area.corners) for area in self.base.areas}

    @cached_property
    def _walled(self) -> BaseGeometry:
        """The rooms within outside walls, all together."""
        return unary_union([self._shapes[area.room] for area in self.base.areas if not area.light])


def _square(points: tuple[tuple[int, int], ...]) -> Box:
    across, down = [x for x, _ in points], [y for _, y in points]
    return Box(min(across), min(down), max(across), max(down))
