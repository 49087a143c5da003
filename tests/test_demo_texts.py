"""All that is said of the demo's homes: nothing of what others have, one fact told one way, and no slips
that a template or a merge leaves behind."""

import re
from functools import cache

import pytest

from tests.absence import foreign_in, texts_of
from tests.demonstrations import demo_script, demo_sheet, prepared_demo

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

TWICE = r"twice a year|every 6 months|every six months"
CLAIMS = {
    "how long a fire door holds back fire": r"(?:fire door|door)[^.|]{0,60}?holds? back fire[^.|]{0,40}?(\d+ minutes|half an hour|an hour)",
    "how often a garage door is oiled": rf"(?i)garage door[^.|]{{0,80}}?oil[^.|]{{0,60}}?({TWICE}|once a year|every year|every 3 months)",
    "how often alarms are tested": r"(?i)press the test button of every alarm[^.|]{0,60}?(every week|once a week|every month|once a month)",
    "how often a cylinder is heated right up": r"60 °C[^.|]{0,40}?(once a week|each day|every day|once a day)",
    "how warm a bath comes": r"(?i)blending valve[^.|]{0,80}?set to (\d+) °C",
    "how long a smoke alarm lasts": r"(?i)smoke alarm[^.|]{0,60}?(\d+|ten) years",
    "how often a flue is swept": r"(?i)\bflue[^.|]{0,40}?swept[^.|]{0,30}?(twice a year|once a year|every year)",
    "how often the treatment plant is emptied": r"(?i)(?:plant|tank)[^.|]{0,40}?emptied every: (\d+ \w+)",
}
"""What several texts say of one thing, and where in a sentence they say how much."""
NEVER_BOTH = {
    "the isolator of a heat pump": (
        r"(?i)turn (?:the|its) isolator off",
        r"(?i)never (?:switch off|cut) its power",
    ),
    "a fan that never stops": (r"(?i)run the fan until", r"(?i)runs day and night"),
    "the case of an interface unit": (r"(?i)open its case", r"(?i)leave (?:its|the) case shut"),
}
"""What no home may be told both ways."""


@cache
def texts(plot: str) -> tuple[tuple[str, str], ...]:
    """All that the owner of a plot reads or hears, worked out once for all that is asked of it."""
    return tuple(texts_of(prepared_demo().homes[plot], demo_script()))


@pytest.mark.parametrize("plot", sorted(prepared_demo().homes))
def test_no_demo_home_reads_what_is_for_others(plot: str) -> None:
    assert foreign_in(prepared_demo().homes[plot].traced.home, texts(plot)) == []


@pytest.mark.parametrize("plot", sorted(prepared_demo().homes))
def test_no_text_of_a_home_has_a_slip(plot: str) -> None:
    found = []
    for where, text in texts(plot):
        for name, pattern in SLIPS.items():
            for slip in re.finditer(pattern, text):
                found.append(
                    f"{where}: {name}: …{text[max(0, slip.start() - 40) : slip.end() + 30]!r}"
                )
    assert found == []


@pytest.mark.parametrize("plot", sorted(prepared_demo().homes))
def test_no_home_is_told_two_things_of_one(plot: str) -> None:
    text = "\n".join(text for _, text in texts(plot))
    for about, pattern in CLAIMS.items():
        values = {value.lower() for value in re.findall(pattern, text)}
        assert len(values) <= 1, (about, values)
    for about, ways in NEVER_BOTH.items():
        assert not all(re.search(each, text) for each in ways), about


def test_two_facts_of_one_thing_are_found() -> None:
    said = "A fire door holds back fire for 30 minutes. This door holds back fire for half an hour."
    pattern = CLAIMS["how long a fire door holds back fire"]
    assert set(re.findall(pattern, said)) == {"30 minutes", "half an hour"}


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


@pytest.mark.parametrize("plot", sorted(prepared_demo().homes))
def test_several_things_are_named_as_several(plot: str) -> None:
    """No stop of the walk has two drain covers below the heading "Drain cover"."""
    kinds = prepared_demo().homes[plot].traced.home.kinds
    for stop in demo_sheet(plot).stops:
        for item in stop.items:
            if len(item.things) > 1 and item.things[0].section == "kinds":
                kind = kinds[item.things[0].key]
                assert item.name == (kind.several or kind.name)


def test_kinds_that_ship_say_what_several_are_called() -> None:
    """All but those whose name is that already."""
    kinds = prepared_demo().homes["mill-lane/07"].traced.home.kinds
    without = {name for name, kind in kinds.items() if not kind.several}
    assert without == {"underfloor-loop", "grid-switch", "lpg-bottles"}
