"""The label stocks that can be printed on: those that ship, and a workspace's own."""

from collections.abc import Mapping
from pathlib import Path

from builder.errors import Findings, FindingsError
from builder.shipped import shipped
from builder.sources.folder import Folder
from builder.sources.reading import read_file
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
