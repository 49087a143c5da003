"""How one gets to a part of a home that is lived in by itself, told where help looks for it."""

from typing import Any

import pytest

from builder.guide.part_ways import doors_to
from builder.model.building import Door, Room
from builder.model.setting import Part
from tests.absence import pages_of, texts_of
from tests.demonstrations import demo_script, prepared_demo

DAIRY = "Across the yard. Way there: French doors, Door of the dairy."


def test_the_way_stands_on_the_pages_that_are_opened_in_an_emergency() -> None:
    prepared = prepared_demo().homes["marlpit-yard/02"]
    pages = dict(pages_of(prepared))
    for name in ("page:emergency", "page:plan", "article:annexe"):
        assert DAIRY in pages[name], name
    card = next(text for name, text in texts_of(prepared, demo_script()) if name == "paper:emergency card")  # fmt: skip
    assert DAIRY in card


def test_homes_without_such_a_part_say_nothing_of_a_way() -> None:
    prepared = prepared_demo().homes["marlpit-yard/01"]
    assert "The way to each part" not in dict(pages_of(prepared))["page:emergency"]


ANNEXE = ("annexe", "lobby")
HALL = {
    "hall": "hall",
    "kitchen": "kitchen",
    "out": "outside",
    "annexe": "bedroom",
    "lobby": "hall",
}


@pytest.mark.parametrize(
    ("doors", "way"),
    [
        ({}, []),
        ({"inner": ("hall", "annexe")}, ["inner"]),
        ({"front": ("hall", "out"), "own": ("annexe", "out")}, ["front", "own"]),
        ({"inner": ("hall", "annexe"), "front": ("hall", "out"), "own": ("annexe", "out")}, ["inner"]),
        ({"front": ("hall", "out"), "gate": ("out", "lobby"), "own": ("lobby", "annexe")}, ["front", "gate"]),
        ({"own": ("annexe", "out")}, []),
    ],
)  # fmt: skip
def test_the_way_leads_through_as_few_doors_as_there_are(
    doors: dict[str, tuple[str, str]], way: list[str]
) -> None:
    """The lobby is a room of the annexe: whoever stands in it is there."""
    assert list(doors_to(home(doors), ANNEXE)) == way


def test_of_two_ways_the_nearer_is_told() -> None:
    doors = {"front": ("hall", "out"), "back": ("kitchen", "out"), "own": ("annexe", "out")}
    at = {"front": (0.0, 0.0), "back": (0.0, 9.0), "own": (0.0, 12.0)}
    assert doors_to(home(doors, at), ANNEXE) == ("back", "own")


def home(doors: dict[str, tuple[str, str]], at: dict[str, Any] | None = None) -> Any:
    """A home of the demo with these rooms and doors alone."""
    whole = prepared_demo().homes["marlpit-yard/02"].traced.home
    return whole.model_copy(update={
        "parts": {"annexe": Part(name="Annexe", rooms=ANNEXE)},
        "rooms": {name: Room(name=name, kind=kind) for name, kind in HALL.items()},
        "doors": {
            name: Door(name=name, between=between, at=(at or {}).get(name))
            for name, between in doors.items()
        },
    })  # fmt: skip
