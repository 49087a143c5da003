"""Which editions of the standards a home is checked by, and where there are none."""

from collections.abc import Iterator

from builder.errors import Severity, suggestion
from builder.home.survey import Survey
from builder.rules.reference import library
from builder.rules.rule import HomeRule, Problem, rule

_BASIS = "house rule: a home stays under the edition that it was built to"
_AT = ("development", "editions")


@rule(
    "editions.not-named", "The development names the edition of every standard.", basis=_BASIS,
    severity=Severity.NOTE,
)  # fmt: skip
def every_edition_is_named(home: Survey) -> Iterator[Problem]:
    development = home.home.development
    latest = {
        subject: known[-1]
        for subject in library().subjects
        if subject not in development.editions
        and (known := library().editions(development.nation, subject))
    }
    if latest:
        listed = ", ".join(f'{subject}: "{edition}"' for subject, edition in latest.items())
        yield Problem(
            ("development",),
            f"'{development.name}' names no edition of {', '.join(latest)}: the latest is used.",
            f"Under 'editions', name those that its homes were built to: {listed}.",
        )


@rule(
    "editions.unknown-subject", "The development names only subjects that there are.", basis=_BASIS
)
def subjects_are_known(home: Survey) -> Iterator[Problem]:
    for subject in home.home.development.editions:
        if subject not in library().subjects:
            yield Problem(
                (*_AT, subject),
                f"There is no subject '{subject}'.",
                suggestion(subject, library().subjects, "The subjects are"),
            )


@rule("editions.no-table", "There is a table for every edition that is named.", basis=_BASIS)
def editions_are_known(home: Survey) -> Iterator[Problem]:
    development = home.home.development
    for subject, edition in development.editions.items():
        known = library().editions(development.nation, subject)
        if subject in library().subjects and edition not in known:
            yield Problem(
                (*_AT, subject),
                f"There is no table for {subject}, edition {edition}, in {_spoken(development.nation)}: its rules are not run.",
                f"Name one of these: {', '.join(known)}."
                if known
                else "Have these checked by hand.",
            )


@rule("editions.nation-without-tables", "The nation's standards are known.", basis=_BASIS)
def the_nation_has_tables(home: Survey) -> Iterator[Problem]:
    nation = home.home.development.nation
    if not any(library().editions(nation, subject) for subject in library().subjects):
        yield Problem(
            ("development", "nation"),
            f"There are no tables for {_spoken(nation)}: rules that read one are not run.",
            "Have ventilation, fire safety, water and heating checked by its standards by hand.",
        )


def _spoken(nation: str) -> str:
    return nation.replace("-", " ").title()


EDITIONS: tuple[HomeRule, ...] = (
    every_edition_is_named,
    subjects_are_known,
    editions_are_known,
    the_nation_has_tables,
)
