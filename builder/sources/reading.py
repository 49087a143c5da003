"""Reads a file of which one record says all: every mistake in it is found in one run."""

from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

from builder.errors import Findings
from builder.model.record import Record
from builder.sources.checking import check
from builder.sources.entry import Entry
from builder.sources.folder import Folder
from builder.sources.yaml_reader import read_on

Shape = TypeVar("Shape", bound=Record)


@dataclass(frozen=True, slots=True)
class ReadFile(Generic[Shape]):
    """The entries of a file, for findings about them, and its record where it has no mistakes."""

    entry: Entry
    record: Shape | None


def read_file(
    folder: Folder, path: Path, shape: type[Shape], findings: Findings
) -> ReadFile[Shape] | None:
    """A file in the shape of its record. All that is wrong with it goes to ``findings``."""
    found = Findings()
    text = folder.read_on(path, found)
    read = None if text is None else read_on(text, folder.name(path), found)
    record = check(read.entry, shape, found) if read else None
    findings.extend(found)
    if read is None:
        return None
    return ReadFile(read.entry, record if isinstance(record, shape) and not len(found) else None)
