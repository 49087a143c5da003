"""Smoke and heat alarms: one on each storey, near enough to each door, and where they can work."""

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from shapely import Point

from builder.errors import Severity
from builder.home.survey import Survey
from builder.home.ways import Spot
from builder.model.building import Door
from builder.model.equipment import Equipment
from builder.rules.measures import listed, metres, over, quoted, square_metres, under
from builder.rules.reference import Table
from builder.rules.routes import beyond, is_hall, is_kitchen, joined, name_of, open_plan
from builder.rules.rule import HomeRule, Problem, rule, rule_by

_ON_THE_CEILING = 0.15
"""Metres: an alarm lower than this below the ceiling hangs on a wall (BS 5839-6, from memory)."""
_LOWEST = 0.3
"""Metres below the ceiling at which an alarm on a wall still meets the smoke (the same)."""
_DETECTS = ("smoke-alarm", "heat-alarm")

Alarms = Mapping[str, tuple[str, Spot]]
"""Alarms by id, each with its room and its place in the plan."""


@rule_by(
    "fire", "smoke-alarm-each-storey",
    identifier="fire.smoke-alarm-missing", says="Each storey has a smoke alarm in its hall or landing.",
)  # fmt: skip
def each_storey_has_a_smoke_alarm(home: Survey, _: Table) -> Iterator[Problem]:
    alarmed = {piece.room for _, piece in home.pieces("smoke-alarm")}
    for floor in home.levels:
        watched = _watched(home, floor)
        if watched and not alarmed & set(watched):
            names = quoted(name_of(home, room) for room in watched)
            yield Problem(
                ("rooms", watched[0]),
                f"'{home.home.floors[floor].name}' has no smoke alarm in {names}.",
                "Add one on the ceiling there.",
            )


def _watched(home: Survey, floor: str) -> tuple[str, ...]:
    """The rooms of a storey in which a smoke alarm is wanted: its halls, or else its living rooms.

    A room that no door parts from a hall is part of it.
    """
    own = [name for name, _ in home.inside(floor)]
    starts = [name for name in own if is_hall(home, name)]
    starts = starts or [name for name in own if home.kind_of_room(name).habitable]
    space = {each for start in starts for each in open_plan(home, start)}
    return tuple(starts + [name for name in own if name in space - set(starts)])


@dataclass(frozen=True, slots=True)
class Reach:
    """How far a door, or the far corner of an open room, is on foot from the nearest alarm."""

    metres: float
    to: str
    alarm: str


@rule_by(
    "fire", "alarm-distance-to-habitable-door",
    identifier="fire.alarm-distance",
    says="The door of each living room and bedroom is near an alarm of its own storey.",
)  # fmt: skip
def alarms_are_near_the_doors(home: Survey, table: Table) -> Iterator[Problem]:
    most = table.number("alarm-distance-to-habitable-door")
    yield from _too_far(home, home.habitable, most)


@rule_by(
    "fire", "alarm-to-bedroom-door",
    identifier="fire.alarm-to-bedroom", says="The door of each bedroom is close to an alarm of its own storey.",
)  # fmt: skip
def alarms_are_close_to_bedrooms(home: Survey, table: Table) -> Iterator[Problem]:
    most = table.number("alarm-to-bedroom-door")
    if most > 0:
        yield from _too_far(home, home.bedrooms, most)


@rule_by(
    "fire", "alarm-to-any-point-of-hall",
    identifier="fire.alarm-covers-hall", says="No corner of a hall or landing is far from an alarm of its storey.",
)  # fmt: skip
def alarms_cover_the_halls(home: Survey, table: Table) -> Iterator[Problem]:
    most = table.number("alarm-to-any-point-of-hall")
    for floor in home.levels:
        halls = [room for room, _ in home.inside(floor) if is_hall(home, room)]
        drawn = [room for room in halls if room in home.outlines]
        for reach in (_reach_to_corner(home, _heard(home, floor, room), room) for room in drawn):
            if most > 0 and reach and over(reach.metres, most):
                yield Problem(
                    ("equipment", reach.alarm, "at"),
                    f"From '{reach.alarm}' it is {metres(reach.metres)} to {reach.to}; {metres(most)} is the most.",
                    f"Move '{reach.alarm}' nearer, or add an alarm within {metres(most)}.",
                )


