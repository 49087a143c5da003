"""What an editor changes in a portfolio: one thing at a time, another value at each run."""

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import yaml

from tests.bench.generated_places import Site
from tests.bench.generated_portfolio import dump, write

ARTICLE = "turning-off-the-water"
"""An article that every home gets."""

Reach = Callable[[int, int], int]
"""How many plots may be written again, of all plots and of those of the first development."""


@dataclass(frozen=True)
class Change:
    """``make`` changes the workspace in a folder; ``reaches`` says how many plots show it."""

    name: str
    make: Callable[[Path, int], None]
    reaches: Reach


def nothing(root: Path, run: int) -> None:
    """Leave all as it is."""


def departure(root: Path, run: int) -> None:
    """The stopcock of one plot was moved on site."""
    path = _first(root) / "plots" / "002.yaml"
    said = _read(path) if path.is_file() else {}
    place = f"low down, behind grey panel {run + 1}"
    said.setdefault("departures", {})["moved-stopcock"] = {
        "note": "A drain is in the way.",
        "date": date(2025, 3, 3),
        "changes": {"equipment": {"stopcock": {"place": place}}},
    }
    dump(path, said)


def address(root: Path, run: int) -> None:
    """One plot has another number in its street."""
    path = _first(root) / "plots.csv"
    rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8"))))
    rows[1][rows[0].index("address")] = f"{201 + run} Loom Street, {Site(0).town}"
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    write(path, text.getvalue())


def article(root: Path, run: int) -> None:
    """One more sentence in an article that every guide has."""
    path = root / "content" / "articles" / f"{ARTICLE}.md"
    text = path.read_text(encoding="utf-8")
    write(path, f"{text}\nShow your visitors too. Look at it again in week {run + 2}.\n")


def telephone(root: Path, run: int) -> None:
    """The council of one development has another telephone number."""
    path = _first(root) / "development.yaml"
    said = _read(path)
    said["contacts"]["council"]["telephone"] = Site(0).telephone(5 + run % 5)
    dump(path, said)


def _first(root: Path) -> Path:
    return root / "developments" / Site(0).id


def _read(path: Path) -> dict[str, Any]:
    return dict(yaml.load(path.read_text(encoding="utf-8"), yaml.CSafeLoader))


CHANGES = (
    Change("Nothing changed", nothing, lambda _plots, _first: 0),
    Change("One plot: a departure", departure, lambda _plots, _first: 1),
    Change("One plot: its address", address, lambda _plots, _first: 1),
    Change("One telephone number", telephone, lambda _plots, first: first),
    Change("One article of every guide", article, lambda plots, _first: plots),
)
