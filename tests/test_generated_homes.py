"""Homes drawn at random, sound or with known mistakes: each mistake is found, and nothing else.

The homes are drawn, and their measures worked out, without the rules and their tables: a rule and a
generator that read a standard differently are found out here.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from types import FunctionType

import pytest
from shapely import Point, Polygon
from shapely.ops import unary_union

from builder.errors import Finding
from builder.rules.checking import found_in
from builder.rules.home import HOME_RULES
from tests.generated_homes import Generated, assembled, generated
from tests.generated_plans import Data
from tests.mistake_table import TALLY, Tally
from tests.seeded_draft import Draft, Made, Mistake
from tests.seeded_mistakes import (
    EACH,
    MISTAKES,
    Wanted,
    all_wanted,
    compared,
    further,
    seeded,
)

SHARES = 20
"""The homes are checked in so many tests, so that several processes share them."""
_ELSEWHERE = (
    "generated homes stand in England, which asks for nothing here; tests/rules has its homes"
)
JOINED = 5
"""Of the homes that a further mistake joins, so many are judged again."""
NEVER_SEEDED: dict[str, str] = dict.fromkeys(
    (
        "essentials.sprinklers",
        "editions.warrant-day",
        "editions.not-of-the-warrant",
        "carbon-monoxide.flue-room",
        "electricity.near-corner",
        "electricity.sockets",
        "electricity.further-sockets",
        "fire.access-room-smoke-alarm",
        "fire.living-room-smoke-alarm",
        "outside.drying-line",
        "outside.drying-space",
        "ventilation.boost-share",
        "windows.cleaning-unsaid",
        "fire.alarm-to-bedroom",
        "fire.alarm-covers-hall",
        "fire.heat-alarm-in-each-kitchen",
        "fire.escape-window-upstairs",
        "heating.direct-emissions",
        "nation.no-such-tenure",
        "tenure.part-not-known",
        "nation.number-of-another",
        "ventilation.air-changes",
        "ventilation.carbon-dioxide-monitor",
    ),
    _ELSEWHERE,
) | {
    "essentials.water-inside": "without the stopcock inside, other rules of water speak first",
    "parts.way-unsaid": "a room that no door leads to is told first by the rules of rooms",
    "essentials.heat": "every zone of a generated home has its thermostat, which other rules ask for",
}
"""Rules that no mistake is made for, with the reason."""


def found(home: Generated) -> list[Finding]:
    return list(found_in(assembled(home), HOME_RULES))


@pytest.mark.parametrize("share", range(SHARES))
def test_every_mistake_is_found_and_nothing_else(
    share: int, record_property: Callable[[str, object], None]
) -> None:
    tally, wrong = Tally(), list[str]()
    for wanted in all_wanted()[share::SHARES]:
        own, told = judged(wanted)
        tally += own
        wrong += told
    record_property(TALLY, tally.text)
    assert not wrong, "\n".join(wrong)


def judged(wanted: Wanted, mistakes: Sequence[Mistake] = MISTAKES) -> tuple[Tally, list[str]]:
    """What became of the mistakes of one home, and all that is to be told where that is wrong."""
    each = seeded(wanted, mistakes)
    findings = found(each.home)
    own = compared(each, [(finding.code, finding.path) for finding in findings])
    if not own.missed and not own.false:
        return own, []
    return own, [f"home for {wanted.key}: {each.names}", str(own), *map(str, findings)]


def test_every_rule_has_mistakes_made_for_it() -> None:
    seeded_rules = Counter(each.rule for each in MISTAKES)
    assert set(seeded_rules) | set(NEVER_SEEDED) == {each.rule.id for each in HOME_RULES}
    assert not set(seeded_rules) & set(NEVER_SEEDED)
    assert EACH >= 2
    assert len(all_wanted()) >= 400


@pytest.mark.parametrize("number", range(10))
def test_a_further_mistake_changes_no_other_home(number: int) -> None:
    """A home depends on what it is for and on what may join it: of both, all else stays as it was."""
    model = MISTAKES[number * len(MISTAKES) // 10]
    dummy = replace(model, make=_renamed(model.make, f"dummy_{number}"))
    more = [*MISTAKES[: number * 20], dummy, *MISTAKES[number * 20 :]]
    own = [each for each in all_wanted(more) if each.mistake is dummy]
    others = [
        each for each in all_wanted() if each.mistake is None or each.mistake.rule != dummy.rule
    ]
    assert own
    assert set(others) <= set(all_wanted(more))
    joined = [each for each in others if further(each, more) != further(each)]
    assert all(set(further(each, more)) == {*further(each), dummy} for each in joined)
    wrong = [line for each in (*own, *joined[:JOINED]) for line in judged(each, more)[1]]
    assert not wrong, "\n".join(wrong)


def _renamed(make: Callable[[Draft], Made], name: str) -> Callable[[Draft], Made]:
    """The same under another name, from which other homes are drawn."""
    return FunctionType(make.__code__, make.__globals__, name, make.__defaults__, make.__closure__)


@pytest.mark.parametrize("wanted", all_wanted()[::70], ids=lambda wanted: wanted.key)
def test_both_hands_are_told_the_same(wanted: Wanted) -> None:
    home = seeded(wanted).home
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
    assert seeded(all_wanted()[7]) == seeded(all_wanted()[7])


def test_a_mistake_that_is_not_found_and_a_false_alarm_are_counted() -> None:
    each = next(one for wanted in all_wanted() if len((one := seeded(wanted)).made) == 1)
    rule = each.made[0][0].rule
    assert compared(each, []).missed == {rule: 1}
    assert compared(each, [("rooms.imaginary", "rooms.hall")]).false == {"rooms.imaginary": 1}
