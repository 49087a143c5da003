"""The opposite hand: a mirror image of geometry, swings and words, never of text."""

import shutil
from datetime import date
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from builder.home.hand import middle, spoken
from builder.preparing import prepare
from tests.conftest import COTTAGE

PLOTS = prepare(COTTAGE, [], date(2026, 3, 1)).homes
DRAWN, OPPOSITE = PLOTS["riverside/01"].traced.home, PLOTS["riverside/02"].traced.home


def area(corners: tuple[tuple[float, float], ...] | None) -> float:
    """Twice the signed area of a polygon (the shoelace formula)."""
    assert corners
    pairs = zip(corners, corners[1:] + corners[:1], strict=True)
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs)


def test_geometry_worked_by_hand() -> None:
    """The cottage is 6 m wide, so x becomes 6 - x."""
    assert OPPOSITE.doors["front-door"].at == (5, 0)
    assert OPPOSITE.doors["kitchen-door"].at == (4, 2.5)
    assert OPPOSITE.equipment["hall-thermostat"].at == (4.1, 3)
    assert set(OPPOSITE.rooms["hall"].outline or ()) == {(4, 0), (6, 0), (6, 5), (4, 5)}


def test_outlines_keep_their_direction_and_area() -> None:
    for name, room in DRAWN.rooms.items():
        if room.outline:
            assert area(OPPOSITE.rooms[name].outline) == area(room.outline)


def test_hinges_change_sides_and_boundaries_do_not() -> None:
    assert OPPOSITE.doors["front-door"].hinge == "right"
    assert OPPOSITE.doors["kitchen-door"].hinge == "left"
    assert OPPOSITE.fences["left"].side == "left"


def test_words_follow_the_hand() -> None:
    drawn, opposite = DRAWN.equipment, OPPOSITE.equipment
    assert drawn["hall-thermostat"].place == "on the wall to the right of the kitchen door"
    assert opposite["hall-thermostat"].place == "on the wall to the left of the kitchen door"
    assert opposite["stopcock"].place == "in the cupboard, low on the left"


def test_text_is_never_mirrored() -> None:
    assert OPPOSITE.rooms["hall"].name == DRAWN.rooms["hall"].name
    assert OPPOSITE.house_type == DRAWN.house_type


SITE = """
equipment:
  meter: {kind: consumer-unit, room: outside, place: in the cupboard at the left of the entrance}
  tap: {kind: car-charger, room: outside, place: "to the {left} of the back door"}
communal:
  yard: {name: Yard, place: left of the gate, looked_after_by: council}
stores:
  bins: {name: Bin store, kind: refuse, place: to the right of the gate}
building: {refuge: on the left of the stairs, help_gets_in: left at the fork}
"""


def test_what_a_development_says_of_its_site_stands_still(tmp_path: Path) -> None:
    """But for what it marks, which stands beside each home."""
    shutil.copytree(COTTAGE, tmp_path, dirs_exist_ok=True)
    development = tmp_path / "developments" / "riverside" / "development.yaml"
    development.write_text(development.read_text(encoding="utf-8") + SITE, encoding="utf-8")
    preparation = prepare(tmp_path, [], date(2026, 3, 1))
    assert not [each for each in preparation.findings if each.code.startswith("place.")]
    for plot, beside in (("riverside/01", "left"), ("riverside/02", "right")):
        home = preparation.homes[plot].traced.home
        assert home.equipment["meter"].place == "in the cupboard at the left of the entrance"
        assert home.equipment["tap"].place == f"to the {beside} of the back door"
        assert home.communal["yard"].place == "left of the gate"
        assert home.stores["bins"].place == "to the right of the gate"
        assert home.building
        assert home.building.refuge == "on the left of the stairs"
        assert home.building.help_gets_in == "left at the fork"


def test_the_home_stands_on_the_same_ground() -> None:
    assert middle(DRAWN) == middle(OPPOSITE) == 6


@given(st.text(alphabet="ab {}", max_size=8), st.sampled_from(["left", "right"]))
def test_two_turns_are_none(text: str, side: str) -> None:
    other = {"left": "right", "right": "left"}[side]
    place = f"{text}{{{side}}}"
    assert spoken(place, mirrored=False) == f"{text}{side}"
    assert spoken(place, mirrored=True) == f"{text}{other}"


def test_no_place_keeps_a_marker() -> None:
    for home in (DRAWN, OPPOSITE):
        assert "{" not in home.model_dump_json().replace('{"', "").replace("{}", "").replace(
            ":{", ":"
        )
