"""Reads a register, and finds what was lost, changed, moved or put together by hand.

One CSV file in each development's folder, of any length. A line, once written, is never changed or
taken out: a sticker on a wall may carry its code. Columns: ``code``, ``issued`` (a date), ``leads_to``
(guide, sticker, or void), ``plot``, and for a sticker the ``equipment``, ``kind``, ``room`` and
``make`` at the time, so that its page can say what has changed. A line of ``void`` takes back the code
of an earlier line. The last column, ``chain``, is a digest of the line and of all lines above it.
"""

import csv
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final, get_args

from builder.errors import Finding, Findings, Place, Severity
from builder.register.chain import CHAIN, START, Seal, chain_of, chained, read_seal, sealed_beside
from builder.register.codes import REGISTER, sound
from builder.register.lines import COLUMNS, Issued, LeadsTo, Register, WantedCode
from builder.sources.folder import Folder, text_of

HEADER: Final = (*COLUMNS, CHAIN)
MARK: Final = re.compile(r"<{7}|\|{7}|={7}|>{7}")
"""How a line begins that git left where two versions of a file do not go together."""

_RESTORE = "Put the line back as it was issued, from the history of this file."
_WHOLE = "Put the file back as it was, from the history of the project."


@dataclass(frozen=True, slots=True)
class WrittenRegister:
    """One line as it stands: its number in the file, its cells, and its digest if it has one."""

    number: int
    cells: tuple[str, ...]
    digest: str


ReadRegister = Callable[[Folder, str, Findings], Register]
"""Reads the register of a development in a folder, with its mistakes."""


def register_file(folder: Folder, development: str) -> Path:
    """Where the register of a development lies."""
    return folder.root / "developments" / development / REGISTER


def read_register(folder: Folder, development: str, findings: Findings) -> Register:
    """The register of a development; mistakes are findings."""
    path = register_file(folder, development)
    file, seal = folder.name(path), read_seal(folder, path, findings)
    if not path.exists() and not path.is_symlink():
        if seal is not None and seal.lines:
            findings.add(_finding_of_gone(file, seal))
        return Register(file, ())
    content = folder.content(path, findings, largest=None)
    text = None if content is None else text_of(content, file, findings)
    return Register(file, ()) if text is None else RegisterText(file, findings).read(text, seal)


