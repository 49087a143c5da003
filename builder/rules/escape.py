"""Ways out in a fire: windows to climb from, rooms behind rooms, and how far it is in a flat."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from builder.errors import Severity
from builder.home.survey import Survey
from builder.model.building import Door, Window
from builder.rules.measures import listed, metres, over, quoted, under
from builder.rules.reference import Table
from builder.rules.routes import (
    GROUND,
    doors_onto,
    escape_windows,
    halls_from,
    halls_of,
    high_stairs,
    holds_back,
    is_flat,
    is_hall,
    is_kitchen,
    joined,
    leads_out,
    name_of,
    open_plan,
    passed_through,
    protected,
    rated,
    rating_at,
    sprinklered,
    ways_out,
)
from builder.rules.rule import HomeRule, Problem, rule, rule_by


@rule_by(
    "fire", "protected-stair-above", "stair-door-minutes",
    identifier="fire.escape-window-missing",
    says="People can get out of each living room and bedroom when the rest of the home is on fire.",
)  # fmt: skip
def rooms_have_a_way_out(home: Survey, table: Table) -> Iterator[Problem]:
    above, minutes = table.number("protected-stair-above"), table.number("stair-door-minutes")
    for floor in home.levels:
        shut_in = [
            room
            for room in home.habitable
            if home.storey_of(room) == floor
            and not passed_through(home, room)
            and not _can_climb_out(home, room)
            and not _safe_way(home, room, minutes)
        ]
        if shut_in and not over(home.home.floors[floor].above_ground, above):
            yield Problem(
                ("rooms", shut_in[0]),
                _no_way_out(home, shut_in, minutes),
                "Mark a window of each that people can climb out of with 'escape: true', or make the way out safe.",
            )


def _can_climb_out(home: Survey, room: str) -> bool:
    """Whether a room, or the space that it is part of, has an escape window or a door of its own."""
    space = open_plan(home, room)
    reached = {each for name in space for _, door in home.doors_of(name) for each in door.between}
    return escape_windows(home, room) or any(not home.kind_of_room(each).inside for each in reached)


def _safe_way(home: Survey, room: str, minutes: float) -> bool:
    """Whether a room opens into a hall that leads out: on the ground storey any, else a protected one."""
    halls = halls_of(home, room)
    if _is_on_the_ground(home, room):
        return leads_out(home, joined(home, halls, lambda _, other: is_hall(home, other)))
    return bool(halls) and protected(home, halls, minutes)


def _is_on_the_ground(home: Survey, room: str) -> bool:
    return abs(home.height_above_ground(room)) <= GROUND


def _no_way_out(home: Survey, rooms: list[str], minutes: float) -> str:
    """What is wrong with rooms of one storey, in words."""
    names = quoted(name_of(home, room) for room in rooms)
    if _is_on_the_ground(home, rooms[0]):
        return f"From {names} no hall leads outside, and there is no escape window."
    height = home.height_above_ground(rooms[0])
    where = f"{metres(abs(height))} {'above' if height > 0 else 'below'} the ground"
    weak = _weak_doors(
        home, frozenset(hall for room in rooms for hall in halls_of(home, room)), minutes
    )
    return f"From {names}, {where}, there is neither an escape window nor a way out behind fire doors{weak}."


def _weak_doors(home: Survey, halls: frozenset[str], minutes: float) -> str:
    """The doors that leave a hall open to fire, in words, where most of it are fire doors."""
    doors = [door for _, door, _, _ in doors_onto(home, halls_from(home, halls, minutes))]
    weak = [f"'{door.name}' {rated(door)}" for door in doors if not holds_back(door, minutes)]
    return f": {listed(weak)}" if 0 < 2 * len(weak) < len(doors) else ""


@rule_by(
    "fire", "escape-window-area", "escape-window-least",
    identifier="fire.escape-window-size", says="An escape window opens wide enough to climb through.",
)  # fmt: skip
def escape_windows_are_wide(home: Survey, table: Table) -> Iterator[Problem]:
    area, least = table.number("escape-window-area"), table.number("escape-window-least")
    for name, window in _opening_escape_windows(home):
        width, height = window.clear_width, window.clear_height
        if width is None or height is None:
            continue
        clear = round(width * height, 4)
        if clear < area or under(width, least) or under(height, least):
            yield Problem(
                ("windows", name, "clear_width"),
                f"'{window.name}' opens {metres(width)} by {metres(height)}, {clear:.3f} m².",
                f"An escape window opens {least:.2f} m each way at least, and {area:.2f} m².",
            )


@rule_by(
    "fire", "escape-window-sill",
    identifier="fire.escape-window-sill", says="The sill of an escape window is low enough to climb over.",
)  # fmt: skip
def escape_windows_are_low(home: Survey, table: Table) -> Iterator[Problem]:
    most = table.number("escape-window-sill")
    for name, window in _opening_escape_windows(home):
        if window.sill is not None and over(window.sill, most):
            yield Problem(
                ("windows", name, "sill"),
                f"The sill of '{window.name}' is {metres(window.sill)} above the floor.",
                f"An escape window opens {metres(most)} above the floor or lower.",
            )


@rule_by(
    "fire", "escape-window-area", "escape-window-sill",
    identifier="fire.escape-window-unmeasured",
    says="The clear opening and the sill of an escape window are recorded.",
)  # fmt: skip
def escape_windows_are_measured(home: Survey, _: Table) -> Iterator[Problem]:
    for name, window in _opening_escape_windows(home):
        fields = ("clear_width", "clear_height", "sill")
        lacks = [field for field in fields if getattr(window, field) is None]
        if lacks:
            yield Problem(
                ("windows", name),
                f"'{window.name}' is an escape window, and lacks {quoted(lacks)}.",
                f"Add {quoted(lacks)}, in metres.",
            )


def _opening_escape_windows(home: Survey) -> Iterator[tuple[str, Window]]:
    for name, window in home.home.windows.items():
        if window.escape and window.kind != "fixed":
            yield name, window


_DEADLY_DROP = 4.5
"""Metres of a floor above the ground from which nobody climbs out (Approved Document B, Volume 1 (England, 2019
edition), paragraphs 2.4 and 2.5; for the other nations common practice)."""


@rule(
    "fire.escape-window-too-high", "An escape window is low enough above the ground.",
    severity=Severity.ERROR,
    basis="common practice: nobody is told to climb out of a floor more than 4.5 m above the ground",
)  # fmt: skip
def escape_windows_are_near_the_ground(home: Survey) -> Iterator[Problem]:
    for name, window in home.home.windows.items():
        height = home.height_above_ground(window.room)
        if window.escape and over(height, _DEADLY_DROP):
            yield Problem(
                ("windows", name, "escape"),
                f"'{window.name}' is an escape window on a floor {metres(height)} above the ground.",
                f"Above {metres(_DEADLY_DROP)} nobody climbs out: take out 'escape', and keep the stair safe.",
            )


@rule(
    "fire.escape-window-fixed", "An escape window opens.", severity=Severity.ERROR,
    basis="common practice: nobody climbs out of a window that does not open",
)  # fmt: skip
def escape_windows_open(home: Survey) -> Iterator[Problem]:
    for name, window in home.home.windows.items():
        if window.escape and window.kind == "fixed":
            yield Problem(
                ("windows", name, "kind"),
                f"'{window.name}' is an escape window, and does not open.",
                "Correct its 'kind', or take out 'escape'.",
            )


@rule_by(
    "fire", "protected-stair-above",
    identifier="fire.inner-room",
    says="A room that is reached through another room has a way out of its own.",
)  # fmt: skip
def inner_rooms_have_a_window(home: Survey, table: Table) -> Iterator[Problem]:
    above = table.number("protected-stair-above")
    for room in sorted(home.habitable, key=lambda each: not home.kind_of_room(each).sleeping):
        height = home.height_above_ground(room)
        reached = f"'{name_of(home, room)}' is reached only through {_through(home, room)}"
        if passed_through(home, room) and over(height, above):
            wrong = f"{reached}, and is {metres(height)} above the ground."
            yield Problem(("rooms", room), wrong, "Give it a door to a hall or landing.")
        elif passed_through(home, room) and not _can_climb_out(home, room):
            wrong = f"{reached}, and has no escape window."
            right = "Give it an escape window, or a door to a hall or landing."
            yield Problem(("rooms", room), wrong, right)


def _through(home: Survey, room: str) -> str:
    return quoted(name_of(home, each) for each in passed_through(home, room))


@rule(
    "fire.escape-through-kitchen", "The way out from the bedrooms does not lead through the kitchen.",
    severity=Severity.NOTE,
    basis="common practice: most fires in homes start in the kitchen",
)  # fmt: skip
def the_way_out_avoids_the_kitchen(home: Survey) -> Iterator[Problem]:
    kitchens = [name for name, _ in home.inside() if is_kitchen(home, name)]
    caught = [room for room in home.bedrooms if _only_through(home, room, frozenset(kitchens))]
    if caught:
        yield Problem(
            ("rooms", kitchens[0]),
            f"The way out from {quoted(name_of(home, room) for room in caught)} leads through"
            f" {quoted(name_of(home, room) for room in kitchens)}.",
            "Consider another way; each of these rooms keeps an escape window.",
        )


def _only_through(home: Survey, room: str, kitchens: frozenset[str]) -> bool:
    """Whether a bedroom with an escape window reaches a door out, and none without these rooms."""
    every = joined(home, frozenset({room}), lambda *_: True)
    without = joined(home, frozenset({room}), lambda _, other: other not in kitchens)
    return _can_climb_out(home, room) and leads_out(home, every) and not leads_out(home, without)


@dataclass(frozen=True, slots=True)
class Entrance:
    """The one entrance door of a flat, the room behind it, and its place in the plan."""

    door: Door
    room: str
    at: tuple[float, float]


@rule_by(
    "fire", "protected-stair-above", "flat-hall-travel", "flat-hall-door-minutes",
    identifier="fire.flat-travel",
    says="In a high flat every room is near the entrance door, or opens off a protected hall.",
)  # fmt: skip
def high_flats_are_short_or_protected(home: Survey, table: Table) -> Iterator[Problem]:
    above, most = table.number("protected-stair-above"), table.number("flat-hall-travel")
    entrance = _only_entrance(home)
    if entrance is None or sprinklered(home) or high_stairs(home, above):
        return
    length, room = _farthest(home, entrance)
    if home.height_above_ground(entrance.room) > above and over(length, most):
        far = f"From '{entrance.door.name}' it is {metres(length)} to the far corner of '{name_of(home, room)}'"
        for address, why in _unprotected(home, entrance, most, table):
            right = f"Where it is more than {metres(most)}, every room opens off a hall by a fire door within {metres(most)} of the entrance."
            yield Problem(address, f"{far}, and {why}.", right)


def _only_entrance(home: Survey) -> Entrance | None:
    """The entrance of a flat that has one; none where it has two, or its place is not known."""
    found = [
        Entrance(door, room, door.at)
        for room in home.outlines
        if is_flat(home) and home.kind_of_room(room).inside
        for _, door in ways_out(home, room)
        if door.at is not None
    ]
    return found[0] if len(found) == 1 else None


def _rooms_of(home: Survey, floor: str | None) -> Iterator[str]:
    """The drawn rooms of a storey that people live or cook in."""
    for name, _ in home.inside(floor):
        if name in home.outlines and (home.kind_of_room(name).habitable or is_kitchen(home, name)):
            yield name


def _farthest(home: Survey, entrance: Entrance) -> tuple[float, str]:
    """The far corner that is farthest on foot: metres and its room."""
    lengths = [
        (home.ways.farthest((entrance.room, entrance.at), room), room)
        for room in _rooms_of(home, home.storey_of(entrance.room))
        if home.kind_of_room(room).habitable
    ]
    return max((each for each in lengths if math.isfinite(each[0])), default=(0.0, ""))


def _unprotected(
    home: Survey, entrance: Entrance, most: float, table: Table
) -> Iterator[tuple[tuple[str, ...], str]]:
    """Why no protected hall joins the rooms of a flat: where, and in words."""
    minutes = table.number("flat-hall-door-minutes")
    start = frozenset({entrance.room}) if is_hall(home, entrance.room) else frozenset()
    halls = halls_from(home, start, minutes)
    for room in _rooms_of(home, home.storey_of(entrance.room)):
        if not halls_of(home, room) & halls and not passed_through(home, room):
            yield ("rooms", room), f"'{name_of(home, room)}' opens off no hall"
    for name, door, _, _ in doors_onto(home, halls):
        length = home.ways.to_door((entrance.room, entrance.at), name)
        if not holds_back(door, minutes):
            yield rating_at(name, door), f"'{door.name}' {rated(door)}"
        elif math.isfinite(length) and over(length, most):
            yield ("doors", name, "at"), f"'{door.name}' is {metres(length)} away"


@rule_by(
    "fire", "alternative-escape-above", "protected-stair-above",
    identifier="fire.top-storey-needs-another-way",
    says="A house with two high storeys has sprinklers, or another way out of the top one.",
)  # fmt: skip
def top_storeys_have_another_way(home: Survey, table: Table) -> Iterator[Problem]:
    limit, above = table.number("alternative-escape-above"), table.number("protected-stair-above")
    lived_in = [floor for floor in home.levels if any(home.living(floor))]
    high = [floor for floor in lived_in if over(home.home.floors[floor].above_ground, above)]
    if is_flat(home) or sprinklered(home):
        return
    for floor in high[1:]:
        height = home.home.floors[floor].above_ground
        rooms = frozenset(name for name, _ in home.inside(floor))
        if over(height, limit) and not leads_out(home, rooms):
            yield Problem(
                ("floors", floor, "above_ground"),
                f"'{home.home.floors[floor].name}' is {metres(height)} above the ground, and has one way out.",
                f"Above {metres(limit)} a house has sprinklers or another way out of that floor.",
            )


@rule_by(
    "fire", "escape-window-upper-storeys-to",
    identifier="fire.escape-window-upstairs",
    says="Each living room and bedroom of an upper storey has an escape window, however safe the stair.",
)  # fmt: skip
def upstairs_rooms_have_a_window(home: Survey, table: Table) -> Iterator[Problem]:
    to = table.number("escape-window-upper-storeys-to")
    for room in home.habitable:
        height = home.height_above_ground(room)
        if GROUND < height <= to and not _can_climb_out(home, room):
            yield Problem(
                ("rooms", room),
                f"'{name_of(home, room)}' is {metres(height)} above the ground, and has no escape window.",
                f"Up to {metres(to)} above the ground each living room and bedroom has one.",
            )


@rule_by(
    "fire", "storey-height-for-sprinklers", "sprinklers-every-flat",
    identifier="fire.top-floor-height",
    says="A flat in a high building has sprinklers.",
)  # fmt: skip
def high_flats_have_sprinklers(home: Survey, table: Table) -> Iterator[Problem]:
    limit = table.number("storey-height-for-sprinklers")
    some_flats = table.number("sprinklers-every-flat") == 0
    for floor, each in home.home.floors.items():
        if (
            some_flats
            and is_flat(home)
            and over(each.above_ground, limit)
            and home.home.sprinklers is None
            and not sprinklered(home)
        ):
            yield Problem(
                ("floors", floor, "above_ground"),
                f"'{each.name}' is {metres(each.above_ground)} above the ground, and the flat has no sprinkler valve.",
                f"In a building with a floor above {metres(limit)}, flats have sprinklers: add the valve.",
            )


ESCAPE: tuple[HomeRule, ...] = (
    rooms_have_a_way_out,
    escape_windows_are_wide,
    escape_windows_are_low,
    escape_windows_are_measured,
    upstairs_rooms_have_a_window,
    escape_windows_are_near_the_ground,
    escape_windows_open,
    inner_rooms_have_a_window,
    the_way_out_avoids_the_kitchen,
    high_flats_are_short_or_protected,
    top_storeys_have_another_way,
    high_flats_have_sprinklers,
)
