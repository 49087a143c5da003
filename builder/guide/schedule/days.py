"""The days of a home: each counted from legal completion itself, never from the day before it.

A term of months or years ends on the corresponding day, or on the last day of a month that has no
such day (see ``terms``). So half a year from 31 August is
28 or 29 February, and a whole year is 31 August again: no day creeps forward. Years from 29
February end on 28 February in common years and on 29 February in leap years. The day of completion
itself is not counted, and a window is open to the end of its last day.
"""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from functools import cache, lru_cache

from dateutil.relativedelta import relativedelta

from builder.guide.schedule.entries import LASTS, MONTHS, Span
from builder.home.lengths import after, length
from builder.model.article import Month, Task

ONE_DAY = timedelta(days=1)
_A_YEAR = 12
_TOGETHER = 1024
"""Results kept in memory: many tasks of a home come back in the same rhythm."""


def single(day: date) -> tuple[Span, ...]:
    """One day as spans."""
    return (Span(day, day),)


def task_spans(task: Task, completion: date) -> tuple[Span, ...]:
    """Every date of a rhythm or a season, between its ``opens`` and ``closes`` and in ten years.

    A rhythm of days or weeks with ``months`` rests in the others. With a longer rhythm the months
    say when, and whole years between them are left out: every 2 years, in May.
    """
    return _spans(task.every, task.months, task.opens, task.closes, completion)


@lru_cache(maxsize=_TOGETHER)
def _spans(
    every: str | None, months: tuple[Month, ...], opens: str | None, closes: str | None,
    completion: date,
) -> tuple[Span, ...]:  # fmt: skip
    first = after(completion, opens) if opens else completion
    last = min(after(completion, each) for each in (closes, LASTS) if each)
    if _is_season(every, months):
        return tuple(_seasons(months, first, last, _years_between(every)))
    return tuple(
        Span(day, day)
        for day in rhythm_days(every or LASTS, completion)
        if first <= day <= last and (not months or MONTHS[day.month - 1] in months)
    )


def is_season(task: Task) -> bool:
    """Whether months alone say when a task is due, and not a rhythm of days or weeks in them."""
    return _is_season(task.every, task.months)


def _is_season(every: str | None, months: tuple[Month, ...]) -> bool:
    return bool(months) and (every is None or _months_of(every) > 0)


@lru_cache(maxsize=_TOGETHER)
def rhythm_days(every: str, completion: date) -> tuple[date, ...]:
    """The days on which a term has passed once, twice and so on, for ten years."""
    step, months = length(every), _months_of(every)
    if isinstance(step, timedelta):
        times = (after(completion, LASTS) - completion) // step
        return tuple(completion + step * each for each in range(1, times + 1))
    # Every third month is a third of all months: no day is worked out twice.
    return _month_ends(completion)[months - 1 :: months]


@lru_cache(maxsize=_TOGETHER)
def _month_ends(completion: date) -> tuple[date, ...]:
    """The days on which one month has passed, two months and so on, for ten years."""
    return tuple(completion + months for months in _months_to(_months_of(LASTS)))


@cache
def _months_to(last: int) -> tuple[relativedelta, ...]:
    return tuple(relativedelta(months=count) for count in range(1, last + 1))


def _seasons(months: Sequence[Month], first: date, last: date, years: int) -> Iterator[Span]:
    """Each season that touches the days from first to last, cut to them."""
    begun: int | None = None
    for year in range(first.year, last.year + 1):
        for number, name in enumerate(MONTHS, start=1):
            span = _cut_to(_month(year, number), first, last) if name in months else None
            if span is None:
                continue
            begun = year if begun is None else begun
            if (year - begun) % years == 0:
                yield span


@lru_cache(maxsize=_TOGETHER)
def _month(year: int, number: int) -> Span:
    first = date(year, number, 1)
    return Span(first, after(first, "1 month") - ONE_DAY)


def _cut_to(span: Span, first: date, last: date) -> Span | None:
    cut = Span(max(span.first, first), min(span.last, last))
    return cut if cut.first <= cut.last else None


def _months_of(every: str) -> int:
    """How many months a term has; none for days and weeks."""
    count, _, unit = every.partition(" ")
    return int(count) * {"month": 1, "year": _A_YEAR}.get(unit.rstrip("s"), 0)


def _years_between(every: str | None) -> int:
    return max(1, -(-_months_of(every) // _A_YEAR)) if every else 1


def months_of_the_year(every: str, completion: date) -> tuple[Month, ...]:
    """The months that a rhythm falls in each year; none where they are not the same every year."""
    months = _months_of(every)
    if not months or _A_YEAR % months or months == 1:
        return ()
    numbers = {(completion.month - 1 + step) % _A_YEAR for step in range(0, _A_YEAR, months)}
    return tuple(MONTHS[number] for number in sorted(numbers))


def is_short(every: str, term: str) -> bool:
    """Whether a rhythm comes back before a term has passed, counted from one and the same day."""
    day = date(2001, 1, 1)
    return after(day, every) < after(day, term)
