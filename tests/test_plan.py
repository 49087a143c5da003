"""The locator plan: what stands where, in both hands, and how it is drawn."""

import math
import re
from itertools import combinations
from pathlib import Path

import pytest
from lxml import etree
from shapely import Point, Polygon

from builder.guide.pieces import pieces_of
from builder.guide.plan.boxes import Box, around, nearest_free
from builder.guide.plan.drawing import EDGE, UNITS, FloorPlan, Leaf
from builder.guide.plan.marks import TONES, looks_of, marks_of
from builder.guide.plan.pins import PIN
from builder.guide.plan.plans import LEGIBLE, PHONE, SHOWN_HIGH, Plans
from builder.guide.plan.svg import SHAPES, full_svg, highlight_svg
from builder.home.assemble import TracedHome
from builder.home.hand import turned
from builder.model.equipment import System
from builder.model.home import Home
from tests.conftest import PROJECT
from tests.plan_homes import homes_of_the_demo
from tests.rule_cases import home_with, sound

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def demo_homes() -> dict[str, TracedHome]:
    return homes_of_the_demo()


def plans_of(traced: TracedHome) -> Plans:
    return Plans(traced.home, pieces_of(traced.home))


def opposite(changes: dict[str, object]) -> Plans:
    return plans_of(home_with({"plot": {"hand": "opposite"}, **changes}))


def leaf(door: dict[str, object], *, hand: str = "as-drawn") -> Leaf:
    """The leaf of the sound house's living room door, whose wall is x = 5 and middle (5, 3)."""
    home = home_with({"plot": {"hand": hand}, "doors": {"living-door": door}})
    base = plans_of(home).bases["ground"]
    x = 5 if hand == "as-drawn" else 4
    return next(
        each for each in base.leaves if math.dist(each.jamb, (x * UNITS, -3 * UNITS)) < UNITS / 2
    )


@pytest.mark.parametrize(
    ("opens_into", "hinge", "hinge_y", "tip_x"),
    [
        # The wall runs up the page at x = 5 m; the living room lies to the right of it, the hall
        # to the left. The door is 0.8 m wide, so its jambs are at y = 2.6 and y = 3.4. Who stands
        # in the living room and faces the door looks to the left of the page: the left hand is
        # nearer to the front (y = 2.6). From the hall it is the other way round.
        ("living", "left", 2.6, 5.8),
        ("living", "right", 3.4, 5.8),
        ("hall", "left", 3.4, 4.2),
        ("hall", "right", 2.6, 4.2),
    ],
)
def test_a_door_swings_from_its_hinge_into_its_room(
    opens_into: str, hinge: str, hinge_y: float, tip_x: float
) -> None:
    drawn = leaf({"opens_into": opens_into, "hinge": hinge, "width": 0.8})
    other_y = 6.0 - hinge_y
    assert drawn.hinge == (5 * UNITS, -round(hinge_y * UNITS))
    assert drawn.tip == (round(tip_x * UNITS), -round(hinge_y * UNITS))
    assert drawn.jamb == (5 * UNITS, -round(other_y * UNITS))
    # Down the page is clockwise from right to left: worked out from the three points by hand.
    right_to_down = (tip_x > 5) == (hinge_y > other_y)
    assert drawn.clockwise is right_to_down


def test_the_opposite_hand_is_the_mirror_image_and_its_text_is_the_same() -> None:
    """The sound house is 9 m wide and begins at 0: x becomes 9 - x."""
    drawn, mirrored = plans_of(sound("house")), opposite({})
    for floor in ("ground", "first"):
        one, other = drawn.bases[floor], mirrored.bases[floor]
        assert {_turned(each) for each in one.leaves} == {_plain(each) for each in other.leaves}
        walls, facing = _polygon(one.walls), _polygon(other.walls)
        assert walls.area == pytest.approx(facing.area, rel=1e-3)
        names = drawn.full(floor).names, mirrored.full(floor).names
        assert [" ".join(each.lines) for each in names[0]] == [
            " ".join(each.lines) for each in names[1]
        ]
    assert drawn.marks == mirrored.marks


def _turned(leaf: Leaf) -> tuple[object, ...]:
    flip = [(9 * UNITS - x, y) for x, y in (leaf.hinge, leaf.tip, leaf.jamb)]
    return (*flip, not leaf.clockwise)


def _plain(leaf: Leaf) -> tuple[object, ...]:
    return (leaf.hinge, leaf.tip, leaf.jamb, leaf.clockwise)


