"""How long the pages of the desk take, as a share of the time that reading the files takes.

``python -m tests.bench.desk`` writes a workspace of 2,000 plots, reads it as a command does, opens a
desk over it and asks for every page, also after a file has changed. Pages are asked for while no plot
is looked at in the background: that goes on by itself after the first page. How each plot stands is
known by then, from a plot of its house type. Seconds are of the processor, so that what else a machine
does counts for nothing.
"""

import argparse
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from httpx import Client

from builder.board.board import Board
from builder.board.standing import facts_of
from builder.desk.desk import Desk
from builder.errors import Findings
from builder.sources.workspace import read_workspace
from tests.bench.generated_portfolio import generate
from tests.desk.desks import browsing, desk_of

DAY = date(2026, 3, 2)
AIM, AIM_OF_FEW, FEW = 0.5, 0.15, 100
"""Seconds that each page but the first may take, and those of a workspace of few plots."""


class Quiet(Board):
    """A board that looks at plots only when they are asked for."""

    def look_on(self) -> None:
        """Nothing in the background, so that a page alone is measured."""

    def knows_all(self) -> None:
        """How every plot stands, from one plot of each house type: the pages have all to show."""
        twins: dict[object, str] = {}
        workspace = self.looking().workspace
        for reference, plot in workspace.plots.items():
            facts = facts_of(plot, workspace)
            twin = twins.setdefault(facts.house_type, reference)
            looked = self.plot(twin).standing if twin == reference else self._standing[twin]
            self._stands(reference, replace(looked, facts=facts))


@dataclass(frozen=True)
class Page:
    """One page: its name, and how long it took each time."""

    name: str
    seconds: tuple[float, ...]


def measure(root: Path, runs: int) -> tuple[float, list[Page]]:
    """How long reading takes, and each page."""
    began = time.process_time()
    workspace = read_workspace(root, Findings())
    reading = time.process_time() - began
    desk = desk_of(root, day=DAY)
    desk.board = board = Quiet(root, root / "public", lambda: DAY)
    board.knows_all()
    with browsing(desk) as client:
        client.get("/")  # The first page reads the workspace.
        pages = list(_pages(desk, client, next(iter(workspace.plots)), root, runs))
    return reading, pages


def _pages(desk: Desk, client: Client, plot: str, root: Path, runs: int) -> Iterator[Page]:
    file = (root / "developments" / plot.replace("/", "/plots/")).with_suffix(".yaml")
    paths = _paths(desk, plot)
    for name, path in paths.items():
        client.get(path)
        yield Page(name, tuple(_timed(client, path, lambda: None) for _ in range(runs)))
    for name in ("today", "a plot"):
        yield Page(f"{name}, after a change", tuple(_timed(client, paths[name], lambda: _touch(file)) for _ in range(runs)))  # fmt: skip


def _paths(desk: Desk, plot: str) -> dict[str, str]:
    """Every page of the desk that is read, by its name."""
    workspace, of_plot = desk.board.looking().workspace, f"/plots/{plot}"
    (development, number), article = plot.split("/"), next(iter(workspace.articles))
    makes = sorted({each.make for one in desk.board.view().plots for each in one.pieces} - {""})
    return {
        "today": "/", "today, filtered": "/?find=1&owed=site", "a plot": of_plot,
        "its home": f"{of_plot}/home", "options and departures": f"{of_plot}/changes",
        "a departure": f"{of_plot}/departure?thing=equipment.stopcock",
        "the record": f"{of_plot}/record", "photographs": f"{of_plot}/photographs",
        "stickers and papers": f"{of_plot}/papers", "next owner": f"{of_plot}/owner",
        "its guide": f"/live/g/{development}~{number}/", "run sheet": f"{of_plot}/run-sheet.html",
        "find and recall": "/recall", "a kind": "/recall?kind=stopcock",
        "a make": f"/recall?make={makes[0] if makes else 'none'}",
        "table of a recall": "/recall/table.csv?kind=stopcock",
        "articles": "/articles", "an article": f"/articles/{article}",
        "front matter": f"/articles/{article}/front-matter",
        "house types": "/house-types", "a house type": f"/house-types/{next(iter(workspace.house_types))}",
        "a model": "/house-types-from-models", "stickers on site": "/on-site",
        "stickers of a plot": f"/on-site/{plot}", "a spreadsheet": "/spreadsheet",
        "history": "/history", "release": "/release", "work": "/jobs",
    }  # fmt: skip


def _timed(client: Client, path: str, before: Callable[[], None]) -> float:
    before()
    began = time.process_time()
    answer = client.get(path)
    assert answer.status_code == 200, f"{path}: {answer.status_code}"
    return time.process_time() - began


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
        few = len(read_workspace(root, Findings()).plots) <= FEW
    aim = AIM_OF_FEW if few else AIM
    lines = [f"{'page':32}{'of reading the files':>22}{'seconds':>10}"]
    for each in pages:
        median = statistics.median(each.seconds)
        late = f"  more than {aim}" if median > aim else ""
        lines.append(f"{each.name:32}{median / reading:>22.3f}{median:>10.3f}{late}")
    sys.stdout.write("\n".join((*lines, f"Reading the files: {reading:.2f} seconds.", "")))
    return 0


if __name__ == "__main__":
    sys.exit(main())
