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
        subject: edition
        for subject in library().subjects
        if subject not in development.editions
        and (edition := library().latest(development.taken_nation, subject)) is not None
    }
    if latest and home.home.nation.editions_by == "named":
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
        known = library().editions(development.taken_nation, subject)
        if subject in library().subjects and edition not in known:
            yield Problem(
                (*_AT, subject),
                f"There is no table for {subject}, edition {edition}, in {home.home.nation.name}: its checks are not made.",
                f"Name one of these: {', '.join(known)}."
                if known
                else "Take it out: what is not checked is said under 'not-made'.",
            )


@rule(
    "editions.warrant-day", "Where the warrant decides the edition, its day is known.",
    basis="Building standards handbooks: the edition is that of the day of the warrant application",
)  # fmt: skip
def the_day_of_the_warrant_is_known(home: Survey) -> Iterator[Problem]:
    development = home.home.development
    by_warrant = home.home.nation.editions_by == "warrant"
    if by_warrant and development.warrant is None and home.home.plot.warrant is None:
        yield Problem(
            ("development",),
            f"'{development.name}' does not say when the building warrant was applied for:"
            " the latest edition of each standard is used.",
            "Add 'warrant:' with that day, or a column 'warrant' in plots.csv.",
        )


@rule(
    "editions.not-of-the-warrant", "A named edition is the one that held on the day of the warrant.",
    basis="Building standards handbooks: the edition is that of the day of the warrant application",
)  # fmt: skip
def named_editions_are_those_of_the_warrant(home: Survey) -> Iterator[Problem]:
    development, plot = home.home.development, home.home.plot
    day = plot.warrant or development.warrant
    for subject, edition in development.editions.items():
        held = library().on(development.taken_nation, subject, day) if day is not None else None
        if home.home.nation.editions_by == "warrant" and held and held.edition != edition:
            yield Problem(
                (*_AT, subject),
                f"The warrant of {day} was applied for under edition {held.edition} of {subject}, not {edition}.",
                f"Take '{subject}' out of 'editions', or correct the day of the warrant.",
            )


EDITIONS: tuple[HomeRule, ...] = (
    every_edition_is_named,
    subjects_are_known,
    editions_are_known,
    the_day_of_the_warrant_is_known,
    named_editions_are_those_of_the_warrant,
)
