"""Five hundred generated homes, crowded on purpose: no label of a plan is over another."""

import math
import re

import html5lib
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree
from shapely import Polygon, box, make_valid
from shapely.affinity import scale, translate
from shapely.geometry.base import BaseGeometry

from builder.guide.pieces import pieces_of
from builder.guide.plan.drawing import UNITS, Base, FloorPlan, Leaf
from builder.guide.plan.plans import Plans
from builder.guide.plan.svg import full_svg, highlight_svg
from builder.home.hand import middle, turned
from builder.model.home import Home
from tests.plan_homes import home_of
from tests.test_plan import assert_nothing_overlaps

SEEDS = st.integers(0, 10**9)
NUMBERS = re.compile(r"-?\d+(?:\.\d+)?(?:e-?\d+)?|nan|inf")


def plans_of(home: Home) -> Plans:
    return Plans(home, pieces_of(home))


def assert_names_between_walls(plan: FloorPlan) -> None:
    rooms = {area.room: Polygon(area.corners) for area in plan.base.areas}
    walls = _walls(plan.base)
    for name in plan.names:
        label = box(name.box.left, name.box.top, name.box.right, name.box.bottom)
        if name.led:
            assert not any(each.buffer(-1).intersects(label) for each in rooms.values())
        else:
            assert rooms[name.room].covers(label), name
            assert not walls.buffer(-0.6).intersects(label), name


@settings(max_examples=160)
@given(SEEDS)
def test_nothing_overlaps_and_nothing_is_lost(seed: int) -> None:
    home = home_of(seed)
    plans = plans_of(home)
    drawn = {floor: plans.full(floor) for floor in plans.bases}
    assert set(drawn) == set(home.floors)
    for plan in drawn.values():
        assert_nothing_overlaps(plan)
        assert_names_between_walls(plan)
        for each in (*plan.pins, *plan.names):
            assert plan.box.holds(each.box.left, each.box.top)
            assert plan.box.holds(each.box.right, each.box.bottom)
    pins = {pin.piece: pin for plan in drawn.values() for pin in plan.pins}
    assert set(pins) == {name for name, piece in home.equipment.items() if piece.at is not None}
    assert sum(len(plan.pins) for plan in drawn.values()) == len(pins)
    for name, pin in pins.items():
        x, y = home.equipment[name].at or (math.nan, math.nan)
        assert pin.spot == (round(x * UNITS), round(-y * UNITS))
    named = [name.room for plan in drawn.values() for name in plan.names]
    assert sorted(named) == sorted(name for name in home.rooms if name != "outside")


@settings(max_examples=40)
@given(SEEDS)
def test_every_drawing_is_sound_markup_with_finite_numbers(seed: int) -> None:
    plans = plans_of(home_of(seed))
    for floor in plans.bases:
        svgs = [
            full_svg(plans.full(floor), "p"),
            *map(highlight_svg, plans.highlights(plans.pieces)),
        ]
        for svg in svgs:
            html5lib.HTMLParser(strict=True).parse(f"<!doctype html><title>t</title>{svg}")
            root = etree.fromstring(svg)
            numbers = NUMBERS.findall(
                " ".join(map(str, root.xpath("//@d | //@viewBox | //@points")))
            )
            assert numbers
            assert all(math.isfinite(float(each)) for each in numbers)


@settings(max_examples=25)
@given(SEEDS)
def test_the_same_home_gives_the_same_bytes(seed: int) -> None:
    once, again = (
        [full_svg(plans.full(floor), "p") for floor in plans.bases]
        for plans in (plans_of(home_of(seed)), plans_of(home_of(seed)))
    )
    assert once == again


@settings(max_examples=40)
@given(SEEDS)
def test_walls_hold_the_area_that_lies_between_the_rooms_and_the_outside(seed: int) -> None:
    """Walls and the ground of rooms make up the home to its outer faces, less its openings."""
    plans = plans_of(home_of(seed))
    for base in plans.bases.values():
        rooms = [Polygon(area.corners) for area in base.areas]
        walls = _walls(base)
        union = rooms[0]
        for each in rooms[1:]:
            union = union.union(each)
        outer = union.buffer(0.12 * UNITS, join_style="mitre")
        assert outer.buffer(2).covers(walls)
        assert walls.area < outer.area
        for leaf in base.leaves:
            length = math.dist(leaf.hinge, leaf.tip)
            assert abs(length - math.dist(leaf.hinge, leaf.jamb)) <= 2


@settings(max_examples=30)
@given(SEEDS)
def test_the_opposite_hand_is_the_mirror_image(seed: int) -> None:
    """Walls, swings, strokes and spots, to the unit that rounding leaves; marks are the same."""
    home = home_of(seed)
    plot = home.plot.model_copy(update={"hand": "opposite"})
    drawn, facing = plans_of(home), plans_of(turned(home.model_copy(update={"plot": plot})))
    assert drawn.marks == facing.marks
    twice = middle(home) * UNITS
    for floor, base in drawn.bases.items():
        other = facing.bases[floor]
        flipped = _walls(base).symmetric_difference(_flipped(_walls(other), twice))
        assert flipped.buffer(-1).is_empty
        assert len(base.leaves) == len(other.leaves)
        for leaf in base.leaves:
            assert any(_mirrored(leaf, each, twice) for each in other.leaves), leaf


def _mirrored(one: Leaf, other: Leaf, twice: float) -> bool:
    ends = zip((one.hinge, one.tip, one.jamb), (other.hinge, other.tip, other.jamb), strict=True)
    near = (abs(twice - x - u) <= 1 and abs(y - v) <= 1 for (x, y), (u, v) in ends)
    return all(near) and one.clockwise is not other.clockwise


def _walls(base: Base) -> BaseGeometry:
    walls: BaseGeometry = Polygon()
    for ring in base.walls:
        walls = walls.symmetric_difference(make_valid(Polygon(ring)))
    return walls


def _flipped(walls: BaseGeometry, twice: float) -> BaseGeometry:
    return translate(scale(walls, -1, 1, origin=(0, 0)), twice)
