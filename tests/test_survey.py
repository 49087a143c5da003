"""Homes measured: areas and walls against hand-computed figures, ways against networkx.

The plans of the last part are drawn at random: see ``tests/floor_plans.py``.
"""

import math
from itertools import pairwise, product

import networkx
import pytest
from frozendict import frozendict
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon

from builder.home.survey import Survey, along, gaps, straight
from builder.home.ways import Ways, WayStop, shortest
from builder.model.building import Door, Room
from tests.floor_plans import Plan, Spot, by_networkx, corners_of, plans, walls_between
from tests.rule_cases import sound


def house() -> Survey:
    """The house of the rule cases, as drawn."""
    return Survey(sound("house").drawn)


def with_rooms(**rooms: Room | None) -> Survey:
    """The house with other rooms."""
    home = sound("house").drawn
    changed = {**home.rooms, **{name.replace("_", "-"): room for name, room in rooms.items()}}
    kept = {name: room for name, room in changed.items() if room is not None}
    return Survey(home.model_copy(update={"rooms": frozendict(kept)}))


def shoelace(corners: tuple[Spot, ...]) -> float:
    """The area of a polygon by Gauss's formula, written out here and nowhere in the builder."""
    sides = pairwise((*corners, corners[0]))
    return abs(sum(x * next_y - next_x * y for (x, y), (next_x, next_y) in sides)) / 2


# Areas


def test_the_area_of_an_l_shaped_bathroom() -> None:
    # Corners (0,6) (3,6) (3,7) (5,7) (5,9) (0,9); x·y' - x'·y side by side:
    # -18 + 3 - 14 + 10 + 45 + 0 = 26, and half of it is 13. Or: 5 by 3 less 2 by 1.
    assert house().outlines["bathroom"].area == 13


def test_the_area_of_a_room_with_slantedwalls_between() -> None:
    # Corners (0,0) (4,1) (5,5) (1,4): 0 + 15 + 15 + 0 = 30, and half of it is 15.
    room = Room(name="Tower", kind="study", floor="first", outline=((0, 0), (4, 1), (5, 5), (1, 4)))
    assert with_rooms(tower=room).outlines["tower"].area == 15


@pytest.mark.parametrize("name", ["house", "flat"])
def test_every_area_is_that_of_gauss_and_of_shapely(name: str) -> None:
    survey = Survey(sound(name).drawn)
    drawn = {name: room.outline for name, room in survey.home.rooms.items() if room.outline}
    assert survey.outlines.keys() == drawn.keys() != set()
    for room, outline in drawn.items():
        assert survey.outlines[room].area == pytest.approx(shoelace(outline))
        assert survey.outlines[room].area == pytest.approx(Polygon(outline).area)


def test_the_floor_area_leaves_out_the_garage_and_the_loft() -> None:
    # Ground: hall 2·6, living room 4·6, kitchen 4·3, utility room 2·3, toilet 3·3 = 63.
    # First: landing 2·7, bedrooms 4·6, 3·6 and 4·3, bathroom 13 = 81. The garage has 18 more.
    assert house().floor_area == 63 + 81


def test_a_garage_of_another_kind_is_no_floor_area_either() -> None:
    garage = house().home.rooms["garage"].model_copy(update={"kind": "study"})
    assert with_rooms(garage=garage).floor_area == 63 + 81


# Rooms


def test_people_come_from_outside_and_from_shared_places_but_not_from_a_balcony() -> None:
    balcony = Room(name="Balcony", kind="balcony", floor="first")
    assert with_rooms(balcony=balcony).arrivals == ("outside",)
    assert Survey(sound("flat").drawn).arrivals == ("outside", "corridor")


def test_a_loft_is_told_from_a_garage_and_from_outside() -> None:
    assert [name for name in house().home.rooms if house().is_loft(name)] == ["loft"]


def test_rooms_of_one_floor() -> None:
    assert house().on_one_floor("hall", "kitchen")
    assert house().on_one_floor("hall", "outside")
    assert not house().on_one_floor("hall", "outside", "landing")


# Walls


