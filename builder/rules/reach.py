"""Switches and outlets that a person in a chair reaches: their height, and clear of inside corners."""

import math
from collections.abc import Iterator

from shapely import Polygon

from builder.errors import Severity
from builder.home.survey import Survey
from builder.home.ways import corners_of
from builder.model.equipment import Equipment
from builder.rules.measures import metres, over, under
from builder.rules.reference import Table
from builder.rules.routes import name_of
from builder.rules.rule import HomeRule, Problem, rule_by

_STRAIGHT = 0.01
"""Metres that a wall may bend and still be one wall."""
_DAILY = ("master-light-switch", "boost-switch", "entry-handset")


@rule_by(
    "electricity", "outlet-height",
    identifier="electricity.outlet-height",
    says="Outlets are where a person in a chair reaches them.", severity=Severity.NOTE,
)  # fmt: skip
def outlets_are_in_reach(home: Survey, table: Table) -> Iterator[Problem]:
    asked = table.row("outlet-height")
    for name, piece in _where_people_are(home, "data-point"):
        height = piece.height
        if height is not None and (under(height, asked["least"]) or over(height, asked["most"])):
            yield Problem(
                ("equipment", name, "height"),
                f"'{name}' is {metres(height)} above the floor.",
                f"Place its middle between {metres(asked['least'])} and {metres(asked['most'])}.",
            )


@rule_by(
    "electricity", "outlet-from-corner",
    identifier="electricity.near-corner",
    says="Switches and outlets are clear of inside corners, where a chair cannot come near.",
    severity=Severity.NOTE,
)  # fmt: skip
def switches_are_clear_of_corners(home: Survey, table: Table) -> Iterator[Problem]:
    asked = table.row("outlet-from-corner")
    least = asked["wheelchair" if "wheelchair" in home.home.built_for else "any"]
    for name, piece in _where_people_are(home, *_DAILY, "data-point"):
        away = _from_a_corner(home, piece)
        if away is not None and under(away, least):
            yield Problem(
                ("equipment", name, "at"),
                f"'{name}' is {metres(away)} from a corner of '{name_of(home, piece.room)}'.",
                f"Place it {metres(least)} or more from each inside corner.",
            )


def _where_people_are(home: Survey, *kinds: str) -> Iterator[tuple[str, Equipment]]:
    """The pieces of these kinds in rooms that people live in or walk through, and in no cupboard."""
    for name, piece in home.pieces(*kinds):
        kind = home.kind_of_room(piece.room)
        if kind.habitable or kind.circulation or kind.extract:
            yield name, piece


def _from_a_corner(home: Survey, piece: Equipment) -> float | None:
    """Metres on the plan to the nearest corner of a room that points outwards, as its walls are drawn."""
    outline = home.outlines.get(piece.room)
    if outline is None or piece.at is None:
        return None
    walls = Polygon(list(outline.exterior.simplify(_STRAIGHT).coords))
    corners = corners_of(walls, sticking_in=False)
    return min(math.dist(piece.at, each) for each in corners)


REACH: tuple[HomeRule, ...] = (outlets_are_in_reach, switches_are_clear_of_corners)
