"""The register of issued codes: one append-only CSV file in each development's folder.

A line, once written, is never changed or taken out: a sticker on a wall may carry its code.
Columns: ``code``, ``issued`` (a date), ``leads_to`` (guide, sticker, or void), ``plot``, and for a
sticker the ``equipment``, ``kind``, ``room`` and ``make`` at the time, so that its page can say
what has changed. A line of ``void`` takes back the code of an earlier line.
"""

import csv
import io
import os
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Literal, get_args

from filelock import FileLock, Timeout

from builder.errors import Finding, Findings, FindingsError, HandoverError, Place
from builder.register.codes import REGISTER, draw, sound
from builder.saving import left_out_of_git, private_folder
from builder.sources.folder import Folder

NAME = REGISTER
LOCKS = ".handover"
"""The folder of a workspace in which runs keep each other out of what they write."""
LeadsTo = Literal["guide", "sticker", "void"]
HEADER = ("code", "issued", "leads_to", "plot", "equipment", "kind", "room", "make")
_WAIT = 30.0
"""Seconds to wait for another builder that is issuing codes for the same development."""
_RESTORE = "Put the line back as it was issued, from the history of this file."


@dataclass(frozen=True, slots=True)
class Wanted:
    """Something that is to have a code: a plot's guide, or the sticker of one piece of it."""

    leads_to: LeadsTo
    plot: str
    equipment: str = ""
    kind: str = ""
    room: str = ""
    make: str = ""


@dataclass(frozen=True, slots=True)
class Issued:
    """One line of the register, and the line of its file."""

    code: str
    issued: date
    wanted: Wanted
    line: int


@dataclass(frozen=True)
class Register:
    """All issued codes of one development, in the order they were issued."""

    file: str
    lines: tuple[Issued, ...]

    @cached_property
    def void(self) -> frozenset[str]:
        """The codes that were taken back."""
        return frozenset(each.code for each in self.lines if each.wanted.leads_to == "void")

    @cached_property
    def codes(self) -> tuple[Issued, ...]:
        """Every code that was ever issued, void or not."""
        return tuple(each for each in self.lines if each.wanted.leads_to != "void")

    @cached_property
    def _guides(self) -> Mapping[str, str]:
        """The guide code by the number that it was issued for."""
        guides = (each for each in self.codes if each.wanted.leads_to == "guide")
        return {each.wanted.plot: each.code for each in guides}

    @cached_property
    def _stickers(self) -> Mapping[str, tuple[Issued, ...]]:
        """The stickers by the number that they were issued for."""
        found: dict[str, list[Issued]] = {}
        for each in self.codes:
            if each.wanted.leads_to == "sticker":
                found.setdefault(each.wanted.plot, []).append(each)
        return {number: tuple(listed) for number, listed in found.items()}

    @cached_property
    def _by_plot(self) -> Mapping[str, tuple[Issued, ...]]:
        """The lines by the number that they were written for."""
        found: dict[str, list[Issued]] = {}
        for each in self.lines:
            found.setdefault(each.wanted.plot, []).append(each)
        return {number: tuple(listed) for number, listed in found.items()}

    def about(self, plots: Iterable[str]) -> "Register":
        """What this register says of some numbers: small enough to send to another process."""
        found = [each for number in dict.fromkeys(plots) for each in self._by_plot.get(number, ())]
        return Register(self.file, tuple(sorted(found, key=lambda each: each.line)))

    def guide(self, plots: Iterable[str]) -> str | None:
        """The guide code of a plot, under any of the numbers that it has had."""
        return next((self._guides[plot] for plot in plots if plot in self._guides), None)

    def stickers(self, plots: Iterable[str]) -> tuple[Issued, ...]:
        """The sticker codes of a plot, under any of the numbers that it has had."""
        found = [each for number in dict.fromkeys(plots) for each in self._stickers.get(number, ())]
        return tuple(sorted(found, key=lambda each: each.line))


def read_register(folder: Folder, development: str, findings: Findings) -> Register:
    """The register of a development; mistakes are findings."""
    path = folder.root / "developments" / development / NAME
    file = folder.name(path)
    if not path.exists() and not path.is_symlink():
        return Register(file, ())
    text = folder.read(path, findings)
    return Register(file, () if text is None else _Lines(file, findings).read(text))


