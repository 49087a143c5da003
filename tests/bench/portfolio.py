"""The benchmark of a whole portfolio: ``python -m tests.bench.portfolio``.

It writes a portfolio, builds it by the builder's command line, and measures the same guides by
MkDocs (one process a plot) and by Hugo (one site) in the same run on the same machine.
"""

import argparse
import json
import os
import platform
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from rich.console import Console

from tests.bench import engines
from tests.bench.builds import BUILDER, Cold, ColdBuilds, changed_builds
from tests.bench.generated_portfolio import generate
from tests.bench.hugo_site import hugo
from tests.bench.measuring import Measured, Runs
from tests.bench.results import Found, rows
from tests.bench.table import Row, as_json, printed

NOTES = (
    "Seconds are on the wall, medians of the runs; 'Processor' adds up all processes of a command. Ratios are medians of those of each round.",
    "MkDocs builds a sample, multiplied; what it takes to start and measure a process is not counted.",
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
    cold = ColdBuilds(asked.builder, workspace, folder / "cold")
    mkdocs = engines.Mkdocs(workspace, folder / "mkdocs", asked.plots, asked.sample)
    mkdocs.run(cores())  # Hugo's template is to be like a page of it.
    page = engines.theme_page(folder / "mkdocs")
    program = hugo() if asked.with_hugo else None
    site = engines.Hugo(program, workspace, folder / "hugo", page, asked.plots) if program else None
    runs = _rounds(asked.runs, cold, mkdocs, site)
    built = Cold(runs["ours"], cold.places[-1].contents)
    return Found(
        asked.plots,
        built,
        changed_builds(asked.builder, cold.places[-1], asked.runs),
        mkdocs.engine(runs["alone"]),
        mkdocs.engine(runs["together"]),
        site.engine(runs["hugo"]) if site else None,
        asked.large,
        _large(asked, folder) if asked.large else None,
    )


def _rounds(
    number: int, cold: ColdBuilds, mkdocs: engines.Mkdocs, site: engines.Hugo | None
) -> dict[str, Runs]:
    """Rounds of all engines, one right after the other."""
    measures: dict[str, Callable[[], Measured]] = {
        "ours": cold.run,
        "alone": partial(mkdocs.run, 1),
        "together": partial(mkdocs.run, cores()),
        **({"hugo": site.run} if site else {}),
    }
    rounds = [{name: measure() for name, measure in measures.items()} for _ in range(number)]
    return {name: Runs(tuple(each[name] for each in rounds)) for name in measures}


def _large(asked: Asked, folder: Path) -> Cold:
    generate(folder / "large-workspace", asked.large, asked.seed)
    cold = ColdBuilds(asked.builder, folder / "large-workspace", folder / "large")
    return Cold(Runs((cold.run(),)), cold.places[-1].contents)


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
