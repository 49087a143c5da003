"""Doors and windows as drawn: in the walls of their rooms."""

from collections.abc import Iterator
from itertools import combinations

from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry

from builder.errors import Severity
from builder.home.survey import NEAR, WALL, Survey, stretch
from builder.model.building import Door, Window
from builder.rules.measures import metres, quoted
from builder.rules.opening import Opening, is_too_wide, openings, overlap, past_the_corner
from builder.rules.rule import HomeRule, Problem, rule

_DRAWN = "common practice: doors and windows are drawn in the walls of their rooms"
_SHARED = 0.01
"""Metres of wall that two rooms share where they do more than meet at a corner."""
_SLACK = 0.05
"""Metres that an opening may reach past the end of its wall, or over another: half a thin wall."""


@rule(
    "doors.opens-elsewhere", "A door opens into one of the two rooms that it joins.", basis=_DRAWN,
    severity=Severity.ERROR,
)  # fmt: skip
def doors_open_into_their_rooms(home: Survey) -> Iterator[Problem]:
    for name, door in home.home.doors.items():
        if door.opens_into is not None and door.opens_into not in door.between:
            one, other = door.between
            yield Problem(
                ("doors", name, "opens_into"),
                f"This door is between '{one}' and '{other}', and opens into neither.",
                "Name one of the two.",
            )


@rule(
    "doors.one-room-twice", "A door joins two rooms.", basis=_DRAWN, severity=Severity.ERROR
)  # fmt: skip
def doors_join_two_rooms(home: Survey) -> Iterator[Problem]:
    for name, door in home.home.doors.items():
        if door.between[0] == door.between[1]:
            yield Problem(
                ("doors", name, "between"),
                f"'{door.name}' is between '{door.between[0]}' and itself.",
                "Name the two rooms that it joins.",
            )


@rule("doors.none", "The doors of a home are recorded.", basis=_DRAWN)
def homes_have_doors(home: Survey) -> Iterator[Problem]:
    if not home.home.doors:
        yield Problem(
            ("house_type",),
            "No door of this home is recorded, so that no way through it can be told.",
            "Add each door, opening and stairs to 'doors', with the two rooms that it joins.",
        )


@rule("doors.not-placed", "A door of a drawn room has its place in the plan.", basis=_DRAWN)
def doors_are_placed(home: Survey) -> Iterator[Problem]:
    for name, door in home.home.doors.items():
        if door.at is None and _stands_in_a_wall(home, door):
            yield Problem(
                ("doors", name),
                f"'{door.name}' joins {quoted(_rooms(home, door))}, and has no place in the plan.",
                f"Add 'at: [x, y]', its middle, in {_wall_called(home, door)}.",
            )


def _stands_in_a_wall(home: Survey, door: Door) -> bool:
    """Whether a door of the home stands in a wall of the plan: stairs and loft hatches do not."""
    drawn = [room in home.outlines for room in door.between]
    inside = [home.kind_of_room(room).inside for room in door.between]
    if not any(inside) or not home.on_one_floor(*door.between):
        return False
    return all(drawn) or (any(drawn) and not all(inside))


@rule(
    "doors.rooms-do-not-touch", "A door joins two rooms that share a wall.", basis=_DRAWN,
    severity=Severity.ERROR,
)  # fmt: skip
def doors_join_neighbours(home: Survey) -> Iterator[Problem]:
    for name, door in home.home.doors.items():
        shared = home.wall_of(door)
        one, other = (home.outlines.get(room) for room in door.between)
        if shared is None or shared.length > _SHARED or one is None or other is None:
            continue
        between = round(one.distance(other), 3)
        if between > WALL or one.touches(other):
            where = f"stand {metres(between)} apart" if between > WALL else "meet only at a corner"
            yield Problem(
                ("doors", name, "between"),
                f"'{door.name}' joins {quoted(_rooms(home, door))}, which {where}.",
                "Name two rooms that share a wall, or correct their outlines.",
            )


@rule(
    "doors.not-in-its-wall", "A door stands in the wall between its rooms.", basis=_DRAWN,
    severity=Severity.ERROR,
)  # fmt: skip
def doors_stand_in_their_walls(home: Survey) -> Iterator[Problem]:
    for name, door in home.home.doors.items():
        off = _off(home.wall_of(door), door)
        if off > NEAR:
            yield Problem(
                ("doors", name, "at"),
                f"'{door.name}' is drawn {metres(off)} from {_wall_called(home, door)}.",
                "Move 'at', its middle, into that wall.",
            )


def _off(wall: BaseGeometry | None, opening: Door | Window) -> float:
    """Metres from an opening to its wall, to the millimetre; 0 where there is nothing to tell."""
    if wall is None or wall.length <= _SHARED or opening.at is None:
        return 0.0
    return round(wall.distance(Point(opening.at)), 3)


def _rooms(home: Survey, door: Door) -> list[str]:
    return [home.home.rooms[room].name for room in door.between]


def _wall_called(home: Survey, door: Door) -> str:
    drawn = [room for room in door.between if room in home.outlines]
    if len(drawn) == len(door.between):
        return f"the wall between {quoted(_rooms(home, door))}"
    beyond = door.between[door.between[0] == drawn[0]]
    wall = "a wall" if home.kind_of_room(beyond).inside else "the outside wall"
    return f"{wall} of '{home.home.rooms[drawn[0]].name}'"


