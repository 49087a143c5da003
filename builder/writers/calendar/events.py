"""One entry of a schedule as an event of RFC 5545: a whole day, its dates, and its reminders."""

from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from typing import NamedTuple
from uuid import UUID, uuid5

from icalendar import Alarm

from builder.guide.schedule.days import is_short
from builder.guide.schedule.entries import ScheduleEntry
from builder.guide.schedule.wording import BY
from builder.languages.language import Language, to_say
from builder.writers.calendar.recurrence import dates_of, written

_OURS = UUID("6f4b0d1e-5c1f-4d0a-9a3e-7d1c2b8e4f60")
"""The name space of our event ids: any fixed number that nobody else uses."""

_DAY = timedelta(days=1)
_MORNING = timedelta(hours=9)
"""All-day events begin at midnight; nobody wants to be reminded then."""

_AHEAD_OF_A_SERVICE = timedelta(days=7)
_AHEAD_OF_A_LAST_DAY = timedelta(days=3)
_LONG_AHEAD = timedelta(days=28)
_LONG_WINDOW = timedelta(days=91)
_RINGS_FROM = "3 months"
"""What comes back sooner stands in the calendar and rings nobody."""

_HEADINGS = {
    "closes": to_say("Last day: %(what)s"),
    "opens": to_say("From today: %(what)s"),
    "season": to_say("This month: %(what)s"),
}


class Dated(NamedTuple):
    """A calendar whose events are written: the code of its guide, the day that its dates count from, and
    the day and number of its edition."""

    code: str
    anchor: date
    day: date
    sequence: int


def uid(code: str, entry: str) -> str:
    """The id of an event: the same for as long as the guide has its code and the entry its id.

    It is a UUID made from both, as RFC 7986 asks, so that it tells nobody the address of the guide.
    """
    return str(uuid5(_OURS, f"{code} {entry}"))


def event_of(entry: ScheduleEntry, dated: Dated, language: Language) -> bytes:
    """The event of an entry that has a date, as it stands in a calendar."""
    first, stamp = entry.days[0], datetime.combine(dated.day, time(), UTC)
    heading = _HEADINGS.get(entry.kind)
    summary = language.say(heading, what=entry.what) if heading else entry.what
    lines = (
        b"BEGIN:VEVENT\r\n",
        written("summary", summary),
        written("dtstart", first),
        written("dtend", first + _DAY),
        written("dtstamp", stamp),
        b"UID:%s\r\n" % uid(dated.code, entry.id).encode(),
        written("sequence", dated.sequence),
        dates_of(entry, dated.anchor),
        written("description", _description(entry, language)),
        written("last-modified", stamp),
        written("transp", "TRANSPARENT"),
        *(_alarm(ahead, summary) for ahead in _reminders(entry, dated.anchor)),
        b"END:VEVENT\r\n",
    )
    return b"".join(lines)


def _description(entry: ScheduleEntry, language: Language) -> str:
    """What the guide says of an entry, a sentence a line."""
    say = language.say
    lines = [f"{entry.when[:1].upper()}{entry.when[1:]}.", language.text(BY[entry.by])]
    if entry.call:
        called = (entry.call.name, entry.call.telephone)
        lines.append(say("Call %(name)s.", name=", ".join(each for each in called if each)))
    if entry.note:
        lines.append(entry.note)
    if entry.read:
        lines.append(say("Read in your guide: %(page)s.", page=entry.read))
    if entry.basis:
        lines.append(say("Basis: %(source)s.", source=entry.basis))
    return "\n".join(lines)


def _reminders(entry: ScheduleEntry, anchor: date) -> list[timedelta]:
    """How long ahead an entry reminds, counted back from the morning of its day."""
    if entry.kind == "closes":
        window = entry.days[0] - anchor
        ahead = [_AHEAD_OF_A_LAST_DAY] if window > _AHEAD_OF_A_LAST_DAY else [timedelta()]
        return [_LONG_AHEAD, *ahead] if window > _LONG_WINDOW else ahead
    if entry.kind == "rhythm" and entry.by in ("registered-person", "keeper"):
        return [_AHEAD_OF_A_SERVICE]
    if entry.kind == "rhythm" and is_short(entry.every or "", _RINGS_FROM):
        return []
    return [timedelta()]


@lru_cache(maxsize=4096)
def _alarm(ahead: timedelta, summary: str) -> bytes:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", summary)
    alarm.add("trigger", _MORNING - ahead)
    return bytes(alarm.to_ical())
