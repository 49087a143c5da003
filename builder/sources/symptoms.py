"""Reads what can be wrong in a home: the files of ``content/symptoms``, over those that ship."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from builder.errors import Finding, Findings, suggestion
from builder.model.symptom import Symptom, SymptomFile
from builder.read_once import read_once
from builder.shipped import LAYER, below, shipped
from builder.sources.entry import Entry
from builder.sources.folder import Folder
from builder.sources.reading import read_file

FOLDER = "content/symptoms"


@dataclass(frozen=True, slots=True)
class SymptomSource:
    """A symptom, and its entries for findings about it; ``symptom`` is none where it is removed."""

    id: str
    symptom: Symptom | None
    entry: Entry

    @property
    def ships(self) -> bool:
        """Whether it came with the builder."""
        return self.entry.place.file.startswith(LAYER)


def read_symptoms(folder: Folder, findings: Findings) -> Mapping[str, SymptomSource]:
    """The symptoms of a workspace by id, its own over those that ship; mistakes go to ``findings``."""
    own = _sources_by_id(list(_files(folder, findings)), findings)
    ships = _shipped(shipped()) if below(folder.root, FOLDER) is not None else {}
    findings.extend(_removes_nothing(own, ships))
    both = {**ships, **own}
    return {name: each for name, each in both.items() if each.symptom is not None}


def _removes_nothing(
    own: Mapping[str, SymptomSource], ships: Mapping[str, SymptomSource]
) -> Iterator[Finding]:
    for name, each in own.items():
        if each.symptom is None and name not in ships:
            yield Finding(
                "symptoms.unknown-symptom",
                each.entry.named_at,
                f"No symptom '{name}' ships, so there is nothing to take away.",
                suggestion(name, ships, "Symptoms that ship are"),
                path=f"symptoms.{name}",
            )


@cache
def _shipped(ships: Path) -> Mapping[str, SymptomSource]:
    """The symptoms as they ship; they never change while the builder runs.

    Raises:
        TypeError: one of them cannot be read, which the builder's own tests find.
    """
    return read_once("symptoms", [ships / FOLDER], lambda: _read_shipped(ships))


def _read_shipped(ships: Path) -> Mapping[str, SymptomSource]:
    findings = Findings()
    found = _sources_by_id(list(_files(Folder(ships, LAYER), findings)), findings)
    if findings.errors:
        raise TypeError("\n".join(map(str, findings)))
    return found


def _files(folder: Folder, findings: Findings) -> Iterator[SymptomSource]:
    for path in folder.matching(f"{FOLDER}/*.yaml"):
        read = read_file(folder, path, SymptomFile, findings)
        if read is None or read.record is None:
            continue
        entries = read.entry.children["symptoms"].children
        for name, symptom in read.record.symptoms.items():
            yield SymptomSource(name, symptom, entries[name])


def _sources_by_id(
    sources: Iterable[SymptomSource], findings: Findings
) -> dict[str, SymptomSource]:
    found: dict[str, SymptomSource] = {}
    for source in sources:
        before = found.setdefault(source.id, source)
        if before is not source:
            findings.add(
                Finding(
                    "symptoms.twice",
                    source.entry.named_at,
                    f"'{source.id}' stands in two files; the first is {before.entry.named_at.file}.",
                    "Keep one of them.",
                    path=f"symptoms.{source.id}",
                )
            )
    return found
