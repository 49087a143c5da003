"""The year of a home as twelve months, to be printed and put up on a cupboard door."""

from collections.abc import Iterator
from dataclasses import dataclass

from builder.guide.schedule.days import is_short, months_of_the_year
from builder.guide.schedule.entries import MONTHS, Schedule, ScheduleEntry
from builder.model.article import Month


@dataclass(frozen=True, slots=True)
class YearMonth:
    """One month, and what comes back in it every year."""

    name: Month
    entries: tuple[ScheduleEntry, ...]


@dataclass(frozen=True, slots=True)
class Year:
    """Twelve months; ``often`` comes back sooner than every second month, ``other`` is not the same
    every year, or has no month while completion is not known."""

    months: tuple[YearMonth, ...]
    often: tuple[ScheduleEntry, ...]
    other: tuple[ScheduleEntry, ...]


def year_of(schedule: Schedule) -> Year:
    """Every rhythm and season of a schedule, at its place in the year."""
    repeated = [entry for entry in schedule.entries if entry.kind in ("rhythm", "season")]
    placed = {entry.id: tuple(_months(entry, schedule)) for entry in repeated}
    return Year(
        tuple(
            YearMonth(name, tuple(entry for entry in repeated if name in placed[entry.id]))
            for name in MONTHS
        ),
        tuple(entry for entry in repeated if not placed[entry.id] and _often(entry)),
        tuple(entry for entry in repeated if not placed[entry.id] and not _often(entry)),
    )


def _months(entry: ScheduleEntry, schedule: Schedule) -> Iterator[Month]:
    if entry.months:
        yield from entry.months
    elif entry.every and schedule.completion:
        yield from months_of_the_year(entry.every, schedule.completion)


def _often(entry: ScheduleEntry) -> bool:
    return entry.every is not None and is_short(entry.every, "2 months")
