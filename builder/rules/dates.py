"""Dates and covers that can be: completion, registrations, and who puts right what until when."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from dateutil.relativedelta import relativedelta

from builder.errors import Finding, Severity
from builder.home.assemble import TracedHome
from builder.home.survey import Survey
from builder.model.home import Home
from builder.model.record import TERM
from builder.rules.rule import Address, HomeRule, Problem, Rule, rule

_EARLIEST, _LATEST = date(2000, 1, 1), date(2099, 12, 31)
AHEAD = 5
"""Years from today within which a home that has a day of legal completion is completed."""

_ANY_DAY = date(2001, 1, 1)
"""Terms are compared from one and the same day."""

_SLIP = "house rule: a day that cannot be is a slip of the pen"
_CLOCK = "house rule: a cover counts from the day that it is written for"

COMPLETION_FAR = Rule(
    "dates.completion-far", f"Completion is no more than {AHEAD} years from today.", basis=_SLIP,
)  # fmt: skip
REGISTERED_AHEAD = Rule(
    "dates.registered-ahead", "What is registered with its maker was registered by today.",
    basis=_SLIP,
)  # fmt: skip
SOLD_AHEAD = Rule(
    "dates.sold-ahead", "A home that was sold on was sold by today.", basis=_SLIP,
)  # fmt: skip
DAY_RULES = (COMPLETION_FAR, REGISTERED_AHEAD, SOLD_AHEAD)


@rule(
    "dates.completion-century", "Completion is in this century.", basis=_SLIP,
    severity=Severity.ERROR,
)  # fmt: skip
def completion_is_in_this_century(home: Survey) -> Iterator[Problem]:
    completion = home.home.plot.completion
    if completion and not _EARLIEST <= completion <= _LATEST:
        yield Problem(
            ("plot", "completion"),
            f"{_day_of(home.home)} on {completion.isoformat()} cannot be that of a new home.",
            f"Write a day from {_EARLIEST.isoformat()} to {_LATEST.isoformat()}, year first.",
        )


def _day_of(home: Home) -> str:
    """What the nation of a home calls the day that counts, as a sentence begins."""
    day = home.terms["completion-day"]
    return f"{day[:1].upper()}{day[1:]}"


@rule(
    "dates.registered-before-completion",
    "What its maker covers from registration is registered by its owner, who has it from completion.",
    basis="common practice", own=True,
)  # fmt: skip
def owners_register(home: Survey) -> Iterator[Problem]:
    completion = home.home.plot.completion
    for name, piece in home.home.equipment.items():
        if not (completion and piece.registered and home.home.kinds[piece.kind].cover):
            continue
        if piece.registered < completion:
            yield Problem(
                ("equipment", name, "registered"),
                f"It was registered on {piece.registered.isoformat()}, before {home.home.terms['completion']} on {completion.isoformat()}: its cover has begun without its owner.",
                f"Mend the day, or ask the maker to count from {home.home.terms['completion']}.",
            )


@rule(
    "dates.sold-before-completion", "A home is sold on after its completion, and to one owner a day.",
    basis=_SLIP, severity=Severity.ERROR, own=True,
)  # fmt: skip
def homes_are_sold_on_later(home: Survey) -> Iterator[Problem]:
    completion, days = home.home.plot.completion, set[date]()
    for name, owner in home.home.later_owners.items():
        address = ("later_owners", name, "since")
        if completion is None or owner.since <= completion:
            told = f"on {completion.isoformat()}" if completion else "of no known day"
            yield Problem(
                address,
                f"The home is a later owner's since {owner.since.isoformat()}, and {home.home.terms['completion']} is {told}.",
                "Write the day on which the home changed hands, after the first owner had it.",
            )
        elif owner.since in days:
            yield Problem(
                address,
                f"Two owners have the home since {owner.since.isoformat()}.",
                "Write the day of each sale.",
            )
        days.add(owner.since)


@rule(
    "covers.matter-of-nobody", "Somebody puts right each matter that every home has.", basis=_CLOCK
)
def matters_are_put_right(home: Survey) -> Iterator[Problem]:
    # Matters that only some homes have are answered for by developments: readiness looks at those.
    covered = {matter for cover in home.home.covers.values() for matter in cover.matters}
    for name, matter in home.home.matters.items():
        if matter.when is None and name not in covered:
            yield Problem(
                ("matters", name),
                f"Nobody puts '{matter.name}' right: no cover names it, and no guide tells of it.",
                f"Add '{name}' to the 'matters' of a cover, or take it out.",
            )


@rule("covers.ends-first", "A cover begins before it ends.", basis=_CLOCK, severity=Severity.ERROR)
def covers_begin_before_they_end(home: Survey) -> Iterator[Problem]:
    for name, cover in home.home.covers.items():
        if cover.starts and cover.ends and _end(cover.starts) >= _end(cover.ends):
            yield Problem(
                ("covers", name, "starts"),
                f"This cover begins when {cover.starts} are over and ends when {cover.ends} are: it never runs.",
                "Write an end that is later than the beginning.",
            )


@rule("facts.rhythm", "A fact that says how often is a length of time.",
      basis="house rule: what is no length of time gets no date in the guide")  # fmt: skip
def rhythms_are_terms(home: Survey) -> Iterator[Problem]:
    for name, piece in home.home.equipment.items():
        known = home.home.kinds[piece.kind].facts
        for fact, value in piece.facts.items():
            rhythm = fact in known and known[fact].rhythm
            if rhythm and not re.fullmatch(TERM, str(value)):
                yield Problem(
                    ("equipment", name, "facts", fact),
                    f"'{known[fact].name}' is a rhythm, and '{value}' is no length of time: it gets no date.",
                    "Write a whole number and days, weeks, months or years: 6 months.",
                )


DATES: tuple[HomeRule, ...] = (
    completion_is_in_this_century, owners_register, homes_are_sold_on_later, matters_are_put_right,
    covers_begin_before_they_end, rhythms_are_terms,
)  # fmt: skip


def days_to_come(traced: TracedHome, day: date) -> Iterator[Finding]:
    """Days of a home that are too far ahead to be true, seen from today."""
    completion, latest = traced.home.plot.completion, day + relativedelta(years=AHEAD)
    if completion and completion > latest:
        yield _finding(
            traced, COMPLETION_FAR, ("plot", "completion"),
            f"{_day_of(traced.home)} on {completion.isoformat()} is more than {AHEAD} years from today.",
            "See whether the year is right.",
        )  # fmt: skip
    for name, piece in traced.home.equipment.items():
        if piece.registered and piece.registered > day:
            yield _finding(
                traced, REGISTERED_AHEAD, ("equipment", name, "registered"),
                f"It was registered on {piece.registered.isoformat()}, which is still to come.",
                "Write the day on which its maker was told of it.",
            )  # fmt: skip
    for name, owner in traced.home.later_owners.items():
        if owner.since > day:
            yield _finding(
                traced, SOLD_AHEAD, ("later_owners", name, "since"),
                f"The home is a later owner's since {owner.since.isoformat()}, which is still to come.",
                "Write it when the home has changed hands: the guide is theirs at once.",
            )  # fmt: skip


def _finding(traced: TracedHome, about: Rule, address: Address, wrong: str, right: str) -> Finding:
    said = traced.said(*address)
    found = about.finding(said.named_at, wrong, right, ".".join(map(str, address)))
    return replace(found, plots=(traced.reference,), layer=said.layer)


def _end(term: str) -> date:
    """The day on which a term of the model is over, from one and the same day."""
    count, _, unit = term.partition(" ")
    steps, unit = int(count), unit.rstrip("s")
    if unit == "day":
        return _ANY_DAY + timedelta(days=steps)
    return _ANY_DAY + relativedelta(**{f"{unit}s": steps})  # type: ignore[arg-type]
