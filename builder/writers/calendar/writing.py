"""Writes the calendar of one plot: ``calendar.ics`` (RFC 5545), beside the pages of its guide.

No clock is read. The stamp of an edition is the day that its builder was told, and its SEQUENCE the
days from a fixed day to that one, so that whoever has an earlier edition replaces it (RFC 5546,
section 2.1.5, from memory: the higher SEQUENCE wins, then the later DTSTAMP). An edition that says
what the published one says keeps that one's stamp and its bytes; one that is made on the same day,
or for an earlier one, counts on from it.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from icalendar import Calendar, Event

from builder.guide.pages import Guide
from builder.writers.calendar import by_places
from builder.writers.calendar.events import Dated, event_of

_MAKER = "-//handover-pack-builder//Dates of a home//%s"
_BEGINS, _ENDS = b"BEGIN:VEVENT", b"END:VEVENT\r\n"
_ASK_AGAIN = timedelta(weeks=1)
_FIRST_DAY = date(2020, 1, 1)
"""Editions are numbered by the days from this one: before any guide was built."""


@dataclass(frozen=True, slots=True)
class Edition:
    """One edition of a calendar: the day it was made for, and its number."""

    day: date
    sequence: int


def next_editions(
    guide: Guide, code: str, day: date, earlier: Callable[[str], bytes | None]
) -> dict[str, bytes]:
    """The calendars of a guide in all its languages, by their paths in it. ``earlier``: the one that is
    published at such a path, if one is. A home whose completion is not known has none."""
    spoken = by_places(guide).items()
    return {name: next_edition(each, code, day, earlier(name)) for name, each in spoken}


def next_edition(guide: Guide, code: str, day: date, earlier: bytes | None) -> bytes:
    """The bytes of a calendar, in an edition that replaces an earlier one unless it says the same."""
    before = edition_of(earlier) if earlier else None
    if before is None:
        return calendar(guide, code, Edition(day, max((day - _FIRST_DAY).days, 0)))
    same = calendar(guide, code, before)
    if same == earlier:
        return same
    sequence = max((day - _FIRST_DAY).days, before.sequence + 1)
    return calendar(guide, code, Edition(max(day, before.day), sequence))


def edition_of(text: bytes) -> Edition | None:
    """The edition of a written calendar, which all its events name; none where it cannot be read."""
    begins = text.find(_BEGINS)
    ends = text.find(_ENDS, begins)
    if begins < 0 or ends < 0:
        return None
    try:
        event = Event.from_ical(text[begins:ends] + _ENDS)
        return Edition(event.DTSTAMP.date(), int(str(event["SEQUENCE"])))
    except (ValueError, KeyError, AttributeError):
        return None


def calendar(guide: Guide, code: str, edition: Edition) -> bytes:
    """A calendar with an event for each entry that has a date: a day, a rule, or all its dates."""
    made = Calendar()
    made.add("version", "2.0")
    made.add("prodid", _MAKER % guide.language.code.upper())
    made.add("calscale", "GREGORIAN")
    made.add("method", "PUBLISH")
    made.add("name", guide.title)
    made.add("x-wr-calname", guide.title)
    made.add("refresh-interval", _ASK_AGAIN, parameters={"VALUE": "DURATION"})
    events = _events(guide, code, edition)
    end = b"END:VCALENDAR\r\n"
    return b"".join((bytes(made.to_ical()).removesuffix(end), *events, end))


def _events(guide: Guide, code: str, edition: Edition) -> Iterator[bytes]:
    schedule = guide.schedule
    if schedule.completion is None:
        return
    dated = Dated(code, schedule.completion, edition.day, edition.sequence)
    for entry in schedule.entries:
        if entry.spans:
            yield event_of(entry, dated, guide.language)
