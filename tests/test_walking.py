"""The walking order against the optimum: brute force over all orders, on lengths of our own.

The lengths are worked out here by NetworkX on a graph of sight lines, between other spots of the
rooms than the builder takes, so that nothing of the builder's own measuring is believed.
"""

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property

import networkx
import pytest
import yaml
from frozendict import frozendict
from hypothesis import given, settings
from hypothesis import strategies as some
from shapely import LineString, Point, Polygon
from shapely.ops import nearest_points, polylabel

from builder.guide.walk.shortest import EXACT, shortest_tour
from builder.guide.walk.walking import FloorWalk, Walk, Walking
from builder.home.survey import Survey
from builder.model.building import Door, Floor, Room, RoomKind
from builder.model.home import Home
from tests.demonstrations import PROJECT, demo_sheet, prepared_demo, things

MOST = 1.15
"""How much longer than the shortest way the walk may be, in the mean (the owner's measure)."""

Outline = list[tuple[float, float]]


def box(left: float, front: float, right: float, back: float) -> Outline:
    return [(left, front), (right, front), (right, back), (left, back)]


@cache
def kinds() -> Mapping[str, RoomKind]:
    standard = yaml.safe_load((PROJECT / "housetypes" / "standard.yaml").read_text("utf-8"))
    return {name: RoomKind(**kind) for name, kind in standard["room_kinds"].items()}


def plan(
    rooms: Mapping[str, tuple[str, str | None, Outline | None]],
    doors: Mapping[str, tuple[str, str, tuple[float, float] | None]],
    levels: Mapping[str, int],
) -> Survey:
    """A home with these rooms (kind, floor, outline) and doors (between, at), and nothing in it."""
    nothing = {
        name: frozendict()
        for name in ("equipment", "windows", "zones", "finishes", "positions", "waivers")
    }
    drawn: Home = (
        prepared_demo()
        .homes["mill-lane/01"]
        .traced.drawn.model_copy(
            update={
                **nothing,
                "ventilation": None,
                "heating": None,
                "garage": None,
                "room_kinds": kinds(),
                "floors": {name: Floor(name=name, level=level) for name, level in levels.items()},
                "rooms": {
                    name: Room(name=name, kind=kind, floor=floor, outline=outline)
                    for name, (kind, floor, outline) in rooms.items()
                },
                "doors": {
                    name: Door(name=name, between=(one, other), at=at)
                    for name, (one, other, at) in doors.items()
                },
            }
        )
    )
    return Survey(drawn)


