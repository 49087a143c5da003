"""Words of one nation in the texts of another: each found once, where it is written, and no name mistaken for one."""

from functools import cache

import pytest

from builder.home.assemble import TracedHome
from builder.layers.memo import Memo
from builder.selection.nation_words import nation_words, vocabulary_of
from builder.sources.nations import NATIONS
from tests.rule_cases import Case


@cache
def _home(nation: str) -> TracedHome:
    layers = (("development", f"development: {{nation: {nation}}}"),)
    return Case("", nation, "house", layers, (), nation).home()


def _said(nation: str, text: str) -> list[tuple[str, str | None]]:
    vocabulary = vocabulary_of(_home(nation).home, Memo())
    assert vocabulary is not None
    return [(each.word, each.instead) for each in vocabulary.found_in(text)]


@pytest.mark.parametrize(
    ("nation", "text", "word", "instead"),
    [
        ("scotland", "Ask the managing agents.", "managing agents", "property factor"),
        ("scotland", "Your home is leasehold.", "leasehold", "owned outright"),
        ("scotland", "By the Building\nRegulations 2010.", "Building\nRegulations 2010", "Building (Scotland) Regulations 2004"),
        ("scotland", "See Approved Document L.", "Approved Document", "Technical Handbook"),
        ("england", "Ask your factor.", "your factor", "managing agent"),
        ("england", "On the date of entry.", "date of entry", "legal completion"),
        ("wales", "Call the Environment Agency.", "Environment Agency", "Natural Resources Wales"),
        ("wales", "Environment Agency: call it.", "Environment Agency", "Natural Resources Wales"),
        ("northern-ireland", "No council tax here.", "council tax", "rates"),
        ("northern-ireland", "In a power cut call 105.", "105", "03457 643 643"),
        ("northern-ireland", "The number for a power cut is 105", "105", "03457 643 643"),
        ("northern-ireland", "0800 111999 day and night", "0800 111999", "0800 002 001"),
    ],
)  # fmt: skip
def test_a_word_of_another_nation_is_found(nation: str, text: str, word: str, instead: str) -> None:
    assert _said(nation, text) == [(word, instead)]


@pytest.mark.parametrize(
    ("nation", "text"),
    [
        ("england", "The Property Factors (Scotland) Act 2011 says so."),
        ("scotland", "The Leasehold Reform Act 1967 says so."),
        ("scotland", "Gwynt Managing Agents have the key."),
        ("scotland", "On the plan it says “ground rent”."),
        ("scotland", "The release hold is on the left."),
        ("northern-ireland", "The tank holds 105 litres."),
        ("northern-ireland", "Call them. It is 105 m away."),
        ("northern-ireland", "Call 01632 960105."),
        ("northern-ireland", "Ask the Northern Ireland Environment Agency."),
        ("england", "Ask the Northbridge Environment Agency Trust."),
        ("england", "See [the rates](article:council-tax/domestic-rates)."),
        ("england", "In a power cut call 105."),
        ("scotland", "See the Domestic Technical Handbook."),
    ],
)
def test_what_only_looks_like_one_is_none(nation: str, text: str) -> None:
    assert _said(nation, text) == []


def test_every_word_is_found_in_every_other_nation_and_in_none_of_its_own() -> None:
    for name, each in nation_words().items():
        for nation in NATIONS:
            for word in each.words:
                found = [said for said, _ in _said(nation, f"It says {word} here.")]
                wanted = [] if nation in each.of else [word]
                assert found == wanted, (name, nation)


def test_what_is_said_instead_is_said_there() -> None:
    for name, each in nation_words().items():
        for nation, instead in each.instead.items():
            assert nation not in each.of or instead in each.words, name
            assert _said(nation, f"It says {instead} here.") == [], (name, nation)
