"""Boxes that labels fill, the width of their text, and the nearest free place for a box."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache

_NARROW, _WIDE = frozenset("iIjl.,:;'|!()[] ft-r"), frozenset("mwMW@%")
_WIDTHS = (0.42, 1.0, 0.79, 0.64)
"""Of narrow letters, wide ones, other capitals, and the rest with figures, as shares of the type size.

Each is at least the widest of its letters in DejaVu Sans, the widest plain typeface that browsers
choose (measured in Chromium), so that a label never runs out of its box.
"""
NEAR = 90
"""Units about a spot in which most labels find their place."""
_DIRECTIONS = tuple(
    (math.cos(math.tau * index / 12), math.sin(math.tau * index / 12)) for index in range(12)
)


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, in units."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top

    def overlaps(self, other: "Box") -> bool:
        """Whether two boxes share more than an edge."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def encloses(self, other: "Box") -> bool:
        """Whether another box lies wholly within."""
        return (
            self.left <= other.left
            and other.right <= self.right
            and self.top <= other.top
            and other.bottom <= self.bottom
        )

    def holds(self, x: float, y: float) -> bool:
        return self.left <= x <= self.right and self.top <= y <= self.bottom

    def grown(self, by: float) -> "Box":
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def joined(self, other: "Box") -> "Box":
        """The least box around both."""
        return Box(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )

    def crossed_by(self, one: tuple[float, float], other: tuple[float, float]) -> bool:
        """Whether a straight line runs through the box (Liang and Barsky's clipping)."""
        if (
            (one[0] <= self.left and other[0] <= self.left)
            or (one[0] >= self.right and other[0] >= self.right)
            or (one[1] <= self.top and other[1] <= self.top)
            or (one[1] >= self.bottom and other[1] >= self.bottom)
        ):
            return False
        enters, leaves = 0.0, 1.0
        for start, end, low, high in (
            (one[0], other[0], self.left, self.right),
            (one[1], other[1], self.top, self.bottom),
        ):
            step = end - start
            if step == 0:
                if not low < start < high:
                    return False
                continue
            near, far = sorted(((low - start) / step, (high - start) / step))
            enters, leaves = max(enters, near), min(leaves, far)
        return enters < leaves


def around(x: float, y: float, width: float, height: float) -> Box:
    """The box of a size about its middle."""
    return Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


@cache
def text_width(text: str, size: float) -> float:
    """Units that a text takes at most in a plain typeface of a size."""
    narrow, wide, capital, other = _WIDTHS
    shares = (
        narrow if letter in _NARROW
        else wide if letter in _WIDE or not letter.isascii()
        else capital if letter.isupper()
        else other
        for letter in text
    )  # fmt: skip
    return sum(shares) * size


def nearest_free(
    spot: tuple[float, float],
    size: tuple[float, float],
    taken: Sequence[Box],
    cost: Callable[[Box, float], float],
    step: float,
) -> Box:
    """The cheapest box that overlaps none of those taken, in rings about a spot.

    The cost of a box is its distance from the spot and ``cost`` besides, which is never negative,
    so that the search ends at the ring beyond which nothing can be cheaper. ``cost`` is told from
    which sum on it need not count further. There is always a free place: rings grow beyond
    everything that is taken.
    """
    (width, height), least = size, math.inf
    best = around(*spot, *size)
    about = around(*spot, size[0] + 2 * NEAR, size[1] + 2 * NEAR)
    near = [other for other in taken if about.overlaps(other)]
    for distance, (x, y) in _rings(spot, step):
        if distance >= least:
            break
        left, top, right, bottom = x - width / 2, y - height / 2, x + width / 2, y + height / 2
        for other in near if distance < NEAR else taken:
            # Asked ten thousand times a home, so written out: whether the two overlap.
            if (
                left < other.right
                and other.left < right
                and top < other.bottom
                and other.top < bottom
            ):
                break
        else:
            box = Box(left, top, right, bottom)
            total = distance + cost(box, least - distance)
            if total < least:
                best, least = box, total
    return best


def _rings(spot: tuple[float, float], step: float) -> Iterator[tuple[float, tuple[int, int]]]:
    x, y = spot
    yield 0.0, (round(x), round(y))
    distance = step
    while True:
        for across, down in _DIRECTIONS:
            yield distance, (round(x + distance * across), round(y + distance * down))
        distance += step
