"""On which days an office is closed. Closed days move nobody's deadline; they move the call.

The bank holidays of each nation stand in data files beside this module, with their source. In years
that a file does not hold, days of the week alone close an office.
"""

from collections.abc import Mapping
from datetime import date
from functools import cache
from importlib.resources import files

from pydantic import Field

from builder.guide.about import About
from builder.guide.schedule.days import ONE_DAY
from builder.model.people import Contact
from builder.model.record import Day, Record, Text
from builder.sources.yaml_plain import shipped_values

_WEEK = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_LONGEST_REST = 31
"""Days that are looked through for one on which somebody answers."""


class BankHolidays(Record):
    """The bank holidays of some nations by their day, and where they come from."""

    basis: Text
    nations: tuple[Text, ...] = Field(min_length=1)
    days: Mapping[Day, Text]


@cache
def bank_holidays(nation: str) -> BankHolidays:
    """Those of a nation as they ship; they never change while the builder runs."""
    folder = files("builder.guide.schedule") / "bank_holidays"
    read = (
        shipped_values(each.read_text(encoding="utf-8"))
        for each in sorted(folder.iterdir(), key=lambda each: each.name)
    )
    known = (BankHolidays.model_validate(each) for each in read)
    return next(each for each in known if nation in each.nations)


def is_closed(contact: Contact, day: date, nation: str) -> bool:
    """Whether nobody answers on a day."""
    rests = "bank-holidays" in contact.closed and day in bank_holidays(nation).days
    return rests or _WEEK[day.weekday()] in contact.closed


def last_open_day(contact: Contact, day: date, nation: str) -> date | None:
    """The last day before a day on which somebody answers."""
    for _ in range(_LONGEST_REST):
        day -= ONE_DAY
        if not is_closed(contact, day, nation):
            return day
    return None


def closed_note(contact: Contact, day: date, completion: date, about: About) -> str | None:
    """What to do where an office is closed on the last day of a window."""
    nation, language = about.home.development.taken_nation, about.language
    if not is_closed(contact, day, nation):
        return None
    before = last_open_day(contact, day, nation)
    if before is None or before <= completion:
        return language.say(
            "%(name)s is closed on that day: write before it ends.", name=contact.name
        )
    return language.say(
        "%(name)s is closed on that day: call on %(day)s or before.",
        name=contact.name,
        day=f"{language.weekday(before)} {language.day(before)}",
    )
