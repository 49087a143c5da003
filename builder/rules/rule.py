"""What a trade rule is: its id, what holds in a sound home, how much it matters, and its basis.

A rule of the home is one small function that takes a measured home, and the reference table of its
subject where it reads one, and yields a ``Problem`` for each thing that is not as it should be.

Severity. An ``ERROR`` is for data that would make the guide wrong or unsafe to follow: it stops
the guide. A ``WARNING`` is for a home that, as recorded, falls short of a standard: the guide is
right about it, and the home is not ready to hand over. A ``NOTE`` is advice.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from builder.errors import Finding, Place, Severity
from builder.home.assemble import TracedHome
from builder.home.survey import Survey
from builder.rules.reference import Table

Address = tuple[str | int, ...]
Reads = Literal["home", "own", "standard", "layers"]
"""What a rule reads: the home, with what is one plot's own or without; values of a standard too; layers."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that a rule found: where in the data, what is wrong, what would be right."""

    address: Address
    wrong: str
    right: str


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule as people read it. ``standard`` is the subject of the table that it reads ``values`` of."""

    id: str
    says: str
    severity: Severity = Severity.WARNING
    basis: str = ""
    standard: str | None = None
    values: tuple[str, ...] = ()

    def basis_in(self, table: Table | None) -> str:
        """Where the rule stands: its own basis, or that of each value that it reads."""
        if table is None:
            return self.basis
        return "; ".join(dict.fromkeys(table.source(value) for value in self.values))

    def finding(self, place: Place, wrong: str, right: str, path: str = "") -> Finding:
        """What is not as the rule says at a place."""
        return Finding(self.id, place, wrong, right, path, self.severity, self.basis)


@dataclass(frozen=True, slots=True)
class HomeRule:
    """A rule and the function that finds what is not as it says."""

    rule: Rule
    reads: Reads
    check: Callable[..., Iterator[Problem]]

    def found(self, survey: Survey, table: Table | None) -> Iterator[Problem]:
        """What a rule of the home finds; nothing where the table that it needs is not there."""
        if self.reads in ("home", "own"):
            yield from self.check(survey)
        elif table is not None:
            yield from self.check(survey, table)


Check = Callable[[Survey], Iterator[Problem]]
CheckAgainst = Callable[[Survey, Table], Iterator[Problem]]
CheckLayers = Callable[[TracedHome], Iterator[Problem]]


def rule(
    identifier: str,
    says: str,
    *,
    basis: str,
    severity: Severity = Severity.WARNING,
    own: bool = False,
) -> Callable[[Check], HomeRule]:
    """Declares a rule that reads the home alone; ``basis`` names its source, or common practice.
    ``own``: it reads serial numbers or days of registration, which other rules do not see."""

    def declared(check: Check) -> HomeRule:
        return HomeRule(Rule(identifier, says, severity, basis), "own" if own else "home", check)

    return declared


def rule_by(
    standard: str,
    *values: str,
    identifier: str,
    says: str,
    severity: Severity = Severity.WARNING,
) -> Callable[[CheckAgainst], HomeRule]:
    """Declares a rule that reads these values of a standard, in the edition of the development."""

    def declared(check: CheckAgainst) -> HomeRule:
        about = Rule(identifier, says, severity, standard=standard, values=values)
        return HomeRule(about, "standard", check)

    return declared


def rule_of_layers(
    identifier: str, says: str, *, basis: str, severity: Severity = Severity.WARNING
) -> Callable[[CheckLayers], HomeRule]:
    """Declares a rule that reads what each layer of a home said."""

    def declared(check: CheckLayers) -> HomeRule:
        return HomeRule(Rule(identifier, says, severity, basis), "layers", check)

    return declared