@pytest.mark.parametrize(
    ("one", "other", "length"),
    [
        ("hall", "living", 6.0),
        ("hall", "kitchen", 2.0),
        ("kitchen", "utility", 3.0),
        ("landing", "bathroom", 3.0),  # round its corner: 1 along x = 3, then 2 along y = 7
        ("kitchen", "garage", 0.0),  # they meet at the corner (3, 6)
        ("living", "toilet", 0.0),
    ],
)
def test_the_wall_that_two_rooms_share(one: str, other: str, length: float) -> None:
    for first, second in ((one, other), (other, one)):
        wall = house().shared_wall(first, second)
        assert wall is not None
        assert wall.length == pytest.approx(length, abs=0.01)


def test_two_rooms_share_a_slanted_wall_although_a_corner_is_rounded() -> None:
    # The wall runs from (20, 0) to (23, 1). A third of the way, to the millimetre: (21, 0.333).
    # Its length is √(1² + 0.333²) = 1.054.
    left = Room(name="Bay", kind="study", floor="ground", outline=((20, 0), (23, 1), (20, 4)))
    right = Room(
        name="Store", kind="cupboard", floor="ground", outline=((20, 0), (21, 0), (21, 0.333))
    )
    wall = with_rooms(bay=left, store=right).shared_wall("bay", "store")
    assert wall is not None
    assert wall.length == pytest.approx(1.054, abs=0.01)


@pytest.mark.parametrize(
    ("room", "length"),
    [
        ("hall", 2.0),  # the front, between the garage and the living room
        ("living", 4.0 + 6.0),  # the front and the side
        ("kitchen", 4.0),  # the back
        ("garage", 3.0 + 6.0),
        ("landing", 2.0),
        ("bathroom", 5.0 + 3.0),  # the back and the side; behind it bedroom 3 is beside x = 5
    ],
)
def test_the_outside_wall_of_a_room(room: str, length: float) -> None:
    assert house().outside_wall(room).length == pytest.approx(length, abs=0.02)


def test_a_balcony_takes_nothing_from_the_outside_wall() -> None:
    outline = ((3.0, -1.0), (5.0, -1.0), (5.0, 0.0), (3.0, 0.0))
    balcony = Room(name="Balcony", kind="balcony", floor="first", outline=outline)
    assert with_rooms(balcony=balcony).outside_wall("landing").length == pytest.approx(2, abs=0.02)


def test_a_wall_is_as_long_as_it_runs_straight_wherever_its_outline_begins() -> None:
    ring = Polygon([(2, 0), (4, 0), (4, 3), (4, 5), (0, 5), (0, 0)]).boundary
    assert sorted(piece.length for piece in straight(ring)) == [4, 4, 5, 5]
    assert along(ring, (1, 0.1)) == 4
    assert along(ring, (4.15, 1)) == 5
    assert along(ring, (4.16, 1)) == 0
    assert along(ring, (2, 2)) == 0


def test_the_nearer_of_two_walls_counts_beside_a_corner() -> None:
    corner = LineString([(0, 0), (1, 0), (1, 5)])
    assert along(corner, (0.9, 0.02)) == 1
    assert along(corner, (0.98, 0.1)) == 5
    assert along(corner, (0.9, 0.1)) == 5


def test_the_wall_of_a_door() -> None:
    def wall(*between: str, survey: Survey) -> float | None:
        found = survey.wall_of(Door(name="Door", between=(between[0], between[1])))
        return None if found is None else round(found.length, 1)

    undrawn = Room(name="Utility room", kind="utility", floor="ground")
    assert wall("hall", "living", survey=house()) == 6
    assert wall("outside", "kitchen", survey=house()) == 4
    assert wall("hall", "landing", survey=house()) is None
    assert wall("loft", "outside", survey=house()) is None
    # Where the room beyond is inside and not drawn, any wall may be theirs: 4 + 3 + 4 + 3.
    assert wall("utility", "kitchen", survey=with_rooms(utility=undrawn)) == 14


