"""Lengths of time, and the days they end on.

A term of months or years ends on the same day of the month, or on the last day of a month that has
no such day. The law of the home's nation stands in its layer, as ``law.months``. It is also what python-dateutil's ``relativedelta`` computes.
"""

from datetime import date, timedelta
from functools import lru_cache

from dateutil.relativedelta import relativedelta

from builder.languages.language import FIRST, Language, to_say

_TERMS = 4_096
"""Ends of terms kept: many dates of a home are counted from its completion by the same terms."""


def length(term: str) -> timedelta | relativedelta:
    """A term such as ``6 months`` as what can be added to a day, and taken several times."""
    count, unit = term.split(" ")
    steps = int(count)
    match unit.rstrip("s"):
        case "day":
            return timedelta(days=steps)
        case "week":
            return timedelta(weeks=steps)
        case "month":
            return relativedelta(months=steps)
        case _:
            return relativedelta(years=steps)


@lru_cache(maxsize=_TERMS)
def after(day: date, term: str) -> date:
    """The day that a term ends on, counted from a day."""
    return day + length(term)


def spoken_day(day: date) -> str:
    """A day in the words of the first language, the same in every locale: ``7 April 2026``."""
    return FIRST.day(day)


def within(term: str, completion: date | None, counted_from: str, language: Language) -> str:
    """Until when, in words; never a date while the day that it is ``counted_from`` is not known."""
    if completion is None:
        return language.say(
            "within %(term)s of %(day)s", term=language.term(term), day=counted_from
        )
    return language.say("by %(day)s", day=language.day(after(completion, term)))


def not_before(term: str, completion: date | None, counted_from: str, language: Language) -> str:
    """From when, in words."""
    if completion is None:
        said = language.term(term)
        return language.say("not before %(term)s after %(day)s", term=said, day=counted_from)
    return language.say("not before %(day)s", day=language.day(after(completion, term)))


_EVERY = {
    "day": to_say("every day"),
    "week": to_say("every week"),
    "month": to_say("every month"),
    "year": to_say("every year"),
}


def every(term: str, language: Language) -> str:
    """A rhythm in words: "every year", "every 6 months"."""
    count, _, unit = term.partition(" ")
    if count == "1":
        return language.text(_EVERY[unit.rstrip("s")])
    return language.say("every %(term)s", term=language.term(term))
