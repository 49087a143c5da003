"""The schedule of a home: every date by the corresponding date rule, none that cannot be."""

import calendar
import re
from datetime import date, timedelta
from functools import cache

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import example, given, settings
from hypothesis import strategies as st

from builder.guide.about import About
from builder.guide.schedule.days import months_of_the_year, rhythm_days, task_spans
from builder.guide.schedule.entries import Period, Schedule, ScheduleEntry
from builder.guide.schedule.making import schedule_of
from builder.guide.schedule.year import year_of
from tests.dates import ASKED, COVERS, about, moved, project_about, task, without_days

COMPLETIONS = st.dates(date(1990, 1, 1), date(2120, 12, 31))
MONTHS = list(calendar.month_name)


def schedule(completion: date | None, **asked: dict[str, object]) -> Schedule:
    return schedule_of(about(completion, asked or None))


def entry(found: Schedule, name: str) -> ScheduleEntry:
    return next(each for each in found.entries if each.id == name)


def corresponding(day: date, months: int) -> date:
    """The corresponding date some months later, by the standard library alone."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


# Worked by hand from the rule: the same day of the month, or the last day of a month without one.
@pytest.mark.parametrize(
    ("completion", "every", "days"),
    [
        (date(2026, 8, 31), "6 months", ["2027-02-28", "2027-08-31", "2028-02-29", "2028-08-31"]),
        (date(2027, 8, 31), "6 months", ["2028-02-29", "2028-08-31", "2029-02-28", "2029-08-31"]),
        (date(2026, 1, 31), "1 month", ["2026-02-28", "2026-03-31", "2026-04-30", "2026-05-31"]),
        (date(2024, 1, 30), "1 month", ["2024-02-29", "2024-03-30", "2024-04-30", "2024-05-30"]),
        (date(2028, 2, 29), "1 year", ["2029-02-28", "2030-02-28", "2031-02-28", "2032-02-29"]),
        (date(2028, 2, 29), "3 months", ["2028-05-29", "2028-08-29", "2028-11-29", "2029-02-28"]),
        (date(2026, 11, 30), "3 months", ["2027-02-28", "2027-05-30", "2027-08-30", "2027-11-30"]),
        (date(2026, 3, 31), "1 week", ["2026-04-07", "2026-04-14", "2026-04-21", "2026-04-28"]),
    ],
)
def test_rhythms_by_hand(completion: date, every: str, days: list[str]) -> None:
    assert [day.isoformat() for day in list(rhythm_days(every, completion))[:4]] == days


@given(COMPLETIONS, st.integers(1, 30), st.sampled_from(["days", "weeks", "months", "years"]))
def test_rhythms_against_dateutil(completion: date, count: int, unit: str) -> None:
    """Each day is counted from completion itself, as python-dateutil counts, for ten years."""
    days = list(rhythm_days(f"{count} {unit}", completion))
    assert days == [
        completion + relativedelta(**{unit: count * times}) for times in range(1, len(days) + 1)
    ]
    end = completion + relativedelta(years=10)
    assert all(day <= end for day in days)
    assert completion + relativedelta(**{unit: count * (len(days) + 1)}) > end


def test_a_rhythm_keeps_within_its_windows_and_months() -> None:
    completion = date(2026, 3, 31)
    watering = task_spans(task(every="1 day", closes="8 weeks"), completion)
    assert [span.first for span in watering] == [
        completion + timedelta(days=number) for number in range(1, 57)
    ]
    late = task_spans(task(every="6 months", opens="1 year"), completion)
    assert late[0].first == date(2027, 3, 31)
    summer = task_spans(task(every="2 weeks", months=["June", "July"]), completion)
    assert {span.first.month for span in summer} == {6, 7}
    assert [span.first for span in summer[:3]] == [
        date(2026, 6, 9),
        date(2026, 6, 23),
        date(2026, 7, 7),
    ]


def test_a_season_is_its_months_from_completion_on() -> None:
    """Who moves in on 15 October drains the outside tap this October, not the next."""
    spans = task_spans(task(months=["October", "February"]), date(2026, 10, 15))
    assert [(str(span.first), str(span.last)) for span in spans[:4]] == [
        ("2026-10-15", "2026-10-31"),
        ("2027-02-01", "2027-02-28"),
        ("2027-10-01", "2027-10-31"),
        ("2028-02-01", "2028-02-29"),
    ]
    assert str(spans[-1].last) == "2036-10-15"
    rare = task_spans(task(every="2 years", months=["May"]), date(2026, 10, 15))
    assert [span.first.year for span in rare] == [2027, 2029, 2031, 2033, 2035]


def test_windows_are_open_to_the_end_of_their_last_day() -> None:
    found = schedule(date(2026, 8, 31))
    assert entry(found, "task.care.damage.closes").first == date(2026, 9, 7)
    assert entry(found, "task.care.damage.closes").when == "by 7 September 2026"
    assert entry(found, "task.care.turf.opens").first == date(2026, 10, 26)
    assert entry(found, "task.care.paint.opens").first == date(2028, 2, 29)
    assert entry(found, "task.care.paint.closes").first == date(2028, 8, 31)
    assert entry(found, "task.care.beyond.rhythm").spans == ()
    assert entry(found, "task.care.beyond.rhythm").when == "every 12 years"


def check_dates(found: Schedule, completion: date) -> None:
    """Each date is where an independent count puts it, in order, and within ten years."""
    end = corresponding(completion, 120)
    for each in found.entries:
        assert each.days == tuple(sorted(set(each.days))), each.id
        assert all(completion <= span.first <= span.last <= end for span in each.spans), each.id
    firsts = [each.first or date.max for each in found.entries]
    assert firsts == sorted(firsts)
    for each in found.entries:
        name, _, kind = each.id.removeprefix("task.care.").partition(".")
        if each.id.startswith("task.") and (kind == "season" or name in COUNTED):
            CHECKS[kind](name, each, completion, end)


def check_rhythm(name: str, each: ScheduleEntry, completion: date, _: date) -> None:
    months = COUNTED[name]
    assert each.days == tuple(
        corresponding(completion, months * times) for times in range(1, 120 // months + 1)
    )


def check_window(name: str, each: ScheduleEntry, completion: date, _: date) -> None:
    assert each.days == (corresponding(completion, COUNTED[name]),)


def check_season(name: str, each: ScheduleEntry, completion: date, end: date) -> None:
    for span in each.spans:
        assert MONTHS[span.first.month] in ASKED[name]["months"]  # type: ignore[operator]
        assert span.first == span.first.replace(day=1) or span.first == completion
        last = calendar.monthrange(span.last.year, span.last.month)[1]
        assert span.last.day == last or span.last == end


COUNTED = {"service": 12, "quarter": 3, "odd": 5, "monthly": 1, "solar": 60, "faults": 24, "paint": 18}  # fmt: skip
CHECKS = {"rhythm": check_rhythm, "opens": check_window, "season": check_season}
CHECKS["closes"] = lambda name, *rest: check_window(name, *rest) if name == "faults" else None
FEW = ("damage", "faults", "turf", "paint", "odd", "frost")
"""A window of each length, a season, and a rhythm of five months, which falls in every month."""
COMPLETED, BLOCK = 10_000, 20


@cache
def about_few() -> About:
    return about(None, {name: ASKED[name] for name in FEW})


@settings(max_examples=COMPLETED // BLOCK)
@given(st.lists(COMPLETIONS, min_size=BLOCK, max_size=BLOCK))
@example(
    [date(2028, 2, 29), date(2096, 2, 29), date(2026, 8, 31), date(2026, 12, 31), date(2027, 1, 31)]
)
def test_ten_thousand_completions_give_no_impossible_date(completions: list[date]) -> None:
    """A few tasks of each form, whose every date an independent count gives too.

    They are drawn in blocks: to draw one day costs as much as to check it.
    """
    for completion in completions:
        check_dates(schedule_of(moved(about_few(), completion)), completion)


@settings(max_examples=200)
@given(COMPLETIONS)
def test_every_form_of_task_has_possible_dates(completion: date) -> None:
    check_dates(schedule_of(moved(without_days(), completion)), completion)


def test_no_completion_gives_words_and_never_a_date() -> None:
    found = schedule(None)
    assert len(found.entries) >= len(ASKED)
    for each in found.entries:
        assert each.spans == ()
        assert not re.search(r"\d{4}", each.when), each
    assert entry(found, "task.care.damage.closes").when == "within 7 days of your legal completion"
    assert entry(found, "task.care.late.rhythm").when == (
        "every 6 months, not before 1 year after your legal completion"
    )
    assert [each.id for each in found.entries if each.kind == "closes"] == [
        "cover.damage.ends",
        "task.care.damage.closes",
        "cover.builder.ends",
        "task.care.faults.closes",
        "task.care.paint.closes",
        "cover.structural.ends",
    ]
    for line in found.clock:
        for period in line.periods:
            assert period.first is None
            assert period.last is None
            assert not re.search(r"\d{4}", period.when)


def turns(found: Schedule, name: str) -> list[tuple[str, str]]:
    line = next(line for line in found.clock if line.id == name)
    return [(period.who, period.when) for period in line.periods]


def test_the_clock_hands_over_from_one_day_to_the_next() -> None:
    found = schedule(date(2028, 2, 29))
    assert turns(found, "marks") == [
        ("Your builder", "from 29 February 2028 to 7 March 2028"),
        ("You", "from 8 March 2028"),
    ]
    assert turns(found, "structure") == [
        ("Your builder", "from 29 February 2028 to 28 February 2030"),
        ("Structural cover", "from 1 March 2030 to 28 February 2038"),
        ("You", "from 1 March 2038"),
    ]
    assert turns(schedule(None), "structure") == [
        ("Your builder", "for 2 years from your legal completion"),
        ("Structural cover", "from 2 years to 10 years after your legal completion"),
        ("You", "later than 10 years after your legal completion"),
    ]
    assert "shared" not in {line.id for line in found.clock}, "this home shares nothing"


@given(COMPLETIONS, st.integers(0, 5000))
def test_on_every_day_one_answers_for_each_matter(completion: date, later: int) -> None:
    """No day without an answer, none with two."""
    day = completion + timedelta(days=later)
    for line in schedule_of(moved(without_days(), completion)).clock:
        assert len([each for each in line.periods if _runs(each, day)]) == 1, line


def _runs(period: Period, day: date) -> bool:
    assert period.first is not None
    return period.first <= day and (period.last is None or day <= period.last)


APPLIANCES = {
    "kinds": {
        "oven": {"name": "Oven", "system": "electrical", "what": "Bakes.", "cover": "2 years", "register_within": "4 weeks"},
        "heater": {"name": "Water heater", "system": "water", "what": "Heats.", "service_every": "1 year", "facts": {"filter-every": {"name": "Change the filter every", "rhythm": True}}},
    },
    "equipment": {
        "oven": {"kind": "oven", "room": "kitchen", "place": "under the worktop", "registered": "2026-08-31"},
        "grill": {"kind": "oven", "room": "kitchen", "place": "on the wall", "name": "Grill"},
        "heater": {"kind": "heater", "room": "kitchen", "place": "in the corner", "facts": {"filter-every": "6 months"}},
    },
    "zones": {},
    "heating": None,
}  # fmt: skip


def test_appliances_count_from_their_registration() -> None:
    found = schedule_of(about(date(2026, 7, 31), {}, **APPLIANCES))
    assert turns(found, "appliances.oven") == [
        ("The maker", "from 31 August 2026 to 31 August 2028"),
        ("You", "from 1 September 2028"),
    ]
    assert turns(found, "appliances.2-years") == [
        ("The maker", "for 2 years from the day that you register it"),
        ("You", "after that"),
    ]
    register = entry(found, "register.4-weeks.closes")
    assert (register.what, register.first) == (
        "Register with the makers: Grill.",
        date(2026, 8, 28),
    )
    assert entry(found, "cover.makers.oven.ends").first == date(2028, 8, 31)
    service = entry(found, "service.heater.rhythm")
    assert (service.by, service.first) == ("registered-person", date(2027, 7, 31))
    filters = entry(found, "fact.heater.filter-every.rhythm")
    assert filters.what == "Water heater: change the filter."
    assert filters.days[:2] == (date(2027, 1, 31), date(2027, 7, 31))


def test_a_service_that_an_article_asks_for_is_asked_for_once() -> None:
    found = schedule_of(project_about("mill-lane/01"))
    services = [each for each in found.entries if "boiler" in each.id and each.by != "you"]
    assert [each.id for each in services] == ["task.boiler-care.service.rhythm"]


def test_every_entry_says_who_when_and_on_what_basis() -> None:
    for plot in ("mill-lane/01", "mill-lane/14", "harbour-view/05", "harbour-view/10"):
        found = schedule_of(project_about(plot))
        assert len(found.entries) > 40
        assert len({each.id for each in found.entries}) == len(found.entries)
        assert all(each.basis and each.when and each.what for each in found.entries)
        assert all(period.basis for line in found.clock for period in line.periods)
        assert (found.completion is None) is (plot in ("mill-lane/14", "harbour-view/10"))


def test_the_year_puts_each_rhythm_in_its_months() -> None:
    year = year_of(schedule(date(2026, 8, 31)))
    placed = {
        month.name: {each.id.removeprefix("task.care.") for each in month.entries}
        for month in year.months
    }
    assert list(placed) == MONTHS[1:]
    assert placed["August"] == {"service.rhythm", "quarter.rhythm", "late.rhythm"}
    assert placed["February"] == {"quarter.rhythm", "leaves.season", "late.rhythm"}
    assert placed["October"] == {"frost.season", "leaves.season"}
    assert placed["January"] == set()
    assert {each.id for each in year.often} == {
        f"task.care.{name}.rhythm" for name in ("monthly", "weekly", "watering")
    }
    assert {each.id for each in year.other} == {
        f"task.care.{name}.rhythm" for name in ("odd", "solar", "beyond")
    }
    assert months_of_the_year("6 months", date(2026, 8, 31)) == ("February", "August")


def test_covers_name_what_the_home_has() -> None:
    """The test's own data is whole: every cover names matters that are there."""
    for cover in COVERS["covers"].values():
        assert set(cover["matters"]) <= set(COVERS["matters"])
