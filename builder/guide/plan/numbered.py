"""Numbers on drawings: those that would cover each other are written side by side in one label."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from builder.guide.plan.boxes import Box, text_width

_HIGH, _SIDES = 1.55, 0.9
"""How high a label is, and how much wider than its text, in sizes of its type."""


@dataclass(frozen=True, slots=True)
class NumberLabel:
    """The numbers of things, and the middle of the label that holds them, in units of the drawing."""

    x: float
    y: float
    numbers: tuple[int, ...]
    size: int

    @property
    def text(self) -> str:
        return " · ".join(map(str, self.numbers))

    @property
    def width(self) -> float:
        return max(text_width(self.text, self.size) + _SIDES * self.size, _HIGH * self.size)

    @property
    def height(self) -> float:
        return _HIGH * self.size

    @property
    def box(self) -> Box:
        wide, high = self.width / 2, self.height / 2
        return Box(self.x - wide, self.y - high, self.x + wide, self.y + high)


def labels(
    spots: Iterable[tuple[int, float, float]], size: int, left: float, right: float
) -> tuple[NumberLabel, ...]:
    """A label for each number and its spot, gathered until none covers another, between two edges."""
    found = [_within(NumberLabel(x, y, (number,), size), left, right) for number, x, y in spots]
    while (pair := next(_covering(found), None)) is not None:
        one, other = pair
        found = [each for each in found if each not in pair]
        found.append(_within(_joined_labels(one, other), left, right))
    return tuple(sorted(found, key=lambda each: each.numbers))


def label_svg(label: NumberLabel) -> str:
    """A label as a part of a drawing: a rounded field with its numbers in it."""
    wide, high = round(label.width), round(label.height)
    x, y = round(label.x - wide / 2), round(label.y - high / 2)
    return (
        f'<g class="tag"><rect x="{x}" y="{y}" width="{wide}" height="{high}" rx="{round(high / 2)}"/>'
        f'<text font-size="{label.size}" text-anchor="middle" x="{round(label.x)}" y="{round(label.y + label.size * 0.35)}">{label.text}</text></g>'
    )


def _covering(found: list[NumberLabel]) -> Iterator[tuple[NumberLabel, NumberLabel]]:
    for index, one in enumerate(found):
        for other in found[index + 1 :]:
            if one.box.overlaps(other.box):
                yield one, other


def _joined_labels(one: NumberLabel, other: NumberLabel) -> NumberLabel:
    """Both together, in the middle of all their spots."""
    count = len(one.numbers) + len(other.numbers)
    x = (one.x * len(one.numbers) + other.x * len(other.numbers)) / count
    y = (one.y * len(one.numbers) + other.y * len(other.numbers)) / count
    return NumberLabel(x, y, tuple(sorted((*one.numbers, *other.numbers))), one.size)


def _within(label: NumberLabel, left: float, right: float) -> NumberLabel:
    half = label.width / 2
    x = min(max(label.x, left + half), max(right - half, left + half))
    return NumberLabel(x, label.y, label.numbers, label.size)
