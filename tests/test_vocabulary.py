"""What is said of a home is said in the words of its nation: pages, dates, stickers, run sheet, COBie."""

import re
from collections.abc import Iterator

import pytest
import yaml

from builder.home.spoken import SAID, speaks_otherwise, spoken
from builder.sources.entry import plain
from builder.sources.nations import NATIONS, nations
from tests.absence import texts_of
from tests.demonstrations import demo_script, prepared_demo
from tests.rule_cases import Case

SCOTTISH = {"stopcock": "stop valve", "agent": "property factor", "completion-day": "date of entry"}


def test_a_word_is_said_in_its_case_and_number() -> None:
    said = "Stopcocks: turn the stopcock. Ask the managing agent, or other managing agents."
    assert spoken(said, SCOTTISH) == (
        "Stop valves: turn the stop valve. Ask the property factor, or other property factors."
    )
    assert spoken("Managing agents.", {"agent": "management company"}) == "Management companies."


def test_what_a_house_type_says_of_places_is_said_in_the_words_of_each_nation() -> None:
    """One house type stands in several nations; its author writes it once."""
    noted = {"note": "The managing agent opens it, above the stopcock"}
    flat = {
        "equipment": {"stopcock": noted},
        "keys": {"fob": {"opens": "the managing agent's store"}},
    }
    home = (
        Case("", "", "flat", (("departure change", yaml.safe_dump(flat)),), (), "scotland")
        .home()
        .home
    )
    assert home.equipment["stopcock"].note == "The property factor opens it, above the stop valve"
    assert home.keys["fob"].opens == "the property factor's store"


def test_ids_and_addresses_stay() -> None:
    for text in (
        "stopcock",
        "[here](equipment:stopcock)",
        "rainwater-stopcock.",
        "a/stopcock/b",
        "#stopcock",
    ):
        assert spoken(text, SCOTTISH) == text


def test_a_nation_whose_words_are_those_of_the_library_changes_nothing() -> None:
    terms = plain(nations()["england"])["terms"]
    assert not speaks_otherwise(terms)
    assert spoken("The stopcock.", terms) == "The stopcock."


@pytest.mark.parametrize("nation", NATIONS)
def test_every_nation_has_a_word_for_what_the_library_says(nation: str) -> None:
    assert set(SAID.values()) <= set(plain(nations()[nation])["terms"])


def abroad() -> Iterator[str]:
    """The demo's plots in nations that say something else than the library does."""
    for plot, prepared in prepared_demo().homes.items():
        if speaks_otherwise(prepared.traced.home.terms):
            yield plot


@pytest.mark.parametrize("plot", list(abroad()))
def test_no_text_of_a_home_says_what_its_nation_does_not_say(plot: str) -> None:
    prepared = prepared_demo().homes[plot]
    terms = prepared.traced.home.terms
    foreign = [word for word, term in SAID.items() if terms[term] != word]
    pattern = re.compile(rf"(?<![\w:/#.-])({'|'.join(foreign)})(?![\w/-])", re.IGNORECASE)
    told = texts_of(prepared, demo_script())
    found = [
        f"{where}: …{text[max(0, each.start() - 40) : each.end() + 20]}…"
        for where, text in told
        for each in pattern.finditer(text)
    ]
    assert found == []
