"""Lengths of time, and the days that they end on.

A term of months or years ends on the same day of the month, or on the last day of a month that has
no such day. The law of the home's nation stands in its layer, as ``law.months``. It is also what
python-dateutil's ``relativedelta`` computes.
"""

from datetime import date, timedelta
from functools import lru_cache

from dateutil.relativedelta import relativedelta

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
