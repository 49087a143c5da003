"""Reads what editors say of each thing at a demonstration: the files of ``content/demonstration``."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from builder.errors import Finding, Findings, suggestion
from builder.model.demonstration import DemonstrationFile
from builder.model.record import side_in
from builder.read_once import read_once
from builder.shipped import LAYER, below, shipped
from builder.sources.entry import Entry, dotted
from builder.sources.folder import Folder
from builder.sources.reading import ReadFile, read_file

FOLDER = "content/demonstration"
_SECTIONS = ("kinds", "room_kinds", "subjects", "before")


@dataclass(frozen=True, slots=True)
class DemonstrationSource:
    """One file, and its entries for findings about them."""

    entry: Entry
    read: DemonstrationFile


@dataclass(frozen=True, slots=True)
class DemonstrationWords:
    """All files of one workspace in the order of their names: the ``entries`` of each, the ``sources`` that
    could be read whole, and what is wrong by itself. Whoever says these words tells the ``mistakes``."""

    entries: tuple[Entry, ...] = ()
    sources: tuple[DemonstrationSource, ...] = ()
    mistakes: tuple[Finding, ...] = ()


def read_demonstration(folder: Folder) -> DemonstrationWords:
    """The words for demonstrations of one workspace, with their mistakes."""
    findings = Findings()
    files = _files(folder, findings)
    sources = tuple(
        DemonstrationSource(file.entry, file.record) for file in files if file.record is not None
    )
    return DemonstrationWords(tuple(file.entry for file in files), sources, tuple(findings))


def shipped_demonstration(root: Path) -> DemonstrationWords:
    """The words that ship and lie below those of a workspace; in the working copy they are its own."""
    return DemonstrationWords() if below(root, FOLDER) is None else _read_shipped(shipped())


@cache
def _read_shipped(ships: Path) -> DemonstrationWords:
    """The words as they ship, with what is wrong with them; they never change while the builder runs."""
    return read_once(
        "demonstration", [ships / FOLDER], lambda: read_demonstration(Folder(ships, LAYER))
    )


def check_demonstration(
    words: DemonstrationWords, ships: DemonstrationWords, kinds: Collection[str], room_kinds: Collection[str],
    findings: Findings,
) -> None:  # fmt: skip
    """All that is wrong with the words of a workspace, whose layers know these kinds, and with those that
    ship below them."""
    findings.extend(ships.mistakes)
    findings.extend(words.mistakes)
    findings.extend(unknown_kinds(words.entries, kinds, room_kinds))


def _files(folder: Folder, findings: Findings) -> list[ReadFile[DemonstrationFile]]:
    paths = folder.matching(f"{FOLDER}/*.yaml")
    read = [read_file(folder, path, DemonstrationFile, findings) for path in paths]
    files = [file for file in read if file is not None]
    findings.extend(_said_twice([file.entry for file in files]))
    findings.extend(each for file in files for each in _sides_named(file.entry))
    return files


def _sides_named(entry: Entry) -> Iterator[Finding]:
    """One finding for each text that names a side of the home, which is another in other plots."""
    if isinstance(entry.value, str) and (said := side_in(entry.value)):
        yield Finding(
            "demonstration.bare-side",
            entry.place,
            f"'{said}' would be wrong in the plots of the other hand.",
            "Say it without the side: where a thing is stands beside it on the sheet.",
        )
    for child in entry.children.values():
        yield from _sides_named(child)


def _said_twice(files: Iterable[Entry]) -> Iterator[Finding]:
    """One finding for each thing of which two files speak: nobody could tell which one holds."""
    first: dict[tuple[str, str], Entry] = {}
    for file in files:
        for section, name, entry in _entries(file, _SECTIONS):
            before = first.setdefault((section, name), entry)
            if before is not entry:
                yield Finding(
                    "demonstration.twice",
                    entry.named_at,
                    f"'{name}' stands in two files; the first is {before.named_at.file}.",
                    "Keep one of them.",
                    path=dotted((section, name)),
                )


def unknown_kinds(
    files: Iterable[Entry], kinds: Collection[str], room_kinds: Collection[str]
) -> Iterator[Finding]:
    """One finding for each kind that no layer of the workspace has: its words would never be read."""
    known = {"kinds": kinds, "room_kinds": room_kinds}
    for file in files:
        for section, name, entry in _entries(file, tuple(known)):
            if name not in known[section]:
                thing = section.replace("_", " ")
                yield Finding(
                    "demonstration.unknown-kind",
                    entry.named_at,
                    f"There is no '{name}' in {thing}.",
                    suggestion(name, known[section], f"The {thing} here"),
                    path=dotted((section, name)),
                )


def _entries(file: Entry, sections: tuple[str, ...]) -> Iterator[tuple[str, str, Entry]]:
    for section in sections:
        held = file.children.get(section)
        for name, entry in (held.children if held else {}).items():
            yield section, name, entry
