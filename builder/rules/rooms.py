"""Rooms as drawn: on a floor, with an outline, side by side, each of them reached."""

from collections.abc import Iterator
from itertools import combinations

from shapely import LineString

from builder.errors import Severity
from builder.home.survey import Survey, gaps
from builder.model.building import RoomKind
from builder.rules.measures import listed, quoted, square_metres
from builder.rules.rule import HomeRule, Problem, rule

_DRAWN = "common practice: a plan is drawn to the middle of the walls"
_WAY = "common practice: every room has a way to it"
_SLIP = 0.01
"""Square metres of overlap that are a slip of a millimetre along a wall."""
_SMALLEST_BEDROOM, _SMALLEST_ROOM = 4.6, 4.0
_SMALLEST_WET = {"kitchen": 4.5, "bathroom": 1.8, "utility": 1.2, "sanitary": 0.8}
"""Square metres, to the middle of the walls; a smaller outline is a slip of the drawing, as a rule.

Of a bedroom 50 square feet, below which it does not count as a room to sleep in: Housing Act 1985,
section 326, from memory. Of the others common practice.
"""


@rule(
    "rooms.no-floor", "A room inside the home stands on a floor.", basis=_DRAWN,
    severity=Severity.ERROR,
)  # fmt: skip
def rooms_are_somewhere(home: Survey) -> Iterator[Problem]:
    for name, room in home.inside():
        if room.floor is None:
            yield Problem(
                ("rooms", name),
                f"'{room.name}' is inside the home and on no floor.",
                f"Add 'floor:', one of {', '.join(home.home.floors)}.",
            )


@rule(
    "rooms.no-outline", "Every room that counts towards the floor area has an outline.",
    basis="common practice: the plan and the areas of a home need every room of it",
)  # fmt: skip
def rooms_are_drawn(home: Survey) -> Iterator[Problem]:
    right = "Add 'outline:', its corners in order, in metres, to the middle of the walls."
    undrawn = {name: room.name for name, room in home.living() if room.outline is None}
    if undrawn and all(room.outline is None for room in home.home.rooms.values()):
        yield Problem(("house_type",), "No room of this home has an outline.", right)
        return
    for name, called in undrawn.items():
        wrong = f"'{called}' has no outline, so that no plan and no area can be made of it."
        yield Problem(("rooms", name), wrong, right)


@rule(
    "rooms.outline-crosses-itself", "The outline of a room goes round it once.", basis=_DRAWN,
    severity=Severity.ERROR,
)  # fmt: skip
def outlines_are_simple(home: Survey) -> Iterator[Problem]:
    for name, room in home.home.rooms.items():
        if room.outline is not None and name not in home.outlines:
            yield Problem(
                ("rooms", name, "outline"),
                f"The outline of '{room.name}' crosses itself: {_crossing(room.outline)}.",
                "Write its corners in order, once round the room.",
            )


def _crossing(outline: tuple[tuple[float, float], ...]) -> str:
    """The first two sides of an outline that meet where they must not."""
    corners = [here for here, after in zip(outline, outline[1:] + outline[:1], strict=True) if here != after]  # fmt: skip
    sides = [
        LineString([here, after])
        for here, after in zip(corners, corners[1:] + corners[:1], strict=True)
    ]
    for (first, one), (second, other) in combinations(enumerate(sides), 2):
        follows = second - first in (1, len(sides) - 1)
        meeting = one.intersection(other)
        if meeting.length > 0 if follows else not meeting.is_empty:
            return f"the side {_side(one)} meets the side {_side(other)}"
    return "it encloses nothing"


def _side(side: LineString) -> str:
    start, end = (f"[{x:g}, {y:g}]" for x, y in side.coords)
    return f"from {start} to {end}"


@rule(
    "rooms.overlap", "Two rooms of one floor never take up the same space.", basis=_DRAWN,
    severity=Severity.ERROR,
)  # fmt: skip
def rooms_stand_apart(home: Survey) -> Iterator[Problem]:
    for one, other in combinations(home.outlines, 2):
        if home.storey_of(one) != home.storey_of(other) or home.storey_of(one) is None:
            continue
        shared = home.outlines[one].intersection(home.outlines[other]).area
        if shared > _SLIP and not _lies_within(home, one, other):
            names = [home.home.rooms[room].name for room in (one, other)]
            yield Problem(
                ("rooms", other, "outline"),
                f"{quoted(names)} overlap by {square_metres(shared)}.",
                "Draw each to the middle of its walls, so that they meet and do not overlap.",
            )


def _lies_within(home: Survey, one: str, other: str) -> bool:
    """Whether both are outside and one lies wholly within the other, as a patio in a garden."""
    if home.kind_of_room(one).inside or home.kind_of_room(other).inside:
        return False
    return home.outlines[one].covers(home.outlines[other]) or home.outlines[other].covers(
        home.outlines[one]
    )


