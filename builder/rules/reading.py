"""Which sections of a home a rule reads, so that it is asked once for all homes alike in them.

What a rule of the home finds follows from what it reads, and from nothing else. The sections are
written down as it reads them; a home that has the very same ones gets the same answer unasked.
"""

from dataclasses import dataclass, field
from typing import cast

from builder.home.survey import Survey
from builder.layers.memo import Memo
from builder.model.home import Home
from builder.rules.reference import Table
from builder.rules.rule import HomeRule, Problem

_WHOLE = ""
"""Stands for a home as a whole, read in a way that no section tells."""


class _Read:
    """A home that writes down, in order, which of its sections are read for the first time."""

    def __init__(self, home: Home) -> None:
        self._home = home
        self.sections: dict[str, object] = {}

    def __getattr__(self, name: str) -> object:
        value = getattr(self._home, name)
        known = name in Home.model_fields
        self.sections[name if known else _WHOLE] = value if known else self._home
        setattr(self, name, value)
        return value


@dataclass(slots=True)
class _Known:
    """What is known of a rule so far: the section it reads next, then what follows from each.

    A rule that has read the same so far reads the same section next, so that this is a tree.
    """

    section: str | None = None
    after: "dict[int, tuple[object, _Known]]" = field(default_factory=dict)
    problems: tuple[Problem, ...] | None = None

    def answer(self, home: Home) -> "tuple[Problem, ...] | None":
        """What the rule finds in a home, where it has been asked about one like it."""
        here = self
        while here.section is not None:
            _, inner = here.after.get(id(_section(home, here.section)), (None, None))
            if inner is None:
                return None
            here = inner
        return here.problems

    def learn(self, sections: dict[str, object], problems: tuple[Problem, ...]) -> None:
        """Remember what a rule found, and what it had read."""
        here = self
        for name, value in sections.items():
            here.section = name
            here = here.after.setdefault(id(value), (value, _Known()))[1]
        here.problems = problems


def _section(home: Home, name: str) -> object:
    return home if name == _WHOLE else getattr(home, name)


def _nothing_known(_rule: HomeRule, _table: Table | None) -> _Known:
    return _Known()


def problems_of(rule: HomeRule, home: Home, kept: Memo, table: Table | None) -> tuple[Problem, ...]:
    """What a rule of the home finds in it as drawn; asked once for all homes that are alike to it."""
    known = kept.once(_nothing_known, rule, table)
    problems = known.answer(home)
    if problems is None:
        read = _Read(home)
        problems = tuple(rule.found(Survey(cast("Home", read), kept), table))
        known.learn(read.sections, problems)
    return problems