class _Lines:
    """One register on its way to issued codes."""

    def __init__(self, file: str, findings: Findings) -> None:
        self.file = file
        self.findings = findings
        self._codes: dict[str, int] = {}
        self._guides: dict[str, int] = {}
        self._void: dict[str, int] = {}

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
        problem = self._problem(cells) or self._twice(cells, number)
        if problem is not None:
            self._refuse(number, *problem)
            return None
        code, day, leads_to, *about = cells
        return Issued(code, date.fromisoformat(day), _wanted(leads_to, about), number)

    def _problem(self, cells: list[str]) -> tuple[str, str] | None:
        if len(cells) != len(HEADER):
            return f"This line has {len(cells)} cells; {len(HEADER)} are wanted.", _RESTORE
        code, day, leads_to = cells[:3]
        if not sound(code):
            return f"'{code}' is not a code: a letter was lost or changed.", _RESTORE
        if leads_to not in get_args(LeadsTo):
            choices = ", ".join(get_args(LeadsTo))
            return f"'{leads_to}' is not what a code leads to.", f"Write one of {choices}."
        if leads_to == "sticker" and not cells[4]:
            return "This sticker names no equipment.", _RESTORE
        try:
            date.fromisoformat(day)
        except ValueError:
            return f"'{day}' is not a date.", _RESTORE
        return None

    def _twice(self, cells: list[str], number: int) -> tuple[str, str] | None:
        code, _, leads_to, plot = cells[:4]
        if leads_to == "void" and code not in self._codes:
            return f"'{code}' is void, and was never issued above.", _RESTORE
        seen = [(self._void if leads_to == "void" else self._codes, code)]
        if leads_to == "guide":
            seen.append((self._guides, plot))
        for earlier, key in seen:
            if key in earlier:
                wrong = f"'{key}' stands here twice; the first is on line {earlier[key]}."
                return wrong, "Keep the line that was published first."
        for earlier, key in seen:
            earlier[key] = number
        return None

    def _refuse(self, line: int, wrong: str, right: str) -> None:
        self.findings.add(Finding("register.line", Place(self.file, line), wrong, right))


def _wanted(leads_to: str, about: list[str]) -> Wanted:
    named = next(each for each in get_args(LeadsTo) if each == leads_to)
    return Wanted(named, *about)


def issue(
    folder: Folder,
    development: str,
    missing: Callable[[Register], Iterable[Wanted]],
    day: date,
) -> Register:
    """The register after a new code for all that ``missing`` finds in it. Safe while others issue.

    A register with mistakes is left as it is: FindingsError carries them.
    """
    new = _Issuing(day, missing)
    return _append(folder, development, new.lines)


def keep_drawn(folder: Folder, development: str, drawn: Mapping[str, str], day: date) -> Register:
    """The register after guide codes that were drawn before are in it; ``drawn``: by plot number.

    A plot that has got another code meanwhile, from another builder, keeps that one.
    """

    def lines(register: Register) -> Iterator[tuple[str, ...]]:
        for number, code in drawn.items():
            if register.guide((number,)) is None:
                yield _cells(code, day, Wanted("guide", number))

    return _append(folder, development, lines)


def take_back(folder: Folder, development: str, code: str, day: date) -> Register:
    """The register after a code was made void."""

    def lines(register: Register) -> Iterator[tuple[str, ...]]:
        issued = next((each for each in register.codes if each.code == code), None)
        if issued is None:
            raise HandoverError(f"'{code}' was not issued in '{development}'.")
        if code not in register.void:
            yield _cells(code, day, Wanted("void", issued.wanted.plot, issued.wanted.equipment))

    return _append(folder, development, lines)


@dataclass(frozen=True, slots=True)
class _Issuing:
    """Draws codes for what a register lacks; no code that it has ever held is drawn again."""

    day: date
    missing: Callable[[Register], Iterable[Wanted]]

    def lines(self, register: Register) -> Iterator[tuple[str, ...]]:
        taken = {each.code for each in register.lines}
        for wanted in self.missing(register):
            code = draw()
            while code in taken:
                code = draw()
            taken.add(code)
            yield _cells(code, self.day, wanted)


def _cells(code: str, day: date, wanted: Wanted) -> tuple[str, ...]:
    about = (wanted.plot, wanted.equipment, wanted.kind, wanted.room, wanted.make)
    return (code, day.isoformat(), wanted.leads_to, *about)


def _append(
    folder: Folder, development: str, lines: Callable[[Register], Iterable[tuple[str, ...]]]
) -> Register:
    """Read, add and write while no other builder does."""
    path = folder.root / "developments" / development / NAME
    try:
        lock = _lock(folder, development)
        with FileLock(lock, timeout=_WAIT, mode=0o600):
            new = list(lines(_sound_register(folder, development)))
            if new:
                _write(path, new)
            return _sound_register(folder, development)
    except Timeout:
        raise HandoverError(
            f"Another builder is issuing codes for '{development}'. Try again when it has ended."
        ) from None
    except OSError as error:
        raise HandoverError(f"'{path}' cannot be written: {error.strerror}.") from error


def _lock(folder: Folder, development: str) -> Path:
    """By the workspace's true place, whatever links and spellings lead to it."""
    locks = private_folder(folder.root.resolve() / LOCKS)
    left_out_of_git(locks)
    return locks / f"register-{development}.lock"


def _sound_register(folder: Folder, development: str) -> Register:
    findings = Findings()
    register = read_register(folder, development, findings)
    if findings.errors:
        raise FindingsError(findings.errors)
    return register


def _write(path: Path, lines: list[tuple[str, ...]]) -> None:
    """All lines or none, whenever it is stopped: written whole beside it, to the disk, and put in its
    place."""
    place = path.resolve()
    before = place.read_bytes() if place.exists() else b""
    text = io.StringIO()
    if before and not before.endswith(b"\n"):
        text.write("\n")
    csv.writer(text, lineterminator="\n").writerows(lines if before else [HEADER, *lines])
    draft = place.with_name(f".{place.name}.new")
    try:
        with draft.open("wb") as file:
            file.write(before + text.getvalue().encode())
            file.flush()
            os.fsync(file.fileno())
        if before:
            shutil.copymode(place, draft)
        draft.replace(place)
    except OSError:
        draft.unlink(missing_ok=True)
        raise
