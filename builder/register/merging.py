"""Puts the registers of two branches of a project together: every line of both, sealed anew.

Both branches added lines below the ones that they had in common, and a line carries a digest of those
above it. So the lines of the other branch go below ours, and their digests are worked out again, but
only where each line follows another, as it was issued, and all that was sealed is there.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import Final

from builder.disk import true_place
from builder.errors import (
    Finding,
    Findings,
    FindingsError,
    HandoverError,
    Place,
    in_short,
    printable,
)
from builder.register.chain import START, Seal, sealed_beside, seals_in
from builder.register.lines import COLUMNS, Issued, Register, WantedCode
from builder.register.reading import (
    MARK,
    RegisterText,
    WrittenRegister,
    digests_of,
    follows,
    is_earlier,
    register_file,
)
from builder.register.register import Line, cells_of, write, written_alone
from builder.sources.folder import Folder, text_of

_PLOT: Final = COLUMNS.index("plot")


@dataclass(frozen=True, slots=True)
class MergedRegister:
    """What was put together: how many lines stood in ours, how many came from others, and the guide
    codes that were taken back, each with the one that stays and its plot."""

    ours: int
    added: int
    taken_back: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class _Side:
    """One version of a register: its lines and their digests."""

    file: str
    written: Sequence[WrittenRegister]
    digests: Sequence[str]


def merge(
    folder: Folder,
    development: str,
    others: Iterable[Path],
    day: date,
    stay: Collection[str] = (),
    published: Mapping[str, Collection[str]] = MappingProxyType({}),
) -> MergedRegister:
    """Put the versions of a register together: those that git left in its file, and ``others``.

    ``stay``: guide codes that stay where both branches gave a plot one; the other is taken back. Where
    none is named, and one alone is ``published``, that one stays. ``published``: the codes of published
    trees, with the numbers of their plots.
    FindingsError where a line was changed or is lost, or a published code is, HandoverError where somebody has to decide.
    """
    with written_alone(folder, development):
        findings = Findings()
        sides = list(_sides(folder, development, others, findings))
        _check_seals(folder, development, sides, findings)
        lines = _together(sides, findings)
        file = folder.name(register_file(folder, development))
        if not findings.errors:
            findings.extend([*moved(file, lines, published), *_lost(file, lines, published)])
        if findings.errors:
            raise FindingsError(findings.errors)
        if not lines:
            raise HandoverError(f"The register of '{development}' holds no line. Put it back from the history of the project.")  # fmt: skip
        own = len(sides[0].written)
        back = tuple(_settled(lines, stay, published))
        for plot, code, _ in back:
            lines.append(cells_of(code, day, WantedCode("void", plot)))
        write(folder, development, lines, afresh=True)
    return MergedRegister(own, len(lines) - own - len(back), back)


def _sides(
    folder: Folder, development: str, others: Iterable[Path], findings: Findings
) -> Iterator[_Side]:
    path = register_file(folder, development)
    texts = [(folder.name(path), each) for each in _versions(_text(folder, path, findings))]
    for other in others:
        beside = Folder(true_place(other).parent)
        text = _text(beside, beside.root / true_place(other).name, findings)
        texts += [(other.as_posix(), each) for each in _versions(text)]
    for file, text in texts:
        side = _side(file, text, findings)
        if side is not None:
            yield side


def _text(folder: Folder, path: Path, findings: Findings) -> str:
    content = folder.content(path, findings, largest=None)
    return (text_of(content, folder.name(path), findings) or "") if content is not None else ""


def _versions(text: str) -> list[str]:
    """The two versions of a text that git could not put together; the text, where there are no marks."""
    if not any(MARK.match(line) for line in text.split("\n")):
        return [text] if text else []
    sides: tuple[list[str], list[str]] = ([], [])
    inside = "both"
    for line in text.split("\n"):
        mark = MARK.match(line)
        if mark:
            inside = {"<": "ours", "|": "neither", "=": "theirs", ">": "both"}[line[0]]
        else:
            for name, side in zip(("ours", "theirs"), sides, strict=True):
                if inside in (name, "both"):
                    side.append(line)
    return ["\n".join(side) for side in sides]


def _side(file: str, text: str, findings: Findings) -> _Side | None:
    """One version, if each of its lines follows one above it."""
    reading = RegisterText(file, findings)
    written = reading.written(text)
    if not written:
        return None
    before = len(findings.errors)
    for each in written:
        reading.issued(each)
    earlier = is_earlier(text)
    if before == len(findings.errors) and not earlier and not follows(written):
        findings.add(
            Finding(
                "register.line", Place(file),
                "A line of this register was changed, or one that it follows is lost.",
                "Put the file back as it was, from the history of the project, and put the versions together again.",
            )
        )  # fmt: skip
    return _Side(file, written, digests_of(written, earlier=earlier))


def _check_seals(
    folder: Folder, development: str, sides: Sequence[_Side], findings: Findings
) -> None:
    """All that was sealed stands in one of the versions. Where no seal is, none has to be kept."""
    path = sealed_beside(register_file(folder, development))
    if not path.is_file():
        return
    known = {START, *(digest for side in sides for digest in side.digests)}
    text = folder.read(path, findings) or ""
    seals = dict.fromkeys(seal for version in _versions(text) for seal in seals_in(version))
    for seal in seals or (Seal(0, START),):
        if seal.digest not in known:
            findings.add(
                Finding(
                    "register.seal", Place(folder.name(path)),
                    f"{seal.lines} lines were sealed, of which the last is in none of these versions.",
                    f"Name the file of the other version too: handover stickers merge {development} FILE.",
                )
            )  # fmt: skip


def _together(sides: Sequence[_Side], findings: Findings) -> list[Line]:
    """The lines of the first version, then of each further one those that are not there yet."""
    found: dict[tuple[str, bool], Line] = {}
    for side in sides:
        for each in side.written:
            key = each.cells[0], each.cells[2] == "void"
            if found.setdefault(key, each.cells) != each.cells and not key[1]:
                findings.add(_differs(side.file, each))
    return list(found.values())


def _differs(file: str, written: WrittenRegister) -> Finding:
    return Finding(
        "register.line", Place(file, written.number),
        f"The code '{written.cells[0]}' leads elsewhere in another version.",
        "Put the line back as it was issued, from the history of this file.",
    )  # fmt: skip


def moved(
    file: str, lines: Iterable[Sequence[str]], published: Mapping[str, Collection[str]]
) -> Iterator[Finding]:
    """One finding for each line that has a published code for another plot than it was published for."""
    for number, cells in enumerate(lines, 2):
        known = published.get(cells[0], ())
        plot = cells[_PLOT] if len(cells) > _PLOT else ""
        if known and plot not in known:
            yield Finding(
                "register.moved", Place(file, number),
                f"'{cells[0]}' stands here for plot '{printable(plot)}', and was published for '{next(iter(known))}'.",
                "Put the file back as it was, from the history of the project: people would be led into another home.",
            )  # fmt: skip


def _lost(
    file: str, lines: Iterable[Line], published: Mapping[str, Collection[str]]
) -> Iterator[Finding]:
    """Published codes that no version holds."""
    lost = sorted(published.keys() - {each[0] for each in lines})
    if lost:
        named = in_short([f"'{each}'" for each in lost], 1)
        yield Finding(
            "register.lost", Place(file), f"{named}, published already, is in none of these versions.",
            "Put the file back as it was, from the history of the project, and put the versions together again.",
        )  # fmt: skip


def _settled(
    lines: Sequence[Line], stay: Collection[str], published: Mapping[str, Collection[str]]
) -> Iterator[tuple[str, str, str]]:
    """Each plot with a guide code that is taken back, and the one that stays in its place."""
    for plot, codes in _register(lines).guides.items():
        named = [each.code for each in codes if each.code in stay]
        named = named or [each.code for each in codes if each.code in published]
        if len(codes) > 1 and len(named) != 1:
            listed = " and ".join(f"'{each.code}' (issued on {each.issued.isoformat()})" for each in codes)  # fmt: skip
            raise HandoverError(
                f"Both versions gave plot '{plot}' a guide code: {listed}. "
                "Name the one that its buyer was given: --keep CODE. The other is taken back."
            )
        for each in codes if len(codes) > 1 else ():
            if each.code != named[0]:
                yield plot, each.code, named[0]


def _register(lines: Sequence[Line]) -> Register:
    reading = RegisterText("", Findings())
    issued = [
        reading.issued(WrittenRegister(number, line, "")) for number, line in enumerate(lines, 2)
    ]
    return Register("", tuple(each for each in issued if isinstance(each, Issued)))
