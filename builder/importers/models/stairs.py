"""Stairs of a house type: which room below and which above they join."""

from collections.abc import Sequence
from itertools import pairwise

from shapely import Point, Polygon

from builder.importers.models.draft import DraftedValue, HouseTypeDraft
from builder.importers.models.drawn import ModelOrigin, Stair
from builder.importers.models.rooms import PlacedRoom, RoomLayout

CIRCULATION = ("hall", "landing", "stairs")
"""Kinds of rooms that people pass through."""
_OFF = 0.6
"""Metres that the ends of a staircase may be off the rooms that it joins."""


def climbed(stairs: Sequence[Stair], layout: RoomLayout, draft: HouseTypeDraft) -> None:
    """Each staircase joins a room below and a room above."""
    floors = sorted(layout.levels, key=lambda name: layout.levels[name])
    for stair in stairs:
        plan = _plan(stair, layout)
        reach = [name for name in floors if _reaches(stair, layout.on(name).values())]
        for lower, upper in pairwise(reach):
            ends = _stair(plan, lower, upper, stair.origin, "", layout, draft)
            if ends is not None:
                _line(stair, *ends, layout, draft)
    for lower, upper in pairwise(floors):
        if not _are_joined(lower, upper, layout, draft):
            here = list(layout.on(lower).values())
            if here:
                why = "no staircase of the model joins these floors"
                _stair(None, lower, upper, here[0].known.space.origin, why, layout, draft)


def _plan(stair: Stair, layout: RoomLayout) -> Polygon:
    low, high = stair.box.low, stair.box.high
    corners = ((low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1]))
    return Polygon(layout.frame.ring(corners))


def _reaches(stair: Stair, rooms: object) -> bool:
    """Whether a staircase begins or ends on the floor of these rooms."""
    lows = [each.known.space.low for each in rooms]  # type: ignore[attr-defined]
    return bool(lows) and stair.box.low[2] - 0.4 <= min(lows) <= stair.box.high[2] + 0.4


def _are_joined(lower: str, upper: str, layout: RoomLayout, draft: HouseTypeDraft) -> bool:
    floors = {name: each.floor for name, each in layout.rooms.items()}
    return any(
        {floors.get(room) for room in entry["between"].value} == {lower, upper}
        for entry in draft.entries("doors").values()
    )


def _stair(
    plan: Polygon | None,
    lower: str,
    upper: str,
    origin: ModelOrigin,
    why: str,
    layout: RoomLayout,
    draft: HouseTypeDraft,
) -> tuple[PlacedRoom, PlacedRoom] | None:
    """Stairs from one floor to the next, where rooms of the home lie at both ends: those rooms."""
    pairs = [
        (_stair_fit(one, other, plan), one, other)
        for one in layout.on(lower).values()
        for other in layout.on(upper).values()
    ]
    fit, one, other = max(
        pairs, key=lambda each: (each[0], each[1].id, each[2].id), default=(-9.0, None, None)
    )
    if one is None or other is None or fit < 0 or _are_joined(lower, upper, layout, draft):
        return None
    draft.add("doors", "stairs", {
        "name": DraftedValue("Stairs", origin, "Name", why),
        "between": DraftedValue((one.id, other.id), origin, "Representation", why),
        "kind": DraftedValue("opening", origin, "Representation", why),
    })  # fmt: skip
    return one, other


def _line(
    stair: Stair, lower: PlacedRoom, upper: PlacedRoom, layout: RoomLayout, draft: HouseTypeDraft
) -> None:
    """The way up as it is drawn, where the shape of the staircase shows both of its ends."""
    if stair.foot is None or stair.head is None:
        return
    foot, head = layout.frame.point(stair.foot), layout.frame.point(stair.head)
    starts = lower.outline.distance(Point(foot)) <= _OFF
    if (
        not starts
        or upper.outline.distance(Point(head)) > _OFF
        or Point(foot).distance(Point(head)) < 1.0
    ):
        return
    why = "straight from its lowest to its highest step"
    draft.add("stairs", "stairs", {
        "foot": DraftedValue(lower.id, stair.origin, "Representation"),
        "head": DraftedValue(upper.id, stair.origin, "Representation"),
        "line": DraftedValue((foot, head), stair.origin, "Representation", why),
    })  # fmt: skip


def _stair_fit(one: PlacedRoom, other: PlacedRoom, plan: Polygon | None) -> float:
    """How well stairs run from one room to another: rooms that people pass through, over each other."""
    passing = sum(each.kind in CIRCULATION for each in (one, other)) + (one.kind == "stairs")
    if plan is None:
        near = one.outline.distance(other.outline) <= 1.0
        return (
            passing + min(one.outline.intersection(other.outline).area, 1.0) / 2 if near else -1.0
        )
    near = one.outline.distance(plan) <= 0.3 and other.outline.distance(plan) <= 0.6
    cover = (
        one.outline.intersection(plan).area + other.outline.intersection(plan.buffer(0.6)).area / 4
    )
    return passing + cover / max(plan.area, 0.1) if near else -1.0
