"""The register of issued codes: one append-only CSV file in each development's folder.

A line, once written, is never changed or taken out: a sticker on a wall may carry its code.
Columns: ``code``, ``issued`` (a date), ``leads_to`` (``guide``), ``plot``.
"""

import csv
import io
import os
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from filelock import FileLock, Timeout

from builder.errors import Finding, Findings, HandoverError, Place
from builder.publish.codes import draw, sound
from builder.sources.folder import Folder
from builder.sources.workspace import Workspace

NAME = "register.csv"
LOCK = ".register.lock"
HEADER = ("code", "issued", "leads_to", "plot")
LEADS_TO = ("guide",)
_WAIT = 30.0
"""Seconds to wait for another builder that is issuing codes for the same development."""


@dataclass(frozen=True, slots=True)
class Issued:
    """One line: a code, the day it was issued, and what it leads to."""

    code: str
    issued: date
    leads_to: str
    plot: str


def read_register(folder: Folder, development: str, findings: Findings) -> tuple[Issued, ...]:
    """The issued codes of a development, in the order they were issued; mistakes are findings."""
    path = folder.root / "developments" / development / NAME
    if not path.exists() and not path.is_symlink():
        return ()
    text = folder.read(path, findings)
    if text is None:
        return ()
    return _Lines(folder.name(path), findings).read(text)


def check_registers(workspace: Workspace, findings: Findings) -> None:
    """Read the register of every development, for the findings alone."""
    for development in workspace.developments:
        read_register(workspace.folder, development, findings)


class _Lines:
    """One register on its way to issued codes."""

    def __init__(self, file: str, findings: Findings) -> None:
        self.file = file
        self.findings = findings
        self.codes: dict[str, int] = {}
        self.guides: dict[str, int] = {}

    def read(self, text: str) -> tuple[Issued, ...]:
        lines = text.split("\n")
        if tuple(lines[0].split(",")) != HEADER:
            self._refuse(
                1, f"The first line is not '{','.join(HEADER)}'.", "Put that line back at the top."
            )
            return ()
        issued = [self._line(number, line) for number, line in enumerate(lines[1:], 2) if line]
        return tuple(each for each in issued if each is not None)

    def _line(self, number: int, line: str) -> Issued | None:
        if line.startswith(("<<<<<<<", "=======", ">>>>>>>")):
            self._refuse(
                number,
                "Two versions of this file were merged, and this mark was left.",
                "Keep the lines of both versions and delete the marks.",
            )
            return None
        cells = next(csv.reader([line]))
        problem = self._problem(cells)
        if problem is not None:
            self._refuse(number, *problem)
            return None
        code, day, leads_to, plot = cells
        for seen, key in ((self.codes, code), (self.guides, plot)):
            if key in seen:
                self._refuse(
                    number,
                    f"'{key}' stands here twice; the first is on line {seen[key]}.",
                    "Keep the line that was published first.",
                )
                return None
            seen[key] = number
        return Issued(code, date.fromisoformat(day), leads_to, plot)

    def _problem(self, cells: list[str]) -> tuple[str, str] | None:
        if len(cells) != len(HEADER):
            return f"This line has {len(cells)} cells; {len(HEADER)} are wanted.", _RESTORE
        code, day, leads_to, _ = cells
        if not sound(code):
            return f"'{code}' is not a code: a letter was lost or changed.", _RESTORE
        if leads_to not in LEADS_TO:
            return f"'{leads_to}' is not what a code leads to.", f"Write {' or '.join(LEADS_TO)}."
        try:
            date.fromisoformat(day)
        except ValueError:
            return f"'{day}' is not a date.", _RESTORE
        return None

    def _refuse(self, line: int, wrong: str, right: str) -> None:
        self.findings.add(Finding("register.line", Place(self.file, line), wrong, right))


_RESTORE = "Put the line back as it was issued, from the history of this file."


def issue_guides(
    folder: Folder, development: str, plots: Iterable[str], day: date
) -> dict[str, str]:
    """The guide code of each plot, issued now where it has none. Safe while others do the same.

    A register with mistakes is left as it is, and FindingsError is for the caller to raise.
    """
    path = folder.root / "developments" / development / NAME
    try:
        with FileLock(path.with_name(LOCK), timeout=_WAIT):
            return _issue(folder, development, path, plots, day)
    except Timeout:
        raise HandoverError(
            f"Another builder holds '{path.with_name(LOCK)}'. Try again when it has ended."
        ) from None
    except OSError as error:
        raise HandoverError(f"'{path}' cannot be written: {error.strerror}.") from error


def _issue(
    folder: Folder, development: str, path: Path, plots: Iterable[str], day: date
) -> dict[str, str]:
    findings = Findings()
    known = {each.plot: each.code for each in read_register(folder, development, findings)}
    if findings.errors:
        raise HandoverError("\n".join(map(str, findings.errors)))
    new = {plot: draw() for plot in plots if plot not in known}
    if new:
        _append(path, [(code, day.isoformat(), "guide", plot) for plot, code in new.items()])
    return known | new


def _append(path: Path, lines: list[tuple[str, str, str, str]]) -> None:
    """All lines in one write that reaches the disk, or none: what was there is never touched."""
    begins = not path.exists() or path.stat().st_size == 0
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([HEADER, *lines] if begins else lines)
    size = 0 if begins else path.stat().st_size
    with path.open("a", encoding="utf-8", newline="") as file:
        try:
            file.write(text.getvalue())
            file.flush()
            os.fsync(file.fileno())
        except OSError:
            os.truncate(path, size)
            raise
