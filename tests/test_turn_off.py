"""All that turns a supply off stands where somebody looks in an emergency, with what it serves."""

import re

from builder.guide.about import About
from builder.guide.front_pages import turn_off
from builder.preparing import Preparation
from builder.selection.choosing import choose
from tests.demonstrations import prepared_demo
from tests.rule_cases import home_with

SHUTS = re.compile(r"(stopcock|stop-tap|emergency-valve)$")


def test_every_stopcock_of_every_home_stands_on_the_emergency_page(far: Preparation) -> None:
    seen = set()
    for name, prepared in {**prepared_demo().homes, **far.homes}.items():
        about = prepared.about.plainly
        shown = {piece.id for group in turn_off(about) for piece in group["pieces"]}
        stops = {piece.id for piece in about.pieces if SHUTS.search(piece.kind)}
        assert stops <= shown, name
        seen |= {piece.kind for piece in about.pieces if piece.id in stops}
    assert {"stopcock", "external-stop-tap", "rainwater-stopcock"} <= seen


def test_a_stopcock_for_rain_water_says_what_it_stops(far: Preparation) -> None:
    told = {}
    for name in ("nant/4", "fenland/3"):
        groups = {each["supply"]: each for each in turn_off(far.homes[name].about)}
        told[name] = groups["reused-water"]["effects"]["rainwater-stopcock"]
        assert "rainwater-stopcock" not in groups["water"]["effects"]
    assert told == {
        "nant/4": "Turns off the water that is used again, to the toilets.",
        "fenland/3": "Turns off the water that is used again, to the toilet and the washing machine.",
    }


def test_a_kind_that_counts_as_a_stopcock_turns_off_the_water() -> None:
    kind = {"name": "Roof tap", "system": "water", "what": "Shuts.", "counts_as": ["stopcock"], "page": False}  # fmt: skip
    piece = {"kind": "roof-tap", "room": "kitchen", "place": "over the door", "serves": "The roof"}
    home = home_with({"kinds": {"roof-tap": kind}, "equipment": {"roof-tap": piece}}).home
    about = About(home, choose((), home))
    water = next(each for each in turn_off(about) if each["supply"] == "water")
    assert water["effects"]["roof-tap"] == "Turns off the water to the roof."
