"""The symbol of a sticker: which modules are dark, and the outline of the dark ones.

Capacities and sizes are those of ISO/IEC 18004 (from memory, checked in the tests against two other
libraries). Level Q mends about a quarter of the codewords.
"""

from collections.abc import Mapping
from itertools import pairwise
from types import MappingProxyType

from qrcode.constants import ERROR_CORRECT_Q  # type: ignore[import-untyped]
from qrcode.main import QRCode  # type: ignore[import-untyped]
from qrcode.util import MODE_ALPHA_NUM, QRData  # type: ignore[import-untyped]

from builder.errors import HandoverError

ALPHANUMERIC = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
"""The 45 characters of the alphanumeric mode."""

CAPACITIES: Mapping[int, int] = MappingProxyType({1: 16, 2: 29, 3: 47, 4: 67})
"""Characters that a version holds in alphanumeric mode at level Q."""

QUIET = 4
"""Light modules that surround a symbol."""

Matrix = tuple[tuple[bool, ...], ...]
"""Rows from top to bottom; ``True`` is dark. Always as many columns as rows."""

Point = tuple[int, int]
"""A corner of modules: columns to the right and rows down, counted from the symbol's top left."""

Loop = tuple[Point, ...]


def symbol(address: str) -> Matrix:
    """The modules of the smallest symbol that holds an address, without its quiet zone."""
    code = QRCode(version=version(address), error_correction=ERROR_CORRECT_Q, border=0)
    code.add_data(QRData(address, mode=MODE_ALPHA_NUM), optimize=0)
    code.make(fit=False)
    return tuple(tuple(bool(module) for module in row) for row in code.modules)


def version(address: str) -> int:
    """The smallest version that holds an address; an address that none holds is refused."""
    strange = sorted(set(address) - set(ALPHANUMERIC))
    if strange or not address:
        raise HandoverError(
            f"'{address}' cannot be a sticker's address: it has "
            f"{' '.join(map(repr, strange)) or 'no characters'}. "
            "It is written in capital letters, digits and '$%*+-./:' alone."
        )
    for number, capacity in CAPACITIES.items():
        if len(address) <= capacity:
            return number
    raise HandoverError(_too_long(address))


def modules(number: int) -> int:
    """Modules along one side of a version."""
    return 17 + 4 * number


def _too_long(address: str) -> str:
    longest, room = max(CAPACITIES.items())
    return (
        f"'{address}' has {len(address)} characters; the largest symbol of a sticker "
        f"(version {longest}, level Q) holds {room}. "
        f"Shorten the development's web address by {len(address) - room}."
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
