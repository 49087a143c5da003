"""The modules of QR symbols: the outline of the dark ones, and symbols that hold a web address.

Whoever prints a symbol draws it from here, so that it is one path without seams.
"""

from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from qrcode.constants import ERROR_CORRECT_M  # type: ignore[import-untyped]
from qrcode.exceptions import DataOverflowError  # type: ignore[import-untyped]
from qrcode.main import QRCode  # type: ignore[import-untyped]

from builder.errors import HandoverError

QUIET = 4
"""Light modules that surround a symbol (ISO/IEC 18004, from memory)."""

if TYPE_CHECKING:
    from PIL import Image

Matrix = tuple[tuple[bool, ...], ...]
"""Rows from top to bottom; ``True`` is dark. Always as many columns as rows."""

Point = tuple[int, int]
"""A corner of modules: columns to the right and rows down, counted from the symbol's top left."""

Loop = tuple[Point, ...]


@lru_cache(maxsize=1024)
def web_symbol(address: str) -> Matrix:
    """The modules of the smallest symbol of level M that holds a web address, letter by letter.

    Level M mends about 15 % of the codewords (ISO/IEC 18004, from memory): enough for paper that
    is kept in a drawer. An address that no symbol holds is refused.
    """
    code = QRCode(error_correction=ERROR_CORRECT_M, border=0)
    code.add_data(address.encode("ascii"), optimize=0)
    try:
        code.make(fit=True)
    except (DataOverflowError, ValueError) as error:
        raise HandoverError(f"'{address}' is too long for a QR symbol.") from error
    return tuple(tuple(bool(module) for module in row) for row in code.modules)


@lru_cache(maxsize=1024)
def symbol_svg(matrix: Matrix) -> str:
    """A symbol with its quiet zone, one unit a module, black on white."""
    side = len(matrix) + 2 * QUIET
    path = "".join(
        "M" + "L".join(f"{column} {row}" for column, row in loop) + "z" for loop in outline(matrix)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{-QUIET} {-QUIET} {side} {side}">'
        f'<path fill="#fff" d="M{-QUIET} {-QUIET}h{side}v{side}h{-side}z"/>'
        f'<path d="{path}"/></svg>'
    )


def outline(matrix: Matrix) -> tuple[Loop, ...]:
    """The borders between dark and light as closed loops, for one path without seams.

    Dark lies to the right of the way round, so that both fill rules paint the same.
    """
    ways = _borders(matrix)
    loops = []
    while ways:
        start = min(ways)
        loop, here = [start], _step(ways, start)
        while here != start:
            loop.append(here)
            here = _step(ways, here)
        loops.append(_corners(loop))
    return tuple(loops)


def _borders(matrix: Matrix) -> dict[Point, list[Point]]:
    """Every module edge that has dark on one side only: from where to where."""
    edges: set[tuple[Point, Point]] = set()
    for row, line in enumerate(matrix):
        for column, dark in enumerate(line):
            if dark:
                edges.symmetric_difference_update(_around(column, row))
    ways: dict[Point, list[Point]] = {}
    for start, end in sorted(edges):
        if (end, start) not in edges:
            ways.setdefault(start, []).append(end)
    return ways


def _around(column: int, row: int) -> tuple[tuple[Point, Point], ...]:
    ring = ((column, row), (column + 1, row), (column + 1, row + 1), (column, row + 1))
    return tuple(pairwise((*ring, ring[0])))


def _step(ways: dict[Point, list[Point]], here: Point) -> Point:
    onward = ways[here].pop()
    if not ways[here]:
        del ways[here]
    return onward


def _corners(loop: list[Point]) -> Loop:
    """A loop without the points that lie on a straight side."""
    around = zip((loop[-1], *loop[:-1]), loop, (*loop[1:], loop[0]), strict=True)
    return tuple(
        here for before, here, after in around if (before[0] == here[0]) != (here[0] == after[0])
    )


def texts_in(picture: "Image.Image") -> tuple[str, ...]:
    """What the QR symbols on a picture hold, by the reader that proves printed sheets too."""
    import zxingcpp  # noqa: PLC0415 - only who has a photograph needs it

    formats = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])
    return tuple(
        each.text for each in zxingcpp.read_barcodes(picture.convert("L"), formats=formats)
    )