def _polygon(rings: tuple[tuple[tuple[int, int], ...], ...]) -> Polygon:
    """The area of walls by the even-odd rule: the largest ring less the rest, as far as areas go."""
    shapes = sorted((Polygon(ring) for ring in rings), key=lambda each: -each.area)
    whole = shapes[0]
    for each in shapes[1:]:
        whole = whole.symmetric_difference(each)
    return whole


def test_walls_stand_round_every_room_and_are_open_at_doors_and_windows() -> None:
    base = plans_of(sound("house")).bases["ground"]
    walls = _polygon(base.walls)
    for x, y in ((9, 2), (5, 1), (0, 3), (3.5, 9), (3, 8.5)):  # in walls that have no opening there
        assert walls.buffer(1).contains(_point(x, y)), (x, y)
    for x, y in ((4, 0), (5, 3), (7, 0), (1.5, 0), (5, 9)):  # a door, a door, a window, …
        assert not walls.intersects(_point(x, y)), (x, y)
    # Outside walls are 0.24 m thick about their middle line, walls between rooms 0.1 m.
    assert walls.contains(_point(9.11, 2))
    assert not walls.contains(_point(9.13, 2))
    assert walls.contains(_point(5.04, 1))
    assert not walls.contains(_point(5.06, 1))


def _point(x: float, y: float) -> Polygon:
    return Polygon(
        [(x * UNITS + a, -y * UNITS + b) for a, b in ((-0.2, -0.2), (0.2, -0.2), (0, 0.2))]
    )


def labels(plan: FloorPlan) -> list[Box]:
    return [each.box for each in plan.pins] + [each.box for each in plan.names]


def assert_nothing_overlaps(plan: FloorPlan) -> None:
    """Said again here without the code that places: two boxes share an area or they do not."""
    for one, other in combinations(labels(plan), 2):
        across = min(one.right, other.right) - max(one.left, other.left)
        down = min(one.bottom, other.bottom) - max(one.top, other.top)
        assert across <= 1e-6 or down <= 1e-6, (plan.base.title, one, other)


class DrawnHome:
    """A home, its plans and each floor with all of its marks."""

    def __init__(self, home: Home) -> None:
        self.home = home
        self.plans = Plans(home, pieces_of(home))
        self.floors = {floor: self.plans.full(floor) for floor in self.plans.bases}


@pytest.fixture(scope="module")
def demo_plans(demo_homes: dict[str, TracedHome]) -> dict[tuple[str, str], DrawnHome]:
    """Every home of the demo in both hands, with all of its full plans."""
    return {
        (reference, hand): DrawnHome(in_hand(traced, hand))
        for reference, traced in demo_homes.items()
        for hand in ("as-drawn", "opposite")
    }


def in_hand(traced: TracedHome, hand: str) -> Home:
    home = traced.drawn
    plot = home.plot.model_copy(update={"hand": hand})
    return turned(home.model_copy(update={"plot": plot}))


def test_no_label_of_the_demo_overlaps_in_either_hand(
    demo_plans: dict[tuple[str, str], DrawnHome],
) -> None:
    floors = [plan for drawn in demo_plans.values() for plan in drawn.floors.values()]
    assert len(floors) >= 2 * 24
    for plan in floors:
        assert_nothing_overlaps(plan)


def test_every_piece_of_the_demo_is_in_one_table_and_every_pin_on_one_plan(
    demo_plans: dict[tuple[str, str], DrawnHome],
) -> None:
    for drawn in demo_plans.values():
        plans = drawn.plans
        listed = [piece.id for floor in plans.bases for piece in plans.listed(floor)]
        assert sorted(listed) == sorted(drawn.home.equipment)
        pins = [pin for plan in drawn.floors.values() for pin in plan.pins]
        marks = [pin.mark.text for pin in pins]
        assert len(set(marks)) == len(marks)
        placed = [name for name, piece in drawn.home.equipment.items() if piece.at is not None]
        assert sorted(pin.piece for pin in pins) == sorted(placed)
        assert {pin.piece: pin.mark for pin in pins} == plans.marks


def test_pins_mostly_stand_in_their_own_room(
    demo_plans: dict[tuple[str, str], DrawnHome],
) -> None:
    """Crowded cupboards send some of their pins out; nine of ten stay where their piece is."""
    inside = total = 0
    for drawn in demo_plans.values():
        for plan in drawn.floors.values():
            rooms = {area.room: Polygon(area.corners) for area in plan.base.areas}
            for pin in plan.pins:
                room = drawn.home.equipment[pin.piece].room
                if room in rooms:
                    total += 1
                    inside += rooms[room].covers(Point(pin.x, pin.y))
    assert total > 1000
    assert inside / total >= 0.9


