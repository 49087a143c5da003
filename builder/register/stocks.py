"""The label stocks that can be printed on: those that ship, and a workspace's own over them."""

from collections.abc import Collection, Mapping
from pathlib import Path

from builder.errors import Finding, Findings, FindingsError, suggestion
from builder.shipped import shipped
from builder.sources.folder import Folder
from builder.sources.reading import ReadFile, read_file
from builder.writers.stickers.stock import OWN_STOCKS, SHIPPED_STOCKS, Stock, StockFile, shelf


def stocks_of(root: Path) -> Mapping[str, Stock]:
    """The label stocks that ship, and those of the workspace; mistakes raise FindingsError."""
    findings = Findings()
    files = [*_shipped(findings), *own_stocks(root, findings)]
    if findings.errors:
        raise FindingsError(findings.errors)
    return shelf(*files)


def own_stocks(root: Path, findings: Findings) -> list[StockFile]:
    """The workspace's own label stocks; mistakes go to ``findings``."""
    path = root / OWN_STOCKS
    if not (path.is_symlink() or path.exists()):
        return []
    read = read_file(Folder(root), path, StockFile, findings)
    if read is None or read.record is None:
        return []
    ships = {name for file in _shipped(Findings()) for name in file.stocks}
    findings.extend(_removes_nothing(read, ships))
    return [read.record]


def _shipped(findings: Findings) -> list[StockFile]:
    file = shipped(SHIPPED_STOCKS)
    read = read_file(Folder(file.parent), file, StockFile, findings)
    return [read.record] if read and read.record else []


def _removes_nothing(read: ReadFile[StockFile], ships: Collection[str]) -> list[Finding]:
    named = read.entry.children["stocks"].children
    return [
        Finding(
            "stickers.unknown-stock",
            named[name].named_at,
            f"No label stock '{name}' ships, so there is nothing to take away.",
            suggestion(name, ships, "Stocks that ship are"),
            path=f"stocks.{name}",
        )
        for name, stock in (read.record.stocks.items() if read.record else ())
        if stock is None and name not in ships
    ]
