"""Builds of a portfolio by the builder's own command line: cold, and after each change."""

import shutil
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.bench.changes import CHANGES
from tests.bench.measuring import Measured, Runs, measured
from tests.bench.trees import Contents, Rewritten, contents, rewritten, standing

BUILDER = (sys.executable, "-m", "builder.cli")
DAY = "2026-11-25"


@dataclass(frozen=True)
class Place:
    """A workspace and the tree that it is published to."""

    workspace: Path
    out: Path

    @property
    def contents(self) -> Contents:
        """What stands in the tree."""
        return contents(self.out, standing(self.out))


@dataclass(frozen=True)
class Cold:
    """Builds from nothing: how long they took, and what the last one left."""

    runs: Runs
    contents: Contents


@dataclass(frozen=True)
class Changed:
    """Builds after one change, and the most that any of them wrote again."""

    runs: Runs
    rewritten: Rewritten


def build(builder: Sequence[str], place: Place) -> Measured:
    """One build of all plots."""
    asked = ("--workspace", str(place.workspace), "--out", str(place.out), "--date", DAY)
    return measured((*builder, "build", *asked))


class ColdBuilds:
    """Builds of copies of a workspace from nothing.

    Nothing is deleted meanwhile: for minutes after, some file systems look for each new file's place
    past all those of files that were just deleted.
    """

    def __init__(self, builder: Sequence[str], workspace: Path, folder: Path) -> None:
        self._builder, self._workspace, self._folder = builder, workspace, folder
        self.places: list[Place] = []

    def run(self) -> Measured:
        """One more build, at a place of its own."""
        folder = self._folder / str(len(self.places))
        place = Place(folder / "workspace", folder / "public")
        shutil.copytree(self._workspace, place.workspace)
        self.places.append(place)
        return build(self._builder, place)


def changed_builds(builder: Sequence[str], place: Place, runs: int) -> dict[str, Changed]:
    """By the name of each change: one after another they are made and built, as often as there are
    runs."""
    found: dict[str, list[Measured]] = {change.name: [] for change in CHANGES}
    written: dict[str, list[Rewritten]] = {change.name: [] for change in CHANGES}
    for run in range(runs):
        for change in CHANGES:
            before = standing(place.out)
            change.make(place.workspace, run)
            found[change.name].append(build(builder, place))
            written[change.name].append(rewritten(before, standing(place.out)))
    return {name: Changed(Runs(tuple(found[name])), _most(written[name])) for name in found}


def _most(written: Sequence[Rewritten]) -> Rewritten:
    return Rewritten(max(each.guides for each in written), max(each.pages for each in written))