@rule("doors.wider-than-wall", "A door is no wider than the wall that it stands in.", basis=_DRAWN)
def doors_fit_their_walls(home: Survey) -> Iterator[Problem]:
    for name, door in home.home.doors.items():
        wall = home.wall_of(door)
        piece = stretch(wall, door.at) if wall is not None and door.at is not None else None
        if piece is not None and is_too_wide(door.drawn_width, piece):
            yield _too_wide(("doors", name, "width"), door, piece)


def _too_wide(address: tuple[str, ...], opening: Door | Window, piece: LineString) -> Problem:
    return Problem(
        address,
        f"'{opening.name}' is {metres(opening.drawn_width)} wide, and its wall is {metres(piece.length)} long.",
        "Correct 'width', in metres, or the outlines beside it.",
    )


@rule(
    "doors.past-the-corner", "A door ends before its wall does.", basis=_DRAWN
)  # fmt: skip
def doors_end_before_their_walls(home: Survey) -> Iterator[Problem]:
    for opening in openings(home, "doors"):
        past = past_the_corner(opening)
        if past > _SLACK:
            yield _past(opening, past)


def _past(opening: Opening, past: float) -> Problem:
    return Problem(
        (*opening.address, "at"),
        f"'{opening.name}' is {metres(opening.width)} wide, and reaches {metres(past)} past the end"
        " of its wall.",
        f"Move 'at', its middle, {metres(past)} along the wall.",
    )


@rule("doors.overlap", "No door overlaps another door or a window.", basis=_DRAWN)
def doors_stand_apart(home: Survey) -> Iterator[Problem]:
    doors, windows = list(openings(home, "doors")), list(openings(home, "windows"))
    for index, door in enumerate(doors):
        for other in (*doors[index + 1 :], *windows):
            if overlap(door, other) > _SLACK:
                yield _overlapping(door, other)


def _overlapping(one: Opening, other: Opening) -> Problem:
    return Problem(
        (*other.address, "at"),
        f"'{one.name}' and '{other.name}' overlap by {metres(overlap(one, other))} in one wall.",
        "Correct 'at' or 'width' of one of the two.",
    )


@rule(
    "doors.no-hinge", "A door says which room it opens into and where its hinges are.",
    basis="common practice: a plan shows how each door swings", severity=Severity.NOTE,
)  # fmt: skip
def doors_have_their_swing(home: Survey) -> Iterator[Problem]:
    for name, door in home.home.doors.items():
        wanted = {"opens_into": door.opens_into, "hinge": door.hinge}
        lacks = [field for field, said in wanted.items() if said is None]
        if door.kind == "hinged" and door.at is not None and lacks:
            yield Problem(
                ("doors", name),
                f"The swing of '{door.name}' cannot be drawn.",
                f"Add {quoted(lacks)}.",
            )


@rule("windows.not-placed", "A window of a drawn room has its place in the plan.", basis=_DRAWN)
def windows_are_placed(home: Survey) -> Iterator[Problem]:
    for name, window in home.home.windows.items():
        if window.at is None and window.room in home.outlines:
            room = home.home.rooms[window.room].name
            yield Problem(
                ("windows", name),
                f"'{window.name}' has no place in the plan.",
                f"Add 'at: [x, y]', its middle, in the outside wall of '{room}'.",
            )


@rule(
    "windows.not-in-an-outside-wall",
    "A window stands in an outside wall of its room; a roof window lies over its room.",
    basis=_DRAWN, severity=Severity.ERROR,
)  # fmt: skip
def windows_stand_in_outside_walls(home: Survey) -> Iterator[Problem]:
    for name, window in home.home.windows.items():
        if window.room not in home.outlines:
            continue
        roof = window.kind == "roof"
        wall = home.outlines[window.room] if roof else home.outside_wall(window.room)
        off = _off(wall, window)
        if off > NEAR:
            where = "the outline" if roof else "the outside wall"
            yield Problem(
                ("windows", name, "at"),
                f"'{window.name}' is drawn {metres(off)} from {where} of"
                f" '{home.home.rooms[window.room].name}'.",
                "Move 'at', its middle, there, or correct 'room'.",
            )


@rule("windows.wider-than-wall", "A window is no wider than its wall.", basis=_DRAWN)
def windows_fit_their_walls(home: Survey) -> Iterator[Problem]:
    for name, window in home.home.windows.items():
        if window.room not in home.outlines or window.kind == "roof" or window.at is None:
            continue
        piece = stretch(home.outside_wall(window.room), window.at)
        if piece is not None and is_too_wide(window.drawn_width, piece):
            yield _too_wide(("windows", name, "width"), window, piece)


@rule("windows.past-the-corner", "A window ends before its wall does.", basis=_DRAWN)
def windows_end_before_their_walls(home: Survey) -> Iterator[Problem]:
    for opening in openings(home, "windows"):
        past = past_the_corner(opening)
        if past > _SLACK:
            yield _past(opening, past)


@rule("windows.overlap", "No window overlaps another in one wall.", basis=_DRAWN)
def windows_stand_apart(home: Survey) -> Iterator[Problem]:
    for one, other in combinations(openings(home, "windows"), 2):
        if overlap(one, other) > _SLACK:
            yield _overlapping(one, other)


OPENINGS: tuple[HomeRule, ...] = (
    doors_open_into_their_rooms,
    doors_join_two_rooms,
    homes_have_doors,
    doors_are_placed,
    doors_join_neighbours,
    doors_stand_in_their_walls,
    doors_fit_their_walls,
    doors_end_before_their_walls,
    doors_stand_apart,
    doors_have_their_swing,
    windows_are_placed,
    windows_stand_in_outside_walls,
    windows_fit_their_walls,
    windows_end_before_their_walls,
    windows_stand_apart,
)