def _too_far(home: Survey, rooms: Collection[str], most: float) -> Iterator[Problem]:
    """What is wrong on each storey with rooms that are farther from an alarm than ``most`` metres."""
    for floor in home.levels:
        far = [each for each in _reaches(home, floor, rooms) if over(each.metres, most)]
        if far:
            far.sort(key=lambda each: -each.metres)
            lengths = listed(f"{metres(each.metres)} to {each.to}" for each in far)
            yield Problem(
                ("equipment", far[0].alarm, "at"),
                f"On foot from the nearest alarm on '{home.home.floors[floor].name}' it is {lengths};"
                f" {metres(most)} is the most.",
                f"Move '{far[0].alarm}' nearer, or add an alarm within {metres(most)}.",
            )


def _reaches(home: Survey, floor: str, rooms: Collection[str]) -> Iterator[Reach]:
    """For each of these rooms of a storey its doors, or its far corner where it is open.

    Nothing where no alarm is there to measure from, or where one has no position.
    """
    for room in rooms:
        if home.storey_of(room) == floor and room in home.outlines:
            doors = _entrances(home, room)
            for name, door in doors:
                alarms = _heard(home, floor, beyond(door, room))
                if reach := _reach_to_door(home, alarms, name, door):
                    yield reach
            if not doors and (reach := _reach_to_corner(home, _heard(home, floor, room), room)):
                yield reach


def _entrances(home: Survey, room: str) -> list[tuple[str, Door]]:
    """The doors that a room is entered by: from halls, else from other rooms; none where it is open."""
    doors = [
        (name, door)
        for name, door in home.doors_of(room)
        if home.kind_of_room(beyond(door, room)).inside
    ]
    if any(door.kind == "opening" for _, door in doors):
        return []
    from_halls = [each for each in doors if is_hall(home, beyond(each[1], room))]
    return from_halls or [each for each in doors if _lived_in(home, beyond(each[1], room))]


def _lived_in(home: Survey, room: str) -> bool:
    return home.kind_of_room(room).habitable or is_kitchen(home, room)


def _heard(home: Survey, floor: str, room: str) -> Alarms:
    """The alarms that watch a room: those of the halls of its storey, and those in its own space.

    Nothing where one of them has no place in the plan, because that one may be the nearest.
    """
    space = {*_watched(home, floor), *open_plan(home, room)}
    found = [each for each in home.pieces(*_DETECTS) if each[1].room in space]
    placed = {
        name: (piece.room, piece.at)
        for name, piece in found
        if piece.at is not None and piece.room in home.outlines
    }
    return placed if len(placed) == len(found) else {}


def _reach_to_door(home: Survey, alarms: Alarms, name: str, door: Door) -> Reach | None:
    lengths = [(home.ways.to_door(spot, name), alarm) for alarm, spot in alarms.items()]
    return _finite(min(lengths, default=(math.inf, "")), f"'{door.name}'")


def _reach_to_corner(home: Survey, alarms: Alarms, room: str) -> Reach | None:
    corners = list(home.outlines[room].exterior.coords)[:-1]
    nearest = [
        min(
            ((home.ways.distance(spot, (room, (x, y))), alarm) for alarm, spot in alarms.items()),
            default=(math.inf, ""),
        )
        for x, y in corners
    ]
    return _finite(max(nearest), f"the far corner of '{name_of(home, room)}'")


def _finite(length: tuple[float, str], to: str) -> Reach | None:
    return Reach(length[0], to, length[1]) if math.isfinite(length[0]) else None


