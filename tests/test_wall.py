"""The wall that a thing is on, as one stands before it: worked out by hand on the sound house.

The living room is 4 m across (x from 5 to 9) and 6 m deep (y from 0 to 6); the hall lies to its
left. Outlines run to the middle of walls; the face of an inside wall is 5 cm before that.
"""

import re
from typing import Any

import pytest

from builder.guide.wall.svg import LONGEST, wall_svg
from builder.guide.wall.view import Walls, WallView
from builder.guide.wall.words import length, place, stand, words
from builder.home.survey import Survey
from tests.plan_homes import homes_of_the_demo
from tests.rule_cases import home_with

THING = {"kind": "doorbell", "room": "living", "place": "somewhere", "height": 1.2}


def seen(changes: dict[str, Any] | None = None, **piece: Any) -> WallView | None:
    traced = home_with({"equipment": {"thing": {**THING, **piece}}, **(changes or {})})
    return Walls(Survey(traced.home)).view(traced.home.equipment["thing"])


def test_the_front_wall_is_seen_from_inside_with_its_right_end_at_the_lesser_x() -> None:
    """Who faces the front wall from inside has x growing to the left: 8.6 is 0.4 m from the left."""
    view = seen(at=[8.6, 0.1], changes={"windows": {"living-window": None}})
    assert view is not None
    assert (view.width, view.x) == (4, pytest.approx(0.4))
    assert stand(view) == "Living room: face the wall at the front of the home."
    assert (
        place(view)
        == "It is about 1.2 m above the floor, and about 35 cm from the left-hand corner."
    )


def test_an_inside_wall_names_the_room_behind_it() -> None:
    """Who faces the hall from the living room looks to the left of the plan: the front is at the
    left hand, so y = 5.5 of 6 is half a metre from the right-hand corner."""
    view = seen(at=[5.1, 5.5])
    assert view is not None
    assert view.beyond == ("Hall",)
    assert words(view) == (
        "Living room: face the wall towards the hall. "
        "It is about 1.2 m above the floor, and about 45 cm from the right-hand corner."
    )


def test_a_door_is_the_edge_where_it_is_nearer_than_a_corner() -> None:
    """The living room door is 0.76 m wide about y = 3 in the wall to the hall. y = 3.6 is 0.22 m
    beyond its edge, to the right as one faces it."""
    view = seen(at=[5.1, 3.6])
    assert view is not None
    assert place(view).endswith("and about 20 cm to the right of the door.")
    door = next(each for each in view.openings if each.noun == "door")
    assert (door.left, door.right) == (pytest.approx(2.62), pytest.approx(3.38))


def test_a_door_whose_width_nobody_said_is_no_edge() -> None:
    """It is drawn as doors are; its edge would be a fact that no file says."""
    view = seen(at=[5.1, 3.6], changes={"doors": {"living-door": {"width": None}}})
    assert view is not None
    assert [each.measured for each in view.openings] == [False]
    assert "corner" in place(view)


def test_the_opposite_hand_is_the_mirror_image() -> None:
    view = seen(at=[5.1, 3.6], changes={"plot": {"hand": "opposite"}})
    assert view is not None
    assert view.beyond == ("Hall",)
    assert place(view).endswith("and about 20 cm to the left of the door.")


def test_an_outside_thing_is_seen_from_the_street() -> None:
    """The front door of the sound house is about x = 4. From outside x grows to the right."""
    view = seen(room="outside", at=[5.5, -0.15])
    assert view is not None
    assert view.outside
    assert stand(view) == "Stand outside, at the front of the home. Face the wall."
    assert view.mark is not None
    assert view.mark.side in ("left", "right")
    assert view.x == pytest.approx(5.5, abs=0.05)


@pytest.mark.parametrize(
    "piece",
    [{}, {"at": [7, 3]}, {"at": [5.1, 3], "height": 2.4}],
    ids=["no place", "in the middle of the room", "on the ceiling"],
)
def test_what_is_on_no_wall_has_no_view(piece: dict[str, Any]) -> None:
    assert seen(**piece) is None


def test_what_hangs_above_an_opening_is_measured_in_height_alone_or_from_another_edge() -> None:
    view = seen(at=[5.1, 3.0], height=2.2)
    assert view is not None
    assert "door" not in place(view)
    within = seen(at=[5.1, 3.0], height=1.0)
    assert within is not None
    assert place(within) == "It is about 1 m above the floor."


@pytest.mark.parametrize(
    ("metres", "said"),
    [(0.35, "35 cm"), (0.97, "95 cm"), (0.99, "1 m"), (1.4, "1.4 m"), (1.05, "1.05 m")],
)
def test_lengths_are_said_as_people_say_them(metres: float, said: str) -> None:
    assert length(metres) == said


def test_what_stands_against_the_wall_is_drawn() -> None:
    worktop = {"drawn": "worktop", "room": "living", "at": [7, 0.4], "size": [2, 0.6]}
    view = seen(at=[8.6, 0.1], changes={"fittings": {"worktop": worktop}})
    assert view is not None
    (block,) = [each for each in view.blocks if each.right - each.left == pytest.approx(2)]
    assert (block.left, block.top) == (pytest.approx(1), 0.9)


def test_a_long_wall_is_cut_to_the_part_around_the_thing() -> None:
    view = seen(at=[5.1, 5.5])
    assert view is not None
    assert view.width > LONGEST
    box = re.search(r'viewBox="(\S+) (\S+) (\S+) (\S+)"', str(wall_svg(view)))
    assert box is not None
    assert float(box[3]) < view.width * 100


def test_every_drawing_of_the_demo_keeps_its_marks_and_texts_within_its_frame() -> None:
    drawn = 0
    for traced in homes_of_the_demo().values():
        walls = Walls(Survey(traced.home))
        for name, piece in traced.home.equipment.items():
            view = walls.view(piece)
            if view is None:
                continue
            drawn += 1
            svg = str(wall_svg(view))
            left, top, wide, high = map(float, re.search(r'viewBox="([^"]+)"', svg)[1].split())  # type: ignore[index]
            for x, y in re.findall(r'<(?:circle|text)[^>]* c?x="(-?\d+)" c?y="(-?\d+)"', svg):
                assert left <= float(x) <= left + wide, name
                assert top <= float(y) <= top + high, name
            assert len(svg) < 2_500, name
    assert drawn > 400
