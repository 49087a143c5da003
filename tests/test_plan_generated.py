"""Five hundred generated homes, crowded on purpose: no label of a plan is over another."""

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon

from builder.guide.pieces import pieces_of
from builder.guide.plan.drawing import UNITS
from builder.guide.plan.plans import Plans
from builder.guide.plan.svg import full_svg
from builder.model.home import Home
from tests.rule_cases import sound
from tests.test_plan import assert_nothing_overlaps

TEMPLATE = sound("house").home
WORDS = (
    "Hall",
    "Utility room",
    "Cupboard under the stairs",
    "Kitchen and dining room",
    "WC",
    "Bed 1",
)

Rectangle = tuple[float, float, float, float]


@st.composite
def halves(draw: st.DrawFn, area: Rectangle, depth: int) -> list[Rectangle]:
    """A rectangle cut again and again, down to cupboards of 0.6 m."""
    left, front, right, back = area
    across = right - left >= back - front
    length = right - left if across else back - front
    if depth == 0 or length < 1.2:
        return [area]
    cut = round(draw(st.floats(0.6, length - 0.6)), 2)
    first = (left, front, left + cut, back) if across else (left, front, right, front + cut)
    second = (left + cut, front, right, back) if across else (left, front + cut, right, back)
    return [*draw(halves(first, depth - 1)), *draw(halves(second, depth - 1))]


@st.composite
def homes(draw: st.DrawFn) -> Home:
    """One floor of 1 to 16 rooms with up to 40 pieces, many of them on the same spot."""
    width, depth = draw(st.floats(3, 14)), draw(st.floats(3, 12))
    rectangles = draw(halves((0.0, 0.0, width, depth), draw(st.integers(0, 4))))
    rooms = {
        f"room-{index}": TEMPLATE.rooms["hall"].model_copy(
            update={
                "name": draw(st.sampled_from(WORDS)),
                "outline": ((left, front), (right, front), (right, back), (left, back)),
            }
        )
        for index, (left, front, right, back) in enumerate(rectangles)
    }
    pieces = {}
    for index in range(draw(st.integers(0, 40))):
        number = draw(st.integers(0, len(rectangles) - 1))
        left, front, right, back = rectangles[number]
        crowded = draw(st.booleans())
        x = left if crowded else draw(st.floats(left, right))
        y = front if crowded else draw(st.floats(front, back))
        piece = draw(st.sampled_from(sorted(TEMPLATE.equipment)))
        pieces[f"piece-{index}"] = TEMPLATE.equipment[piece].model_copy(
            update={"room": f"room-{number}", "at": (round(x, 2), round(y, 2))}
        )
    return TEMPLATE.model_copy(
        update={
            "floors": {"ground": TEMPLATE.floors["ground"]},
            "rooms": {**rooms, "outside": TEMPLATE.rooms["outside"]},
            "doors": {},
            "windows": {},
            "equipment": pieces,
        }
    )


@settings(max_examples=500)
@given(homes())
def test_nothing_overlaps_and_nothing_is_lost(home: Home) -> None:
    plans = Plans(home, pieces_of(home))
    plan = plans.full("ground")
    assert_nothing_overlaps(plan)
    assert [pin.piece for pin in plan.pins] == [piece.id for piece in plans.pieces]
    assert {name.room for name in plan.names} == {name for name in home.rooms if name != "outside"}
    for pin in plan.pins:
        x, y = home.equipment[pin.piece].at or (0, 0)
        assert pin.spot == (round(x * UNITS), round(-y * UNITS))
        assert plan.box.holds(pin.x, pin.y)


@settings(max_examples=50)
@given(homes())
def test_a_name_in_its_room_stands_between_its_walls(home: Home) -> None:
    plan = Plans(home, pieces_of(home)).full("ground")
    shapes = {area.room: Polygon(area.corners) for area in plan.base.areas}
    for name in plan.names:
        corners = [(name.box.left, name.box.top), (name.box.right, name.box.bottom)]
        inside = all(shapes[name.room].covers(Point(corner)) for corner in corners)
        assert inside is not name.led


@settings(max_examples=25)
@given(homes())
def test_the_same_home_gives_the_same_bytes(home: Home) -> None:
    once, again = (full_svg(Plans(home, pieces_of(home)).full("ground"), "p") for _ in range(2))
    assert once == again
