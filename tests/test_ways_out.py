"""By which doors people leave a home, for which of them they need a key, and who looks after what."""

import pytest

from builder.home.ways_out import beyond, keyed_ways_out, ways_out
from builder.model.building import Door
from builder.model.home import Home
from builder.selection.conditions import WORKED_OUT
from tests.demonstrations import prepared_demo


@pytest.mark.parametrize(
    ("lock", "needed"),
    [
        (None, True),
        ("Lift the handle and turn the key", True),
        ("Lift the handle", True),
        ("Turn the large key lever", True),
        ("Lift the handle, then turn the thumb turn", False),
        ("Lift the handle outside and turn the key; inside, turn the knob", False),
        ("Slide the bolt", False),
        ("Trowch y bwlyn", False),
        ("Trowch yr allwedd", True),
    ],
)
def test_a_key_is_needed_where_no_hand_opens_the_lock(lock: str | None, needed: bool) -> None:
    door = Door(name="Front door", between=("hall", "outside"), lock=lock)
    assert door.needs_key is needed


def test_ways_out_lead_from_where_people_are_to_the_open_air_or_a_shared_hall() -> None:
    for plot, each in prepared_demo().homes.items():
        home = each.traced.home
        found = ways_out(home)
        assert found, plot
        for door in found.values():
            kind = home.room_kinds[home.rooms[beyond(door, home)].kind]
            assert (kind.inside, kind.from_home) == (False, False)
            assert door.kind not in ("garage", "opening")
        assert keyed_ways_out(home).items() <= found.items()


def test_no_balcony_and_no_garage_door_is_a_way_out() -> None:
    flat = prepared_demo().homes["harbour-view/05"].traced.home
    assert {home_room(flat, door) for door in ways_out(flat).values()} == {"communal"}


def home_room(home: Home, door: Door) -> str:
    return home.rooms[beyond(door, home)].kind


def test_what_others_look_after_is_not_the_owners_own() -> None:
    home = prepared_demo().homes["mill-lane/01"].traced.home
    own = WORKED_OUT["own_equipment"](home)
    others = {
        name
        for name, each in home.equipment.items()
        if each.served_by or home.kinds[each.kind].served_by
    }
    assert own
    assert own.keys() == home.equipment.keys() - others
