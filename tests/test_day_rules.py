"""Days that only today can judge: what is too far ahead to be true."""

from datetime import date

from builder.rules.dates import days_to_come
from tests.rule_cases import home_with

DAY = date(2026, 3, 31)


def found(day: date, **changes: object) -> list[tuple[str, str, str, str]]:
    """Rule, severity, path and what is wrong: of a home that is completed on 31 March 2026."""
    return [
        (each.code, each.severity.word, each.path, each.wrong)
        for each in days_to_come(home_with(changes), day)
    ]


def test_a_completion_of_the_next_five_years_is_believed() -> None:
    assert found(DAY) == []
    assert found(DAY, plot={"completion": "2031-03-31"}) == []
    assert found(DAY, plot={"completion": None}) == []
    assert found(DAY, plot={"completion": "2031-04-01"}) == [
        (
            "dates.completion-far", "warning", "plot.completion",
            "Legal completion on 2031-04-01 is more than 5 years from today.",
        )
    ]  # fmt: skip


def test_a_registration_is_never_ahead() -> None:
    assert found(DAY, equipment={"stopcock": {"registered": "2026-03-31"}}) == []
    assert found(DAY, equipment={"stopcock": {"registered": "2026-04-01"}}) == [
        (
            "dates.registered-ahead", "warning", "equipment.stopcock.registered",
            "It was registered on 2026-04-01, which is still to come.",
        )
    ]  # fmt: skip


def test_they_say_whose_home_and_which_layer() -> None:
    (told,) = days_to_come(
        home_with({"equipment": {"stopcock": {"registered": "2027-01-01"}}}), DAY
    )
    assert told.plots == ("riverside/01",)
    assert told.layer
    assert told.basis.startswith("house rule")
