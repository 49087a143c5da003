"""Makes the words of a sticker fit their room: smaller letters first, then fewer words.

The code is never cut; a caution is cut between sentences as long as one of them fits.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import floor

from builder.writers.stickers.text import cut, cut_start, grouped, tidy, width, wrapped

LEADING = 1.18
"""From line to line, in units of the size of the letters."""

_SENTENCE = re.compile(r"(?<=[.!?])\s+")


@dataclass(frozen=True, slots=True)
class FittingAttempt:
    """How hard to squeeze: the scale of words, the most lines of each, and whether to say the host."""

    scale: float
    name_lines: int = 3
    room_lines: int = 2
    host: bool = True
    caution_lines: int | None = None
    plot_lines: int = 2


def attempts() -> Iterator[FittingAttempt]:
    """From what reads best to what takes least room."""
    for scale in (1.0, 0.94, 0.88):
        yield FittingAttempt(scale)
    for scale in (0.94, 0.88, 0.82, 0.76):
        yield FittingAttempt(scale, host=False)


@dataclass(frozen=True, slots=True)
class StripRow:
    """One line of text with its size in millimetres, not yet in its place."""

    text: str
    size: float
    bold: bool = False
    fixed: bool = False

    @property
    def height(self) -> float:
        return self.size * LEADING


@dataclass(frozen=True, slots=True)
class Writing:
    """All lines of a sticker: from the top, down to the bottom, and those of the caution's band.

    ``cut`` says whether words were left off; ``caution_size`` is that of the band's letters.
    """

    upper: tuple[StripRow, ...]
    lower: tuple[StripRow, ...]
    caution: tuple[StripRow, ...]
    caution_size: float
    cut: bool

    @property
    def padding(self) -> float:
        return 0.3 * self.caution_size

    @property
    def sign(self) -> float:
        """The side of the warning sign."""
        return sign(self.caution_size)

    @property
    def indent(self) -> float:
        """Where the words of the band begin, behind the sign."""
        return self.sign + 2 * self.padding

    @property
    def band_height(self) -> float:
        if not self.caution:
            return 0.0
        words = sum(row.height for row in self.caution)
        return max(words, 0.9 * self.sign) + 2 * self.padding

    @property
    def lower_height(self) -> float:
        """With the band, and a gap above it."""
        gap = self.padding if self.caution else 0.0
        return sum(row.height for row in self.lower) + gap + self.band_height

    @property
    def height(self) -> float:
        return sum(row.height for row in self.upper) + self.lower_height


def sign(caution_size: float) -> float:
    """The side of the warning sign beside letters of a size."""
    return 1.9 * caution_size


@dataclass(frozen=True, slots=True)
class Text:
    """The texts of a sticker, each with the size of its letters in millimetres."""

    name: tuple[str, float]
    room: tuple[str, float]
    plot: tuple[str, float]
    host: tuple[str, float]
    code: tuple[str, float]
    caution: tuple[str, float]

    def at(self, attempt: FittingAttempt, room: float) -> Writing:
        """The lines of one attempt, in a room of some width."""
        name = _lines(self.name, attempt.scale, attempt.name_lines, room, bold=True)
        where = _lines(self.room, attempt.scale, attempt.room_lines, room)
        plot = _plot(self.plot, attempt, room)
        caution, caution_size = self._caution(attempt, room)
        return Writing(
            (*name[0], *where[0], *plot),
            (*self._host(room, shown=attempt.host), *self._code(room)),
            caution[0],
            caution_size,
            cut=name[1] or where[1] or caution[1],
        )

    def _caution(
        self, attempt: FittingAttempt, room: float
    ) -> tuple[tuple[tuple[StripRow, ...], bool], float]:
        size = self.caution[1] * attempt.scale
        inner = room - sign(size) - 3 * 0.3 * size
        most = attempt.caution_lines
        return _lines(self.caution, attempt.scale, most, inner, bold=True), size

    def _host(self, room: float, *, shown: bool) -> tuple[StripRow, ...]:
        """Left off where it is too wide: half an address is of no use."""
        text, size = self.host
        fits = width(text, size) <= room
        return (StripRow(text, size),) if shown and fits else ()

    def _code(self, room: float) -> tuple[StripRow, ...]:
        text, size = grouped(tidy(self.code[0])), self.code[1]
        widest = width(text, size, fixed=True, bold=True)
        return (StripRow(text, size * min(1.0, room / max(widest, 0.1)), bold=True, fixed=True),)


def _plot(text: tuple[str, float], attempt: FittingAttempt, room: float) -> tuple[StripRow, ...]:
    """A plot's number stands at the end: where it must be cut, its beginning is left off."""
    lines = wrapped(text[0], room, text[1])
    if len(lines) > attempt.plot_lines:
        lines = [cut_start(tidy(text[0]), room, text[1])]
    return tuple(StripRow(line, text[1]) for line in lines)


def _lines(
    text: tuple[str, float], scale: float, most: int | None, room: float, *, bold: bool = False
) -> tuple[tuple[StripRow, ...], bool]:
    words, size = text[0], text[1] * scale
    lines = wrapped(words, room, size, bold=bold)
    kept = lines if most is None else cut(lines, most, room, size, bold=bold)
    return tuple(StripRow(line, size, bold) for line in kept), kept != lines


def whole_sentences(texts: Text, room: float, height: float) -> Writing:
    """The smallest letters, short names, and as many whole sentences of the caution as fit."""
    smallest = FittingAttempt(0.76, name_lines=2, room_lines=1, host=False, plot_lines=1)
    sentences = _SENTENCE.split(tidy(texts.caution[0]))
    for kept in range(len(sentences), 0, -1):
        shorter = replace(texts, caution=(" ".join(sentences[:kept]), texts.caution[1]))
        writing = shorter.at(smallest, room)
        if writing.height <= height:
            return writing
    return _cut_caution(texts, smallest, room, height)


def _cut_caution(texts: Text, smallest: FittingAttempt, room: float, height: float) -> Writing:
    """The lines of the caution that there is room for; the sticker's page has all of it."""
    bare = replace(texts, caution=("", texts.caution[1])).at(smallest, room)
    size = texts.caution[1] * smallest.scale
    most = floor((height - bare.height - 3 * bare.padding) / (size * LEADING) + 1e-9)
    return texts.at(replace(smallest, caution_lines=max(1, most)), room)
