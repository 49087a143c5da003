"""Every trade rule: a home that it passes, a home that it does not, the exact words; and mutants.

A rule that is broken in any one of its comparisons, conditions or numbers must fail a case of its
own: otherwise its cases prove nothing.
"""

from pathlib import Path

import pytest

from builder.rules.checking import found_in
from builder.rules.home import HOME_RULES
from builder.rules.reference import library
from builder.rules.rule import HomeRule
from tests.mutants import mutants
from tests.rule_cases import Case, cases, homes, sound

RULES = {each.rule.id: each for each in HOME_RULES}
LEAST_RULES = 60


def found(case: Case, rule: HomeRule) -> tuple[tuple[str, str, str], ...]:
    """What a rule says of the home of a case."""
    return tuple((each.path, each.wrong, each.right) for each in found_in(case.home(), (rule,)))


@pytest.mark.parametrize("case", cases(), ids=lambda case: f"{case.rule}: {case.name}")
def test_the_rule_says_exactly_this(case: Case) -> None:
    assert found(case, RULES[case.rule]) == case.finds


def test_every_rule_has_a_home_that_passes_and_one_that_does_not() -> None:
    listed = cases()
    passed = {each.rule for each in listed if not each.finds}
    failed = {each.rule for each in listed if each.finds}
    assert passed == failed == set(RULES)


@pytest.mark.parametrize("name", homes())
def test_a_sound_home_has_no_findings(name: str) -> None:
    assert [str(each) for each in found_in(sound(name), HOME_RULES)] == []


def test_rules_are_many_and_each_is_named_once() -> None:
    assert len(RULES) == len(HOME_RULES) >= LEAST_RULES
    assert all(each.rule.says.endswith(".") for each in HOME_RULES)


def test_every_rule_names_its_basis() -> None:
    for each in HOME_RULES:
        assert each.rule.basis or each.rule.values, each.rule.id


def test_every_value_that_a_rule_reads_is_in_every_english_edition_that_was_read() -> None:
    """Elsewhere a check whose values nobody has read is not made, and that is said."""
    for each in HOME_RULES:
        if each.rule.standard:
            tables = [one for one in library().of("england", each.rule.standard) if one.values]
            assert tables, each.rule.id
            for table in tables:
                assert not table.lacks(each.rule.values), (each.rule.id, table.edition)


@pytest.mark.parametrize("rule", HOME_RULES, ids=lambda rule: rule.rule.id)
def test_a_broken_rule_is_noticed(rule: HomeRule) -> None:
    own = [each for each in cases() if each.rule == rule.rule.id]
    survivors = [
        change for change, broken in mutants(rule) if all(_says(each, broken) for each in own)
    ]
    assert survivors == []


def _says(case: Case, rule: HomeRule) -> bool:
    """Whether a rule still says what its case expects; a mutant that cannot run does not."""
    try:
        return found(case, rule) == case.finds
    except Exception:
        return False


def test_the_values_of_the_tables_say_where_they_come_from() -> None:
    for table in library().tables:
        for name, value in table.values.items():
            assert value.sure == "common practice" or value.where, (table.document, name)
            assert value.sure not in ("read", "quoted") or value.read_in, (table.document, name)


def test_reference_files_are_named_for_what_they_hold() -> None:
    folder = Path(__file__).parent.parent / "builder" / "rules" / "reference"
    named = {path.stem for path in folder.glob("*.yaml")}
    assert named == {f"{each.nation}-{each.subject}-{each.edition}" for each in library().tables}
