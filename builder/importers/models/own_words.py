"""The tables of words for models that a workspace keeps: laid over those that ship, by their file's name."""

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field

from builder.errors import Finding, Findings, Place
from builder.model.record import Identifier, Record, one_line
from builder.sources.entry import plain
from builder.sources.folder import Folder
from builder.sources.reading import read_file

OWN = "content/model-words"
Word = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(one_line)]
Words = Mapping[Identifier, tuple[Word, ...]]


class ClassRow(Record):
    """What a class of the form says by itself; without ``types``, whatever its type."""

    classes: tuple[Word, ...]
    types: tuple[Word, ...] = ()
    kind: Identifier | Literal[""]


class ModelWordsFile(Record):
    """The words of one language. ``head``: which of several words names the thing itself; ``compounds``:
    words are written as one. ``left_out``: what is no equipment."""

    language: Word | None = None
    head: Literal["first", "last"] = "first"
    compounds: bool = False
    rooms: Words = Field(default_factory=dict)
    void: tuple[Word, ...] = ()
    homes: tuple[Word, ...] = ()
    openings: Words = Field(default_factory=dict)
    things: Words = Field(default_factory=dict)
    left_out: Words = Field(default_factory=dict)
    drawn: Mapping[Literal["door", "window"], tuple[Word, ...]] = Field(default_factory=dict)
    classes: tuple[ClassRow, ...] = ()


def own_words(root: Path, ships: Mapping[str, object], findings: Findings) -> dict[str, Any]:
    """The tables of a workspace by the names of their files, as plain data; mistakes go to ``findings``."""
    folder, tables = Folder(root), dict[str, Any]()
    for path in folder.matching(f"{OWN}/*.yaml"):
        read = read_file(folder, path, ModelWordsFile, findings)
        if read is None or read.record is None:
            continue
        if path.stem not in ships and read.record.language is None and not read.record.classes:
            findings.add(_no_language(folder.name(path)))
        tables[path.stem] = plain(read.entry)
    return tables


def _no_language(file: str) -> Finding:
    return Finding(
        "model-words.no-language",
        Place(file),
        "No table of this name ships, and this one does not say which language its words are in.",
        "Write 'language: Finnish', or give the file the name of a table that ships, such as 'german'.",
        path="language",
    )
