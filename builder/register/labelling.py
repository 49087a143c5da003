"""The labels of plots, in walking order: what is printed for the stickers that were issued."""

from collections.abc import Iterator
from typing import cast
from urllib.parse import urlsplit

from builder.errors import Finding, HandoverError, Severity
from builder.guide.labels import Label, LabelSize
from builder.guide.pieces import Piece
from builder.home.assemble import TracedHome
from builder.preparing import Prepared
from builder.register.codes import SYMBOLS
from builder.register.issuing import sticker_size, stickers_of, wants_sticker
from builder.register.lines import Register
from builder.writers.stickers.matrix import CAPACITIES

LONGEST_ADDRESS = max(CAPACITIES.values())
"""Characters that the largest symbol of a sticker holds. A larger one would need a larger sticker."""


def printed_address(base_url: str, code: str) -> str:
    """What a symbol holds: in upper case, so that it stays in QR's alphanumeric mode."""
    return f"HTTPS://{urlsplit(base_url).netloc.upper()}/Q/{code}"


def address_can_be_printed(traced: TracedHome) -> Iterator[Finding]:
    """The host is short enough, and has no path: a path would change with upper case.

    A warning: guides can be published all the same, and stickers cannot be issued.
    """
    base_url = traced.home.development.base_url
    length = len(printed_address(base_url, "0" * (SYMBOLS + 1)))
    if urlsplit(base_url).path.strip("/"):
        yield _unprintable(traced, f"'{base_url}' has a path, and stickers name only a host.",
                           "Serve the guides from the top of a host.")  # fmt: skip
    elif length > LONGEST_ADDRESS:
        yield _unprintable(traced, f"Stickers would hold {length} characters; at most {LONGEST_ADDRESS} fit.",
                           f"Use a host that is {length - LONGEST_ADDRESS} characters shorter.")  # fmt: skip


def _unprintable(traced: TracedHome, wrong: str, right: str) -> Finding:
    place = traced.merged.nearest(("development", "base_url")).sayings[-1].place
    return Finding("stickers.host", place, wrong, right, path="development.base_url",
                   severity=Severity.WARNING, basis="ISO/IEC 18004, from memory",
                   plots=(traced.reference,))  # fmt: skip


def labels_of(prepared: Prepared, register: Register) -> tuple[Label, ...]:
    """The labels of a plot for all that has a live code, floor by floor and room by room."""
    home = prepared.traced.home
    codes = {
        each.equipment: each.issued.code for each in stickers_of(prepared, register) if each.live
    }
    return tuple(
        _label(prepared, piece, codes[piece.id])
        for piece in prepared.about.pieces
        if piece.id in codes and wants_sticker(home, home.equipment[piece.id])
    )


def _label(prepared: Prepared, piece: Piece, code: str) -> Label:
    home = prepared.traced.home
    return Label(
        code=code,
        address=printed_address(home.development.base_url, code),
        plot=f"{home.development.name}, plot {home.plot.number}",
        equipment=piece.title,
        room=piece.room,
        where=piece.where,
        caution=piece.caution,
        size=cast("LabelSize", sticker_size(home, home.equipment[piece.id])),
        wall=prepared.about.walls.view(home.equipment[piece.id]),
    )


def chosen(labels: tuple[Label, ...], codes: tuple[str, ...]) -> tuple[Label, ...]:
    """The labels with these codes, in the order of the codes; none named: all."""
    if not codes:
        return labels
    by_code = {label.code: label for label in labels}
    for code in codes:
        if code not in by_code:
            raise HandoverError(f"No sticker of these plots has the code '{code}'.")
    return tuple(by_code[code] for code in codes)
