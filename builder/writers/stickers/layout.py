"""Where everything stands on a sticker, as plain numbers, before anything is drawn.

All lengths are in millimetres, from the label's top left corner, x to the right and y down.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from builder.craft.symbols import QUIET, Matrix
from builder.guide.labels import Label, LabelSize
from builder.writers.stickers.fitting import Text, Writing, attempts, whole_sentences
from builder.writers.stickers.matrix import symbol
from builder.writers.stickers.text import width


@dataclass(frozen=True, slots=True)
class Size:
    """One of the sizes that stickers come in.

    ``module`` is the side of one module; ``edge`` what stays free of text at the label's edge;
    the others are the sizes of letters.
    """

    width: float
    height: float
    module: float
    edge: float
    name: float
    room: float
    plot: float
    host: float
    code: float
    caution: float


SIZES: Mapping[LabelSize, Size] = MappingProxyType({
    "small": Size(45, 21, 0.5, 1.0, name=2.6, room=2.2, plot=2.1, host=1.7, code=2.1, caution=2.0),
    "standard": Size(63, 36, 0.75, 1.5, name=4.0, room=3.2, plot=2.9, host=2.3, code=2.8, caution=2.8),
    "large": Size(99, 57, 1.2, 2.0, name=6.2, room=4.8, plot=4.2, host=3.2, code=4.3, caution=4.0),
})  # fmt: skip
"""A module of 0.5 mm or more for a phone held near it (common practice)."""

SCAN_DISTANCE = 10
"""Scan distance over the width of the symbol (common practice)."""

GAP = 0.5


@dataclass(frozen=True, slots=True)
class LabelBox:
    """A rectangle on a label."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        return self.left + self.width

    @property
    def bottom(self) -> float:
        return self.top + self.height


@dataclass(frozen=True, slots=True)
class LabelLine:
    """One line of text. ``left`` and ``baseline`` are where it begins, ``width`` is what it may fill."""

    text: str
    left: float
    baseline: float
    size: float
    width: float
    bold: bool = False
    fixed: bool = False
    light: bool = False


@dataclass(frozen=True, slots=True)
class Patch:
    """A filled polygon, dark unless ``light``; a later one lies over an earlier one."""

    corners: tuple[tuple[float, float], ...]
    light: bool = False


@dataclass(frozen=True, slots=True)
class LabelLayout:
    """A whole sticker, ready to be drawn: the symbol, then the patches, then the lines."""

    width: float
    height: float
    matrix: Matrix
    module: float
    symbol: LabelBox
    patches: tuple[Patch, ...]
    lines: tuple[LabelLine, ...]

    @property
    def quiet(self) -> LabelBox:
        """The symbol with its quiet zone."""
        rim = QUIET * self.module
        side = self.symbol.width + 2 * rim
        return LabelBox(self.symbol.left - rim, self.symbol.top - rim, side, side)

    @property
    def scan_distance(self) -> float:
        """How far away a phone can read it, in millimetres."""
        return SCAN_DISTANCE * self.symbol.width


def lay_out(label: Label) -> LabelLayout:
    """A sticker's symbol, text and caution in their places."""
    size = SIZES[label.size]
    matrix = symbol(label.address)
    placed = _symbol(size, len(matrix))
    left = placed.right + QUIET * size.module + GAP
    room = LabelBox(left, size.edge, size.width - size.edge - left, size.height - 2 * size.edge)
    writing = _first_that_fits(label, size, room)
    patches = _band(writing, room)
    lines = (*_upper(writing, room), *_lower(writing, room))
    return LabelLayout(size.width, size.height, matrix, size.module, placed, patches, lines)


def _symbol(size: Size, side: int) -> LabelBox:
    """Half way up; as far from the left edge as from the top, but no more than text is."""
    ink, rim = side * size.module, QUIET * size.module
    above = (size.height - ink) / 2 - rim
    return LabelBox(min(above, size.edge) + rim, above + rim, ink, ink)


def _first_that_fits(label: Label, size: Size, room: LabelBox) -> Writing:
    """The first attempt in which all text fits; in the last one, text is left off."""
    texts = _texts(label, size)
    for attempt in attempts():
        writing = texts.at(attempt, room.width)
        if writing.height <= room.height and not writing.cut:
            return writing
    return whole_sentences(texts, room.width, room.height)


def _texts(label: Label, size: Size) -> Text:
    return Text(
        name=(label.equipment, size.name),
        room=(label.room, size.room),
        plot=(label.plot, size.plot),
        host=(_host(label), size.host),
        code=(label.code, size.code),
        caution=(label.caution or "", size.caution),
    )


def _host(label: Label) -> str:
    """What stands before the code in its address, for typing; the host's case does not matter."""
    before, found, _ = label.address.rpartition("/")
    host, slash, path = before.partition("://")[2].partition("/")
    return f"{host.lower()}{slash}{path}{found}"


def _upper(writing: Writing, room: LabelBox) -> Iterator[LabelLine]:
    """From the top: what it is, where it is, whose it is."""
    top = room.top
    for row in writing.upper:
        yield _line(row.text, room.left, top, row.size, bold=row.bold, fixed=row.fixed)
        top += row.height


def _lower(writing: Writing, room: LabelBox) -> Iterator[LabelLine]:
    """Down to the bottom: the code, and the caution in its band."""
    top = room.bottom - writing.lower_height
    for row in writing.lower:
        yield _line(row.text, room.left, top, row.size, bold=row.bold, fixed=row.fixed)
        top += row.height
    words = sum(row.height for row in writing.caution)
    top = room.bottom - (writing.band_height + words) / 2
    for row in writing.caution:
        left = room.left + writing.indent
        yield _line(row.text, left, top, row.size, bold=True, light=True)
        top += row.height


def _line(
    text: str,
    left: float,
    top: float,
    size: float,
    *,
    bold: bool = False,
    fixed: bool = False,
    light: bool = False,
) -> LabelLine:
    filled = width(text, size, bold=bold, fixed=fixed)
    return LabelLine(text, left, top + 0.9 * size, size, filled, bold, fixed, light)


def _band(writing: Writing, room: LabelBox) -> tuple[Patch, ...]:
    """A dark band with a warning triangle: it is seen in the dark and needs no colour."""
    if not writing.caution:
        return ()
    top, bottom = room.bottom - writing.band_height, room.bottom
    side = writing.sign
    left, middle = room.left + writing.padding, (top + bottom) / 2
    return (
        Patch(_rectangle(room.left, top, room.width, writing.band_height)),
        *_warning_sign(left, middle - 0.43 * side, side),
    )


def _warning_sign(left: float, top: float, side: float) -> tuple[Patch, ...]:
    """A light triangle with a dark exclamation mark."""
    middle, height = left + side / 2, 0.87 * side
    return (
        Patch(((middle, top), (left + side, top + height), (left, top + height)), light=True),
        Patch(_rectangle(middle - 0.055 * side, top + 0.28 * side, 0.11 * side, 0.29 * side)),
        Patch(_rectangle(middle - 0.055 * side, top + 0.64 * side, 0.11 * side, 0.11 * side)),
    )


def _rectangle(
    left: float, top: float, across: float, down: float
) -> tuple[tuple[float, float], ...]:
    right, bottom = left + across, top + down
    return ((left, top), (right, top), (right, bottom), (left, bottom))
