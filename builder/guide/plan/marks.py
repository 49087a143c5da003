"""What each piece is called on plans: the letter of its system and a number, in a shape of its own."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from itertools import count
from string import ascii_uppercase
from typing import get_args

from builder.guide.pieces import Piece
from builder.guide.plan.drawing import Mark
from builder.model.equipment import PinShape, System

SHAPES: tuple[PinShape, ...] = get_args(PinShape)
TONES = 9
"""How many colours there are; letters and shapes tell marks apart where colours repeat."""


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
