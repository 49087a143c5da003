"""The calendar of a home, read by independent parsers and held to the rules of RFC 5545."""

import re
from collections import defaultdict
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import icalendar
import pytest
import recurring_ical_events
from hypothesis import example, given, settings
from hypothesis import strategies as st

from builder.build.building import publish
from builder.build.report import Target
from builder.writers.calendar import CALENDAR
from builder.writers.calendar.events import uid
from builder.writers.calendar.writing import edition_of, next_edition
from tests.dates import ASKED, guide
from tests.demo import Demo

DAY = date(2026, 11, 25)
CODE = "7843TRFY6V4Z59"
TASKS = {name: asked for name, asked in ASKED.items() if name != "watering"}


def written(completion: date, day: date = DAY, earlier: bytes | None = None) -> bytes:
    return next_edition(guide(completion), CODE, day, earlier)


def expanded(text: bytes) -> dict[str, list[date]]:
    """Every day of every event, by recurring-ical-events."""
    found: dict[str, list[date]] = defaultdict(list)
    parsed = icalendar.Calendar.from_ical(text)
    for event in recurring_ical_events.of(parsed).between(date(1980, 1, 1), date(2140, 1, 1)):
        assert event["DTEND"].dt - event["DTSTART"].dt == timedelta(days=1)
        found[str(event["UID"])].append(event["DTSTART"].dt)
    return {name: sorted(days) for name, days in found.items()}


@settings(max_examples=30)
@given(st.dates(date(2000, 1, 1), date(2080, 12, 31)))
@example(date(2028, 2, 29))
@example(date(2026, 8, 31))
@example(date(2026, 11, 30))
@example(date(2027, 1, 29))
@example(date(2026, 10, 15))
def test_the_calendar_expands_to_the_dates_of_the_schedule(completion: date) -> None:
    made = guide(completion, TASKS)
    wanted = {
        uid(CODE, entry.id): list(entry.days) for entry in made.schedule.entries if entry.spans
    }
    assert len(wanted) >= 20
    assert expanded(next_edition(made, CODE, DAY, None)) == wanted


def test_rules_stand_where_they_are_exact_and_dates_elsewhere() -> None:
    """RFC 5545, section 3.3.10: a rule skips days that are not there. Ours never rely on that."""
    rules = {str(event["SUMMARY"]): event.get("RRULE") for event in events(written(date(2026, 8, 31)))}  # fmt: skip
    assert rules["Test it."].to_ical() == (
        b"FREQ=MONTHLY;COUNT=120;BYMONTHDAY=28,29,30,31;BYSETPOS=-1"
    )
    assert rules["Have it serviced."].to_ical() == b"FREQ=YEARLY;COUNT=10"
    leap = {str(event["SUMMARY"]): event.get("RRULE") for event in events(written(date(2028, 2, 29)))}  # fmt: skip
    assert leap["Have it serviced."].to_ical() == (
        b"FREQ=YEARLY;COUNT=10;BYMONTHDAY=28,29;BYMONTH=2;BYSETPOS=-1"
    )
    frost = next(each for each in events(written(date(2026, 10, 15))) if "Drain" in each["SUMMARY"])
    assert "RRULE" not in frost, "the first season begins on the day of completion"
    listed = [each.dt for each in frost["RDATE"].dts]
    assert listed == [date(year, 10, 1) for year in range(2027, 2037)]


def events(text: bytes) -> list[icalendar.Event]:
    return icalendar.Calendar.from_ical(text).events


def test_lines_are_folded_and_ended_as_the_standard_says() -> None:
    """RFC 5545, section 3.1: lines end with CRLF and hold at most 75 octets."""
    text = written(date(2026, 8, 31))
    assert text.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in text.replace(b"\r\n", b"")
    assert max(map(len, text.split(b"\r\n"))) <= 75
    assert b"\r\n " in text, "long lines are folded"
    text.decode("utf-8")


