"""One property of an event, written by the library that knows how: escaped, and folded at 75 octets.

Most properties are the same in many events of many homes, so each is written once.
"""

from datetime import date, datetime
from functools import lru_cache

from icalendar import Event, vRecur, vText
from icalendar.parser import Contentline, Parameters


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
