"""What nobody said of a home is not said by its guide, the one way or the other."""

import re
from collections.abc import Callable

import pytest

from builder.model.home import Home
from builder.selection.conditions import Judge
from tests.absence import pages_of, remade
from tests.demonstrations import prepared_demo

Taken = Callable[[Home], Home]


def _without(section: str, **facts: None) -> Taken:
    """A home without a section, or without facts of it."""

    def taken(home: Home) -> Home:
        record = getattr(home, section).model_copy(update=facts) if facts else None
        return home.model_copy(update={section: record})

    return taken


def _with_a_room_of_no_floor(home: Home) -> Home:
    name, room = next((n, r) for n, r in home.rooms.items() if home.room_kinds[r.kind].inside)
    rooms = type(home.rooms)({**home.rooms, name: room.model_copy(update={"floor": None})})  # type: ignore[call-arg]
    return home.model_copy(update={"rooms": rooms})


def _with_a_valve_that_nobody_set(home: Home) -> Home:
    """A home whose blending valves say nothing of how hot they were set."""
    pieces = {
        name: piece.model_copy(update={"facts": {}}) if piece.kind == "blending-valve" else piece
        for name, piece in home.equipment.items()
    }
    assert pieces != dict(home.equipment)
    return home.model_copy(update={"equipment": type(home.equipment)(pieces)})  # type: ignore[call-arg]


@pytest.mark.parametrize(
    ("plot", "taken", "untrue"),
    [
        ("harbour-view/05", _without("building"), (r"from the ground with a pole", r"Park only in your own space")),
        ("harbour-view/05", _without("fabric"), (r"Old walls",)),
        ("marlpit-yard/01", _without("fabric"), (r"Old walls",)),
        ("marlpit-yard/01", _without("water", shared=None), (r"to your home is (yours|shared)",)),
        ("mill-lane/01", _with_a_valve_that_nobody_set, (r"Up to 41", r"than it was set to")),
        ("marlpit-yard/03", _with_a_room_of_no_floor, (r"Your stairs", r"between your floors")),
    ],
)  # fmt: skip
def test_a_guide_takes_nothing_for_granted(
    plot: str, taken: Taken, untrue: tuple[str, ...]
) -> None:
    preparation = prepared_demo()
    prepared = preparation.homes[plot]
    changed = taken(prepared.traced.home)
    told = "\n".join(text for _, text in pages_of(remade(preparation, prepared, changed)))
    assert [each for each in untrue if re.search(each, told)] == []


def test_a_room_of_no_floor_makes_no_stairs() -> None:
    home = _with_a_room_of_no_floor(prepared_demo().homes["marlpit-yard/03"].traced.home)
    assert home.form == "bungalow"
    assert not Judge(home).is_so("own-stairs")
