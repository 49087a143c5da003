"""A new trade rule touches few files: its module, its cases, the written list of rules, and where its
mistake is seeded. Nothing else knows a rule by its id, and no other line of the list changes with it."""

import re
from collections import defaultdict
from collections.abc import Mapping
from pathlib import Path

import pytest

from builder.cli import rules as page
from builder.rules.home import HOME_RULES

PROJECT = Path(__file__).parent.parent
_ID = re.compile(r"[a-z][a-z0-9-]*\.[a-z][a-z0-9-]*")
LIST = "docs/rules.md"


def naming(folders: tuple[str, ...]) -> Mapping[str, set[str]]:
    """The files below some folders that name each id."""
    found: dict[str, set[str]] = defaultdict(set)
    for path in (each for folder in folders for each in (PROJECT / folder).rglob("*")):
        if path.suffix in (".py", ".yaml", ".md", ".json", ".html") and path.is_file():
            for name in _ID.findall(path.read_text(encoding="utf-8")):
                found[name].add(path.relative_to(PROJECT).as_posix())
    return found


def test_a_rule_is_known_to_its_module_and_the_list_alone() -> None:
    """With its cases and the place where its mistake is seeded, a new one touches four files."""
    known = naming(("builder", "schemas", "content", "housetypes", "site_templates"))
    ids = {each.rule.id for each in HOME_RULES}
    assert not {rule: sorted(known[rule]) for rule in ids if len(known[rule]) != 1}
    assert not ids.difference(_ID.findall((PROJECT / LIST).read_text(encoding="utf-8")))
    cases = {path.stem for path in (PROJECT / "tests" / "rules").glob("*.yaml")}
    assert ids <= cases


def test_a_new_rule_changes_no_line_of_another(monkeypatch: pytest.MonkeyPatch) -> None:
    """The list without a rule has all rows of the list with it, but that rule's own."""
    whole = page.rules_page().splitlines()
    for rule in page.ALL_RULES[::20]:
        others = tuple(each for each in page.ALL_RULES if each is not rule)
        with monkeypatch.context() as changed:
            changed.setattr(page, "ALL_RULES", others)
            without = page.rules_page().splitlines()
        assert set(without) <= set(whole)
        assert _rows(without) == [row for row in _rows(whole) if f"`{rule.id}`" not in row]


def _rows(lines: list[str]) -> list[str]:
    return [line for line in lines if line.startswith("| `")]
