"""The benchmark's one table: what was measured, against what, and whether its target is met."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal

from rich.table import Table

Verdict = Literal["met", "missed", "left out", ""]


@dataclass(frozen=True)
class Target:
    """The limit of a ratio: at most, or at least, this much."""

    limit: float
    least: bool = False

    def holds(self, ratio: float) -> bool:
        return ratio >= self.limit if self.least else ratio <= self.limit

    def __str__(self) -> str:
        return f"at {'least' if self.least else 'most'} {self.limit:g}"


@dataclass(frozen=True)
class Row:
    """One line. ``ratio`` is what ``against`` says; a row with a target and no ratio was left out.

    ``seconds`` on the wall and ``processor`` seconds of all processes are medians of the runs;
    ``by_processor`` is the ratio of processor seconds, where other work would blur the wall's.
    """

    name: str
    figure: str = ""
    seconds: float | None = None
    processor: float | None = None
    ratio: float | None = None
    by_processor: float | None = None
    against: str = ""
    target: Target | None = None

    @property
    def verdict(self) -> Verdict:
        if self.target is None:
            return ""
        if self.ratio is None:
            return "left out"
        return "met" if self.target.holds(self.ratio) else "missed"


def printed(rows: Iterable[Row], title: str) -> Table:
    """The table for a terminal."""
    table = Table(title=title, title_justify="left", caption_justify="left")
    for heading in ("Measured", "What was found"):
        table.add_column(heading)
    for heading in ("Seconds", "Processor", "Ratio", "by processor"):
        table.add_column(heading, justify="right")
    for heading in ("Against", "Target", "Verdict"):
        table.add_column(heading)
    for row in rows:
        table.add_row(*_cells(row))
    return table


def _cells(row: Row) -> tuple[str, ...]:
    numbers = (
        "" if value is None else f"{value:.2f}"
        for value in (row.seconds, row.processor, row.ratio, row.by_processor)
    )
    target = "" if row.target is None else str(row.target)
    return (row.name, row.figure, *numbers, row.against, target, row.verdict)


def as_json(row: Row) -> dict[str, Any]:
    """A row for a machine: the same fields, numbers whole."""
    return {
        "name": row.name,
        "figure": row.figure,
        "seconds": row.seconds,
        "processor": row.processor,
        "ratio": row.ratio,
        "by_processor": row.by_processor,
        "against": row.against,
        "target": None if row.target is None else str(row.target),
        "verdict": row.verdict,
    }
