"""How all that is said of the demo's homes reads: no slips that a template or a merge leaves behind."""

import re

import pytest

from tests.absence import texts_of
from tests.demonstrations import demo_script, prepared_demo

SLIPS = {
    "a word twice": r"\b(?!\d)(\w+) \1\b",
    "two articles": r"\b(the|a|an|your|this) (The|A|An|Your|the|a|an|your)\b",
    "a template that was not filled in": r"\{[^}]*\}|\{\{|\}\}|\{%",
    "a unit twice": r"\d (litres|kW|l/s|mm|metres) \1",
    "a value of the program": r"\bNone(?! of\b)\b|\bnull\b|(?<![\w'])True\b|(?<![\w'])False\b|Undefined",
    "a hedge": r"\b(normally|usually|if applicable|where fitted|if fitted|typically|generally)\b",
    "an empty list": r"\(\)|, ,|: ?,|,\.|: \.(?!\w)",
    "a source from memory": r"\bfrom memory\b|\bforum\b|\bdealer",
    "one and many": r"\b(this|a|an) \w+ (valves|switches|alarms|heaters|fans|units)\b|\bthese \w+ (valve|switch|alarm|fan|unit)\b",
    "a sentence that begins small": r"(?<!e\.g)(?<!a\.m)(?<!p\.m)(?<! approx)\. [a-z]",
    "a fuel in small letters": r"\blpg\b",
}
"""What each slip is called, and how it is found."""


@pytest.mark.parametrize("plot", sorted(prepared_demo().homes))
def test_no_text_of_a_home_has_a_slip(plot: str) -> None:
    found = []
    for where, text in texts_of(prepared_demo().homes[plot], demo_script()):
        for name, pattern in SLIPS.items():
            for slip in re.finditer(pattern, text):
                found.append(
                    f"{where}: {name}: …{text[max(0, slip.start() - 40) : slip.end() + 30]!r}"
                )
    assert found == []


@pytest.mark.parametrize("plot", sorted(prepared_demo().homes))
def test_no_article_says_again_what_stands_at_its_head(plot: str) -> None:
    prepared = prepared_demo().homes[plot]
    bodies = {page.id: page.body for page in prepared.guide.pages if page.layout == "article"}
    found = []
    for article in prepared.about.selection.articles:
        lines = [
            line.lstrip("-0123456789. ") for line in bodies[f"article:{article.id}"].split("\n")
        ]
        found += [f"{article.id}: {line}" for line in article.front.actions if line in lines]
    assert found == []