def test_every_event_has_what_the_standard_asks_for() -> None:
    """RFC 5545, sections 3.6.1 and 3.6.6; RFC 7986, sections 5.1, 5.3 and 5.7."""
    text = written(date(2026, 8, 31))
    parsed = icalendar.Calendar.from_ical(text)
    assert parsed["VERSION"] == "2.0"
    assert parsed["PRODID"]
    assert parsed["METHOD"] == "PUBLISH"
    assert parsed["X-WR-CALNAME"] == parsed["NAME"] == "Plot 01, 1 Riverside"
    assert b"REFRESH-INTERVAL;VALUE=DURATION:P7D" in text
    assert not parsed.errors
    found = parsed.events
    assert len({str(event["UID"]) for event in found}) == len(found) >= 20
    for event in found:
        assert re.fullmatch(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", str(event["UID"]))
        assert event["DTSTART"].params["VALUE"] == "DATE"
        assert event["DTEND"].dt == event["DTSTART"].dt + timedelta(days=1), "the end is not in it"
        assert event["DTSTAMP"].dt == datetime(2026, 11, 25, tzinfo=UTC)
        assert event["TRANSP"] == "TRANSPARENT"
        assert not event.errors
        for alarm in event.walk("VALARM"):
            assert alarm["ACTION"] == "DISPLAY"
            assert alarm["DESCRIPTION"]


def test_reminders_come_in_the_morning_and_in_time() -> None:
    completion = date(2026, 8, 31)
    ahead = {}
    for event in events(written(completion)):
        start = datetime.combine(event["DTSTART"].dt, datetime.min.time())
        ahead[str(event["SUMMARY"])] = [start + each["TRIGGER"].dt for each in event.walk("VALARM")]
    assert all(each.hour == 9 for listed in ahead.values() for each in listed)
    assert all(each.date() >= completion for listed in ahead.values() for each in listed)
    assert ahead["Last day: Report all damage."] == [datetime(2026, 9, 4, 9)]
    assert ahead["Last day: Report every fault."] == [
        datetime(2028, 8, 3, 9),
        datetime(2028, 8, 28, 9),
    ]
    assert ahead["Have it serviced."] == [datetime(2027, 8, 24, 9)]
    assert ahead["From today: Walk on the turf."] == [datetime(2026, 10, 26, 9)]
    assert ahead["Test it."] == [], "what comes each month rings nobody"


class Client:
    """A calendar program that keeps what it is given (RFC 5546, section 2.1.5, from memory): of two
    events with one UID the higher SEQUENCE stays, and then the later DTSTAMP."""

    def __init__(self) -> None:
        self.kept: dict[str, icalendar.Event] = {}

    def take(self, text: bytes) -> None:
        for event in events(text):
            held = self.kept.get(str(event["UID"]))
            if held is None or self._age(event) > self._age(held):
                self.kept[str(event["UID"])] = event

    def _age(self, event: icalendar.Event) -> tuple[int, datetime]:
        return int(event["SEQUENCE"]), event["DTSTAMP"].dt

    def days(self) -> dict[str, date]:
        return {str(event["SUMMARY"]): event["DTSTART"].dt for event in self.kept.values()}


@pytest.mark.parametrize("day", [date(2027, 1, 4), DAY, date(2026, 11, 1)])
def test_an_updated_edition_replaces_the_earlier_one(day: date) -> None:
    """Completion moves by a week: built later, on the same day, or for an earlier one."""
    client = Client()
    first = written(date(2026, 8, 31))
    client.take(first)
    count = len(client.kept)
    second = written(date(2026, 9, 7), day, first)
    client.take(second)
    assert len(client.kept) == count, "nothing is there twice"
    assert client.days()["Last day: Report all damage."] == date(2026, 9, 14)
    client.take(first)
    assert client.days()["Last day: Report all damage."] == date(2026, 9, 14), "old news is old"


def test_a_fresh_tree_on_a_later_day_replaces_too() -> None:
    client = Client()
    client.take(written(date(2026, 8, 31)))
    client.take(written(date(2026, 9, 7), date(2026, 11, 26)))
    assert client.days()["Last day: Report all damage."] == date(2026, 9, 14)


def test_an_edition_that_says_the_same_keeps_its_bytes() -> None:
    first = written(date(2026, 8, 31))
    assert written(date(2026, 8, 31), date(2027, 6, 1), first) == first
    assert written(date(2026, 8, 31), DAY) == first
    assert edition_of(b"no calendar") is None
    assert written(date(2026, 8, 31), DAY, b"no calendar") == first


def test_an_entry_keeps_its_id_in_its_guide_alone() -> None:
    assert uid(CODE, "task.care.damage.closes") == uid(CODE, "task.care.damage.closes")
    assert uid(CODE, "task.care.damage.closes") != uid("OTHER", "task.care.damage.closes")
    assert CODE.lower() not in written(date(2026, 8, 31)).decode().lower()


def test_no_completion_no_calendar(cottage: Path, tmp_path: Path) -> None:
    dated, undated = publish(Target(cottage, (), tmp_path / "public", DAY)).published
    assert (dated.folder / CALENDAR).is_file()
    assert not (undated.folder / CALENDAR).exists()
    for page in undated.folder.rglob("*.html"):
        assert CALENDAR not in page.read_text(encoding="utf-8"), page


def test_a_published_calendar_stays_until_it_says_something_else(
    cottage: Path, tmp_path: Path
) -> None:
    out = tmp_path / "public"
    first = publish(Target(cottage, (*["riverside/01"],), out, DAY)).published[0].folder
    before = (first / CALENDAR).read_bytes()
    publish(Target(cottage, (*["riverside/01"],), out, date(2027, 5, 5)))
    assert (first / CALENDAR).read_bytes() == before
    plots = cottage / "developments" / "riverside" / "plots.csv"
    plots.write_text(plots.read_text().replace("2026-03-31", "2026-04-07"))
    publish(Target(cottage, (*["riverside/01"],), out, DAY))
    old, new = edition_of(before), edition_of((first / CALENDAR).read_bytes())
    assert old is not None
    assert new is not None
    assert new.sequence == old.sequence + 1


def test_the_demo_has_a_calendar_where_completion_is_known(demo: Demo) -> None:
    without = {plot for plot, folder in demo.guides.items() if not (folder / CALENDAR).exists()}
    assert without == {"mill-lane/14", "harbour-view/10"}
    for plot, folder in demo.guides.items():
        page = (folder / "dates" / "index.html").read_text(encoding="utf-8")
        assert ('href="../calendar.ics"' in page) is (plot not in without)
    text = (demo.guides["mill-lane/01"] / CALENDAR).read_bytes()
    assert len(expanded(text)) == len(events(text)) >= 50
