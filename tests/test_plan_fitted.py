"""Stairs and fittings on plans: where they stand, which way they face, in both hands."""

from typing import Any, get_args

import pytest
from shapely import LineString, Polygon

from builder.guide.pieces import pieces_of
from builder.guide.plan.drawing import INSIDE, OUTSIDE, UNITS, Stroke
from builder.guide.plan.fitted import RoomGround, stands
from builder.guide.plan.plans import Plans
from builder.guide.plan.symbols import SIZES, outlines
from builder.home.assemble import TracedHome
from builder.home.survey import Survey
from builder.model.building import Symbol
from tests.plan_homes import homes_of_the_demo
from tests.rule_cases import home_with


def stairs(**changes: Any) -> dict[str, Any]:
    return {"foot": "hall", "head": "landing", "line": [[4, 1], [4, 3.7]], "width": 0.9, **changes}


STAIRS = {"stairs": stairs()}


def strokes(changes: dict[str, Any], floor: str = "ground", kind: str = "fitting") -> list[Stroke]:
    """What changes of the sound house add to the drawing of one of its floors."""
    hand = {"plot": changes["plot"]} if "plot" in changes else {}
    before = all_strokes(hand, floor)
    return [
        each for each in all_strokes(changes, floor) if each.kind == kind and each not in before
    ]


def all_strokes(changes: dict[str, Any], floor: str) -> tuple[Stroke, ...]:
    home = home_with(changes).home
    return Plans(home, pieces_of(home)).bases[floor].strokes


def steps(strokes: list[Stroke]) -> list[Stroke]:
    """The edges of steps: straight lines of two points."""
    return [each for each in strokes if len(each.points) == 2]


@pytest.mark.parametrize("symbol", get_args(Symbol))
@pytest.mark.parametrize("times", [1.0, 1.6])
def test_a_symbol_keeps_within_its_size(symbol: Symbol, times: float) -> None:
    width, depth = (round(each * times, 2) for each in SIZES[symbol])
    points = [point for line in outlines(symbol, (width, depth)) for point in line.points]
    across, along = [x for x, _ in points], [y for _, y in points]
    assert max(map(abs, across)) <= width / 2 + 1e-6
    assert max(map(abs, along)) <= depth / 2 + 1e-6
    assert max(across) - min(across) >= 0.9 * width
    assert max(along) - min(along) >= 0.9 * depth


def test_a_toilet_stands_with_its_cistern_to_the_nearest_wall() -> None:
    """The living room of the sound house is 5 to 9 m across; its wall to the hall is at x = 5."""
    fitting = {"drawn": "toilet", "room": "living", "at": [5.3, 1.5]}
    cistern, *_ = strokes({"fittings": {"test-toilet": fitting}})
    assert cistern.box.left == round((5 + INSIDE) * UNITS)
    assert cistern.box.width == round(0.19 * UNITS)
    assert cistern.box.height == round(0.4 * UNITS)


def test_what_is_turned_by_hand_stands_as_it_was_turned() -> None:
    """A quarter turn anticlockwise: a back that was towards the back of the home is on the left."""
    fitting = {"drawn": "worktop", "room": "living", "at": [7, 2], "size": [2, 0.6], "turn": 90}
    (worktop,) = strokes({"fittings": {"island": fitting}})
    assert (worktop.box.width, worktop.box.height) == (0.6 * UNITS, 2 * UNITS)


def test_the_opposite_hand_is_the_mirror_image() -> None:
    """The sound house is 9 m across, so what stands at x stands at 9 - x."""
    changes = {
        "stairs": STAIRS,
        "fittings": {
            "sink": {"drawn": "sink", "room": "kitchen", "at": [7, 6.4], "turn": 30},
            "bath": {"drawn": "bath", "room": "living", "at": [5.6, 2]},
        },
    }
    drawn = strokes(changes)
    mirrored = strokes({**changes, "plot": {"hand": "opposite"}})
    assert len(drawn) == len(mirrored) > 10
    for one, other in zip(drawn, mirrored, strict=True):
        if len(one.points) < 8:
            assert other.box.top == pytest.approx(one.box.top, abs=1)
            assert other.box.left == pytest.approx(9 * UNITS - one.box.right, abs=1)


def test_stairs_have_their_steps_as_far_as_the_cut_and_all_of_them_on_the_floor_above() -> None:
    """13 risers over 2.7 m are 12 goings of 225 mm. The cut is 1.4 of 2.6 m up: 6 goings and a part,
    so that the edges of 7 steps are seen below it, and all 13 from above."""
    below, above = strokes({"stairs": STAIRS}), strokes({"stairs": STAIRS}, "first")
    assert len(steps(below)) == 7
    assert len(steps(above)) == 13
    first, second = steps(below)[:2]
    assert first.points[0][1] - second.points[0][1] == 0.225 * UNITS
    assert LineString(first.points).length == 0.9 * UNITS


def test_the_arrow_points_up_the_stairs_on_both_floors() -> None:
    for floor in ("ground", "first"):
        shaft, head = strokes({"stairs": STAIRS}, floor, "way-up")
        assert shaft.points[0][1] > shaft.points[-1][1]
        assert head.points[1] == shaft.points[-1]


def test_stairs_above_stairs_hide_what_comes_up_below_them() -> None:
    """Where a second flight starts over the first, the first is seen beyond the cut alone."""
    home = {
        "floors": {"second": {"name": "Second floor", "level": 2, "above_ground": 5.2}},
        "rooms": {"loft-landing": {"name": "Top landing", "kind": "landing", "floor": "second"}},
        "stairs": {"stairs": stairs(), "upper": stairs(foot="landing", head="loft-landing")},
    }
    seen = [each.points[0][1] for each in steps(strokes(home, "first"))]
    assert len(seen) == len(set(seen))
    assert len(seen) == 13


def test_stairs_with_a_corner_have_steps_across_both_ways() -> None:
    line = [[3.6, 1], [3.6, 2.8], [4.8, 2.8]]
    drawn = steps(strokes({"stairs": {"stairs": stairs(line=line)}}, "first"))
    ways = {abs(each.points[0][0] - each.points[1][0]) < 3 for each in drawn}
    assert ways == {True, False}


@pytest.fixture(scope="module")
def demo_homes() -> dict[str, TracedHome]:
    return homes_of_the_demo()


def test_nothing_that_is_built_in_stands_in_a_wall_of_the_demo(
    demo_homes: dict[str, TracedHome],
) -> None:
    found = 0
    for reference, traced in demo_homes.items():
        survey = Survey(traced.home)
        for room, stand in stands(survey):
            faces = RoomGround.of(survey, room).faces.buffer(1.5 / UNITS)
            for stroke in stand.strokes(room):
                ring = (
                    Polygon([(x / UNITS, -y / UNITS) for x, y in stroke.points])
                    if stroke.closed
                    else None
                )
                found += 1
                assert ring is None or faces.covers(ring), (reference, room, stand)
    assert found > 100
    assert OUTSIDE > INSIDE