OUTSIDE = ("outside", None, None)
CORRIDOR = plan(
    {
        "outside": OUTSIDE,
        "hall": ("hall", "ground", box(0, 4, 12, 5.2)),
        "study": ("study", "ground", box(0, 0, 4, 4)),
        "living": ("living", "ground", box(4, 0, 8, 4)),
        "dining": ("dining", "ground", box(8, 0, 12, 4)),
        "kitchen": ("kitchen", "ground", box(0, 5.2, 5, 9)),
        "utility": ("utility", "ground", box(5, 5.2, 8, 9)),
        "bedroom": ("bedroom", "ground", box(8, 5.2, 12, 9)),
    },
    {
        "front-door": ("hall", "outside", (0, 4.6)),
        "study-door": ("hall", "study", (1, 4)),
        "living-door": ("hall", "living", (6, 4)),
        "dining-door": ("hall", "dining", (11, 4)),
        "kitchen-door": ("hall", "kitchen", (2, 5.2)),
        "utility-door": ("hall", "utility", (6, 5.2)),
        "bedroom-door": ("hall", "bedroom", (11, 5.2)),
    },
    {"ground": 0},
)
RING = plan(
    {
        "outside": OUTSIDE,
        "hall": ("hall", "ground", box(4, 0, 6, 4)),
        "living": ("living", "ground", box(0, 0, 4, 5)),
        "dining": ("dining", "ground", box(0, 5, 4, 9)),
        "kitchen": ("kitchen", "ground", box(4, 4, 10, 9)),
        "utility": ("utility", "ground", box(6, 0, 10, 4)),
    },
    {
        "front-door": ("outside", "hall", (5, 0)),
        "living-door": ("hall", "living", (4, 2)),
        "dining-doors": ("living", "dining", (2, 5)),
        "kitchen-doors": ("dining", "kitchen", (4, 7)),
        "kitchen-door": ("hall", "kitchen", (5, 4)),
        "utility-door": ("kitchen", "utility", (8, 4)),
    },
    {"ground": 0},
)
BLOCK = plan(
    {
        "outside": OUTSIDE,
        "corridor": ("communal", None, None),
        "car-park": ("communal", None, None),
        "lobby": ("communal", None, None),
        "hall": ("hall", "ground", box(0, 0, 2, 4)),
    },
    {
        "front-door": ("corridor", "hall", (1, 0)),
        "corridor-door": ("lobby", "corridor", None),
        "main-door": ("outside", "lobby", None),
    },
    {"ground": 0},
)
CORNERED = plan(
    {
        "outside": OUTSIDE,
        "hall": ("hall", "ground", [(0, 0), (1.2, 0), (1.2, 6), (8, 6), (8, 7.2), (0, 7.2)]),
        "toilet": ("toilet", "ground", box(1.2, 0, 3, 2)),
        "living": ("living", "ground", box(3, 0, 8, 6)),
        "cupboard": ("cupboard", "ground", box(1.2, 2, 3, 6)),
        "bedroom": ("bedroom", "ground", box(0, 7.2, 4, 11)),
        "ensuite": ("shower-room", "ground", box(4, 9, 8, 11)),
        "bathroom": ("bathroom", "ground", box(4, 7.2, 8, 9)),
    },
    {
        "front-door": ("hall", "outside", (0.6, 0)),
        "toilet-door": ("hall", "toilet", (1.2, 1)),
        "cupboard-door": ("hall", "cupboard", (1.2, 4)),
        "living-door": ("hall", "living", (5, 6)),
        "bedroom-door": ("hall", "bedroom", (1, 7.2)),
        "ensuite-door": ("bedroom", "ensuite", (4, 10)),
        "bathroom-door": ("hall", "bathroom", (7, 7.2)),
    },
    {"ground": 0},
)
STACKED = plan(
    {
        "outside": OUTSIDE,
        "cellar-hall": ("landing", "below", box(0, 0, 2, 6)),
        "cellar": ("utility", "below", box(2, 0, 6, 6)),
        "hall": ("hall", "ground", box(0, 0, 2, 6)),
        "kitchen": ("kitchen", "ground", box(2, 0, 6, 6)),
        "landing": ("landing", "first", box(0, 0, 2, 6)),
        "bedroom": ("bedroom", "first", box(2, 0, 6, 6)),
        "top": ("bedroom", "second", box(0, 0, 6, 6)),
        "garage": ("garage", "ground", box(6, 0, 9, 6)),
        "shed": ("cupboard", "ground", box(10, 0, 12, 2)),
    },
    {
        "cellar-stairs": ("hall", "cellar-hall", None),
        "cellar-door": ("cellar-hall", "cellar", (2, 3)),
        "front-door": ("hall", "outside", (1, 0)),
        "kitchen-door": ("hall", "kitchen", (2, 3)),
        "stairs": ("hall", "landing", None),
        "bedroom-door": ("landing", "bedroom", (2, 3)),
        "upper-stairs": ("landing", "top", None),
        "garage-door": ("kitchen", "garage", (6, 3)),
        "shed-door": ("shed", "outside", (11, 0)),
    },
    {"second": 2, "first": 1, "ground": 0, "below": -1},
)
PLANS = {"corridor": CORRIDOR, "ring": RING, "cornered": CORNERED}


