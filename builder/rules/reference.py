"""Reference tables: the values of published standards, by nation, subject and edition.

They are data files beside this module, one for each edition, with the source of every value beside
it. A home stays under the edition that it was built to, so that no edition is ever replaced. A new
one is ``based_on`` the one before and says only what differs. What a standard leaves alone is a value
of 0, with its source; what nobody has read is no value at all, and the checks that need it are not
made. Which table holds for a home is said by the edition that it names, or by a day.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from builder.layers.memo import Memo
from builder.model.home import Home
from builder.model.nation import Nation, NationId
from builder.model.people import Development, Plot
from builder.model.record import Day, Record, Text, empty
from builder.read_once import read_once
from builder.sources.yaml_plain import shipped_values

Subject = Literal[
    "ventilation", "fire", "combustion", "water", "energy", "electricity", "access", "falling",
    "structure",
]  # fmt: skip
_FOLDER = Path(__file__).with_name("reference")
EVERY = "every"
"""The nation of a table that holds in all of them."""
_SURE = {"quoted": " (read on a page that quotes it)", "from memory": " (from memory)"}
"""How sure we are, said behind a source that was not read itself."""


class ReferenceValue(Record):
    """One published value, or a row of them, and how sure we are of it.

    ``quoted``: read on a page that quotes the document or sums it up, and not in the document itself.
    """

    is_: Annotated[float | Mapping[str | int, float], Field(alias="is")]
    unit: Text | None = None
    says: Text
    where: Text | None = None
    document: Text | None = None
    sure: Literal["read", "quoted", "from memory", "common practice"]
    read_in: Text | None = None


class Table(Record):
    """The values of one subject in one nation and edition.

    ``in_force`` is the day from which the edition holds for new work; ``coming``: that day was still to
    come when the table was written, and the edition holds only where it is named. ``based_on`` names the file of
    another table, whose values hold where this one says nothing else.
    """

    nation: NationId | Literal["every"]
    subject: Subject
    edition: Text
    document: Text
    in_force: Day | None = None
    coming: bool = False
    based_on: Text | None = None
    values: Mapping[str, ReferenceValue] = Field(default_factory=empty)

    def lacks(self, names: Iterable[str]) -> tuple[str, ...]:
        """Those of these values that nobody has read in this edition."""
        return tuple(name for name in names if name not in self.values)

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
        return f"{place}{_SURE.get(value.sure, '')}"


@dataclass(frozen=True, slots=True)
class ReferenceLibrary:
    """All tables that ship with the builder."""

    tables: tuple[Table, ...]

    def of(self, nation: str, subject: str) -> tuple[Table, ...]:
        """The tables of a subject in a nation, the oldest edition first: its own, or every nation's."""
        own = [each for each in self.tables if (each.nation, each.subject) == (nation, subject)]
        shared = [each for each in self.tables if (each.nation, each.subject) == (EVERY, subject)]
        return tuple(sorted(own or shared, key=lambda each: each.edition))

    def editions(self, nation: str, subject: str) -> tuple[str, ...]:
        """The editions of a subject that there is a table for, the oldest first."""
        return tuple(each.edition for each in self.of(nation, subject))

    def latest(self, nation: str, subject: str) -> str | None:
        """The latest edition that is in force."""
        held = [each.edition for each in self.of(nation, subject) if not each.coming]
        return held[-1] if held else None

    def table(self, nation: str, subject: str, edition: str | None) -> Table | None:
        """The table of an edition; of the latest that is in force where none is named."""
        wanted = edition if edition is not None else self.latest(nation, subject)
        return next((each for each in self.of(nation, subject) if each.edition == wanted), None)

    def on(self, nation: str, subject: str, day: date) -> Table | None:
        """The table of the edition that held on a day; none where the first of them came later."""
        held = [
            each
            for each in self.of(nation, subject)
            if each.in_force is None or each.in_force <= day
        ]
        return max(held, key=lambda each: each.in_force or date.min, default=None)

    @property
    def subjects(self) -> tuple[str, ...]:
        return tuple(sorted({each.subject for each in self.tables}))


@cache
def library() -> ReferenceLibrary:
    """The tables as they ship; they never change while the builder runs."""
    return read_once("reference", [_FOLDER], _read_library)


def _read_library() -> ReferenceLibrary:
    tables = {
        each.stem: _read(each.read_text(encoding="utf-8"))
        for each in sorted(_FOLDER.glob("*.yaml"))
    }
    return ReferenceLibrary(tuple(_with_those_below(each, tables) for each in tables.values()))


def _read(text: str) -> Table:
    return Table.model_validate(shipped_values(text))


def _with_those_below(table: Table, tables: Mapping[str, Table]) -> Table:
    """A table with the values of those that it is based on; each keeps the document it stands in."""
    if table.based_on is None:
        return table
    below = _with_those_below(tables[table.based_on], tables)
    kept = {
        name: value if value.document else value.model_copy(update={"document": below.document})
        for name, value in below.values.items()
    }
    return table.model_copy(update={"values": {**kept, **table.values}})


def table_for(home: Home, subject: str, kept: Memo) -> Table | None:
    """The table of a subject in the nation and edition of a home; looked up once for all alike."""
    return kept.once(_table, home.development, home.nation, home.plot, subject)


def _table(development: Development, nation: Nation, plot: Plot, subject: str) -> Table | None:
    named = development.editions.get(subject)
    day = plot.warrant or development.warrant
    if named is None and nation.editions_by == "warrant" and day is not None:
        return library().on(development.taken_nation, subject, day)
    return library().table(development.taken_nation, subject, named)
