"""Reads papers, run sheets and sheets of stickers against the records of a tree: whose they are, and
whether they say what only other homes may read.

A paper is known by the folder that it lies in, ``<development>/<plot>/``, a run sheet by its name,
``<development>_<plot>-run-sheet``, and a sheet of stickers by the codes that it shows.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from builder.build.manifest import GuideRecord
from builder.errors import UsageError
from builder.proof.absence import READ, said, text_of_paper

NOBODY = "of no record"
_RUN_SHEET = "-run-sheet"
_BETWEEN = re.compile(r"[^0-9A-Z]+")


class Fault(StrEnum):
    """What can be wrong with a file of a tree, or with the record of a guide. ``OTHERS``: it says what
    only other homes may read."""

    MISSING = "missing"
    DIFFERS = "differs"
    STRAY = "stray"
    UNREADABLE = "unreadable record"
    OTHERS = "of other homes"


@dataclass(frozen=True, slots=True, order=True)
class TreeProblem:
    """One thing that is not as recorded: of which plot (or of what else), which fault, which file.

    ``path`` is the path in the tree, in full: shorten it with ``without_code`` before it is shown.
    """

    about: str
    fault: Fault
    path: str


@dataclass(frozen=True, slots=True)
class Papers:
    """How many papers were read, and what was found in them."""

    read: int
    problems: tuple[TreeProblem, ...]


def verify_papers(folders: Iterable[Path], records: Iterable[GuideRecord]) -> Papers:
    """All papers below some folders. UsageError where a folder is not there."""
    folders = list(folders)
    known = list(records) if folders else []
    plots = {record.reference: record for record in known}
    codes = dict(_sticker_codes(known))
    problems, read = list[TreeProblem](), 0
    for folder in folders:
        for file in _papers_in(folder):
            problems += _problems_of(file, folder, plots, codes)
            read += 1
    return Papers(read, tuple(problems))


def _papers_in(folder: Path) -> list[Path]:
    if not folder.is_dir():
        raise UsageError(
            f"There is no folder '{folder}'. Name the one that the papers were written to."
        )
    return sorted(
        each for each in folder.rglob("*") if each.suffix.lower() in READ and each.is_file()
    )


def _problems_of(
    file: Path, folder: Path, plots: Mapping[str, GuideRecord], codes: Mapping[str, GuideRecord]
) -> Iterator[TreeProblem]:
    shown = file.relative_to(folder).as_posix()
    text = text_of_paper(file.read_bytes(), file.suffix.lower())
    if text is None:
        yield TreeProblem(NOBODY, Fault.UNREADABLE, shown)
        return
    homes = _homes_of(file, text, plots, codes)
    if not homes:
        yield TreeProblem(NOBODY, Fault.STRAY, shown)
        return
    others = _words_of_no(homes)
    about = ", ".join(sorted(each.reference for each in homes))
    for word in said(text, others):
        yield TreeProblem(
            about, Fault.OTHERS, f"{shown}: '{word}' is for homes with this: {others[word]}"
        )


def _homes_of(
    file: Path, text: str, plots: Mapping[str, GuideRecord], codes: Mapping[str, GuideRecord]
) -> list[GuideRecord]:
    """Whose a paper is: one home's, or those of all stickers on it; none where nothing tells."""
    named = (
        f"{file.parent.parent.name}/{file.parent.name}",
        file.stem.removesuffix(_RUN_SHEET).replace("_", "/", 1) if _RUN_SHEET in file.stem else "",
    )
    found = [plots[each] for each in named if each in plots]
    if found:
        return found[:1]
    letters = _BETWEEN.sub("", text.upper())
    shown = {record.reference: record for code, record in codes.items() if code in letters}
    return list(shown.values())


def _sticker_codes(records: Iterable[GuideRecord]) -> Iterator[tuple[str, GuideRecord]]:
    for record in records:
        for path in record.files:
            folder, _, rest = path.partition("/")
            if folder in ("q", "Q"):
                yield rest.partition("/")[0].upper(), record


def _words_of_no(homes: list[GuideRecord]) -> Mapping[str, str]:
    """The words that none of some homes may read."""
    first, *others = homes
    return {
        word: owner
        for word, owner in first.others.items()
        if all(word in each.others for each in others)
    }
