"""Lengths of time, and the days they end on.

A term of months or years ends on the same day of the month, or on the last day of a month that has
no such day: the "corresponding date" rule of English law (Dodds v Walker [1981] UKHL, from memory),
which is also what python-dateutil's ``relativedelta`` computes.
"""

from datetime import date

from dateutil.relativedelta import relativedelta


def after(day: date, term: str) -> date:
    """The day that a term such as ``6 months`` ends on, counted from a day."""
    count, unit = term.split(" ")
    steps = int(count)
    match unit.rstrip("s"):
        case "day":
            return day + relativedelta(days=steps)
        case "week":
            return day + relativedelta(weeks=steps)
        case "month":
            return day + relativedelta(months=steps)
        case _:
            return day + relativedelta(years=steps)


def spoken_day(day: date) -> str:
    """A day in words, the same in every locale: ``7 April 2026``."""
    months = ("January", "February", "March", "April", "May", "June", "July", "August",
              "September", "October", "November", "December")  # fmt: skip
    return f"{day.day} {months[day.month - 1]} {day.year}"


def within(term: str, completion: date | None) -> str:
    """Until when, in words; never a date while the completion is not known."""
    if completion is None:
        return f"within {term} of your completion"
    return f"by {spoken_day(after(completion, term))}"


def not_before(term: str, completion: date | None) -> str:
    """From when, in words."""
    if completion is None:
        return f"not before {term} after your completion"
    return f"not before {spoken_day(after(completion, term))}"
