"""Baths, basins, cylinders and other things from above, as outlines in metres about their middle.

Each stands with its back towards the back of the home (y grows that way). They follow the usual
conventions of general arrangement drawings (BS EN ISO 7519, from memory): the outline of the
thing, and the lines that one sees looking down on it. Each is its own mirror image: no drawing
says at which end of a bath the taps are where nobody said so.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from builder.model.building import Symbol

Vector = tuple[float, float]
SIZES: Mapping[Symbol, tuple[float, float]] = {
    "appliance": (0.6, 0.6),
    "basin": (0.5, 0.4),
    "bath": (1.7, 0.7),
    "bed": (1.5, 2.0),
    "cylinder": (0.55, 0.55),
    "hob": (0.6, 0.52),
    "shower-tray": (0.9, 0.8),
    "sink": (0.95, 0.5),
    "toilet": (0.4, 0.65),
    "wardrobe": (1.2, 0.6),
    "worktop": (1.8, 0.6),
}
"""Metres along the back and out from it, where no size is said: common practice."""
SINGLE = 1.2
"""Metres up to which a bed is for one."""
ROUND = 12
"""Corners that a round thing is drawn with."""
SMALL, SMALL_ROUND = 0.25, 8
"""Metres across up to which it has fewer: a ring of a hob is a few points wide on a telephone."""


@dataclass(frozen=True, slots=True)
class Outline:
    """A line of a symbol, in metres about the middle of the thing."""

    points: tuple[Vector, ...]
    closed: bool = True


def outlines(symbol: Symbol, size: tuple[float, float]) -> tuple[Outline, ...]:
    """The lines of a symbol at a size: metres along its back and out from it."""
    return _DRAWN[symbol](*size)


def _box(width: float, depth: float, middle: Vector = (0.0, 0.0)) -> Outline:
    (x, y), half, deep = middle, width / 2, depth / 2
    corners = ((-half, -deep), (half, -deep), (half, deep), (-half, deep))
    return Outline(tuple((x + across, y + along) for across, along in corners))


def _round(width: float, depth: float, middle: Vector = (0.0, 0.0)) -> Outline:
    """An ellipse."""
    sides = SMALL_ROUND if max(width, depth) <= SMALL else ROUND
    (x, y), turns = middle, [math.tau * (each + 0.5) / sides for each in range(sides)]
    return Outline(
        tuple((x + width / 2 * math.cos(turn), y + depth / 2 * math.sin(turn)) for turn in turns)
    )


def _soft(width: float, depth: float, cut: float, middle: Vector = (0.0, 0.0)) -> Outline:
    """A rectangle without its corners."""
    (x, y), half, deep = middle, width / 2, depth / 2
    cut = min(cut, half, deep)
    corners = (
        (-half + cut, -deep), (half - cut, -deep), (half, -deep + cut), (half, deep - cut),
        (half - cut, deep), (-half + cut, deep), (-half, deep - cut), (-half, -deep + cut),
    )  # fmt: skip
    return Outline(tuple((x + across, y + along) for across, along in corners))


def _line(*points: Vector) -> Outline:
    return Outline(points, closed=False)


def _appliance(width: float, depth: float) -> tuple[Outline, ...]:
    front = -depth / 2 + 0.06
    return _box(width, depth), _line((-width / 2, front), (width / 2, front))


def _basin(width: float, depth: float) -> tuple[Outline, ...]:
    bowl = _round(width * 0.76, depth * 0.66, (0, -depth * 0.08))
    return _soft(width, depth, 0.08), bowl, _round(0.05, 0.05, (0, depth * 0.36))


def _bath(width: float, depth: float) -> tuple[Outline, ...]:
    inner = _soft(width - 0.14, depth - 0.14, 0.16)
    return _box(width, depth), inner, _round(0.07, 0.07)


def _bed(width: float, depth: float) -> tuple[Outline, ...]:
    count = 2 if width > SINGLE else 1
    each = width / count
    pillows = tuple(
        _soft(each - 0.12, 0.36, 0.05, (-width / 2 + each * (index + 0.5), depth / 2 - 0.28))
        for index in range(count)
    )
    fold = depth / 2 - 0.56
    return _box(width, depth), *pillows, _line((-width / 2, fold), (width / 2, fold))


def _cylinder(width: float, depth: float) -> tuple[Outline, ...]:
    return _round(width, depth), _round(width * 0.72, depth * 0.72)


def _hob(width: float, depth: float) -> tuple[Outline, ...]:
    across, along = width / 4, depth / 4
    rings = ((-across, along), (across, along), (-across, -along), (across, -along))
    return _soft(width, depth, 0.03), *(_round(0.19, 0.19, ring) for ring in rings)


def _shower(width: float, depth: float) -> tuple[Outline, ...]:
    half, deep = width / 2, depth / 2
    falls = _line((-half, -deep), (half, deep)), _line((-half, deep), (half, -deep))
    return _box(width, depth), *falls, _round(0.1, 0.1)


def _sink(width: float, depth: float) -> tuple[Outline, ...]:
    bowl = min(0.45, width - 0.1)
    return (
        _soft(width, depth, 0.03),
        _soft(bowl, depth - 0.12, 0.07),
        _round(0.07, 0.07),
    )


def _toilet(width: float, depth: float) -> tuple[Outline, ...]:
    cistern = 0.19
    pan = depth - cistern
    middle = (0.0, -depth / 2 + pan / 2)
    return (
        _box(width, cistern, (0, depth / 2 - cistern / 2)),
        _round(width * 0.9, pan, middle),
        _round(width * 0.58, pan * 0.66, middle),
    )


def _wardrobe(width: float, depth: float) -> tuple[Outline, ...]:
    rail = _line((-width / 2 + 0.05, 0), (width / 2 - 0.05, 0))
    count = max(2, round(width / 0.18))
    hangers = (
        _line((x - 0.03, -depth * 0.32), (x + 0.03, depth * 0.32))
        for x in (-width / 2 + width * (index + 0.5) / count for index in range(count))
    )
    return _box(width, depth), rail, *hangers


def _worktop(width: float, depth: float) -> tuple[Outline, ...]:
    return (_box(width, depth),)


_DRAWN: Mapping[Symbol, Callable[[float, float], tuple[Outline, ...]]] = {
    "appliance": _appliance,
    "basin": _basin,
    "bath": _bath,
    "bed": _bed,
    "cylinder": _cylinder,
    "hob": _hob,
    "shower-tray": _shower,
    "sink": _sink,
    "toilet": _toilet,
    "wardrobe": _wardrobe,
    "worktop": _worktop,
}
