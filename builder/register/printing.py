"""Prints stickers: a sheet is read back before anyone gets it, and kept only if all of it is right."""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from builder.errors import Findings, FindingsError
from builder.guide.labels import Label
from builder.proof.sheets import ExpectedLabel, proof_of_sheet
from builder.saving import save
from builder.shipped import own_or_shipped, shipped
from builder.sources.folder import Folder
from builder.sources.reading import read_file
from builder.writers.stickers.sheet import TEMPLATE, Placed, places, write_sheet
from builder.writers.stickers.stock import OWN_STOCKS, SHIPPED_STOCKS, Stock, StockFile, shelf


def stocks_of(root: Path) -> Mapping[str, Stock]:
    """The label stocks that ship, and those of the workspace; mistakes raise FindingsError."""
    findings = Findings()
    shipped_file = shipped(SHIPPED_STOCKS)
    ships = read_file(Folder(shipped_file.parent), shipped_file, StockFile, findings)
    files = [ships.record] if ships and ships.record else []
    files += own_stocks(root, findings)
    if findings.errors:
        raise FindingsError(findings.errors)
    return shelf(*files)


def own_stocks(root: Path, findings: Findings) -> list[StockFile]:
    """The workspace's own label stocks; mistakes go to ``findings``."""
    path = root / OWN_STOCKS
    read = None
    if path.is_symlink() | path.exists():
        read = read_file(Folder(root), path, StockFile, findings)
    return [read.record] if read and read.record else []


def print_sheet(
    labels: Sequence[Label], stock: Stock, start: int, root: Path, out: Path
) -> tuple[Placed, ...]:
    """Write a sheet and its fixing list, read it back, and keep it only if every code is right.

    A mismatch raises FindingsError with the label's position, and leaves the old file.
    """
    placed = places(labels, stock, start)
    pdf = write_sheet(labels, stock, start, own_or_shipped(root, TEMPLATE))
    found = tuple(proof_of_sheet(pdf, _expected(placed), out.name))
    if found:
        raise FindingsError(found)
    save(out, pdf)
    return placed


def _expected(placed: Sequence[Placed]) -> Iterator[ExpectedLabel]:
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
