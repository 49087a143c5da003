"""How long the pages of the desk take, as a share of the time that reading the files takes.

``python -m tests.bench.desk`` writes a workspace of 2,000 plots, reads it as a command does, opens a
desk over it and asks for every page: for the first time, again, after a file has changed, and with a text
on trial. Pages are asked for while no plot is looked at in the background: that goes on by itself after
the first page. How each plot stands is known by then, from a plot of its house type. Seconds are of the
processor, so that what else a machine does counts for nothing. A workspace that is named is copied first.
"""

import argparse
import gc
import shutil
import statistics
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

from httpx import Client, Response

from builder.board.board import Board
from builder.board.standing import facts_of
from builder.cli.commands import COLLECTING
from builder.desk.desk import Desk
from builder.digests import digest_of
from builder.errors import Findings
from builder.shipped import file_of
from builder.sources.workspace import read_workspace
from tests.bench.generated_portfolio import generate
from tests.desk.desks import OWN, browsing, desk_of, form_at

DAY = date(2026, 3, 2)
AIM, AIM_OF_FEW, FEW = 0.5, 0.15, 100
"""Seconds that each page but the first may take, and those of a workspace of few plots."""
REFUSED = 422
"""The answer to a trial of what a check is against: it was tried all the same."""
_NOT_COPIED = shutil.ignore_patterns(".*", "public", "node_modules", "tests", "docs", "builder")


class Quiet(Board):
    """A board that looks at plots only when they are asked for."""

    def look_on(self, whole: object = None) -> None:
        """Nothing in the background, so that a page alone is measured."""

    def knows_all(self) -> None:
        """How every plot stands, from one plot of each house type: the pages have all to show."""
        twins: dict[object, str] = {}
        workspace = self.looking().workspace
        for reference, plot in workspace.plots.items():
            facts = facts_of(plot, workspace)
            twin = twins.setdefault(facts.house_type, reference)
            looked = self.plot(twin).standing if twin == reference else self._standing[twin]
            self._keep_standing(reference, replace(looked, facts=facts))


@dataclass(frozen=True)
class Page:
    """One page: its name, how long it took the first time, and each time after it."""

    name: str
    first: float
    again: tuple[float, ...]

    @property
    def slowest(self) -> float:
        """The first time, or what is usual after it: a reader meets both."""
        return max(self.first, statistics.median(self.again))


def measure(root: Path, runs: int) -> tuple[float, list[Page]]:
    """How long reading takes, and each page."""
    began = time.process_time()
    workspace = read_workspace(root, Findings())
    reading = time.process_time() - began
    gc.set_threshold(*COLLECTING)  # As every command does.
    desk = desk_of(root, day=DAY)
    desk.board = board = Quiet(root, root / "public", lambda: DAY)
    with browsing(desk) as client:
        client.get("/")  # The first page reads the workspace.
        desk.get_ready()
        asked = Asking(desk, client, root, next(iter(workspace.plots)), runs)
        asked.files()
        board.knows_all()
        gc.freeze()  # As a desk does once it has looked at all plots.
        pages = [*asked.as_it_stands(), *asked.after_changes(), *asked.on_trial()]
    return reading, pages


