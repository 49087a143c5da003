"""Reads what editors say of each thing at a demonstration: the files of ``content/demonstration``."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from builder.errors import Finding, Findings, suggestion
from builder.model.demonstration import DemonstrationFile
from builder.sources.checking import check
from builder.sources.entry import Entry, dotted
from builder.sources.folder import Folder
from builder.sources.yaml_reader import read_yaml

FOLDER = "content/demonstration"
_SECTIONS = ("kinds", "room_kinds", "subjects", "before")


@dataclass(frozen=True, slots=True)
class DemonstrationSource:
    """One file, and its entries for findings about them."""

    entry: Entry
    read: DemonstrationFile


def read_demonstration(folder: Folder, findings: Findings) -> tuple[DemonstrationSource, ...]:
    """The files of one workspace in the order of their names; mistakes go to ``findings``."""
    read = []
    for path in folder.matching(f"{FOLDER}/*.yaml"):
        text = folder.read(path, findings)
        entry = None if text is None else read_yaml(text, folder.name(path), findings)
        file = check(entry, DemonstrationFile, findings) if entry else None
        if entry is not None and isinstance(file, DemonstrationFile):
            read.append(DemonstrationSource(entry, file))
    findings.extend(_said_twice(read))
    return tuple(read)


def _said_twice(sources: list[DemonstrationSource]) -> Iterator[Finding]:
    """One finding for each thing of which two files speak: nobody could tell which one holds."""
    first: dict[tuple[str, str], Entry] = {}
    for source in sources:
        for section, name, entry in _entries(source.entry, _SECTIONS):
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
    sources: tuple[DemonstrationSource, ...], kinds: Collection[str], room_kinds: Collection[str]
) -> Iterator[Finding]:
    """One finding for each kind that no layer of the workspace has: its words would never be read."""
    known = {"kinds": kinds, "room_kinds": room_kinds}
    for source in sources:
        for section, name, entry in _entries(source.entry, tuple(known)):
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