@rule_by(
    "fire", "heat-alarm-open-kitchen",
    identifier="fire.heat-alarm",
    says="A kitchen that is open to the hall, the stair or a living room has a heat alarm.",
)  # fmt: skip
def open_kitchens_have_a_heat_alarm(home: Survey, _: Table) -> Iterator[Problem]:
    for room in _kitchens_without_heat_alarm(home):
        if also := _open_to(home, room):
            yield Problem(
                ("rooms", room),
                f"'{name_of(home, room)}' has no heat alarm, and {also}.",
                "Add a heat alarm on its ceiling.",
            )


def _kitchens_without_heat_alarm(home: Survey) -> Iterator[str]:
    watched = {piece.room for _, piece in home.pieces("heat-alarm")}
    for room, _ in home.inside():
        if is_kitchen(home, room) and room not in watched:
            yield room


def _open_to(home: Survey, kitchen: str) -> str:
    """What no door parts a kitchen from, as words; none where a door parts it from all else."""
    space = joined(home, frozenset({kitchen}), lambda door, _: door.kind == "opening")
    others = [name_of(home, each) for each in home.home.rooms if each in space - {kitchen}]
    if others:
        return f"is open to {quoted(others)}"
    return "is a living or dining room too" if home.kind_of_room(kitchen).habitable else ""


@rule_by(
    "fire", "heat-alarm-each-kitchen",
    identifier="fire.heat-alarm-in-each-kitchen", says="A kitchen has a heat alarm, behind a door too.",
)  # fmt: skip
def each_kitchen_has_a_heat_alarm(home: Survey, table: Table) -> Iterator[Problem]:
    asked = table.number("heat-alarm-each-kitchen") > 0
    for room in _kitchens_without_heat_alarm(home):
        if asked and not _open_to(home, room):
            yield Problem(
                ("rooms", room),
                f"'{name_of(home, room)}' has no heat alarm.",
                "Add one on its ceiling, linked to the smoke alarms.",
            )


@rule_by(
    "fire", "heat-alarm-each-kitchen",
    identifier="fire.kitchen-heat-alarm",
    says="A kitchen behind a door has a heat alarm too, where none is asked for.",
    severity=Severity.NOTE,
)  # fmt: skip
def shut_kitchens_have_a_heat_alarm(home: Survey, table: Table) -> Iterator[Problem]:
    advised = table.number("heat-alarm-each-kitchen") == 0
    for room in _kitchens_without_heat_alarm(home):
        if advised and not _open_to(home, room):
            yield Problem(
                ("rooms", room),
                f"'{name_of(home, room)}' has no heat alarm.",
                "Consider one on its ceiling, linked to the smoke alarms.",
            )


@rule_by(
    "fire", "alarm-from-wall",
    identifier="fire.alarm-near-wall", says="An alarm on a ceiling is clear of the walls.",
)  # fmt: skip
def ceiling_alarms_are_clear_of_walls(home: Survey, table: Table) -> Iterator[Problem]:
    least = table.number("alarm-from-wall")
    for name, piece, drop in _hung(home):
        gap = _from_wall(home, piece)
        if drop <= _ON_THE_CEILING and gap is not None and under(gap, least):
            yield Problem(
                ("equipment", name, "at"),
                f"'{name}' is on the ceiling of '{name_of(home, piece.room)}', {metres(gap)} from a wall.",
                f"Place it {metres(least)} from every wall, or more.",
            )


def _hung(home: Survey) -> Iterator[tuple[str, Equipment, float]]:
    """The alarms whose height is known, with the metres that they hang below the ceiling."""
    for name, piece in home.pieces(*_DETECTS):
        floor = home.storey_of(piece.room)
        if floor is not None and piece.height is not None:
            yield name, piece, round(home.home.floors[floor].room_height - piece.height, 3)


def _from_wall(home: Survey, piece: Equipment) -> float | None:
    """Metres from a piece to the nearest wall of its room, as drawn; none where it is not inside it."""
    outline = home.outlines.get(piece.room)
    if outline is None or piece.at is None or not outline.covers(Point(piece.at)):
        return None
    return outline.exterior.distance(Point(piece.at))


