"""What was made of each file of a workspace, kept while the file is the same: for a program that reads
one workspace again and again, and finds most of it as it was."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, TypeVar

from builder.errors import Finding, Findings

T = TypeVar("T")
Stamp = tuple[int, int, int, int]


def stamp_of(path: str | Path) -> Stamp | None:
    """What changes with a file: its two times in nanoseconds, its size and its number on the disk."""
    try:
        about = os.stat(path)
    except OSError:
        return None
    return about.st_mtime_ns, about.st_ctime_ns, about.st_size, about.st_ino


def files_below(folder: Path) -> Iterator[str]:
    """Every file in a folder and in those inside it; hidden ones are nobody's."""
    for top, folders, files in os.walk(folder):
        folders[:] = sorted(each for each in folders if not each.startswith("."))
        yield from (os.path.join(top, each) for each in sorted(files) if not each.startswith("."))


class KeptFiles:
    """The results of one reading of files, for the next one.

    What is made of a file must be made from that file alone, and from the parts that are named with it.
    """

    def __init__(self) -> None:
        self._made: dict[tuple[str, Path], tuple[tuple[object, ...], Any, tuple[Finding, ...]]] = {}

    def made(
        self,
        what: str,
        path: Path,
        make: Callable[[Findings], T],
        findings: Findings,
        *parts: object,
    ) -> T:
        """What ``make`` gives of a file and all that it finds in it, from the last time where neither
        the file nor the other parts have changed."""
        stamp = stamp_of(path)
        if stamp is None:
            self._made.pop((what, path), None)
        return self._from_last_time((what, path), (stamp, *parts), make, findings)

    def made_of_folder(
        self,
        what: str,
        folder: Path,
        make: Callable[[Findings], T],
        findings: Findings,
        *parts: object,
    ) -> T:
        """What is made of all files of a folder and of those inside it; a folder that is not there has none."""
        files = tuple((path, stamp_of(path)) for path in files_below(folder))
        return self._from_last_time((what, folder), (files, *parts), make, findings)

    def _from_last_time(
        self,
        key: tuple[str, Path],
        now: tuple[object, ...],
        make: Callable[[Findings], T],
        findings: Findings,
    ) -> T:
        kept = self._made.get(key)
        if kept is None or kept[0] != now:
            found = Findings()
            kept = now, make(found), tuple(found)
            self._made[key] = kept
        findings.extend(kept[2])
        result: T = kept[1]
        return result
