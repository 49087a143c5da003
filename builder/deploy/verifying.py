"""Reads a published tree back against its records: is every file there, as it was written, alone?"""

import hashlib
import os
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Final

from builder.build.manifest import GuideRecord, Records
from builder.deploy.verifying_papers import NOBODY, Fault, TreeProblem, verify_papers
from builder.errors import UsageError
from builder.proof.absence import words_said

WORKPLACE: Final = ".deploying-"
"""How the folder begins that a deployment has in the folder that it sends to, or leaves there when it is
killed."""
KEPT_BY_A_BUILD: Final = (".building-*", f"{WORKPLACE}*", ".*.new")
"""What a running build or deployment keeps in a tree for a while: its workplace, and drafts of files."""
SHARED: Final = "shared by all plots"
_SHOWN_OF_A_CODE: Final = 4
_CODED: Final = ("g", "q", "Q")
_CHUNK: Final = 256
_MANY: Final = 20_000
"""Files that are worth more processes: those take about a second to start."""


@dataclass(frozen=True, slots=True)
class Verified:
    """What a verification read, and all that it found, by plot and path."""

    guides: int
    files: int
    problems: tuple[TreeProblem, ...]
    papers: int = 0


def verify(out: Path, folder: Path | None = None, papers: Iterable[Path] = ()) -> Verified:
    """Compare a tree with its records, which lie beside it or in ``folder``; read papers too, by the folders
    that they were written to."""
    records = known_records(out, folder)
    unreadable = set(records.codes())
    guides = 0
    files: dict[str, str] = {}
    plots: dict[str, str] = {}
    foreign: list[TreeProblem] = []
    for record in records.all():
        unreadable.discard(record.code)
        foreign += _words_of_others(out, record)
        guides += 1
        files.update(record.files)
        plots.update(_plot_of(record))
    files.update(records.shared())
    problems = [
        *(TreeProblem(plots.get(path, SHARED), fault, path) for path, fault in faults(out, files)),
        *(TreeProblem(plots.get(_folder(path), NOBODY), Fault.STRAY, path) for path in tree_files(out) if path not in files),
        *foreign,
        *(TreeProblem(NOBODY, Fault.UNREADABLE, f"g/{code}/") for code in unreadable),
    ]  # fmt: skip
    printed = verify_papers(papers, records.all())
    return Verified(guides, len(files), tuple(sorted([*problems, *printed.problems])), printed.read)


def _words_of_others(out: Path, record: GuideRecord) -> Iterator[TreeProblem]:
    """The pages and the calendar of a plot that say words which only other homes may read."""
    for path in record.files if record.others else ():
        if path.endswith((".html", ".ics")) and (content := _content(f"{out}/{path}")) is not None:
            for word in words_said(content, record.others):
                told = f"{path}: '{word}' is for homes with this: {record.others[word]}"
                yield TreeProblem(record.reference, Fault.OTHERS, told)


def known_records(out: Path, folder: Path | None) -> Records:
    """The records of a tree. UsageError where there is no tree, or where there are no records."""
    if not out.is_dir():
        raise UsageError(f"There is no folder '{out}'. Build the guides first, or name their tree.")
    records = Records(out, folder)
    if not records.exist():
        otherwise = (
            "Name the folder that holds 'guides' and 'shared.json'."
            if folder
            else "Build the guides again, or, for a tree that was copied, name its records: --records DIR."
        )
        raise UsageError(
            f"There are no records of '{out}': nothing was found in '{records.folder}'. {otherwise}"
        )
    return records


def _plot_of(record: GuideRecord) -> Iterator[tuple[str, str]]:
    """The plot of each file of a record, and of each coded folder that its files lie in."""
    yield f"g/{record.code}", record.reference
    for path in record.files:
        yield path, record.reference
        yield _folder(path), record.reference


def _folder(path: str) -> str:
    """The coded folder that a file lies in: "g/CODE"."""
    return "/".join(path.split("/")[:2])


def faults(out: Path, files: Mapping[str, str]) -> Iterator[tuple[str, Fault]]:
    """Each file that is not there, or not as recorded, in the order given."""
    listed = list(files.items())
    chunks = [listed[start : start + _CHUNK] for start in range(0, len(listed), _CHUNK)]
    with _executor(len(listed)) as executor:
        for found in executor.map(partial(_faults, os.fspath(out)), chunks):
            yield from found


def _executor(files: int) -> Executor:
    """Threads; processes for a great many files, because opening small ones holds up threads."""
    cores = os.cpu_count() or 1
    if files < _MANY:
        return ThreadPoolExecutor(cores)
    return ProcessPoolExecutor(cores, mp_context=get_context("spawn"))


def _faults(root: str, chunk: Iterable[tuple[str, str]]) -> list[tuple[str, Fault]]:
    read = ((path, digest, _content(f"{root}/{path}")) for path, digest in chunk)
    return [
        (path, Fault.MISSING if content is None else Fault.DIFFERS)
        for path, digest, content in read
        if content is None or digest_of(content) != digest
    ]


def _content(path: str) -> bytes | None:
    try:
        with open(path, "rb", buffering=0) as file:
            return file.read()
    except OSError:
        return None


def digest_of(content: bytes) -> str:
    """What records keep of a file: its SHA-256 in lower-case hexadecimal."""
    return hashlib.sha256(content, usedforsecurity=False).hexdigest()


def tree_files(out: Path) -> Iterator[str]:
    """Every file below a tree by its path, but for what a running build keeps there."""
    waiting = [(os.fspath(out), "")]
    while waiting:
        folder, label = waiting.pop()
        with os.scandir(folder) as entries:
            for entry in entries:
                if _is_kept(entry.name):
                    continue
                if entry.is_dir(follow_symlinks=False):
                    waiting.append((entry.path, f"{label}{entry.name}/"))
                else:
                    yield f"{label}{entry.name}"


def _is_kept(name: str) -> bool:
    return name[0] == "." and any(fnmatchcase(name, kept) for kept in KEPT_BY_A_BUILD)


def without_code(path: str) -> str:
    """A path for people: of a code only as much as finds its folder, and opens no guide."""
    steps = path.split("/")
    for number, step in enumerate(steps[1:], 1):
        if steps[number - 1] in _CODED:
            steps[number] = f"{step[:_SHOWN_OF_A_CODE]}…"
    return "/".join(steps)


def by_plot(problems: Iterable[TreeProblem]) -> dict[str, dict[Fault, int]]:
    """How many files of each plot have which fault; plots in the order given."""
    counts: dict[str, dict[Fault, int]] = defaultdict(lambda: dict.fromkeys(Fault, 0))
    for problem in problems:
        counts[problem.about][problem.fault] += 1
    return dict(counts)