@dataclass(frozen=True)
class Walked:
    """One floor of a walk, with our own lengths of all its ways."""

    survey: Survey
    floor: FloorWalk
    lengths: Mapping[str, Mapping[str, float]]

    def length(self, order: tuple[str, ...]) -> float:
        spots = ["start", *order, "end"]
        return sum(self.lengths[one][two] for one, two in itertools.pairwise(spots))

    @cached_property
    def before(self) -> Mapping[str, frozenset[str]]:
        """For each room, those that every way to it from the first one goes through: its dominators, by
        networkx."""
        rooms, doors = self.survey.home.rooms, networkx.DiGraph()
        doors.add_node(self.floor.start.room)
        for one, other in (door.between for door in self.survey.home.doors.values()):
            if all(
                each != "outside" and rooms[each].floor == self.floor.floor for each in (one, other)
            ):
                doors.add_edges_from([(one, other), (other, one)])
        nearest = networkx.immediate_dominators(doors, self.floor.start.room)
        return {room: frozenset(chain(nearest, room)) for room in nearest}

    def passes_none_by(self, order: tuple[str, ...]) -> bool:
        """Whether each room comes after all those that one goes through on the way to it."""
        late = ((each, {*order[place:]}) for place, each in enumerate(order))
        return all(self.before.get(each, frozenset()).isdisjoint(rest) for each, rest in late)

    @property
    def ratio(self) -> float:
        """Against the shortest of all orders that pass no room by."""
        assert self.passes_none_by(self.floor.rooms)
        orders = filter(self.passes_none_by, itertools.permutations(self.floor.rooms))
        best = min(map(self.length, orders))
        # A walk that stands still, because its one stop is where it begins, is as short as any.
        return self.length(self.floor.rooms) / best if best else 1.0


def chain(nearest: Mapping[str, str | None], room: str) -> Iterator[str]:
    """The rooms that one goes through last, last but one, and so on, to the first."""
    while (before := nearest.get(room)) not in (None, room):
        yield (room := str(before))


def measured(survey: Survey, floor: FloorWalk) -> Walked:
    """Lengths between the pole of each room, by sight lines through doors and round corners."""
    graph = networkx.Graph()
    outlines = {
        name: Polygon(room.outline)
        for name, room in survey.home.rooms.items()
        if room.outline and room.floor == floor.floor
    }
    for name, outline in outlines.items():
        sight_lines(graph, name, outline, survey)
    for name, standing in (("start", floor.start), ("end", floor.end)):
        outline = outlines[standing.room]
        spot = onto(outline, standing.at) if standing.at else polylabel(outline, 0.05)
        seen_from(graph, name, spot, outline, standing.room)
    lengths = dict(networkx.all_pairs_dijkstra_path_length(graph))
    return Walked(survey, floor, lengths)


def sight_lines(graph: networkx.Graph, room: str, outline: Polygon, survey: Survey) -> None:
    """The pole of a room, its doors and its corners, joined wherever one sees the other."""
    spots = {room: polylabel(outline, 0.05)}
    for name, door in survey.home.doors.items():
        if room in door.between and door.at:
            spots[f"door {name}"] = onto(outline, door.at)
    for index, corner in enumerate(outline.exterior.coords[:-1]):
        spots[f"corner {room} {index}"] = Point(corner)
    graph.graph.setdefault("spots", {})[room] = spots
    for (one, here), (other, there) in itertools.combinations(spots.items(), 2):
        join(graph, outline, one, here, other, there)


def seen_from(graph: networkx.Graph, name: str, spot: Point, outline: Polygon, room: str) -> None:
    for other, there in graph.graph["spots"][room].items():
        join(graph, outline, name, spot, other, there)


def join(
    graph: networkx.Graph, outline: Polygon, one: str, here: Point, other: str, there: Point
) -> None:
    if here == there or outline.buffer(0.001).covers(LineString([here, there])):
        length = min(
            here.distance(there), graph.get_edge_data(one, other, {"weight": math.inf})["weight"]
        )
        graph.add_edge(one, other, weight=length)


def onto(outline: Polygon, at: tuple[float, float]) -> Point:
    return nearest_points(outline, Point(at))[0]


def walk_of(survey: Survey) -> Walk:
    rooms = frozenset(name for name in survey.home.rooms if name != "outside")
    return Walking(survey, rooms).walk()


@cache
def demo_floors() -> Mapping[str, Walked]:
    return dict(_demo_floors())


