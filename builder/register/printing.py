"""Prints stickers: a sheet is read back before anyone gets it, and kept only if all of it is right."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from builder.disk import save
from builder.errors import FindingsError
from builder.guide.labels import Label
from builder.proof.sheets import ExpectedLabel, proof_of_sheet
from builder.shipped import own_or_shipped
from builder.writers.stickers.sheet import STYLE, TEMPLATE, PlacedLabel, places, write_sheet
from builder.writers.stickers.stock import Stock


def print_sheet(
    labels: Sequence[Label], stock: Stock, start: int, root: Path, out: Path
) -> tuple[PlacedLabel, ...]:
    """Write a sheet and its fixing list, read it back, and keep it only if every code is right.

    A mismatch raises FindingsError with the label's position, and leaves the old file.
    """
    placed = places(labels, stock, start)
    style = own_or_shipped(root, STYLE).read_text(encoding="utf-8")
    pdf = write_sheet(labels, stock, start, own_or_shipped(root, TEMPLATE), style)
    found = tuple(proof_of_sheet(pdf, _expected(placed), out.name))
    if found:
        raise FindingsError(found)
    save(out, pdf)
    return placed


def _expected(placed: Sequence[PlacedLabel]) -> Iterator[ExpectedLabel]:
    """What must be read from the sheet, as plain values: the proof knows nothing of the writer."""
    for each in placed:
        yield ExpectedLabel(
            address=each.label.address,
            page=each.page,
            position=each.position,
            left=each.place.left,
            top=each.place.top,
            width=each.place.width,
            height=each.place.height,
            module=each.module,
        )
