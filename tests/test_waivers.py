"""A rule set aside: by whom, for what, until when; and what becomes of a waiver that is not needed."""

from datetime import date

import pytest

from builder.errors import Finding, Severity
from builder.rules.checking import check_home, idle_waivers
from builder.selection.checked_rules import CHECKED_RULES
from tests.rule_cases import home_with

DAY = date(2026, 3, 1)
NO_GAS_VALVE = {"equipment": {"gas-valve": None}}
WAIVER = {
    "rule": "essentials.gas",
    "reason": "The valve is fitted with the meter in May",
    "by": "Technical manager",
    "until": "2026-06-30",
}


def checked(waiver: dict[str, str], day: date = DAY, **changes: object) -> list[Finding]:
    home = home_with({**NO_GAS_VALVE, **changes, "waivers": {"gas": waiver}})
    return [
        each
        for each in check_home(home, day).findings
        if each.code.startswith(("essentials", "waivers"))
    ]


def test_a_waiver_turns_the_finding_into_a_note_that_says_who_and_why() -> None:
    (finding,) = checked(WAIVER)
    assert finding.severity is Severity.NOTE
    assert finding.waived == (
        "until 2026-06-30 by the technical manager: The valve is fitted with the meter in May"
    )


@pytest.mark.parametrize(("day", "holds"), [(date(2026, 6, 30), True), (date(2026, 7, 1), False)])
def test_a_waiver_holds_on_its_last_day_and_not_after(day: date, holds: bool) -> None:
    findings = {each.code: each for each in checked(WAIVER, day)}
    assert (findings["essentials.gas"].severity is Severity.NOTE) is holds
    assert ("waivers.expired" in findings) is not holds


def test_a_waiver_that_has_ended_is_reported_where_its_day_is_written() -> None:
    expired = next(
        each for each in checked(WAIVER, date(2026, 7, 1)) if each.code == "waivers.expired"
    )
    assert (expired.path, expired.wrong, expired.right) == (
        "waivers.gas.until",
        "The waiver 'gas' of essentials.gas ended on 2026-06-30.",
        "Mend what it was about, or give a reason and a new day; else take it out.",
    )


def test_a_waiver_about_one_thing_leaves_the_others() -> None:
    about_water = {**WAIVER, "rule": "essentials.water", "about": "equipment.stopcock"}
    findings = checked(about_water)
    assert [(each.code, each.severity) for each in findings] == [("essentials.gas", Severity.ERROR)]
    (waived,) = checked({**WAIVER, "about": "equipment"})
    assert waived.severity is Severity.NOTE


def test_a_waiver_of_a_rule_that_there_is_not() -> None:
    unknown = next(
        each
        for each in checked({**WAIVER, "rule": "essential.gas"})
        if each.code == "waivers.unknown-rule"
    )
    assert (unknown.path, unknown.wrong, unknown.right) == (
        "waivers.gas.rule",
        "There is no rule 'essential.gas'.",
        "Did you mean 'essentials.gas'?",
    )
    assert unknown.severity is Severity.ERROR


def test_a_waiver_that_sets_nothing_aside_in_any_home_is_reported() -> None:
    needed, idle = (
        home_with({"waivers": {"gas": WAIVER}, **NO_GAS_VALVE}),
        home_with({"waivers": {"gas": WAIVER}}),
    )
    assert list(idle_waivers({"1": (needed, check_home(needed, DAY))})) == []
    (finding,) = idle_waivers({"1": (idle, check_home(idle, DAY))})
    assert (finding.path, finding.wrong) == (
        "waivers.gas",
        "The waiver 'gas' sets nothing aside: essentials.gas finds nothing that it covers.",
    )


def test_a_waiver_of_a_house_type_that_one_of_its_plots_needs_is_not_idle() -> None:
    needed, idle = (
        home_with({"waivers": {"gas": WAIVER}, **NO_GAS_VALVE}),
        home_with({"waivers": {"gas": WAIVER}}),
    )
    both = {name: (home, check_home(home, DAY)) for name, home in (("1", needed), ("2", idle))}
    assert list(idle_waivers(both)) == []


def papers(**changes: object) -> list[Finding]:
    found = check_home(home_with(changes), DAY, CHECKED_RULES).findings
    return [each for each in found if each.code.startswith(("documents", "waivers"))]


def test_a_paper_of_law_that_is_taken_out_is_told_with_its_law_and_who_owes_it() -> None:
    """One that is common practice alone, or that the home does not need, is taken out without a word."""
    taken = {"gas-record": None, "cover-terms": None, "discharge-rules": None}
    (finding,) = papers(documents=taken)
    assert (finding.path, finding.wrong, finding.right) == (
        "documents.gas-record",
        "A paper is taken out: 'Gas installation certificate', owed by site (Gas Safety (Installation and Use)"
        " Regulations 1998 (from memory)).",
        "Take out the line that says so, or set this rule aside by a waiver that says why.",
    )
    narrowed, other = (
        {"gas-record": {"when": {"fuel": "oil"}}},
        {"gas-record": {"when": {"fuel": "natural-gas"}}},
    )
    assert [each.path for each in papers(documents=narrowed)] == ["documents.gas-record.when.fuel"]
    assert papers(documents=other) == []


def test_all_papers_that_are_taken_out_are_told_at_once_and_can_be_waived() -> None:
    (finding,) = papers(documents=None)
    assert finding.path == "documents"
    assert finding.wrong.startswith(
        "All papers are taken out, and these are asked for: 'Electrical inst"
    )
    waiver = {**WAIVER, "rule": "documents.taken-out"}
    (waived,) = papers(documents=None, waivers={"papers": waiver})
    assert waived.severity is Severity.NOTE
