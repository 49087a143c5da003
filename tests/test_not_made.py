"""Checks that nobody could make are said, subject by subject, and one waiver hides one subject."""

from datetime import date

import pytest

from builder.errors import Finding, Severity
from builder.rules.checking import check_home
from builder.rules.reference import library
from builder.rules.unmade import NOT_MADE
from builder.sources.nations import NATIONS
from tests.rule_cases import Case

DAY = date(2026, 3, 1)


def not_made(nation: str, departure: str = "", **development: str) -> dict[str, Finding]:
    """What is said of checks that were not made in a home of a nation, by subject."""
    lines = {"nation": nation, "editions": "null", **development}
    said = "".join(f"  {name}: {value}\n" for name, value in lines.items())
    layers = [("development riverside", f"development:\n{said}")]
    layers += [("departure change", departure)] if departure else []
    home = Case("x", "x", "house", tuple(layers), (), nation=nation).home()
    found = check_home(home, DAY).findings
    return {
        each.code.partition(".")[2]: each for each in found if each.code.startswith("not-made.")
    }


def test_in_england_every_check_is_made() -> None:
    assert not_made("england") == {}


@pytest.mark.parametrize("nation", [each for each in NATIONS if each != "england"])
def test_elsewhere_what_nobody_has_read_is_said_subject_by_subject(nation: str) -> None:
    found = not_made(nation)
    assert {"fire", "ventilation", "electricity"} <= found.keys()
    for subject, each in found.items():
        assert each.severity is Severity.WARNING
        assert each.path == f"development.checked.{subject}"
        assert each.wrong.startswith(f"{subject.capitalize()}: ")
        assert each.right == (
            "Have the architect check them by hand, and record it in the development: "
            f"checked: {{{subject}: {{by: Architect, day: …}}}}."
        )


def test_the_checks_are_named() -> None:
    (water,) = (each for name, each in not_made("scotland").items() if name == "combustion")
    assert water.wrong == (
        "Combustion: 2 checks were not made, because nobody has read the values for Scotland: "
        "carbon-monoxide.alarm-distance, carbon-monoxide.alarm-height."
    )


def test_an_edition_that_was_not_read_is_said_too() -> None:
    found = not_made("england", editions='{ventilation: "2026"}')
    assert found.keys() == {"ventilation"}


def test_a_check_by_hand_is_recorded() -> None:
    found = not_made("wales", checked="{fire: {by: Architect, day: 2026-02-01}}")
    assert found["fire"].severity is Severity.NOTE
    assert found["fire"].right == "Nothing to do: checked by hand by the architect on 2026-02-01."
    assert found["ventilation"].severity is Severity.WARNING


def test_one_waiver_hides_one_subject() -> None:
    waiver = "{rule: not-made.fire, reason: Seen, by: Architect, until: 2026-12-31}"
    found = not_made("wales", f"waivers: {{fire: {waiver}}}\n")
    assert found["fire"].severity is Severity.NOTE
    assert found["fire"].waived
    assert found["ventilation"].severity is Severity.WARNING


def test_every_subject_has_a_rule_of_its_own() -> None:
    assert len({each.id for each in NOT_MADE.values()}) == len(NOT_MADE)


@pytest.mark.parametrize(
    ("subject", "day", "edition"),
    [
        ("fire", date(2021, 2, 28), "2010"),
        ("fire", date(2021, 3, 1), "2021"),
        ("ventilation", date(2015, 9, 30), "2010"),
        ("ventilation", date(2015, 10, 1), "2015"),
        ("energy", date(2024, 3, 31), "2015"),
        ("energy", date(2024, 4, 1), "2024"),
    ],
)
def test_a_scottish_edition_goes_by_the_day_of_the_warrant(
    subject: str, day: date, edition: str
) -> None:
    table = library().on("scotland", subject, day)
    assert table is not None
    assert table.edition == edition


def test_before_the_first_edition_there_is_none() -> None:
    assert library().on("scotland", "fire", date(2009, 1, 1)) is None


def test_an_edition_to_come_holds_only_where_it_is_named() -> None:
    assert library().latest("england", "ventilation") == "2021"
    assert library().latest("england", "fire") == "2026"
    named = library().table("england", "ventilation", "2026")
    assert named is not None
    assert named.in_force == date(2027, 3, 24)


def test_a_table_keeps_the_values_and_the_document_of_what_it_is_based_on() -> None:
    table = library().table("england", "fire", "2020")
    assert table is not None
    assert table.number("storey-height-for-sprinklers") == 11
    assert table.number("escape-window-area") == 0.33
    assert table.source("escape-window-area").startswith("Approved Document B, Volume 1 (England, 2019 edition), ")  # fmt: skip


def test_a_value_says_where_it_was_only_quoted() -> None:
    table = library().table("scotland", "fire", "2021")
    assert table is not None
    assert table.source("escape-window-area").endswith("(read on a page that quotes it)")


@pytest.mark.parametrize(
    ("departure", "subject", "check"),
    [
        ("equipment: {tank: {kind: lpg-tank, room: outside, place: behind}}", "combustion", "lpg.tank-near-the-home"),
        ("equipment: {tank: {kind: oil-tank, room: outside, place: behind}}", "combustion", "oil.tank-near-private-water"),
        ("equipment: {tank: {kind: septic-tank, room: outside, place: behind, facts: {emptied-every: 1 year}}}", "water", "drains.tank-near-the-home"),
        ("kinds: {pod: {name: Pod, system: heating, what: Holds oil., counts_as: [oil-tank]}}\nequipment: {tank: {kind: pod, room: outside, place: behind}}", "combustion", "oil.tank-near-private-water"),
        ("premises: {shop: {name: the shop, use: shop, lies: beside}}", "fire", "premises.stairs-without-lobby"),
    ],
)  # fmt: skip
def test_what_a_home_has_not_is_not_owed(departure: str, subject: str, check: str) -> None:
    without = not_made("scotland").get(subject)
    assert without is None or check not in without.wrong
    assert check in not_made("scotland", departure)[subject].wrong