def test_the_drawing_is_sound_xml_with_title_description_and_whole_numbers(
    demo_homes: dict[str, TracedHome],
) -> None:
    plans = plans_of(demo_homes["mill-lane/04"])
    for floor in plans.bases:
        plan = plans.full(floor)
        root = etree.fromstring(_namespaced(full_svg(plan, "one")))
        title, describes = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
        assert title is not None
        assert describes is not None
        assert root.get("aria-labelledby") == "one-title one-desc"
        marks = [
            text.text
            for text in root.iter(f"{SVG}text")
            if "pin" in (text.getparent().get("class") or "")
        ]
        assert marks == [pin.mark.text for pin in plan.pins]
        numbers = re.findall(r"-?\d+(?:\.\d+)?", " ".join(root.xpath("//@d")))
        assert numbers
        assert all(abs(float(each)) < 5000 for each in numbers)


def test_names_of_authors_are_text_and_never_markup() -> None:
    home = home_with({"rooms": {"living": {"name": "Tom & Ann's <3 room"}}})
    root = etree.fromstring(_namespaced(full_svg(plans_of(home).full("ground"), "one")))
    assert "Tom & Ann's <3 room" in " ".join("".join(root.itertext()).split())


def _namespaced(svg: str) -> str:
    return str(svg).replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)


def test_a_highlight_shades_the_room_and_rings_the_spot() -> None:
    plans = plans_of(sound("house"))
    stopcock = next(each for each in plans.pieces if each.id == "stopcock")
    (highlight,) = plans.highlights((stopcock,))
    assert highlight.rooms == ("kitchen",)
    assert highlight.spots == ((480, -704),)  # (6, 8.8) metres
    assert highlight.says == (
        "Plan of the ground floor: Kitchen, ground floor: under the sink. "
        "Seen from above; the front of the home is at the bottom."
    )
    root = etree.fromstring(_namespaced(highlight_svg(highlight)))
    assert [each.get("class") for each in root.iter(f"{SVG}circle")] == ["ring", "spot"]


def test_one_highlight_for_each_floor_of_what_an_article_is_about() -> None:
    plans = plans_of(sound("house"))
    alarms = [each for each in plans.pieces if each.kind == "smoke-alarm"]
    assert [each.base.floor for each in plans.highlights(alarms)] == ["ground", "first"]


def test_names_on_a_highlight_are_legible_on_the_narrowest_phone(
    demo_homes: dict[str, TracedHome],
) -> None:
    for traced in demo_homes.values():
        plans = plans_of(traced)
        for floor, base in plans.bases.items():
            for name in plans._legible[floor]:
                shown = min(
                    PHONE / (base.box.width + 2 * EDGE), SHOWN_HIGH / (base.box.height + 2 * EDGE)
                )
                assert name.size * shown >= LEGIBLE - 0.01


def test_bytes_of_the_drawings(demo_plans: dict[tuple[str, str], DrawnHome]) -> None:
    """A full floor stays under 16 kB and a highlight under 4.5 kB, before any compression."""
    for (reference, _), drawn in demo_plans.items():
        for plan in drawn.floors.values():
            assert len(full_svg(plan, "plan-1")) < 16_000, reference
        for piece in drawn.plans.pieces:
            for highlight in drawn.plans.highlights((piece,)):
                assert len(highlight_svg(highlight)) < 4_500, piece.id


@pytest.mark.parametrize(("faces", "north"), [(180, 0), (0, 180), (90, 90), (270, 270)])
def test_the_north_mark_follows_the_bearing_of_the_front(faces: int, north: int) -> None:
    """The front is at the bottom. A front that faces south has north at the top; one that faces
    east has north to the right, a quarter turn clockwise."""
    for hand in ("as-drawn", "opposite"):
        plans = plans_of(home_with({"plot": {"front_faces": faces, "hand": hand}}))
        plan = plans.full("ground")
        assert plan.north == str(north)
        assert f"rotate({north})" in full_svg(plan, "one")


def test_no_north_mark_where_no_bearing_is_given() -> None:
    plan = plans_of(sound("house")).full("ground")
    assert plan.north is None
    assert "north" not in full_svg(plan, "one")


def test_the_scale_bar_is_two_metres_of_the_drawing() -> None:
    text = full_svg(plans_of(sound("house")).full("ground"), "one")
    assert f"h{2 * UNITS}" in text
    assert ">2 m<" in text


def test_a_home_without_outlines_has_no_plan() -> None:
    rooms = {
        name: {"outline": None}
        for name in sound("house").home.rooms
        if name not in ("outside", "loft")
    }
    plans = plans_of(home_with({"rooms": rooms}))
    assert dict(plans.bases) == {}
    assert plans.highlights(plans.pieces) == ()


