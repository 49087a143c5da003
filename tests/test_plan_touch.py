"""The plan on a telephone: marks that a finger can touch, gathered where they crowd."""

import math
import re
from itertools import combinations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from builder.guide.pieces import pieces_of
from builder.guide.plan.drawing import Gathered, Mark, PlacedPiece
from builder.guide.plan.marks import NARROWEST, TARGET, gathered
from builder.guide.plan.plans import Plans
from builder.guide.plan.svg import touch_svg
from builder.home.assemble import TracedHome
from tests.plan_homes import homes_of_the_demo

MARK = Mark("W1", "water", "drop", 0)
SVG = "{http://www.w3.org/2000/svg}"


def placed(*spots: tuple[int, int]) -> list[PlacedPiece]:
    return [PlacedPiece(f"piece-{n}", MARK, spot, "kitchen") for n, spot in enumerate(spots)]


def test_marks_that_would_touch_are_one() -> None:
    groups = gathered(placed((0, 0), (10, 0), (100, 0)), 24)
    assert [(group.x, group.y, len(group.members)) for group in groups] == [(5, 0, 2), (100, 0, 1)]


def test_marks_that_just_do_not_touch_stay_apart() -> None:
    assert len(gathered(placed((0, 0), (24, 0)), 24)) == 2


@given(st.lists(st.tuples(st.integers(-900, 900), st.integers(-900, 900)), max_size=25))
def test_every_piece_stands_in_one_mark_and_no_two_marks_touch(
    spots: list[tuple[int, int]],
) -> None:
    groups = gathered(placed(*spots), 60)
    members = [each.piece for group in groups for each in group.members]
    assert sorted(members) == sorted(f"piece-{n}" for n in range(len(spots)))
    for one, other in combinations(groups, 2):
        assert math.dist((one.x, one.y), (other.x, other.y)) >= 60


@pytest.fixture(scope="module")
def demo_homes() -> dict[str, TracedHome]:
    return homes_of_the_demo()


def drawn(plans: Plans, floor: str) -> etree._Element:
    says = {piece.id: piece.title for piece in plans.pieces}

    def address(mark: Gathered) -> str:
        return f"#{mark.members[0].piece}"

    return etree.fromstring(
        str(touch_svg(plans.touch(floor), "plan", address, says, {})).replace(
            "<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1
        )
    )


def test_marks_are_24_pixels_on_the_narrowest_telephone_and_cover_no_name(
    demo_homes: dict[str, TracedHome],
) -> None:
    """WCAG 2.2, success criterion 2.5.8: targets of at least 24 by 24 CSS pixels. The viewBox says
    how wide the drawing is; it is shown 288 pixels wide on a screen of 320."""
    found = names = 0
    for reference, traced in demo_homes.items():
        plans = Plans(traced.home, pieces_of(traced.home))
        for floor in plans.bases:
            plan = plans.touch(floor)
            wide = float(drawn(plans, floor).get("viewBox", "").split()[2])
            assert plan.size * NARROWEST / wide >= TARGET, (reference, floor)
            for each in drawn(plans, floor).iter(f"{SVG}g"):
                if (touched := each.find(f"{SVG}circle")) is not None:
                    scale = float(each.get("transform", "").rpartition("scale(")[2].rstrip(")"))
                    across = 2 * float(touched.get("r", "")) * scale
                    assert across * NARROWEST / wide >= TARGET, (reference, floor)
            for _, marks in plan.sets:
                for one, other in combinations(marks, 2):
                    found += 1
                    assert math.dist((one.x, one.y), (other.x, other.y)) >= plan.size
            for mark, name in product(dict(plan.sets)[""], plan.names):
                across = max(name.box.left - mark.x, mark.x - name.box.right)
                down = max(name.box.top - mark.y, mark.y - name.box.bottom)
                assert max(across, down) >= plan.size / 2, (reference, floor, name.lines)
                names += 1
    assert found > 1000
    assert names > 1000


def test_every_piece_that_is_drawn_is_reached_in_all_and_in_its_system(
    demo_homes: dict[str, TracedHome],
) -> None:
    traced = demo_homes["mill-lane/03"]
    plans = Plans(traced.home, pieces_of(traced.home))
    for floor in plans.bases:
        sets = dict(plans.touch(floor).sets)
        everything = {each.piece for mark in sets[""] for each in mark.members}
        alone = {
            each.piece
            for name, marks in sets.items()
            if name
            for mark in marks
            for each in mark.members
        }
        assert everything == alone == {p.id for p in plans.listed(floor) if p.id in plans.marks}


def test_a_mark_says_what_it_stands_for(demo_homes: dict[str, TracedHome]) -> None:
    traced = demo_homes["mill-lane/07"]
    plans = Plans(traced.home, pieces_of(traced.home))
    root = drawn(plans, "ground")
    links = {a.get("aria-label"): a for a in root.iter(f"{SVG}a")}
    assert any("Consumer unit" in (label or "") for label in links)
    assert any(re.fullmatch(r"[A-Z]+\d+ [^,]+", label or "") for label in links)
    many = [label for label in links if label and ", " in label]
    assert many
    assert all(a.get("href", "").startswith("#") for a in links.values())
