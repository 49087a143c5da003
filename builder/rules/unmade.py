"""Checks that are not made, because nobody has read their values for the nation and edition of a home.

Silence would look like a home that passed. Each subject has a rule of its own, so that setting one
aside hides no other; a check by hand is recorded by the development under ``checked``.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import get_args

from builder.errors import Severity
from builder.home.assemble import TracedHome
from builder.model.home import Home
from builder.model.people import CheckedByHand
from builder.rules.reference import Subject, table_for
from builder.rules.rule import HomeRule, Problem, Rule

NOT_MADE: dict[str, Rule] = {
    subject: Rule(
        f"not-made.{subject}",
        f"Every check of {subject} is made by the builder, or by somebody who says so.",
        basis="house rule: a check that is not made is never silent",
    )
    for subject in get_args(Subject)
}
"""The rule of each subject, by the subject."""


def checks_not_made(
    traced: TracedHome, rules: Iterable[HomeRule]
) -> Iterator[tuple[Rule, Problem]]:
    """For each subject the checks that were not made: a note where somebody has made them by hand."""
    home = traced.home
    unread: dict[str, list[str]] = {}
    for each in rules:
        subject = each.rule.standard
        if subject is None or not _concerned(home, each.rule):
            continue
        table = table_for(home, subject, traced.kept)
        if table is None or table.lacks(each.rule.values):
            unread.setdefault(subject, []).append(each.rule.id)
    for subject, checks in unread.items():
        by_hand = home.development.checked.get(subject)
        severity = Severity.NOTE if by_hand else Severity.WARNING
        rule = replace(NOT_MADE[subject], severity=severity)
        yield rule, _problem(home.nation.name, subject, checks, by_hand)


def _has(*kinds: str) -> Callable[[Home], bool]:
    """Whether a home has one of these kinds, or one of its own that counts as it."""

    def has(home: Home) -> bool:
        used = {piece.kind for piece in home.equipment.values()}
        return any(not {name, *home.kinds[name].counts_as}.isdisjoint(kinds) for name in used)

    return has


_CONCERNS: Mapping[str, Callable[[Home], bool]] = {
    "premises.": lambda home: bool(home.premises),
    "oil.": _has("oil-tank"),
    "lpg.tank": _has("lpg-tank"),
    "lpg.bottles": _has("lpg-bottles"),
    "drains.tank": _has("septic-tank", "cesspool"),
}
"""What a home has that checks with these beginnings are about; others are about every home."""


def _concerned(home: Home, rule: Rule) -> bool:
    """Whether there is anything in a home that a rule could look at."""
    for begins, concerned in _CONCERNS.items():
        if rule.id.startswith(begins):
            return concerned(home)
    return rule.standard != "combustion" or _burns(home)


def _burns(home: Home) -> bool:
    """Whether anything burns in the home, is kept to be burnt, or carries fumes: else there is nothing to
    check of it, by hand or otherwise."""
    pieces = home.equipment.values()
    kinds = {piece.kind: home.kinds[piece.kind] for piece in pieces}
    passes = any("passing-flue" in (name, *kind.counts_as) for name, kind in kinds.items())
    burns = any(kind.burns_fuel or kind.fuel for kind in kinds.values())
    return passes or burns or any(piece.fuel for piece in pieces)


def _problem(
    nation: str, subject: str, checks: list[str], by_hand: CheckedByHand | None
) -> Problem:
    right = (
        f"Nothing to do: checked by hand by the {by_hand.by.lower()} on {by_hand.day.isoformat()}."
        if by_hand
        else "Have the architect check them by hand, and record it in the development: "
        f"checked: {{{subject}: {{by: Architect, day: …}}}}."
    )
    made = "check was" if len(checks) == 1 else "checks were"
    return Problem(
        ("development", "checked", subject),
        f"{subject.capitalize()}: {len(checks)} {made} not made, because nobody has read the values "
        f"for {nation}: {', '.join(checks)}.",
        right,
    )
