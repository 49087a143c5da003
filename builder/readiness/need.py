"""What a need is: one thing that a plot must have before it reaches a stage.

A need is one small function that takes a plot's ``Case`` and yields a ``Lack`` for each thing that
is not there yet. Nothing here is ticked off by hand: a need reads the home, its guide and its record.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cached_property

from builder.errors import Finding
from builder.model.handover import Document, Handover, OwedBy
from builder.model.home import Home
from builder.model.nation import Nation
from builder.preparing import Prepared
from builder.readiness.recorded import Recorded

HAND_IN = "handover"
"""The section of a plot's file that holds its record."""


class Stage(StrEnum):
    """The stages of a plot, in the order in which it reaches them."""

    PUBLISHED = "published"
    HANDED_OVER = "handed-over"
    CLOSED = "closed"

    @property
    def before(self) -> "tuple[Stage, ...]":
        """The stages that a plot reaches first, then this one."""
        stages = tuple(Stage)
        return stages[: stages.index(self) + 1]

    @property
    def words(self) -> str:
        return self.value.replace("-", " ")


@dataclass(frozen=True)
class Case:
    """All that a need may look at.

    ``recorded`` is what the plot's file and its kept records say, ``documents`` are the papers that
    this home needs, ``findings`` those that concern this plot, ``day`` is today. ``stickers`` is the
    day on which the code of each piece's sticker was issued, by the piece's id.
    """

    prepared: Prepared
    recorded: Recorded
    documents: Mapping[str, Document]
    findings: tuple[Finding, ...]
    day: date
    stickers: Mapping[str, date]

    @property
    def record(self) -> Handover:
        """The handover as the plot's file and its kept records tell it together."""
        return self.recorded.together

    @property
    def home(self) -> Home:
        return self.prepared.traced.home

    def at(self, says: str, *path: str) -> "Lack":
        """What is not there, or is wrong, at a path of the record: in the file that says it.

        What a record of the day says is not written over in the plot's file: there it would count
        for nothing. A new record of a later day stands in its place.
        """
        source = self.recorded.source_of(path)
        if source is None:
            return Lack(says, (HAND_IN, *path), "…")
        file = source.entry.place.file
        return Lack(
            f"{says} That is what the record says; a later record takes its place.", file=file
        )

    @cached_property
    def titles(self) -> Mapping[str, str]:
        """The name of each piece of equipment, with its room where two share a name."""
        return {piece.id: piece.title for piece in self.prepared.about.pieces}


@dataclass(frozen=True, slots=True)
class Lack:
    """One thing that is not there: what, and where it is written.

    ``path`` is the dotted path to write at, ``value`` an example in YAML, with … for what is not
    known. ``file`` names another file than the plot's own; ``owed_by`` and ``basis`` differ from
    the need's where they are given.
    """

    says: str
    path: tuple[str, ...] = ()
    value: str = ""
    file: str = ""
    owed_by: OwedBy | None = None
    basis: str = ""


@dataclass(frozen=True, slots=True)
class Need:
    """A need as people read it. ``says`` is what holds once it is met.

    ``law`` is what its basis is about where a nation has law on it: see ``Nation.law``. ``basis`` is
    that of all others.
    """

    id: str
    says: str
    stage: Stage
    owed_by: OwedBy
    basis: str
    check: Callable[[Case], Iterator[Lack]]
    law: str | None = None

    def basis_in(self, nation: Nation) -> str:
        """Where the need stands in a nation."""
        return nation.law.get(self.law, self.basis) if self.law else self.basis


Check = Callable[[Case], Iterator[Lack]]


def need(
    identifier: str,
    says: str,
    *,
    stage: Stage,
    owed_by: OwedBy,
    basis: str,
    law: str | None = None,
) -> Callable[[Check], Need]:
    """Declares a need; ``basis`` names its source, "common practice" or "from memory"."""

    def declared(check: Check) -> Need:
        return Need(identifier, says, stage, owed_by, basis, check, law)

    return declared


def before_handing_over(
    identifier: str, says: str, *, owed_by: OwedBy, basis: str, law: str | None = None
) -> Callable[[Check], Need]:
    """Declares a need that stands between a plot and its handover."""
    return need(identifier, says, stage=Stage.HANDED_OVER, owed_by=owed_by, basis=basis, law=law)


def before_closing(
    identifier: str, says: str, *, owed_by: OwedBy, basis: str
) -> Callable[[Check], Need]:
    """Declares a need that stands between a handed-over plot and its closing."""
    return need(identifier, says, stage=Stage.CLOSED, owed_by=owed_by, basis=basis)
