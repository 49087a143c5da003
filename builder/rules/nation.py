"""What a nation has not: telephone numbers that nobody answers there, and tenures that do not exist."""

import re
from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.rules.rule import HomeRule, Problem, rule
from builder.rules.telling import listed

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


NATION: tuple[HomeRule, ...] = (numbers_are_answered_here, tenures_exist_here)