def _demo_floors() -> Iterator[tuple[str, Walked]]:
    """Each floor of each house type of the demo, with all that is shown on it."""
    seen = set()
    for plot, prepared in prepared_demo().homes.items():
        drawn = prepared.traced.drawn
        if drawn.plot.house_type not in seen:
            seen.add(drawn.plot.house_type)
            survey = Survey(drawn)
            wanted = frozenset(thing.room for _, thing in things(demo_sheet(plot)))
            for floor in Walking(survey, wanted).walk().floors:
                yield f"{drawn.plot.house_type}, {floor.floor}", measured(survey, floor)


@pytest.mark.parametrize("name", PLANS)
def test_the_way_through_a_plan_is_the_shortest(name: str) -> None:
    survey = PLANS[name]
    (floor,) = walk_of(survey).floors
    assert set(floor.rooms) == set(survey.home.rooms) - {"outside"}
    assert measured(survey, floor).ratio <= MOST


def test_the_way_through_the_demo_is_within_its_measure() -> None:
    floors = demo_floors()
    small = {name: each.ratio for name, each in floors.items() if len(each.floor.rooms) <= 8}
    mean = sum(small.values()) / len(small)
    for name, ratio in small.items():
        print(f"{name}: {ratio:.3f} of the shortest, {len(floors[name].floor.rooms)} stops")  # noqa: T201
    print(f"mean {mean:.3f} over {len(small)} floors")  # noqa: T201
    assert len(small) >= 10
    assert mean <= MOST
    assert max(small.values()) <= 1.1


def test_the_builder_s_own_length_is_what_we_measure() -> None:
    """Not the same spots, so not the same length: but within a few metres on every floor."""
    for name, walked in demo_floors().items():
        ours = walked.length(walked.floor.rooms)
        assert abs(ours - walked.floor.metres) <= 0.2 * ours + 2, name


def test_the_room_that_leads_to_others_is_shown_on_the_way_in() -> None:
    (ring,) = walk_of(RING).floors
    assert ring.rooms[0] == "hall"
    assert ring.rooms.index("kitchen") < ring.rooms.index("utility")
    (cornered,) = walk_of(CORNERED).floors
    assert cornered.rooms.index("bedroom") + 1 == cornered.rooms.index("ensuite")


def test_rooms_that_adjoin_follow_each_other() -> None:
    """Round the ring, never across: each room opens into the next."""
    (ring,) = walk_of(RING).floors
    doors = {frozenset(door.between) for door in RING.home.doors.values()}
    steps = [frozenset(step) for step in itertools.pairwise(ring.rooms)]
    assert sum(step in doors for step in steps) >= len(steps) - 1, ring.rooms


def test_floor_by_floor_up_down_and_out() -> None:
    walk = walk_of(STACKED)
    assert [floor.floor for floor in walk.floors] == ["ground", "first", "second", "below"]
    assert [floor.rooms for floor in walk.floors] == [
        ("hall", "kitchen"),
        ("landing", "bedroom"),
        ("top",),
        ("cellar-hall", "cellar"),
    ]
    assert walk.afterwards == ("garage", "shed"), "a garage waits, and so does what opens outwards"
    assert walk.entrance == "front-door"
    ground = walk.floors[0]
    assert (ground.start.room, ground.start.at) == ("hall", (1, 0))
    assert (ground.end.room, ground.end.at) == ("hall", None), "on to the stairs"


def test_one_floor_ends_at_the_front_door_again() -> None:
    (floor,) = walk_of(CORRIDOR).floors
    assert floor.start == floor.end
    assert floor.start.at == (0, 4.6)


def test_the_front_door_is_found_by_what_it_is() -> None:
    """Not by its id alone: the door of a hall before that of a kitchen, the flat's before the street's."""
    doors = dict(RING.home.doors)
    doors["entrance"] = doors.pop("front-door")
    doors["aaa-garden-door"] = Door(name="Garden door", between=("kitchen", "outside"), at=(8, 9))
    survey = Survey(RING.home.model_copy(update={"doors": doors}))
    assert Walking(survey, ()).entrance == "entrance"
    assert demo_sheet("harbour-view/05").end == "Entrance door of the flat"


