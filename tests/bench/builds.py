"""Builds of a portfolio by the builder's own command line: cold, and after each change."""

import shutil
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.bench.changes import CHANGES
from tests.bench.measuring import Measured, measured, middle
from tests.bench.trees import Contents, Rewritten, contents, rewritten, standing

BUILDER = (sys.executable, "-m", "builder.cli")
DAY = "2026-11-25"


@dataclass(frozen=True)
class Place:
    """A workspace and the tree that it is published to."""

    workspace: Path
    out: Path


@dataclass(frozen=True)
class Cold:
    """Builds from nothing: how long they took, and what the last one left."""

    measured: Measured
    contents: Contents
    place: Place


@dataclass(frozen=True)
class Changed:
    """Builds after one change, and the most that any of them wrote again."""

    measured: Measured
    rewritten: Rewritten


def build(builder: Sequence[str], place: Place) -> Measured:
    """One build of all plots."""
    asked = ("--workspace", str(place.workspace), "--out", str(place.out), "--date", DAY)
    return measured((*builder, "build", *asked))


def cold_builds(builder: Sequence[str], workspace: Path, folder: Path, runs: int) -> Cold:
    """Build copies of a workspace from nothing; the last copy and its tree are for later.

    Nothing is deleted meanwhile: for minutes after, some file systems look for each new file's place
    past all those of files that were just deleted.
    """
    found = []
    for run in range(runs):
        place = Place(folder / str(run) / "workspace", folder / str(run) / "public")
        shutil.copytree(workspace, place.workspace)
        found.append(build(builder, place))
    return Cold(middle(found), contents(place.out, standing(place.out)), place)


def changed_builds(builder: Sequence[str], place: Place, runs: int) -> dict[str, Changed]:
    """By the name of each change: it is made and built as often as there are runs."""
    results = {}
    for change in CHANGES:
        found, written = [], []
        for run in range(runs):
            before = standing(place.out)
            change.make(place.workspace, run)
            found.append(build(builder, place))
            written.append(rewritten(before, standing(place.out)))
        most = Rewritten(max(each.guides for each in written), max(each.pages for each in written))
        results[change.name] = Changed(middle(found), most)
    return results
