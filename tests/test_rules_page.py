"""``handover rules``: the same list on the terminal, as JSON and as the page of the documentation."""

import json
from pathlib import Path

from click.testing import CliRunner

from builder.cli import main
from builder.cli.rules import ALL_RULES, rules_page
from builder.rules.reference import library

BY_ID = {each.id: each for each in ALL_RULES}
PAGE = Path(__file__).parent.parent / "docs" / "rules.md"


def listed(*arguments: str) -> str:
    result = CliRunner().invoke(main, ["rules", *arguments])
    assert result.exit_code == 0
    return result.output


def test_the_page_of_the_documentation_is_the_list_of_today() -> None:
    """``make refresh`` writes it again."""
    assert PAGE.read_text(encoding="utf-8") == rules_page() == listed("--format", "markdown")


def test_every_rule_is_listed_with_its_basis_in_every_edition() -> None:
    rules = json.loads(listed("--format", "json"))
    assert [each["id"] for each in rules] == [each.id for each in ALL_RULES]
    for each in rules:
        values = BY_ID[each["id"]].values
        subject = [one for one in library().tables if one.subject == each["standard"]]
        tables = [one for one in subject if not one.lacks(values)]
        named = [(one["nation"], one["edition"]) for one in each["editions"]]
        assert named == [(one.nation, one.edition) for one in tables]
        assert all(one["basis"] for one in each["editions"])
        assert each["basis"] or named


def test_no_two_rules_share_an_id() -> None:
    assert len({each.id for each in ALL_RULES}) == len(ALL_RULES)


def test_the_terminal_shows_every_rule_whole() -> None:
    text = listed()
    for each in ALL_RULES:
        assert f"{each.id}  {each.severity.word}\n  {each.says}\n" in text