class RegisterText:
    """The text of one register on its way to issued codes."""

    def __init__(self, file: str, findings: Findings) -> None:
        self.file = file
        self.findings = findings
        self.development = Path(file).parent.name
        self._codes: dict[str, int] = {}
        self._void: dict[str, int] = {}

    def read(self, text: str, seal: Seal | None) -> Register:
        """All that a text says; ``seal`` is what lies beside it."""
        marks = [number for number, line in _numbered(text) if line.startswith("<<<<<<<")]
        if marks or any(MARK.match(line) for _, line in _numbered(text)):
            self._put_together(marks[0] if marks else 1)
            return Register(self.file, ())
        before = len(self.findings.errors)
        written = self.written(text)
        if written is None:
            return Register(self.file, ())
        issued = [self.issued(each) for each in written]
        lines = tuple(each for each in issued if each is not None)
        if before == len(self.findings.errors):
            self._check_chain(written, seal, earlier=is_earlier(text))
        if before == len(self.findings.errors):
            self._check_guides(Register(self.file, lines))
        return Register(self.file, lines, earlier=is_earlier(text))

    def written(self, text: str) -> list[WrittenRegister] | None:
        """Every line as it stands, or nothing and a finding where the first line is another."""
        _, *lines = text.split("\n")
        header = header_of(text)
        if header not in (HEADER, COLUMNS):
            self._refuse(
                1, f"The first line is not '{','.join(HEADER)}'.", "Put that line back at the top."
            )
            return None
        width = len(header)
        numbered = [(number, line) for number, line in enumerate(lines, 2) if line.strip()]
        found = [self._register_written(number, line, width) for number, line in numbered]
        if not found:
            self._refuse(1, "This register holds no line: the codes that were issued are lost.", _WHOLE)  # fmt: skip
        return [each for each in found if each is not None]

    def _register_written(self, number: int, line: str, width: int) -> WrittenRegister | None:
        try:
            cells = next(csv.reader([line], strict=True)) if '"' in line else line.split(",")
        except csv.Error as error:
            self._refuse(number, f"This line cannot be read: {error}.", _RESTORE)
            return None
        if len(cells) != width:
            self._refuse(number, f"This line has {len(cells)} cells; {width} are wanted.", _RESTORE)
            return None
        digest = cells[len(COLUMNS)] if width > len(COLUMNS) else ""
        return WrittenRegister(number, tuple(cells[: len(COLUMNS)]), digest)

    def issued(self, written: WrittenRegister) -> Issued | None:
        problem = _problem(written.cells) or self._twice(written)
        if problem is not None:
            self._refuse(written.number, *problem)
            return None
        code, day, leads_to, *about = written.cells
        named = next(each for each in get_args(LeadsTo) if each == leads_to)
        return Issued(code, date.fromisoformat(day), WantedCode(named, *about), written.number)

    def _twice(self, written: WrittenRegister) -> tuple[str, str] | None:
        code, _, leads_to = written.cells[:3]
        if leads_to == "void" and code not in self._codes:
            return f"'{code}' is void, and was never issued above.", _RESTORE
        seen = self._void if leads_to == "void" else self._codes
        if code in seen:
            wrong = f"'{code}' stands here twice; the first is on line {seen[code]}."
            return wrong, "Keep the line that was published first."
        seen[code] = written.number
        return None

    def _check_guides(self, register: Register) -> None:
        for plot, (first, *others) in register.guides.items():
            for each in others:
                wrong = f"'{plot}' stands here twice; the first is on line {first.line}."
                self._refuse(each.line, wrong, f"Run 'handover stickers merge {self.development} --keep CODE' with the code that its buyer was given.")  # fmt: skip

    def _check_chain(
        self, written: Sequence[WrittenRegister], seal: Seal | None, *, earlier: bool
    ) -> None:
        digests = digests_of(written, earlier=earlier)
        broken = [] if earlier else _broken(written)
        if broken:
            self._tell_of(broken, written)
        elif seal is not None:
            self._check_seal(seal, written, digests)
        elif not earlier:
            self._refuse(1, f"'{sealed_beside(Path(self.file)).name}' is missing beside this register: nobody can tell whether its last lines are there.",
                         f"Put it back from the history of the project. Where it never was, run 'handover stickers merge {self.development}', which seals what stands here.")  # fmt: skip
        if earlier:
            self.findings.add(_earlier(self.file))

    def _check_seal(
        self, seal: Seal, written: Sequence[WrittenRegister], digests: list[str]
    ) -> None:
        lost = seal.lines - len(written)
        if lost > 0:
            last = f"The last {lost} lines are" if lost > 1 else "The last line is"
            self._refuse(written[-1].number, f"{last} lost: the seal says that {seal.lines} codes were issued, and {len(written)} stand here.", _WHOLE)  # fmt: skip
        elif seal.lines and digests[seal.lines - 1] != seal.digest:
            self._refuse(written[seal.lines - 1].number, "This line is not the one that was sealed: it, or a line above it, is of another version of this register.",
                         f"{_WHOLE} Where two branches were put together, run 'handover stickers merge {self.development}'.")  # fmt: skip

    def _tell_of(self, broken: list[WrittenRegister], written: Sequence[WrittenRegister]) -> None:
        """One finding for all that does not follow: what happened once breaks many lines."""
        first, more = broken[0], len(broken) - 1
        for each in written[: written.index(first)]:
            if chained(each.digest, first.cells) == first.digest:
                how = f"This line follows line {each.number}, not the one above it: "
                self._put_together(first.number, how)
                return
        if chained(START, first.cells) == first.digest:
            self._put_together(first.number, "This is a first line, and it has lines above it: ")
            return
        also = f" So it is with {more} more line{'' if more == 1 else 's'}." if more else ""
        self._refuse(first.number, f"This line does not follow the one above it: one of them was changed, or a line between them was lost or moved.{also}", _WHOLE)  # fmt: skip

    def _put_together(self, line: int, how: str = "") -> None:
        told = f"{how}two versions of this register were put together by hand."
        wrong = (
            told if how else "Two branches added codes, and git left its marks between their lines."
        )
        right = f"Run 'handover stickers merge {self.development}': it keeps every line of both, and seals them."  # fmt: skip
        self._refuse(line, wrong, right)

    def _refuse(self, line: int, wrong: str, right: str) -> None:
        self.findings.add(Finding("register.line", Place(self.file, line), wrong, right))


def follows(written: Sequence[WrittenRegister]) -> bool:
    """Whether each line follows one above it, if not the last one: then none of them was changed, and
    none that they need is lost."""
    known, last = [START], START
    for each in written:
        if each.digest != chained(last, each.cells) and not any(
            each.digest == chained(above, each.cells) for above in known
        ):
            return False
        last = each.digest
        known.append(last)
    return True


def digests_of(written: Sequence[WrittenRegister], *, earlier: bool) -> list[str]:
    """The digests that lines carry, or that those of the earlier form would."""
    if earlier:
        return list(chain_of(each.cells for each in written))
    return [each.digest for each in written]


def _broken(written: Sequence[WrittenRegister]) -> list[WrittenRegister]:
    """The lines that do not follow the one above them."""
    above = START
    found = []
    for each in written:
        if chained(above, each.cells) != each.digest:
            found.append(each)
        above = each.digest
    return found


def _problem(cells: Sequence[str]) -> tuple[str, str] | None:
    """What is wrong with the cells of a line by themselves, and what would be right."""
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


def _numbered(text: str) -> Iterator[tuple[int, str]]:
    return enumerate(text.split("\n"), 1)


def header_of(text: str) -> tuple[str, ...]:
    """The names of a register's columns; none where its first line is no line of a table."""
    try:
        return tuple(next(csv.reader([text.split("\n", 1)[0]]), ()))
    except csv.Error:
        return ()


def is_earlier(text: str) -> bool:
    """Whether a register is of the form that has no digests yet."""
    return header_of(text) == COLUMNS


def _finding_of_gone(file: str, seal: Seal) -> Finding:
    return Finding(
        "register.line", Place(file),
        f"This register is gone, and its seal says that {seal.lines} codes were issued.", _WHOLE,
    )  # fmt: skip


def _earlier(file: str) -> Finding:
    return Finding(
        "register.earlier", Place(file),
        "This register is of the earlier form: its lines carry no digests, so that nobody sees what was changed or lost.",
        "The next 'handover build' or 'handover stickers issue' takes it over, once. Keep both files that it writes under version control.",
        severity=Severity.NOTE,
    )  # fmt: skip
