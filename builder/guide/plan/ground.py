"""The ground of a room, asked many times whether a label stands wholly on it."""

from dataclasses import dataclass
from functools import cached_property

from shapely import Polygon, box, prepare

from builder.guide.plan.boxes import Box
from builder.guide.plan.drawing import Spot


@dataclass(frozen=True)
class Ground:
    """A polygon in units. Most rooms are rectangles, and those are asked without geometry."""

    shape: Polygon

    @classmethod
    def of(cls, corners: tuple[Spot, ...], grown: float = 0.0) -> "Ground":
        """The ground within corners, made larger or smaller on every side."""
        shape = Polygon(corners).buffer(grown, join_style="mitre")
        largest = max(getattr(shape, "geoms", (shape,)), key=lambda each: each.area)
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
        if bounds is None or not (
            bounds.left <= label.left
            and label.right <= bounds.right
            and bounds.top <= label.top
            and label.bottom <= bounds.bottom
        ):
            return False
        if self._square:
            return True
        return bool(self.shape.covers(box(label.left, label.top, label.right, label.bottom)))
