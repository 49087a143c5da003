"""Checks that are not made, because nobody has read their values for the nation and edition of a home.

Silence would look like a home that passed. Each subject has a rule of its own, so that setting one
aside hides no other; a check by hand is recorded by the development under ``checked``.
"""

from collections.abc import Iterable, Iterator
from typing import get_args

from builder.home.assemble import TracedHome
from builder.rules.applying import table_for
from builder.rules.reference import Subject
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
    """For each subject the checks that were not made, unless somebody has made them by hand."""
    home = traced.home
    unread: dict[str, list[str]] = {}
    for each in rules:
        subject = each.rule.standard
        if subject is None or subject in home.development.checked:
            continue
        table = table_for(home, subject, traced.kept)
        if table is None or table.lacks(each.rule.values):
            unread.setdefault(subject, []).append(each.rule.id)
    for subject, checks in unread.items():
        yield NOT_MADE[subject], _problem(home.nation.name, subject, checks)


def _problem(nation: str, subject: str, checks: list[str]) -> Problem:
    made = "check was" if len(checks) == 1 else "checks were"
    return Problem(
        ("development", "checked", subject),
        f"{subject.capitalize()}: {len(checks)} {made} not made, because nobody has read the values "
        f"for {nation}: {', '.join(checks)}.",
        "Have the architect check them by hand, and record it in the development: "
        f"checked: {{{subject}: {{by: Architect, day: …}}}}.",
    )
