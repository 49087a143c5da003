"""Bank holidays close offices and move no deadline; the data file against an independent package."""

from datetime import date, timedelta

import holidays
import pytest
from dateutil.easter import easter

from builder.guide.schedule.making import schedule_of
from builder.guide.schedule.offices import bank_holidays, is_closed, last_open_day
from builder.model.people import Contact
from tests.dates import about

YEARS = range(2025, 2038)
OFFICE = Contact(
    name="Care",
    call_for="faults",
    hours="Monday to Friday",
    closed=("Saturday", "Sunday", "bank-holidays"),
)


SUBDIVISIONS = {"england": "ENG", "wales": "WLS", "scotland": "SCT", "northern-ireland": "NIR"}


@pytest.mark.parametrize("nation", SUBDIVISIONS)
def test_the_file_has_the_days_of_the_holidays_package(nation: str) -> None:
    """The package (vacanza/holidays) keeps the holidays of countries; it is not our source."""
    theirs = holidays.country_holidays("GB", subdiv=SUBDIVISIONS[nation], years=YEARS)
    assert set(bank_holidays(nation).days) == set(theirs)


def test_each_nation_has_days_of_its_own() -> None:
    """By hand, for 2026: no Easter Monday in Scotland, whose summer day is the first Monday of August."""
    scotland, ireland = bank_holidays("scotland").days, bank_holidays("northern-ireland").days
    assert date(2026, 1, 2) in scotland
    assert date(2026, 11, 30) in scotland
    assert date(2026, 8, 3) in scotland
    assert date(2026, 4, 6) not in scotland
    assert date(2026, 3, 17) in ireland
    assert date(2026, 7, 13) in ireland
    assert date(2026, 4, 6) in ireland


@pytest.mark.parametrize("year", YEARS)
def test_the_file_keeps_the_rules(year: int) -> None:
    """Easter by dateutil; the first and last Mondays of May and the last of August by hand."""
    found = {day for day in bank_holidays("england").days if day.year == year}
    assert easter(year) - timedelta(days=2) in found
    assert easter(year) + timedelta(days=1) in found
    for last in (date(year, 5, 31), date(year, 8, 31)):
        assert last - timedelta(days=last.weekday()) in found
    early = date(year, 5, 1)
    assert early + timedelta(days=-early.weekday() % 7) in found
    at_work = [day for day in found if day.weekday() < 5]
    assert len(at_work) == 8, "eight days off, substitute days among them"


def test_known_years_by_hand() -> None:
    """2027 and 2033 put Christmas on a weekend (calendar checked by hand)."""
    days = bank_holidays("england").days
    assert days[date(2027, 12, 27)] == "Christmas Day, substitute day"
    assert days[date(2027, 12, 28)] == "Boxing Day, substitute day"
    assert days[date(2033, 12, 27)] == "Christmas Day, substitute day"
    assert days[date(2028, 1, 3)] == "New Year's Day, substitute day"


def test_an_office_rests_on_its_days_alone() -> None:
    assert is_closed(OFFICE, date(2026, 4, 3), "england")
    assert is_closed(OFFICE, date(2026, 4, 6), "wales")
    assert not is_closed(OFFICE, date(2026, 4, 6), "scotland"), "Scotland has other days"
    assert last_open_day(OFFICE, date(2026, 4, 6), "england") == date(2026, 4, 2)
    never = OFFICE.model_copy(update={"closed": ()})
    assert not is_closed(never, date(2026, 12, 25), "england")
    always = OFFICE.model_copy(
        update={"closed": ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")}
    )  # fmt: skip
    assert last_open_day(always, date(2026, 4, 6), "england") is None


def office(completion: date, nation: str = "england") -> dict[str, tuple[date | None, str | None]]:
    contact = {"name": "Care", "call_for": "faults", "closed": ["Saturday", "Sunday", "bank-holidays"]}  # fmt: skip
    base = about(completion)
    contacts = {**base.home.model_dump(by_alias=True)["contacts"], "customer-care": contact}
    development = {**base.home.development.model_dump(), "nation": nation}
    made = about(completion, contacts=contacts, development=development)
    return {each.id: (each.first, each.note) for each in schedule_of(made).entries}


def test_a_last_day_stays_and_its_office_is_called_before() -> None:
    """27 March 2026 and 7 days: Good Friday, 3 April, is the last day all the same."""
    closed = "Care is closed on that day: call on Thursday 2 April 2026 or before."
    found = office(date(2026, 3, 27))
    assert found["task.care.damage.closes"] == (date(2026, 4, 3), closed)
    assert found["cover.damage.ends"] == (date(2026, 4, 3), closed)
    assert found["task.care.weekly.rhythm"] == (date(2026, 4, 3), None)
    easter_monday = office(date(2026, 3, 30))
    assert easter_monday["cover.damage.ends"] == (date(2026, 4, 6), closed)
    assert office(date(2026, 3, 30), "scotland")["cover.damage.ends"][1] is None
    assert office(date(2026, 3, 31))["cover.damage.ends"] == (date(2026, 4, 7), None)


def test_contacts_say_that_they_rest() -> None:
    contacts = {"care": {"name": "Care", "call_for": "faults", "hours": "Monday to Friday", "closed": ["bank-holidays"]},
                "customer-care": {"name": "Desk", "call_for": "faults", "hours": "Day and night"}}  # fmt: skip
    found = about(None, contacts=contacts).contacts
    assert found["care"]["hours"] == "Monday to Friday. Closed on bank holidays"
    assert found["customer-care"]["hours"] == "Day and night"
