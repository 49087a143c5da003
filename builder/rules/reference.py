"""Reference tables: the values of published standards, by nation, subject and edition.

They are data files beside this module, one for each edition, with the source of every value beside
it. A home stays under the edition that it was built to, so that no edition is ever replaced.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Annotated, Literal

import yaml
from pydantic import Field

from builder.model.record import Record, Text
from builder.sources.yaml_plain import FAST_LOADER

Subject = Literal[
    "ventilation", "fire", "combustion", "water", "energy", "electricity", "access", "falling",
    "structure",
]  # fmt: skip
Nation = Literal["england", "wales", "scotland", "northern-ireland"]


class Value(Record):
    """One published value, or a row of them, and how sure we are of it."""

    is_: Annotated[float | Mapping[str | int, float], Field(alias="is")]
    unit: Text | None = None
    says: Text
    where: Text | None = None
    document: Text | None = None
    sure: Literal["read", "from memory", "common practice"]
    read_in: Text | None = None


class Table(Record):
    """The values of one subject in one nation and edition."""

    nation: Nation
    subject: Subject
    edition: Text
    document: Text
    values: Mapping[str, Value]

    def number(self, name: str) -> float:
        """A single value, in its unit."""
        value = self.values[name].is_
        if isinstance(value, Mapping):
            raise TypeError(f"'{name}' is a row of values")
        return value

    def row(self, name: str) -> Mapping[str | int, float]:
        """A row of values by its keys."""
        value = self.values[name].is_
        if not isinstance(value, Mapping):
            raise TypeError(f"'{name}' is a single value")
        return value

    def source(self, name: str) -> str:
        """The document and place of a value, and how sure we are."""
        value = self.values[name]
        if value.sure == "common practice":
            return "common practice"
        place = ", ".join(filter(None, (value.document or self.document, value.where)))
        return f"{place} (from memory)" if value.sure == "from memory" else place


@dataclass(frozen=True, slots=True)
class Library:
    """All tables that ship with the builder."""

    tables: tuple[Table, ...]

    def editions(self, nation: str, subject: str) -> tuple[str, ...]:
        """The editions of a subject that there is a table for, the oldest first."""
        return tuple(
            sorted(
                each.edition
                for each in self.tables
                if (each.nation, each.subject) == (nation, subject)
            )
        )

    def table(self, nation: str, subject: str, edition: str | None) -> Table | None:
        """The table of an edition; of the latest where none is named."""
        known = self.editions(nation, subject)
        wanted = edition if edition is not None else (known[-1] if known else None)
        for each in self.tables:
            if (each.nation, each.subject, each.edition) == (nation, subject, wanted):
                return each
        return None

    @property
    def subjects(self) -> tuple[str, ...]:
        return tuple(sorted({each.subject for each in self.tables}))


@cache
def library() -> Library:
    """The tables as they ship; they never change while the builder runs."""
    folder = files("builder.rules") / "reference"
    found = [each for each in folder.iterdir() if each.name.endswith(".yaml")]
    texts = [each.read_text(encoding="utf-8") for each in sorted(found, key=lambda each: each.name)]
    read = (yaml.load(text, Loader=FAST_LOADER) for text in texts)  # noqa: S506 - both are safe ones
    return Library(tuple(Table.model_validate(each) for each in read))
