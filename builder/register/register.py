"""Writes the register of issued codes: lines are added, and never changed or taken out.

What is written is read again before it takes the place of what was there. A register of the earlier
form, whose lines carry no digests, is taken over once, and that is said.
"""

import re
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from filelock import FileLock, Timeout

from builder.disk import left_out_of_git, true_place, without_links, write_to_disk
from builder.errors import Finding, Findings, FindingsError, HandoverError, Place, Severity
from builder.register.chain import START, Seal, chain_of, read_seal, write_seal
from builder.register.codes import draw
from builder.register.lines import Issued, Register, WantedCode
from builder.register.reading import HEADER, RegisterText, read_register, register_file
from builder.sources.folder import Folder, text_of
from builder.sources.workspace import PlotSource, Workspace
from builder.tables import lines_of

LOCKS = ".handover"
"""The folder of a workspace in which runs keep each other out of what they write."""
_WAIT = 30.0
"""Seconds to wait for another builder that is issuing codes for the same development."""
_NO_LINE = re.compile(r"[\s\x00-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\ud800-\udfff]+")

Line = tuple[str, ...]
"""The cells of one line, without its digest."""


def issue(
    folder: Folder,
    development: str,
    missing: Callable[[Register], Iterable[WantedCode]],
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

    def lines(register: Register) -> Iterator[Line]:
        for number, code in drawn.items():
            if register.guide((number,)) is None:
                yield cells_of(code, day, WantedCode("guide", number))

    return _append(folder, development, lines)


def take_back(folder: Folder, development: str, code: str, day: date) -> Register:
    """The register after a code was made void."""

    def lines(register: Register) -> Iterator[Line]:
        issued = next((each for each in register.codes if each.code == code), None)
        if issued is None:
            raise HandoverError(f"'{code}' was not issued in '{development}'.")
        if code not in register.void:
            yield cells_of(
                code, day, WantedCode("void", issued.wanted.plot, issued.wanted.equipment)
            )

    return _append(folder, development, lines)


def replace_guide(folder: Folder, plot: PlotSource, day: date) -> Register:
    """The register after the guide of a plot has another code, and each one before is void for good,
    also where another development issued it. HandoverError where there is none."""
    voided = [
        name
        for name in dict.fromkeys(each.partition("/")[0] for each in plot.references)
        if _void_guides(folder, name, plot.references, day)
    ]
    if not voided:
        raise HandoverError(f"The guide of '{plot.reference}' has no address yet. Build it first.")
    return issue(folder, plot.development, lambda _: (WantedCode("guide", plot.number),), day)


def _void_guides(folder: Folder, development: str, references: Iterable[str], day: date) -> bool:
    """Take back the guide codes of a plot in one register; whether it held any."""
    before: list[Issued] = []

    def lines(register: Register) -> Iterator[Line]:
        for number, issued in register.guides.items():
            before.extend(issued if f"{development}/{number}" in references else ())
        for each in before:
            yield cells_of(each.code, day, WantedCode("void", each.wanted.plot))

    _append(folder, development, lines)
    return bool(before)


def take_over(folder: Folder, development: str) -> Register:
    """The register after its lines carry digests, if it was of the earlier form."""
    return _append(folder, development, lambda _: ())


@dataclass(frozen=True, slots=True)
class _Issuing:
    """Draws codes for what a register lacks; no code that it has ever held is drawn again."""

    day: date
    missing: Callable[[Register], Iterable[WantedCode]]

    def lines(self, register: Register) -> Iterator[Line]:
        taken = {each.code for each in register.lines}
        for wanted in self.missing(register):
            code = draw()
            while code in taken:
                code = draw()
            taken.add(code)
            yield cells_of(code, self.day, wanted)


def cells_of(code: str, day: date, wanted: WantedCode) -> Line:
    """What a new line says. Each cell is one line of text, whatever the data holds."""
    about = (wanted.plot, wanted.equipment, wanted.kind, wanted.room, wanted.make)
    return (code, day.isoformat(), wanted.leads_to, *(_NO_LINE.sub(" ", each) for each in about))


def _append(
    folder: Folder, development: str, lines: Callable[[Register], Iterable[Line]]
) -> Register:
    """Read, add and write while no other builder does."""
    with written_alone(folder, development):
        register = _sound_register(folder, development)
        new = list(lines(register))
        if new or register.earlier:
            before = [each.cells for each in register.lines]
            write(folder, development, [*before, *new], afresh=register.earlier)
        return _sound_register(folder, development)


@contextmanager
def written_alone(folder: Folder, development: str) -> Iterator[None]:
    """Keep all others from writing a register meanwhile. What the disk refuses is HandoverError."""
    path = register_file(folder, development)
    try:
        with FileLock(_lock(folder, development), timeout=_WAIT, mode=0o666):
            yield
    except Timeout:
        raise HandoverError(
            f"Another builder is issuing codes for '{development}'. Try again when it has ended."
        ) from None
    except OSError as error:
        raise HandoverError(f"'{path}' cannot be written: {error.strerror}.") from error


def _lock(folder: Folder, development: str) -> Path:
    """By the workspace's true place, whatever links and spellings lead to it. Locks hold nothing, and
    all who share a workspace need them."""
    root = true_place(folder.root)
    locks = without_links(root / LOCKS, root)
    locks.mkdir(exist_ok=True)
    left_out_of_git(locks, private=False)
    return locks / f"register-{development}.lock"


def _sound_register(folder: Folder, development: str) -> Register:
    findings = Findings()
    register = read_register(folder, development, findings)
    if findings.errors:
        raise FindingsError(findings.errors)
    return register


def write(folder: Folder, development: str, lines: Sequence[Line], *, afresh: bool) -> None:
    """All lines or none, whenever it is stopped; then their seal. OSError where the disk refuses.

    ``lines`` are all that the register is to hold, of which those that it holds keep their bytes, but
    for ``afresh``. Stopped in between, the seal is behind, and what it says is still true.
    """
    path = register_file(folder, development)
    place = true_place(path)
    before = place.read_bytes() if place.exists() else b""
    end = "\r\n" if b"\r\n" in before else "\n"
    digests = list(chain_of(lines))
    rows = [(*line, digest) for line, digest in zip(lines, digests, strict=True)]
    content = _content(b"" if afresh else before, rows, end)
    _check_again(content, folder.name(path), lines, Seal(len(lines), digests[-1]))
    if read_seal(folder, path, Findings()) is None:
        write_seal(path, 0, START)
    _put_in_place(place, content)
    write_seal(path, len(lines), digests[-1])


def _content(before: bytes, rows: Sequence[Line], end: str) -> bytes:
    """What was there, and the rows that it does not hold yet, with the line ends that it has."""
    held = sum(1 for line in before.splitlines() if line.strip()) - 1 if before else 0
    new = lines_of(rows[held:] if before else [HEADER, *rows]).replace("\n", end)
    ended = not before or before.endswith((b"\n", b"\r"))
    return before + ("" if ended else end).encode() + new.encode()


def _check_again(content: bytes, file: str, lines: Sequence[Line], seal: Seal) -> None:
    """What is about to be written says what it is to say: it has to be read for fifteen years."""
    findings = Findings()
    text = text_of(content, file, findings)
    read = RegisterText(file, findings).read(text, seal) if text is not None else None
    if findings.errors or read is None or [each.cells for each in read.lines] != list(lines):
        told = "; ".join(each.wrong for each in findings.errors) or "It would say something else."
        raise HandoverError(f"'{file}' is left as it is, because what was to be added could not be read again: {told}")  # fmt: skip


def _put_in_place(place: Path, content: bytes) -> None:
    """Written whole beside its place, to the disk, and put there."""
    draft = place.with_name(f".{place.name}.new")
    try:
        write_to_disk(draft, content)
        if place.exists():
            shutil.copymode(place, draft)
        draft.replace(place)
    except OSError:
        draft.unlink(missing_ok=True)
        raise


def taken_over(workspace: Workspace) -> Iterator[Finding]:
    """Give the lines of every such register their digests, and say so for each.

    One that cannot be written stays as it is: it was good enough until now.
    """
    for development in workspace.developments.values():
        register = read_register(workspace.folder, development.id, Findings())
        if not register.earlier:
            continue
        try:
            take_over(workspace.folder, development.id)
        except HandoverError:
            continue
        number = len(register.lines)
        lines = "Its line carries" if number == 1 else f"Each of its {number} lines carries"
        yield Finding(
            "register.taken-over", Place(register.file),
            f"This register was of the earlier form, and is taken over. {lines} a digest now, and register.seal beside it seals them.",
            "Keep both files under version control.", severity=Severity.NOTE,
        )  # fmt: skip
