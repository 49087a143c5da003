"""Homes drawn at random, sound or with known mistakes: each mistake is found, and nothing else.

The homes are drawn, and their measures worked out, without the rules and their tables: a rule and a
generator that read a standard differently are found out here.
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import pytest
from shapely import Point, Polygon
from shapely.ops import unary_union

from builder.errors import Finding
from builder.rules.checking import found_in
from builder.rules.home import HOME_RULES
from tests.generated_homes import Generated, assembled, generated
from tests.generated_plans import Data
from tests.mistake_table import TALLY, Tally
from tests.seeded_mistakes import (
    EACH,
    HOMES,
    MISTAKES,
    compared,
    seeded,
)

SHARES = 20
"""The homes are checked in so many tests, so that several processes share them."""
NEVER_SEEDED: dict[str, str] = {}
"""Rules that no mistake is made for, with the reason."""


def found(home: Generated) -> list[Finding]:
    return list(found_in(assembled(home), HOME_RULES))


@pytest.mark.parametrize("share", range(SHARES))
def test_every_mistake_is_found_and_nothing_else(
    share: int, record_property: Callable[[str, object], None]
) -> None:
    tally, wrong = Tally(), list[str]()
    for number in range(share, HOMES, SHARES):
        each = seeded(number)
        findings = found(each.home)
        own = compared(each, [(finding.code, finding.path) for finding in findings])
        tally += own
        if own.missed or own.false:
            wrong += [f"home {number}: {each.names}", str(own), *map(str, findings)]
    record_property(TALLY, tally.text)
    assert not wrong, "\n".join(wrong)


def test_every_rule_has_mistakes_made_for_it() -> None:
    seeded_rules = Counter(each.rule for each in MISTAKES)
    assert set(seeded_rules) | set(NEVER_SEEDED) == {each.rule.id for each in HOME_RULES}
    assert not set(seeded_rules) & set(NEVER_SEEDED)
    assert EACH >= 3
    assert HOMES >= 500


@pytest.mark.parametrize("number", range(0, HOMES, 40))
def test_both_hands_are_told_the_same(number: int) -> None:
    home = seeded(number).home
    drawn, opposite = (
        [replace(finding, plots=()) for finding in found(home.in_hand(hand))]
        for hand in ("as-drawn", "opposite")
    )
    assert drawn == opposite


def test_the_homes_are_of_every_sort() -> None:
    homes = [generated(number).data for number in range(120)]
    assert {home["form"] for home in homes} == {"house", "bungalow", "apartment", "maisonette", "coach-house"}  # fmt: skip
    assert {len(home["floors"]) for home in homes} == {1, 2, 3, 4}
    assert {home["ventilation"]["system"] for home in homes} == {"natural", "intermittent-extract", "continuous-extract", "heat-recovery"}  # fmt: skip
    assert {home.get("garage", {}).get("kind") for home in homes} == {None, "integral", "attached", "detached", "car-port"}  # fmt: skip
    bedrooms = {sum(room["kind"] == "bedroom" for room in home["rooms"].values()) for home in homes}
    assert {0, 1, 2, 3, 4, 5, 6} <= bedrooms
    assert any(
        len(room.get("outline", ())) == 6 for home in homes for room in home["rooms"].values()
    )


def test_plans_are_sound_by_their_geometry() -> None:
    """The rooms of a storey fill it and do not overlap, and what is drawn in walls is in them."""
    for number in range(60):
        home = generated(number).data
        outlines = {
            name: Polygon(room["outline"])
            for name, room in home["rooms"].items()
            if "outline" in room
        }
        for floor in home["floors"]:
            _assert_filled([outlines[name] for name in _rooms(home, floor) if name in outlines])
        for door in home["doors"].values():
            for room in door["between"]:
                if "at" in door and room in outlines:
                    assert outlines[room].exterior.distance(Point(door["at"])) < 0.005
        for window in home["windows"].values():
            shell = unary_union([outlines[name] for name in _beside(home, window["room"])])
            assert shell.boundary.distance(Point(window["at"])) < 0.005
            assert outlines[window["room"]].exterior.distance(Point(window["at"])) < 0.005
        for piece in home["equipment"].values():
            if piece["room"] in outlines:
                assert outlines[piece["room"]].covers(Point(piece["at"]))


def _assert_filled(rooms: list[Polygon]) -> None:
    whole = unary_union(rooms)
    assert all(room.is_valid for room in rooms)
    assert abs(sum(room.area for room in rooms) - whole.area) < 1e-6
    assert all(not part.interiors for part in getattr(whole, "geoms", [whole]))


def _rooms(home: Data, floor: str) -> list[str]:
    return [name for name, room in home["rooms"].items() if room.get("floor") == floor]


def _beside(home: Data, room: str) -> list[str]:
    """The drawn rooms of the storey of a room but for the corridor of a block of flats."""
    rooms = _rooms(home, home["rooms"][room]["floor"])
    return [name for name in rooms if "outline" in home["rooms"][name] and name != "corridor"]


def test_a_seed_gives_the_same_home_every_time() -> None:
    assert generated(7) == generated(7)
    assert generated(7) != generated(8)
    assert seeded(7) == seeded(7)


def test_a_mistake_that_is_not_found_and_a_false_alarm_are_counted() -> None:
    each = next(one for number in range(HOMES) if len((one := seeded(number)).made) == 1)
    rule = each.made[0][0].rule
    assert compared(each, []).missed == {rule: 1}
    assert compared(each, [("rooms.imaginary", "rooms.hall")]).false == {"rooms.imaginary": 1}
