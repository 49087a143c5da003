"""How the dates of an entry are written: one date, a rule that gives exactly them, or all of them.

A rule of RFC 5545 skips what a month does not have, where our terms end on its last day instead. So
a rule for the 29th to the 31st asks for the last of the days from the 28th on, and every rule is
tried: where it does not give exactly the dates of the schedule, the dates are listed one by one.

Each property is written by the library that knows how: escaped, and folded at 75 octets. Most are the
same in many events of many homes, so each is written once.
"""

from collections.abc import Iterator
from datetime import date, datetime, time
from functools import lru_cache

from dateutil.rrule import rrulestr
from icalendar import Event, vRecur, vText
from icalendar.parser import Contentline, Parameters

from builder.guide.schedule.entries import ScheduleEntry
from builder.home.lengths import after

_EVERY_MONTH_HAS = 28
Rule = dict[str, list[str | int]]


@lru_cache(maxsize=32768)
def written(name: str, value: str | int | date | datetime | tuple[date, ...]) -> bytes:
    """The lines of a property. Several days are written as days, and not as moments."""
    if isinstance(value, str):
        line = Contentline.from_parts(name.upper(), Parameters(), vText(value))
        return bytes(line.to_ical()) + b"\r\n"
    event = Event()
    if isinstance(value, tuple):
        event.add(name, list(value), parameters={"VALUE": "DATE"})
    else:
        event.add(name, value)
    return _inside(event)


@lru_cache(maxsize=4096)
def written_rule(rule: str) -> bytes:
    """The lines of a rule that dates follow."""
    event = Event()
    event.add("rrule", vRecur.from_ical(rule))
    return _inside(event)


def _inside(event: Event) -> bytes:
    text = bytes(event.to_ical())
    return text.removeprefix(b"BEGIN:VEVENT\r\n").removesuffix(b"END:VEVENT\r\n")


def dates_of(entry: ScheduleEntry, anchor: date) -> bytes:
    """The days of an entry after its first, as lines of an event; ``anchor`` is what they count from."""
    days = entry.days
    if len(days) == 1:
        return b""
    for rule in _rules(entry, anchor):
        text = _rule_as_text({**rule, "COUNT": [len(days)]})
        if _is_plain(entry, anchor) or _expanded(text, days[0]) == days:
            return written_rule(text)
    return written("rdate", days[1:])


def _is_plain(entry: ScheduleEntry, anchor: date) -> bool:
    """Whether the plainest rule gives these days without a doubt: a rhythm that no month rests and
    no window bounds, counted from a day that every month has."""
    counted = entry.every is not None and not entry.months and entry.kind == "rhythm"
    return (
        counted
        and anchor.day <= _EVERY_MONTH_HAS
        and entry.first == after(anchor, entry.every or "")
    )


@lru_cache(maxsize=1024)
def _expanded(rule: str, first: date) -> tuple[date, ...]:
    """The days that a rule gives, by an implementation of the standard that is not ours."""
    start = datetime.combine(first, time())
    return tuple(each.date() for each in rrulestr(rule, dtstart=start))


def _rule_as_text(rule: Rule) -> str:
    return ";".join(f"{name}={','.join(map(str, values))}" for name, values in rule.items())


def _rules(entry: ScheduleEntry, anchor: date) -> Iterator[Rule]:
    """The rules that are worth trying for an entry, the plainest first."""
    months: Rule = {"BYMONTH": [*entry.month_numbers]} if entry.months else {}
    if entry.kind == "season":
        yield {"FREQ": ["YEARLY"], **months, "BYMONTHDAY": [1]}
    if entry.every is None:
        return
    count, _, unit = entry.every.partition(" ")
    interval: Rule = {} if count == "1" else {"INTERVAL": [int(count)]}
    frequency = {"day": "DAILY", "week": "WEEKLY", "month": "MONTHLY", "year": "YEARLY"}
    plain: Rule = {"FREQ": [frequency[unit.rstrip("s")]], **interval}
    yield {**plain, **months}
    if anchor.day > _EVERY_MONTH_HAS:
        last: Rule = {
            "BYMONTHDAY": list(range(_EVERY_MONTH_HAS, anchor.day + 1)),
            "BYSETPOS": [-1],
        }
        by_year: Rule = {"BYMONTH": [anchor.month]} if unit.rstrip("s") == "year" else {}
        yield {**plain, **by_year, **last}