def test_rooms_without_outlines_or_doors_are_walked_to_all_the_same() -> None:
    rooms = {
        name: room.model_copy(update={"outline": None}) for name, room in STACKED.home.rooms.items()
    }
    doors = {name: door for name, door in STACKED.home.doors.items() if name == "front-door"}
    survey = Survey(STACKED.home.model_copy(update={"rooms": rooms, "doors": doors}))
    walk = walk_of(survey)
    met = [room for floor in walk.floors for room in floor.rooms] + [*walk.afterwards]
    assert sorted(met) == sorted(set(rooms) - {"outside"})


def test_both_hands_are_walked_in_one_order() -> None:
    orders: dict[str, set[tuple[str, ...]]] = {}
    hands: dict[str, set[str]] = {}
    for plot, prepared in prepared_demo().homes.items():
        home = prepared.traced.home
        order = tuple(stop.id for stop in demo_sheet(plot).stops)
        key = f"{home.plot.house_type} {sorted(order)}"
        orders.setdefault(key, set()).add(order)
        hands.setdefault(key, set()).add(home.plot.hand)
    assert all(len(each) == 1 for each in orders.values()), orders
    assert sum(len(each) == 2 for each in hands.values()) >= 5


lengths = some.integers(0, 5000)


@given(some.data())
def test_the_best_order_of_few_places_is_found(data: some.DataObject) -> None:
    """Against every order, for any lengths, also such as no plan has; nothing comes too early."""
    size = data.draw(some.integers(1, 6))
    row = some.lists(lengths, min_size=size, max_size=size)
    start, end = data.draw(row), data.draw(row)
    between = data.draw(some.lists(row, min_size=size, max_size=size))
    before = [
        data.draw(some.sets(some.integers(0, place - 1), max_size=2)) if place else set()
        for place in range(size)
    ]
    allowed = [
        order
        for order in itertools.permutations(range(size))
        if all(order.index(other) < order.index(each) for each in order for other in before[each])
    ]
    best = min(length_of(order, start, between, end) for order in allowed)
    tour = shortest_tour(start, between, end, before)
    assert tour.order in allowed
    assert tour.length == best == length_of(tour.order, start, between, end)


def length_of(
    order: tuple[int, ...], start: list[int], between: list[list[int]], end: list[int]
) -> int:
    steps = sum(between[one][two] for one, two in itertools.pairwise(order))
    return start[order[0]] + steps + end[order[-1]]


@settings(max_examples=12)
@given(some.data())
def test_a_good_order_of_many_places_is_found(data: some.DataObject) -> None:
    """More than are weighed one by one: places on a plane, never longer than always-the-nearest."""
    size = data.draw(some.integers(EXACT + 1, EXACT + 3))
    chance = data.draw(some.randoms(use_true_random=False))
    spots = [(chance.randint(0, 20_000), chance.randint(0, 20_000)) for _ in range(size)]
    between = [[round(math.dist(one, two)) for two in spots] for one in spots]
    start = [round(math.dist((0, 0), each)) for each in spots]
    before: list[set[int]] = [set(), {0}, {0, 1}, *(set() for _ in spots[3:])]
    tour = shortest_tour(start, between, start, before)
    assert sorted(tour.order) == list(range(size))
    assert tour.order.index(0) < tour.order.index(1) < tour.order.index(2)
    assert tour.length == length_of(tour.order, start, between, start)
    assert tour.length <= nearest_first(start, between, before)


def nearest_first(start: list[int], between: list[list[int]], before: list[set[int]]) -> int:
    order: list[int] = []
    while len(order) < len(start):
        open_now = [
            place
            for place in range(len(start))
            if place not in order and before[place] <= set(order)
        ]
        order.append(
            min(open_now, key=lambda place: between[order[-1]][place] if order else start[place])
        )
    return length_of(tuple(order), start, between, start)


def test_what_is_shared_is_walked_from_the_street_to_the_front_door() -> None:
    """A car park that no door joins to the rest is entered from the street."""
    walk = Walking(BLOCK, frozenset(BLOCK.home.rooms)).walk()
    assert walk.approach == ("car-park", "lobby", "corridor")