def test_systems_keep_their_letters_and_others_get_free_ones() -> None:
    def system(name: str, **look: str) -> System:
        return System.model_validate({"name": name, "summary": "x", **look})

    looks = looks_of(
        {
            "water": system("Water", letter="W", shape="drop"),
            "waste": system("Waste"),
            "warden": system("WA"),
            "zone": system("Æ"),
        }
    )
    assert [letter for letter, _, _ in looks.values()] == ["W", "A", "B", "C"]
    assert looks["water"][1] == "drop"
    assert all(shape != "drop" for _, shape, _ in list(looks.values())[1:])


def test_more_systems_than_letters_still_differ() -> None:
    systems = {f"s{index}": System(name="Alpha", summary="x") for index in range(60)}
    letters = [letter for letter, _, _ in looks_of(systems).values()]
    assert len(set(letters)) == 60


def test_marks_are_numbered_in_walking_order() -> None:
    home = sound("house").home
    marks = marks_of(pieces_of(home), home.systems)
    water = [piece.id for piece in pieces_of(home) if piece.system == "water"]
    assert [marks[name].text for name in water] == [f"W{n}" for n in range(1, len(water) + 1)]


def test_every_shape_stays_within_the_box_of_a_pin() -> None:
    for shape, path in SHAPES.items():
        x = y = 0.0
        for command, numbers in re.findall(r"([Mlhvacz])([^MlhvacZz]*)", path):
            values = [float(each) for each in re.findall(r"-?\d+(?:\.\d+)?", numbers)]
            for across, down in _ends(command, values, x, y):
                x, y = across, down
                assert max(abs(x), abs(y)) <= PIN / 2, (shape, x, y)


def _ends(command: str, values: list[float], x: float, y: float) -> list[tuple[float, float]]:
    """The points that a command of a path leads to."""
    if command == "M":
        return [(values[0], values[1])]
    if command == "h":
        return [(x + values[0], y)]
    if command == "v":
        return [(x, y + values[0])]
    step = {"l": 2, "c": 6, "a": 7}.get(command, 0)
    found = []
    for index in range(0, len(values), step) if step else ():
        x, y = x + values[index + step - 2], y + values[index + step - 1]
        found.append((x, y))
    return found


def test_a_free_place_is_found_beyond_whatever_is_taken() -> None:
    taken = [Box(-500, -500, 500, 500)]
    found = nearest_free((0, 0), (30, 30), taken, lambda _box, _limit: 0.0, 8)
    assert not found.overlaps(taken[0])
    assert around(0, 0, 30, 30) == nearest_free((0, 0), (30, 30), [], lambda _box, _limit: 0.0, 8)


@pytest.mark.parametrize(
    ("line", "crosses"),
    [
        (((-5, 5), (15, 5)), True),
        (((-5, -5), (15, 15)), True),
        (((-5, 12), (15, 12)), False),
        (((0, 20), (20, 0)), False),
        (((2, 2), (3, 3)), True),
        (((-5, 0), (15, 0)), False),
    ],
)
def test_a_line_through_a_box(
    line: tuple[tuple[float, float], tuple[float, float]], crosses: bool
) -> None:
    """Against the box from (0, 0) to (10, 10); along an edge is not through it."""
    assert Box(0, 0, 10, 10).crossed_by(*line) is crosses


def test_colours_of_marks_are_legible_in_light_and_dark() -> None:
    """WCAG 2.2: 4.5 to 1 for the text on a mark, 3 to 1 for the mark on the paper (from memory)."""
    css = (Path(PROJECT) / "site_templates/theme/assets/handover.css").read_text(encoding="utf-8")
    css = css[css.index("/* The locator plan") :]
    light, dark = (
        dict(re.findall(r"--plan-([\w-]+): (#[0-9a-f]{6})", block))
        for block in re.findall(r"\{([^}]*--plan-tone-0: #[^}]*)\}", css)
    )
    for colours in (light, dark):
        for index in range(TONES):
            tone = colours[f"tone-{index}"]
            assert _contrast(tone, colours["pin-text"]) >= 4.5, tone
            assert _contrast(tone, colours["paper"]) >= 3, tone
        assert _contrast(colours["ink"], colours["here"]) >= 4.5
        assert _contrast(colours["line"], colours["paper"]) >= 3
        assert _contrast(colours["mark"], colours["here"]) >= 3


def _contrast(one: str, other: str) -> float:
    bright, dim = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (bright + 0.05) / (dim + 0.05)


def _luminance(colour: str) -> float:
    channels = [int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5)]
    red, green, blue = (
        each / 12.92 if each <= 0.04045 else ((each + 0.055) / 1.055) ** 2.4 for each in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