def test_a_hole_and_a_gap_between_rooms() -> None:
    # Four rooms round a square of 1 m², and a fifth 0.2 m from the last along 2 m: 0.4 m².
    outlines = {
        "a": Polygon([(0, 0), (2, 0), (2, 1), (0, 1)]),
        "b": Polygon([(2, 0), (3, 0), (3, 2), (2, 2)]),
        "c": Polygon([(1, 2), (3, 2), (3, 3), (1, 3)]),
        "d": Polygon([(0, 1), (1, 1), (1, 3), (0, 3)]),
        "e": Polygon([(3.2, 0), (5, 0), (5, 2), (3.2, 2)]),
        "f": Polygon([(0, 3.31), (3, 3.31), (3, 5), (0, 5)]),
    }
    found = sorted((round(gap.area, 6), gap.rooms) for gap in gaps(outlines))
    assert found == [(0.4, ("b", "e")), (1.0, ("a", "b", "c", "d"))]


# Ways, by hand

ELL = Polygon([(0, 0), (4, 0), (4, 1), (1, 1), (1, 4), (0, 4)])
"""A hall round the corner (1, 1)."""
BOX = Polygon([(4, 0), (8, 0), (8, 3), (4, 3)])
"""A room at the end of the hall."""


def ways(**doors: Spot | None) -> Ways:
    stops = {name: WayStop(("hall", "room"), at) for name, at in doors.items()}
    return Ways({"hall": ELL, "room": BOX}, stops)


def test_a_way_that_is_straight() -> None:
    # Legs 3 and 4.
    assert ways().distance(("room", (4, 0)), ("room", (7, 3))) == pytest.approx(math.sqrt(18))
    assert ways().distance(("hall", (0, 0)), ("hall", (0, 4))) == 4


def test_a_way_round_the_corner_of_a_hall() -> None:
    # To the corner (1, 1) legs of 2.5 and 0.5, and from it legs of 0.5 and 2.5:
    # 2 · √(2.5² + 0.5²) = 2 · √6.5 = 5.0990.
    found = ways().distance(("hall", (3.5, 0.5)), ("hall", (0.5, 3.5)))
    assert found == pytest.approx(5.0990, abs=0.00005)


def test_a_way_round_a_corner_and_through_a_door() -> None:
    # From (0.5, 4) to the corner legs of 0.5 and 3: √9.25 = 3.0414. From it to the door at
    # (4, 0.5) legs of 3 and 0.5: 3.0414. From the door to (7, 2.5) legs of 3 and 2: √13 = 3.6056.
    found = ways(door=(4, 0.5)).distance(("hall", (0.5, 4)), ("room", (7, 2.5)))
    assert found == pytest.approx(3.0414 + 3.0414 + 3.6056, abs=0.0002)


def test_the_shorter_of_two_doors_is_taken() -> None:
    # Both are in the wall x = 4: through (4, 0.9) 1.9 + 0.4 of detour, through (4, 0.5) straight.
    two = ways(far=(4, 0.9), near=(4, 0.5))
    assert two.distance(("hall", (2, 0.5)), ("room", (6, 0.5))) == 4


def test_the_way_to_a_door_is_from_either_side() -> None:
    door = ways(door=(4, 0.5))
    assert door.to_door(("hall", (2, 0.5)), "door") == 2
    assert door.to_door(("room", (7, 3)), "door") == pytest.approx(math.sqrt(9 + 6.25))


def test_a_door_drawn_off_its_wall_counts_as_in_it() -> None:
    assert ways(door=(4.1, 0.5)).distance(("hall", (2, 0.5)), ("hall", (4, 0.5))) == 2
    assert ways(door=(4.1, 0.5)).to_door(("room", (6, 0.5)), "door") == pytest.approx(1.9)


def test_the_farthest_corner_of_a_room() -> None:
    # From the door (4, 0.5): to (8, 3) legs of 4 and 2.5, √22.25 = 4.7170. In the hall to (0, 4):
    # to the corner √(3² + 0.5²) = 3.0414, from it legs of 1 and 3, 3.1623.
    assert ways(door=(4, 0.5)).farthest(("room", (4, 0.5)), "room") == pytest.approx(4.7170, abs=5e-5)  # fmt: skip
    assert ways(door=(4, 0.5)).farthest(("room", (4, 0.5)), "hall") == pytest.approx(6.2037, abs=5e-5)  # fmt: skip