@dataclass(frozen=True)
class Asking:
    """Asks for the pages of one desk, of which one plot is looked at."""

    desk: Desk
    client: Client
    root: Path
    plot: str
    runs: int

    def as_it_stands(self) -> Iterator[Page]:
        """Every page while no file changes."""
        for name, path in _paths(self.desk, self.plot).items():
            yield self._page(name, lambda path=path: self.client.get(path))

    def after_changes(self) -> Iterator[Page]:
        """Pages after the file that they show, or another, has changed."""
        paths, files = _paths(self.desk, self.plot), self.files()
        for page, changes in (
            ("today", "a plot"), ("a plot", "a plot"), ("an article", "an article"), ("today", "an article"),
            ("a house type", "a house type"), ("a plot", "a house type"), ("a plot", "a development"),
        ):  # fmt: skip
            path, file = paths[page], files[changes]
            name = f"{page}, after {'it' if page == changes else changes} changed"
            yield self._page(name, lambda path=path: self.client.get(path), lambda file=file: _touch(file))  # fmt: skip

    def on_trial(self) -> Iterator[Page]:
        """Texts that are tried, as whoever writes them waits for the answer."""
        articles = self.desk.board.looking().workspace.articles
        file, path = self.files()["an article"], f"/articles/{next(iter(articles))}"
        text, body = file.read_bytes(), file.read_text(encoding="utf-8").split("---", 2)[2]
        numbers = count()
        yield self._page("an article on trial", lambda: self._sends(f"{path}/try", {"body": f"{body}\n\nSee {next(numbers)}.\n", "based-on": digest_of(text)}))  # fmt: skip
        yield self._options_on_trial()

    def _options_on_trial(self) -> Page:
        """Each option on trial; the slowest of them the first time."""
        has = self.desk.board.plot(self.plot).standing.facts.options
        sent = form_at(self.client, f"/plots/{self.plot}/changes", f"/plots/{self.plot}/options")
        tried = [
            self._page(each, lambda each=each: self._sends(f"/plots/{self.plot}/options", {**sent, "act": "try", "option": each}))
            for each in self.desk.board.looking().workspace.options
            if (each,) != has
        ]  # fmt: skip
        again = tuple(took for each in tried for took in each.again)
        return Page("an option on trial", max(each.first for each in tried), again)

    def _sends(self, path: str, form: Mapping[str, str]) -> Response:
        return self.client.post(path, data=form, headers=OWN)

    def files(self) -> Mapping[str, Path]:
        """What changes, by its name. An article that ships becomes the workspace's own."""
        workspace, (development, number) = self.desk.board.looking().workspace, self.plot.split("/")
        article = next(iter(workspace.articles.values())).article
        own = self.root / "content/articles" / f"{article.id}.md"
        if not own.is_file():
            own.parent.mkdir(parents=True, exist_ok=True)
            own.write_bytes(file_of(self.root, article.file).read_bytes())
        return {
            "a plot": self.root / "developments" / development / "plots" / f"{number}.yaml",
            "a development": self.root / "developments" / development / "development.yaml",
            "an article": own,
            "a house type": self.root / "housetypes" / f"{next(iter(workspace.house_types))}.yaml",
        }

    def _page(self, name: str, ask: Callable[[], Response], before: Callable[[], None] = lambda: None) -> Page:  # fmt: skip
        first, *again = (_timed(name, ask, before) for _ in range(self.runs + 1))
        return Page(name, first, tuple(again))


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


def _timed(name: str, ask: Callable[[], Response], before: Callable[[], None]) -> float:
    before()
    began = time.process_time()
    answer = ask()
    took = time.process_time() - began
    assert answer.status_code in (200, REFUSED), f"{name}: {answer.status_code}"
    return took


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
        root = Path(folder) / "workspace"
        if asked.workspace is None:
            generate(root, asked.plots, 1)
        else:
            shutil.copytree(asked.workspace, root, ignore=_NOT_COPIED)
        reading, pages = measure(root, asked.runs)
        few = len(read_workspace(root, Findings()).plots) <= FEW
    aim = AIM_OF_FEW if few else AIM
    lines = [f"{'page':42}{'of reading the files':>22}{'first':>8}{'again':>8}"]
    for each in pages:
        late = f"  more than {aim}" if each.slowest > aim else ""
        again = statistics.median(each.again)
        lines.append(f"{each.name:42}{again / reading:>22.3f}{each.first:>8.3f}{again:>8.3f}{late}")
    sys.stdout.write("\n".join((*lines, f"Reading the files: {reading:.2f} seconds.", "")))
    return 0


if __name__ == "__main__":
    sys.exit(main())
