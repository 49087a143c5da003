"""The nation of a home: that it is named, and what it has not: numbers that nobody answers, tenures."""

import re
from collections.abc import Iterator
from typing import get_args

from builder.errors import Severity
from builder.home.survey import Survey
from builder.model.nation import TAKEN_FOR, NationId
from builder.rules.measures import listed
from builder.rules.rule import HomeRule, Problem, rule

_OTHERS = tuple(each for each in get_args(NationId) if each != TAKEN_FOR)
_NOT_DIALLED = re.compile(r"[^0-9]")


@rule(
    "nation.number-of-another", "A telephone number is answered in the nation of the home.",
    severity=Severity.ERROR, basis="the nation's own layer, which names the numbers that work there",
)  # fmt: skip
def numbers_are_answered_here(home: Survey) -> Iterator[Problem]:
    for silent in home.home.nation.not_here.values():
        for section in ("contacts", "utilities"):
            for name, each in getattr(home.home, section).items():
                if each.telephone and _digits(each.telephone) == _digits(silent.telephone):
                    yield Problem(
                        (section, name, "telephone"),
                        f"Nobody answers {silent.telephone} in {home.home.nation.name}.",
                        f"Write {silent.instead}, or take the number out: the nation brings its own.",
                    )


def _digits(telephone: str) -> str:
    return _NOT_DIALLED.sub("", telephone)


@rule(
    "nation.not-named", "A development names the nation that it stands in.",
    basis="house rule: words, numbers, papers and law differ from nation to nation",
)  # fmt: skip
def the_nation_is_named(home: Survey) -> Iterator[Problem]:
    development = home.home.development
    if development.nation is None:
        yield Problem(
            ("development",),
            f"'{development.name}' names no nation. It is taken for {home.home.nation.name}: its telephone numbers,"
            " its bank holidays, its words and the values that homes are checked by. No law is cited.",
            f"Under 'development', write 'nation: {TAKEN_FOR}', or {listed(_OTHERS, 'or')}.",
        )


@rule(
    "nation.no-such-tenure", "A home is owned in a way that its nation knows.",
    severity=Severity.ERROR, basis="the nation's own layer, which names the ways of owning a home",
)  # fmt: skip
def tenures_exist_here(home: Survey) -> Iterator[Problem]:
    tenure, known = home.home.tenure, home.home.nation.tenures
    if tenure is not None and tenure not in known:
        yield Problem(
            ("tenure",),
            f"No new home in {home.home.nation.name} is {tenure}.",
            f"Write one of these: {listed(known, 'or')}.",
        )


NATION: tuple[HomeRule, ...] = (
    the_nation_is_named,
    numbers_are_answered_here,
    tenures_exist_here,
)