@rule("rooms.gap", "No part of a storey lies between its rooms and belongs to none.", basis=_DRAWN)
def rooms_meet(home: Survey) -> Iterator[Problem]:
    for floor in home.levels:
        drawn = {name: outline for name, outline in home.outlines.items() if home.storey_of(name) == floor}  # fmt: skip
        if _is_undrawn(home, floor):
            continue
        for gap in gaps(drawn):
            inside = [name for name in gap.rooms if home.kind_of_room(name).inside]
            if inside:
                names = [home.home.rooms[room].name for room in gap.rooms]
                yield Problem(
                    ("rooms", inside[0], "outline"),
                    f"Between {quoted(names)}, {square_metres(gap.area)} belong to no room.",
                    "Draw the rooms to the middle of their walls, or add the room that is missing.",
                )


def _is_undrawn(home: Survey, floor: str) -> bool:
    """Whether a room of a storey is not drawn, or not rightly: what is empty may be this room."""
    return any(
        name not in home.outlines and not home.is_loft(name) for name, _ in home.inside(floor)
    )


@rule(
    "rooms.no-way-in", "A door leads into the home from outside or from a shared place.",
    basis=_WAY, severity=Severity.ERROR,
)  # fmt: skip
def homes_have_a_way_in(home: Survey) -> Iterator[Problem]:
    if home.home.doors and home.home.form != "apartment" and not ways_in(home):
        yield Problem(
            ("doors",),
            "No door leads into this home from outside.",
            f"Name the room outside in 'between' of the front door: {_outside(home)}.",
        )


def ways_in(home: Survey) -> tuple[str, ...]:
    """The doors between a room of the home and where people come from."""
    return tuple(
        name
        for name, door in home.home.doors.items()
        if [room in home.arrivals for room in door.between].count(True) == 1
        and any(home.kind_of_room(room).inside for room in door.between)
    )


def _outside(home: Survey) -> str:
    return listed(f"'{room}'" for room in home.arrivals) or "add one of a kind with 'inside: false'"


@rule(
    "rooms.not-reached", "Every room is reached from outside through the doors.", basis=_WAY,
    severity=Severity.ERROR,
)  # fmt: skip
def rooms_are_reached(home: Survey) -> Iterator[Problem]:
    reached = {room for start in home.arrivals for room in home.ways.reached(start)}
    for name, _ in home.inside():
        if not ways_in(home) or name in reached or home.is_loft(name) or home.is_garage(name):
            continue
        beyond = home.ways.reached(name)
        names = [each.name for room, each in home.inside() if room in beyond]
        reached |= beyond
        yield Problem(
            ("rooms", name),
            f"No way through the doors leads to {quoted(names)}.",
            "Add the door, opening or stairs that leads there to 'doors'.",
        )


@rule("floors.same-level", "Each floor has a level of its own.", basis=_DRAWN)
def floors_have_their_levels(home: Survey) -> Iterator[Problem]:
    for one, other in combinations(home.home.floors.items(), 2):
        (_, first), (name, second) = one, other
        if first.level == second.level:
            yield Problem(
                ("floors", name, "level"),
                f"'{first.name}' and '{second.name}' are both at level {first.level}.",
                "Number the floors upwards; 0 is the floor of the front door.",
            )


@rule("floors.out-of-order", "A higher level is higher above the ground.", basis=_DRAWN)
def floors_rise(home: Survey) -> Iterator[Problem]:
    floors = home.home.floors
    for low, high in zip(home.levels, home.levels[1:], strict=False):
        below, above = floors[low], floors[high]
        if above.level > below.level and above.above_ground <= below.above_ground:
            yield Problem(
                ("floors", high),
                f"'{above.name}' is over '{below.name}', and is recorded {above.above_ground:.2f} m"
                f" above the ground, where '{below.name}' is {below.above_ground:.2f} m.",
                "Correct 'above_ground' of both, in metres, or their levels.",
            )


@rule("floors.nothing-on-it", "Each floor has a room.", basis=_DRAWN)
def floors_have_rooms(home: Survey) -> Iterator[Problem]:
    for name, floor in home.home.floors.items():
        if all(room.floor != name for room in home.home.rooms.values()):
            yield Problem(
                ("floors", name),
                f"No room is on '{floor.name}'.",
                "Add its rooms, or take the floor out.",
            )


@rule(
    "rooms.too-small", "A room is as large as its use needs.",
    basis="common practice: smaller rooms are a slip of a corner or of the kind",
    severity=Severity.NOTE,
)  # fmt: skip
def rooms_are_large_enough(home: Survey) -> Iterator[Problem]:
    for name, room in home.living():
        least = _least_area(home.kind_of_room(name))
        if name in home.outlines and round(home.outlines[name].area, 2) < least:
            area = square_metres(home.outlines[name].area)
            yield Problem(
                ("rooms", name, "outline"),
                f"'{room.name}' has {area}; rooms of its use have at least {square_metres(least)}.",
                "Check its corners, and its kind.",
            )


def _least_area(kind: RoomKind) -> float:
    if kind.extract is not None:
        return _SMALLEST_WET[kind.extract]
    if kind.sleeping:
        return _SMALLEST_BEDROOM
    return _SMALLEST_ROOM if kind.habitable else 0.0


ROOMS: tuple[HomeRule, ...] = (
    rooms_are_somewhere,
    rooms_are_drawn,
    outlines_are_simple,
    rooms_stand_apart,
    rooms_meet,
    homes_have_a_way_in,
    rooms_are_reached,
    floors_have_their_levels,
    floors_rise,
    floors_have_rooms,
    rooms_are_large_enough,
)
