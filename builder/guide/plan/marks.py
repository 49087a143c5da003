"""What each piece is called on plans: the letter of its system and a number, in a shape of its own.

A plan is shown as wide as its page. On the narrowest telephone a mark must still be 24 pixels
wide (WCAG 2.2, success criterion 2.5.8), so that a wide home has room for few of them: those that
would touch are shown as one, which says how many it stands for.
"""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from string import ascii_uppercase
from typing import get_args

from builder.guide.pieces import Piece
from builder.guide.plan.boxes import Box, around
from builder.guide.plan.drawing import EDGE, Base, Gathered, Mark, PlacedPiece, Spot
from builder.languages.language import to_say
from builder.model.equipment import PinShape, System

SHAPES: tuple[PinShape, ...] = get_args(PinShape)
TONES = 9
"""How many colours there are; letters and shapes tell marks apart where colours repeat."""
TARGET, NARROWEST = 24, 288
"""Pixels: the least size of what is touched, and the width of a plan on a telephone of 320."""


def marks_of(pieces: Iterable[Piece], systems: Mapping[str, System]) -> dict[str, Mark]:
    """The mark of each piece by its id; the same on every plan of a home."""
    looks = looks_of(systems)
    numbers: Counter[str] = Counter()
    marks = {}
    for piece in pieces:
        letter, shape, tone = looks[piece.system]
        numbers[letter] += 1
        marks[piece.id] = Mark(f"{letter}{numbers[letter]}", piece.system, shape, tone)
    return marks


def looks_of(systems: Mapping[str, System]) -> dict[str, tuple[str, PinShape, int]]:
    """Letter, shape and tone of each system: its own, or else what no other has taken."""
    letters = {name: each.letter for name, each in systems.items() if each.letter}
    own = [*letters, *(name for name in systems if name not in letters)]
    taken_shapes = {each.shape for each in systems.values() if each.shape}
    free_shapes = [each for each in SHAPES if each not in taken_shapes] or list(SHAPES)
    looks: dict[str, tuple[str, PinShape, int]] = {}
    for index, (name, system) in enumerate(systems.items()):
        if name not in letters:
            letters[name] = next(_letters(system.name, set(letters.values())))
        shape = system.shape or free_shapes[index % len(free_shapes)]
        looks[name] = (letters[name], shape, own.index(name) % TONES)
    return looks


def _letters(name: str, taken: set[str]) -> Iterator[str]:
    """Letters that are free: those of the name first, then the alphabet, then two at a time."""
    for letter in (*filter(str.isascii, filter(str.isalpha, name.upper())), *ascii_uppercase):
        if letter not in taken:
            yield letter
    for number in count():
        first, second = divmod(number, len(ascii_uppercase))
        pair = ascii_uppercase[first % len(ascii_uppercase)] + ascii_uppercase[second]
        if pair not in taken:
            yield pair


def target_of(width: float) -> int:
    """Units that a mark takes on a drawing so many units wide."""
    return math.ceil(TARGET * width / NARROWEST)


def gathered(placed: Sequence[PlacedPiece], size: int) -> tuple[Gathered, ...]:
    """The marks, none nearer to another than ``size`` units; the nearest two are joined first."""
    groups = [Gathered(*each.spot, (each,)) for each in placed]
    while (pair := _nearest(groups)) and pair[0] < size:
        _, first, second = pair
        joined = _joined_marks(groups[first], groups[second])
        groups = [each for index, each in enumerate(groups) if index not in (first, second)]
        groups.append(joined)
    order = {each.piece: index for index, each in enumerate(placed)}
    return tuple(sorted(groups, key=lambda group: order[group.members[0].piece]))


def _nearest(groups: Sequence[Gathered]) -> tuple[float, int, int] | None:
    pairs = (
        (math.dist((one.x, one.y), (other.x, other.y)), first, second)
        for first, one in enumerate(groups)
        for second, other in enumerate(groups[first + 1 :], first + 1)
    )
    return min(pairs, default=None)


def _joined_marks(one: Gathered, other: Gathered) -> Gathered:
    """Both together, in the middle of all their spots."""
    members = tuple(sorted((*one.members, *other.members), key=lambda each: each.mark.text))
    return Gathered(*_middle(each.spot for each in members), members)


def _middle(spots: Iterable[Spot]) -> Spot:
    across, down = zip(*spots, strict=True)
    return round(sum(across) / len(across)), round(sum(down) / len(down))


@dataclass(frozen=True, slots=True)
class North:
    """Where north is: degrees clockwise from the top of a plan, and where the front looks, in words."""

    turned: str
    front: str


_POINTS = (
    to_say("north"), to_say("north-east"), to_say("east"), to_say("south-east"),
    to_say("south"), to_say("south-west"), to_say("west"), to_say("north-west"),
)  # fmt: skip


def compass(degrees: float) -> str:
    """A bearing in words, to the nearest of eight."""
    return _POINTS[round(degrees / 45) % len(_POINTS)]


def north_mark(front_faces: float) -> str:
    """How far a north mark is turned, in degrees clockwise, by the bearing of the front."""
    return f"{(180 - front_faces) % 360:g}"


@dataclass(frozen=True, slots=True)
class TouchMarks:
    """The marks of a floor for a telephone, how large they are, and the box around all of it."""

    sets: tuple[tuple[str, tuple[Gathered, ...]], ...]
    size: int
    box: Box


def touch_marks(base: Base, placed: tuple[PlacedPiece, ...]) -> TouchMarks:
    """Marks beside the home make the drawing wider, and a wider drawing needs larger marks."""
    width = base.box.width
    while True:
        size = target_of(width + 2 * EDGE)
        sets = tuple(_sets(placed, size))
        box = _around(base.box, sets, size)
        if box.width <= width:
            return TouchMarks(sets, size, box)
        width = box.width


def _sets(placed: tuple[PlacedPiece, ...], size: int) -> Iterator[tuple[str, tuple[Gathered, ...]]]:
    """The marks of all systems, and of each system alone."""
    yield "", gathered(placed, size)
    for system in dict.fromkeys(each.mark.system for each in placed):
        yield system, gathered([each for each in placed if each.mark.system == system], size)


def _around(box: Box, sets: Iterable[tuple[str, tuple[Gathered, ...]]], size: int) -> Box:
    for _, marks in sets:
        for each in marks:
            box = box.joined(around(each.x, each.y, size, size))
    return box
