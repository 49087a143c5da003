"""Terms end on the corresponding day, or on the last day of a month that has none."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.guide.terms import not_before, spoken_day, within
from builder.home.lengths import after
from builder.languages.language import FIRST


# Worked from the rule, checked by hand against a calendar.
@pytest.mark.parametrize(
    ("day", "term", "end"),
    [
        (date(2026, 3, 31), "7 days", date(2026, 4, 7)),
        (date(2026, 3, 31), "8 weeks", date(2026, 5, 26)),
        (date(2026, 8, 31), "6 months", date(2027, 2, 28)),
        (date(2027, 8, 31), "6 months", date(2028, 2, 29)),
        (date(2028, 2, 29), "2 years", date(2030, 2, 28)),
        (date(2028, 2, 29), "4 years", date(2032, 2, 29)),
        (date(2026, 12, 31), "1 day", date(2027, 1, 1)),
    ],
)
def test_ends_of_terms(day: date, term: str, end: date) -> None:
    assert after(day, term) == end


@given(
    st.dates(date(2000, 1, 1), date(2090, 1, 1)),
    st.integers(1, 40),
    st.sampled_from(["month", "year"]),
)
def test_the_day_never_moves_into_another_month(day: date, count: int, unit: str) -> None:
    end = after(day, f"{count} {unit}s")
    months = count * (12 if unit == "year" else 1)
    assert (end.year * 12 + end.month) - (day.year * 12 + day.month) == months
    assert end.day <= day.day


def test_no_date_is_said_before_completion_is_known() -> None:
    assert within("7 days", None, "your completion", FIRST) == "within 7 days of your completion"
    assert within("7 days", date(2026, 3, 31), "your completion", FIRST) == "by 7 April 2026"
    assert (
        not_before("8 weeks", None, "your completion", FIRST)
        == "not before 8 weeks after your completion"
    )
    assert (
        not_before("8 weeks", date(2026, 3, 31), "your completion", FIRST)
        == "not before 26 May 2026"
    )
    assert spoken_day(date(2026, 1, 9)) == "9 January 2026"