@rule(
    "fire.alarm-too-low", "An alarm hangs where smoke gathers: on the ceiling or just below it.",
    basis="BS 5839-6: 150 to 300 mm below the ceiling for an alarm on a wall (from memory)",
)  # fmt: skip
def alarms_hang_high(home: Survey) -> Iterator[Problem]:
    for name, piece, drop in _hung(home):
        if over(drop, _LOWEST):
            yield Problem(
                ("equipment", name, "height"),
                f"'{name}' hangs {metres(drop)} below the ceiling of '{name_of(home, piece.room)}'.",
                f"Place it on the ceiling, or no more than {metres(_LOWEST)} below it.",
            )


@rule(
    "fire.alarm-not-placed", "Each alarm has a position and a height.", severity=Severity.NOTE,
    basis="house rule: what is not placed cannot be measured",
)  # fmt: skip
def alarms_are_placed(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces(*_DETECTS):
        lacks = [field for field in ("at", "height") if getattr(piece, field) is None]
        if lacks and piece.room in home.outlines:
            yield Problem(
                ("equipment", name),
                f"'{name}' lacks {quoted(lacks)}: nobody can tell what it protects.",
                f"Add {quoted(lacks)}.",
            )


@rule(
    "fire.smoke-alarm-in-a-wet-room-or-kitchen",
    "No smoke alarm hangs where steam or cooking would set it off.",
    basis="common practice: a heat alarm, or none, in kitchens and wet rooms",
)  # fmt: skip
def smoke_alarms_are_away_from_steam(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces("smoke-alarm"):
        kind = home.kind_of_room(piece.room)
        if kind.extract and not kind.habitable and "heat-alarm" not in home.does(piece):
            yield Problem(
                ("equipment", name, "room"),
                f"'{name}' is in '{name_of(home, piece.room)}': steam or cooking sets off a smoke alarm.",
                "Move it to the hall or landing; in a kitchen, use a heat alarm.",
            )


@rule(
    "fire.smoke-alarm-in-a-garage", "No smoke alarm hangs in a garage.",
    basis="common practice: exhaust gas and dust set off a smoke alarm, so a garage has a heat alarm",
)  # fmt: skip
def smoke_alarms_are_out_of_garages(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces("smoke-alarm"):
        if home.is_garage(piece.room) and "heat-alarm" not in home.does(piece):
            yield Problem(
                ("equipment", name, "kind"),
                f"'{name}' is in '{name_of(home, piece.room)}', where exhaust gas sets it off.",
                "Use a heat alarm there.",
            )


_HIGH = 3
"""Storeys from which a large house needs alarms beyond its halls (Approved Document B, Volume 1, 1.7)."""


@rule_by(
    "fire", "large-storey",
    identifier="fire.large-storey",
    says="A house of several storeys has a Grade A alarm system where one of them is large.",
    severity=Severity.NOTE,
)  # fmt: skip
def large_storeys_are_said(home: Survey, table: Table) -> Iterator[Problem]:
    most = table.number("large-storey")
    for floor in home.levels:
        area = sum(
            home.outlines[name].area for name, _ in home.living(floor) if name in home.outlines
        )
        if len(home.levels) > 1 and over(area, most):
            yield Problem(
                ("floors", floor),
                f"'{home.home.floors[floor].name}' has {square_metres(area)}, more than {square_metres(most)}.",
                "Check that the alarms are a Grade A system, with a control panel"
                + (
                    ", of category LD2: alarms in the rooms where fires start as well."
                    if len(home.levels) >= _HIGH
                    else "."
                ),
            )


ALARMS: tuple[HomeRule, ...] = (
    each_storey_has_a_smoke_alarm,
    alarms_are_near_the_doors,
    alarms_are_close_to_bedrooms,
    alarms_cover_the_halls,
    open_kitchens_have_a_heat_alarm,
    each_kitchen_has_a_heat_alarm,
    shut_kitchens_have_a_heat_alarm,
    ceiling_alarms_are_clear_of_walls,
    alarms_hang_high,
    alarms_are_placed,
    smoke_alarms_are_away_from_steam,
    smoke_alarms_are_out_of_garages,
    large_storeys_are_said,
)