def test_no_way_without_a_door_and_none_that_stairs_can_measure() -> None:
    assert ways().distance(("hall", (0.5, 0.5)), ("room", (5, 1))) == math.inf
    assert ways(stairs=None).distance(("hall", (0.5, 0.5)), ("room", (5, 1))) == math.inf
    assert ways(stairs=None).to_door(("hall", (0.5, 0.5)), "stairs") == math.inf
    assert ways(door=(4, 0.5)).distance(("hall", (0.5, 0.5)), ("attic", (5, 1))) == math.inf


def test_rooms_are_reached_through_doors_and_stairs_and_not_past_what_is_shut() -> None:
    found = house().ways
    everything = set(house().home.rooms) - {"loft"}
    assert found.reached("outside") == everything
    assert found.reached("loft") == {"loft"}
    upstairs = {"landing", "bedroom-1", "bedroom-2", "bedroom-3", "bathroom"}
    assert found.reached("bedroom-1", shut=frozenset({"hall"})) == upstairs | {"hall"}
    assert found.reached("bedroom-1", shut=frozenset({"landing"})) == {"bedroom-1", "landing"}
    assert found.reached("bedroom-1", shut=frozenset({"bedroom-1"})) == {"bedroom-1"}


# Ways, on plans drawn at random


@settings(max_examples=100, derandomize=True, deadline=None)
@given(plans())
def test_ways_are_as_long_as_networkx_finds_them(plan: Plan) -> None:
    found = plan.ways.distance(plan.start, plan.end)
    assert found == pytest.approx(by_networkx(plan), abs=1e-6)


@settings(max_examples=100, derandomize=True, deadline=None)
@given(plans())
def test_a_way_is_as_long_there_as_back_and_never_shorter_than_the_crow_flies(plan: Plan) -> None:
    there = plan.ways.distance(plan.start, plan.end)
    assert there == pytest.approx(plan.ways.distance(plan.end, plan.start), abs=1e-9)
    assert there >= math.dist(plan.start[1], plan.end[1]) - 1e-9
    assert (there < math.inf) == (plan.end[0] in plan.ways.reached(plan.start[0]))


@settings(max_examples=40, derandomize=True, deadline=None)
@given(plans())
def test_walls_of_random_rooms_are_as_long_as_their_cells_say(plan: Plan) -> None:
    outlines = {name: tuple(corners_of(cells)) for name, cells in plan.rooms.items()}
    survey = with_rooms(
        **{
            name: Room(name=name, kind="study", floor="ground", outline=outline)
            for name, outline in outlines.items()
        }
    )
    for one, other in product(plan.rooms, plan.rooms):
        wall = survey.shared_wall(one, other)
        assert wall is not None
        if one < other:
            length = len(list(walls_between(plan.rooms[one], plan.rooms[other])))
            assert wall.length == pytest.approx(length, abs=0.02)


def test_the_random_plans_are_worth_the_trouble() -> None:
    """Some ways bend at a corner, some go through several doors, and some do not exist."""
    seen = {"bent": 0, "through doors": 0, "none": 0, "inner corners": 0}

    @settings(max_examples=100, derandomize=True, deadline=None, database=None)
    @given(plans())
    def look(plan: Plan) -> None:
        way = by_networkx(plan)
        seen["none"] += way == math.inf
        seen["through doors"] += way < math.inf and plan.start[0] != plan.end[0]
        seen["bent"] += math.inf > way > math.dist(plan.start[1], plan.end[1]) + 0.01
        seen["inner corners"] += any(Polygon(corners_of(cells)).convex_hull.area > len(cells) for cells in plan.rooms.values())  # fmt: skip

    look()
    assert all(count >= 10 for count in seen.values()), seen


@settings(max_examples=100, derandomize=True, deadline=None)
@given(st.dictionaries(
    st.tuples(st.integers(0, 7), st.integers(0, 7)), st.integers(1, 50), min_size=1, max_size=30,
))  # fmt: skip
def test_shortest_is_what_networkx_calls_shortest(edges: dict[tuple[int, int], int]) -> None:
    graph = networkx.DiGraph()
    graph.add_node("0")
    plain: dict[str, dict[str, float]] = {}
    for (one, other), length in edges.items():
        graph.add_edge(str(one), str(other), weight=length)
        plain.setdefault(str(one), {})[str(other)] = length
    assert shortest(plain, "0") == networkx.single_source_dijkstra_path_length(graph, "0")
