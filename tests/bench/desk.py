"""How long the pages of the desk take, as a share of the time that reading the files takes.

``python -m tests.bench.desk`` writes a workspace of 2,000 plots, reads it as a command does, opens a
desk over it and asks for every page, also after a file has changed. Pages are asked for while no plot
is looked at in the background: that goes on by itself after the first page.
"""

import argparse
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from httpx import Client

from builder.board.board import Board
from builder.desk.desk import Desk
from builder.errors import Findings
from builder.sources.workspace import read_workspace
from tests.bench.generated_portfolio import generate
from tests.desk.desks import browsing, desk_of

DAY = date(2026, 3, 2)


class Quiet(Board):
    """A board that looks at plots only when they are asked for."""

    def look_on(self) -> None:
        """Nothing in the background, so that a page alone is measured."""


@dataclass(frozen=True)
class Page:
    """One page: its name, and how long it took each time."""

    name: str
    seconds: tuple[float, ...]


def measure(root: Path, runs: int) -> tuple[float, list[Page]]:
    """How long reading takes, and each page."""
    began = time.perf_counter()
    workspace = read_workspace(root, Findings())
    reading = time.perf_counter() - began
    desk = desk_of(root, day=DAY)
    desk.board = Quiet(root, root / "public", lambda: DAY)
    with browsing(desk) as client:
        client.get("/")  # The first page reads the workspace.
        pages = list(_pages(desk, client, next(iter(workspace.plots)), root, runs))
    return reading, pages


def _pages(desk: Desk, client: Client, plot: str, root: Path, runs: int) -> Iterator[Page]:
    changed = root / "developments" / plot.replace("/", "/plots/")
    file = changed.with_suffix(".yaml")
    paths = {
        "today": "/", "today, filtered": "/?find=1&owed=site", "a plot": f"/plots/{plot}",
        "its home": f"/plots/{plot}/home", "options and departures": f"/plots/{plot}/changes",
        "the record": f"/plots/{plot}/record", "stickers and papers": f"/plots/{plot}/papers",
        "find and recall": "/recall", "articles": "/articles", "release": "/release",
    }  # fmt: skip
    for name, path in paths.items():
        client.get(path)
        yield Page(name, tuple(_timed(client, path, lambda: None) for _ in range(runs)))
    for name in ("today", "a plot"):
        yield Page(f"{name}, after a change", tuple(_timed(client, paths[name], lambda: _touch(file)) for _ in range(runs)))  # fmt: skip


def _timed(client: Client, path: str, before: Callable[[], None]) -> float:
    before()
    began = time.perf_counter()
    answer = client.get(path)
    assert answer.status_code == 200, f"{path}: {answer.status_code}"
    return time.perf_counter() - began


def _touch(file: Path) -> None:
    file.parent.mkdir(exist_ok=True)
    text = file.read_text(encoding="utf-8") if file.is_file() else "serials: {}\n"
    file.write_text(f"{text}# {time.monotonic_ns()}\n", encoding="utf-8")


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("workspace", nargs="?", type=Path, help="A workspace that is there; default: a generated one.")  # fmt: skip
    parser.add_argument("--plots", type=int, default=2_000)
    parser.add_argument("--runs", type=int, default=5)
    asked = parser.parse_args()
    with TemporaryDirectory() as folder:
        root = asked.workspace or Path(folder) / "workspace"
        if asked.workspace is None:
            generate(root, asked.plots, 1)
        reading, pages = measure(root, asked.runs)
    lines = [f"{'page':32}{'of reading the files':>22}{'seconds':>10}"]
    for each in pages:
        median = statistics.median(each.seconds)
        lines.append(f"{each.name:32}{median / reading:>22.3f}{median:>10.3f}")
    sys.stdout.write("\n".join((*lines, f"Reading the files: {reading:.2f} seconds.", "")))
    return 0


if __name__ == "__main__":
    sys.exit(main())
