"""People on a site call things otherwise than the data does; a mistake names what they mean."""

from pathlib import Path

import pytest
import yaml

from builder.errors import near_miss, suggestion
from tests.rule_cases import STANDARD

WORDS = yaml.safe_load((Path(__file__).parent.parent / "builder/trade_words.yaml").read_text())
KNOWN = yaml.safe_load(STANDARD.read_text(encoding="utf-8"))
KINDS, ROOM_KINDS = list(KNOWN["kinds"]), list(KNOWN["room_kinds"])


@pytest.mark.parametrize(
    ("written", "kind"),
    [
        ("mvhr-unit", "heat-recovery-unit"),
        ("MVHR", "heat-recovery-unit"),
        ("fusebox", "consumer-unit"),
        ("fuse_box", "consumer-unit"),
        ("garage-fuse-box", "garage-consumer-unit"),
        ("tmv", "blending-valve"),
        ("co-alarm", "carbon-monoxide-alarm"),
        ("smoke-detector", "smoke-alarm"),
        ("ashp", "air-source-heat-pump"),
        ("hiu", "heat-interface-unit"),
        ("rcd", "consumer-unit"),
        ("intercom", "entry-panel"),
        ("wc", "toilet"),
        ("ev-charger", "car-charger"),
        ("pv-inverter", "solar-inverter"),
        ("stop-tap", "stopcock"),
        ("dmev", "continuous-extract-unit"),
        ("stopcok", "stopcock"),
        ("bath-blending-valve", "blending-valve"),
        ("outside-stopcock", "external-stop-tap"),
        ("gas-valve", "gas-emergency-valve"),
        ("boiler", None),
        ("flux-capacitor", None),
    ],
)
def test_a_kind_in_words_of_the_trade(written: str, kind: str | None) -> None:
    assert near_miss(written, KINDS) == kind


def test_a_word_for_several_kinds_names_them() -> None:
    assert suggestion("heat-pump", KINDS, "Known here") == (
        "Did you mean one of these: 'air-source-heat-pump', 'exhaust-air-heat-pump', 'ground-source-heat-pump',"
        " 'hot-water-heat-pump'?"
    )


def test_what_is_only_spelt_like_a_word_of_the_trade_is_no_help() -> None:
    assert near_miss("mvhr-unit", ["consumer-unit", "extract-fan"]) is None
    assert near_miss("wc-dor", ["wc-door", "front-door"]) == "wc-door"


@pytest.mark.parametrize(
    ("written", "kind"),
    [
        ("lounge", "living"),
        ("en-suite", "bathroom"),
        ("kitchen-diner", "kitchen-dining"),
        ("wc", "toilet"),
    ],
)
def test_a_room_in_words_of_the_trade(written: str, kind: str) -> None:
    assert near_miss(written, ROOM_KINDS) == kind


def test_each_word_means_one_thing_and_is_told_to_an_author() -> None:
    words = [word for each in WORDS.values() for word in each]
    assert len(words) == len(set(words))
    known = [*KINDS, *ROOM_KINDS, "continuous-extract", "cooker-hood", "immersion"]
    for thing, each in WORDS.items():
        for word in each:
            found = near_miss(word, known)
            assert found is not None, word
            assert found in known
            assert set(thing.split()) <= set(found.split("-")), (word, thing, found)
