"""Changes of files as values, and what a text is after them.

What somebody saves is kept as what they changed, not as the file that came of it: so it can be laid
over a file that somebody else has changed meanwhile.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from builder.saving.article_text import parts_of
from builder.saving.table_text import TableText
from builder.saving.yaml_text import (  # fmt: skip
    ABSENT,
    UnchangeableError,
    data_of,
    insert,
    put,
    take_out,
    value_at,
)
from builder.sources.entry import Address


@dataclass(frozen=True, slots=True)
class Put:
    """A value at a path of a YAML file, or of an article's front matter."""

    path: Address
    value: Any


@dataclass(frozen=True, slots=True)
class TakeOut:
    """Nothing is to stand at a path any more."""

    path: Address


@dataclass(frozen=True, slots=True)
class Insert:
    """One more item in a list, before the item at a position."""

    path: Address
    position: int
    value: Any


@dataclass(frozen=True, slots=True)
class Cells:
    """Cells of one plot's row, by column."""

    plot: str
    values: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class AddRow:
    """A row for a plot that has none."""

    values: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class DropRow:
    """A plot is to have no row any more."""

    plot: str


@dataclass(frozen=True, slots=True)
class Body:
    """The body of an article."""

    text: str


@dataclass(frozen=True, slots=True)
class Head:
    """The front matter of an article, as a text."""

    text: str


@dataclass(frozen=True, slots=True)
class Whole:
    """The whole text of a file: a new one, or one that was changed as text."""

    text: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A file that is no text."""

    content: bytes


@dataclass(frozen=True, slots=True)
class Gone:
    """A file is to be there no more."""


Change = Put | TakeOut | Insert | Cells | AddRow | DropRow | Body | Head | Whole | Picture | Gone
OfValues = Put | TakeOut | Insert
OfRows = Cells | AddRow | DropRow


@dataclass(frozen=True, slots=True)
class Save:
    """One save: what is changed in each file, the digest of each as its author saw it, who and why.

    ``based_on`` says "" of a file that was not there. ``undoes`` names the save that this takes back.
    """

    role: str
    reason: str
    changes: Mapping[str, tuple[Change, ...]]
    based_on: Mapping[str, str]
    undoes: str = ""


def changed(file: str, text: str | None, changes: Iterable[Change]) -> str | None:
    """What a file says after changes; None for no file. UnchangeableError where one cannot be made."""
    for each in changes:
        text = _after(file, text, each)
    return text


def _after(file: str, text: str | None, change: Change) -> str | None:
    if isinstance(change, Whole | Gone):
        return change.text if isinstance(change, Whole) else None
    if isinstance(change, Body):
        return parts_of(_text_there(file, text)).with_body(change.text).text
    if isinstance(change, Head):
        return parts_of(_text_there(file, text)).with_head(change.text).text
    if isinstance(change, OfRows):
        return _row(TableText(_text_there(file, text)), change).text
    if isinstance(change, Picture):
        raise UnchangeableError(f"'{file}' is no text.")
    if file.endswith(".md"):
        parts = parts_of(_text_there(file, text))
        return parts.with_head(_value(parts.head, change)).text
    return _value(text or "", change)


def _text_there(file: str, text: str | None) -> str:
    if text is None:
        raise UnchangeableError(f"'{file}' is not there any more.")
    return text


def _row(table: TableText, change: OfRows) -> TableText:
    if isinstance(change, Cells):
        return table.put(change.plot, change.values)
    return table.add(change.values) if isinstance(change, AddRow) else table.drop(change.plot)


def _value(text: str, change: OfValues) -> str:
    if isinstance(change, Put):
        return put(text, change.path, change.value)
    if isinstance(change, TakeOut):
        return take_out(text, change.path)
    return insert(text, change.path, change.position, change.value)


Touched = tuple[str, Address]
"""What a change is about: a value, a cell, a row, the body or the whole of a file."""


def touched(change: Change) -> tuple[Touched, ...]:
    """All that a change is about."""
    if isinstance(change, Cells):
        return tuple(("cell", (change.plot, column)) for column in change.values)
    if isinstance(change, OfRows):
        plot = change.plot if isinstance(change, DropRow) else change.values.get("plot", "")
        return (("row", (plot,)),)
    if isinstance(change, OfValues):
        return (("value", change.path),)
    if isinstance(change, Body | Head):
        return (("body" if isinstance(change, Body) else "head", ()),)
    return (("whole", ()),)


def seen(file: str, text: str | None, about: Touched) -> Any:
    """What a text says of what a change is about; ``ABSENT`` where it says nothing."""
    what, path = about
    if text is None:
        return ABSENT
    if what in ("cell", "row"):
        return value_at(TableText(text).plots, path)
    if what == "value":
        return value_at(data_of(parts_of(text).head if file.endswith(".md") else text), path)
    if what == "whole":
        return text
    return parts_of(text).body if what == "body" else parts_of(text).head
