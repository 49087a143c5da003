"""The benchmark of a whole portfolio: ``python -m tests.bench.portfolio``.

It writes a portfolio, builds it by the builder's command line, and measures the same guides by
MkDocs (one process a plot) and by Hugo (one site) in the same run on the same machine.
"""

import argparse
import json
import os
import platform
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from rich.console import Console

from tests.bench import engines
from tests.bench.builds import BUILDER, changed_builds, cold_builds
from tests.bench.generated_portfolio import generate
from tests.bench.hugo_site import hugo
from tests.bench.results import Found, rows
from tests.bench.table import Row, as_json, printed

NOTES = (
    "Seconds are on the wall, medians of the runs; 'Processor' adds up all processes of a command.",
    "MkDocs runs as many processes at a time as there are cores, on a sample, multiplied; what it takes to start and measure one is not counted.",
    "Hugo and MkDocs write no stickers, calendars or pages kept offline, and prove nothing; Hugo writes no search index.",
    "A build that follows a change writes what the change reaches, and proves it.",
)


@dataclass(frozen=True)
class Asked:
    """What to measure. ``large`` of 0 leaves the large portfolio out; ``builder`` is the command
    that takes the place of ``handover``; ``work`` is a folder on the disk to measure on."""

    plots: int
    large: int
    runs: int
    sample: int
    seed: int
    with_hugo: bool = True
    builder: Sequence[str] = BUILDER
    work: Path | None = None


def measure(asked: Asked) -> list[Row]:
    """Every row of the table."""
    with TemporaryDirectory(dir=asked.work) as folder:
        return rows(_found(asked, Path(folder)))


def _found(asked: Asked, folder: Path) -> Found:
    workspace = folder / "workspace"
    generate(workspace, asked.plots, asked.seed)
    cold = cold_builds(asked.builder, workspace, folder / "cold", asked.runs)
    changed = changed_builds(asked.builder, cold.place, asked.runs)
    sample = max(1, min(asked.sample, asked.plots))
    mkdocs = engines.mkdocs(workspace, folder / "mkdocs", asked.plots, sample, asked.runs, cores())
    program = hugo() if asked.with_hugo else None
    by_hugo = None
    if program is not None:
        page = engines.theme_page(folder / "mkdocs")
        by_hugo = engines.hugo(program, workspace, folder / "hugo", page, asked.plots, asked.runs)
    large = None
    if asked.large:
        generate(folder / "large-workspace", asked.large, asked.seed)
        large = cold_builds(asked.builder, folder / "large-workspace", folder / "large", 1)
    return Found(asked.plots, cold, changed, mkdocs, by_hugo, asked.large, large)


def cores() -> int:
    """The cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def machine() -> dict[str, Any]:
    """What the figures were measured on; ``load`` is what else ran in the last minute."""
    return {
        "system": platform.platform(terse=True),
        "cores": cores(),
        "python": platform.python_version(),
        "load": round(os.getloadavg()[0], 2),
    }


def main() -> None:
    """Measure, print the table, and write it as JSON where that was asked for."""
    asked, file = _arguments()
    state = machine()
    found = measure(asked)
    console = Console(width=None if Console().is_terminal else 220)
    console.print(printed(found, f"A portfolio of {asked.plots:,} plots, {asked.runs} runs"))
    console.print(", ".join(f"{name} {value}" for name, value in state.items()))
    for note in NOTES:
        console.print(note)
    if file is not None:
        said = {"machine": state, "rows": [as_json(row) for row in found]}
        file.write_text(json.dumps(said, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")


def _arguments() -> tuple[Asked, Path | None]:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.portfolio", description=__doc__)
    numbers = (
        ("--plots", 1000, "plots of the portfolio"),
        ("--large", 10_000, "plots of the large portfolio; 0 leaves it out"),
        ("--runs", 3, "runs of each measurement; their median counts"),
        ("--sample", 10, "plots that MkDocs builds"),
        ("--seed", 1, "another seed gives another portfolio"),
    )
    for flag, default, text in numbers:
        parser.add_argument(flag, type=int, default=default, help=f"{text} (default: {default})")
    parser.add_argument("--no-hugo", action="store_true", help="leave Hugo out")
    parser.add_argument("--work", type=Path, help="folder to work in (default: the system's)")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write the table as JSON too")
    said = parser.parse_args()
    asked = Asked(
        said.plots, said.large, said.runs, said.sample, said.seed,
        with_hugo=not said.no_hugo, work=said.work,
    )  # fmt: skip
    return asked, said.json


if __name__ == "__main__":
    main()
