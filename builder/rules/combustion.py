"""Carbon monoxide: an alarm in each room where something burns fuel, near enough to notice."""

import math
from collections.abc import Iterator

from shapely import Point

from builder.errors import Severity
from builder.home.survey import Survey
from builder.model.equipment import Equipment
from builder.rules.measures import metres, over, quoted, under
from builder.rules.reference import Table
from builder.rules.rule import HomeRule, Problem, rule, rule_by


def hung(home: Survey, *kinds: str) -> Iterator[tuple[str, Equipment, float]]:
    """The pieces of some kinds whose height is known, with the metres that they hang below the ceiling."""
    for name, piece in home.pieces(*kinds):
        floor = home.storey_of(piece.room)
        if floor is not None and piece.height is not None:
            yield name, piece, round(home.home.floors[floor].room_height - piece.height, 3)


def from_wall(home: Survey, piece: Equipment) -> float | None:
    """Metres from a piece to the nearest wall of its room, as drawn; none where it is not inside it."""
    outline = home.outlines.get(piece.room)
    if outline is None or piece.at is None or not outline.covers(Point(piece.at)):
        return None
    return outline.exterior.distance(Point(piece.at))


_ALARM = "carbon-monoxide-alarm"
_FLUES = ("flue", "passing-flue")
_ON_THE_CEILING = 0.1
"""Metres: an alarm that hangs no lower than its own depth is on the ceiling (common practice)."""


@rule_by(
    "combustion", "alarm-by-fuel", "alarm-for-cooking", "alarm-just-outside",
    identifier="carbon-monoxide.alarm-missing",
    says="Each room with a fixed appliance that burns fuel has a carbon monoxide alarm, as its nation asks.",
)  # fmt: skip
def every_burning_room_has_an_alarm(home: Survey, table: Table) -> Iterator[Problem]:
    for room, burning in _watched(home, table).items():
        outside = _hangs_outside(home, table, room)
        rooms = {room, *_next_to(home, room)} if outside else {room}
        if not any(piece.room in rooms for _, piece in home.pieces(_ALARM)):
            first, name = next(iter(burning)), home.home.rooms[room].name
            burns = "burns" if len(burning) == 1 else "burn"
            yield Problem(
                ("equipment", first),
                f"'{name}' has no carbon monoxide alarm, and {quoted(burning)} {burns} fuel there.",
                f"Add a carbon-monoxide-alarm {'just outside' if outside else 'in'} '{name}'.",
            )


def _hangs_outside(home: Survey, table: Table, room: str) -> bool:
    """Whether the alarm of a room hangs just outside it: of a cupboard, or of a room with steam."""
    kind = home.kind_of_room(room)
    small = {
        "cupboard": not kind.habitable and not kind.extract,
        "bathroom": kind.extract == "bathroom",
    }
    return any(
        small[str(each)] and asked > 0 for each, asked in table.row("alarm-just-outside").items()
    )


def _next_to(home: Survey, room: str) -> Iterator[str]:
    """The rooms inside that the doors of a room lead to."""
    for _, door in home.doors_of(room):
        yield from (each for each in door.between if home.kind_of_room(each).inside)


@rule_by(
    "combustion", "alarm-in-a-room-of-the-flue",
    identifier="carbon-monoxide.flue-room",
    says="A bedroom or living room that a flue passes through has a carbon monoxide alarm, where its nation asks.",
)  # fmt: skip
def rooms_of_flues_have_an_alarm(home: Survey, table: Table) -> Iterator[Problem]:
    asked = table.number("alarm-in-a-room-of-the-flue") > 0
    for name, piece in home.pieces(*_FLUES):
        room = piece.room
        lived_in = home.kind_of_room(room).habitable
        if asked and lived_in and not any(home.pieces(_ALARM, room=room)):
            yield Problem(
                ("equipment", name),
                f"'{name}' passes through '{home.home.rooms[room].name}', which has no carbon monoxide alarm.",
                "Add a carbon-monoxide-alarm there.",
            )


@rule_by(
    "combustion", "alarm-least-distance", "alarm-most-distance",
    identifier="carbon-monoxide.alarm-distance",
    says="A carbon monoxide alarm is neither too near to its appliance nor too far.",
)  # fmt: skip
def alarms_are_near_enough(home: Survey, table: Table) -> Iterator[Problem]:
    least, most = table.number("alarm-least-distance"), table.number("alarm-most-distance")
    for room, burning in _burning_rooms(home).items():
        for name, piece in burning.items():
            alarm, distance = _nearest_alarm(home, room, piece)
            if alarm and (under(distance, least) or over(distance, most)):
                yield Problem(
                    ("equipment", alarm, "at"),
                    f"'{alarm}' is {metres(distance)} from '{name}'; it belongs {least:g} to {most:g} m away.",
                    "Move the alarm, or correct 'at' of the one that is drawn in the wrong place.",
                )


@rule_by(
    "combustion", "alarm-below-ceiling", "alarm-from-wall",
    identifier="carbon-monoxide.alarm-height",
    says="A carbon monoxide alarm on a wall is clear of the ceiling; one on the ceiling of the walls.",
)  # fmt: skip
def alarms_hang_clear(home: Survey, table: Table) -> Iterator[Problem]:
    below, clear = table.number("alarm-below-ceiling"), table.number("alarm-from-wall")
    for name, piece, drop in hung(home, _ALARM):
        gap = from_wall(home, piece)
        if drop > _ON_THE_CEILING and under(drop, below):
            yield Problem(
                ("equipment", name, "height"),
                f"'{name}' is on a wall, {metres(drop)} below the ceiling.",
                f"Have it {metres(below)} below the ceiling or more, or correct 'height'.",
            )
        if drop <= _ON_THE_CEILING and gap is not None and under(gap, clear):
            yield Problem(
                ("equipment", name, "at"),
                f"'{name}' is on the ceiling, {metres(gap)} from a wall.",
                f"Have it {metres(clear)} from every wall or more, or correct 'at'.",
            )


@rule(
    "carbon-monoxide.alarm-idle",
    "A home with a carbon monoxide alarm has something that burns fuel.",
    basis="common practice: a guide that warns of carbon monoxide is for a home that can make it",
    severity=Severity.NOTE,
)  # fmt: skip
def alarms_have_something_to_watch(home: Survey) -> Iterator[Problem]:
    kinds, pieces = home.home.kinds, home.home.equipment
    burns = any(kinds[piece.kind].burns_fuel for piece in pieces.values())
    for name, piece in home.pieces(_ALARM):
        if not burns and not home.does(piece) & {"smoke-alarm", "heat-alarm"}:
            yield Problem(
                ("equipment", name),
                f"'{name}' watches for carbon monoxide, and nothing in this home burns fuel.",
                "Take it out, or add the appliance; an option that removes a boiler removes its alarm.",
            )


def _watched(home: Survey, table: Table) -> dict[str, dict[str, Equipment]]:
    """The inside rooms with appliances that ask for an alarm, and which; all fuels that have no row."""
    fuels, cooking = table.row("alarm-by-fuel"), table.number("alarm-for-cooking") > 0
    rooms: dict[str, dict[str, Equipment]] = {}
    for name, piece in home.home.equipment.items():
        kind = home.home.kinds[piece.kind]
        asked = fuels.get(piece.fuel or kind.fuel or "", 1) > 0 and (cooking or not kind.cooks)
        if kind.burns_fuel and asked and home.kind_of_room(piece.room).inside:
            rooms.setdefault(piece.room, {})[name] = piece
    return rooms


def _burning_rooms(home: Survey) -> dict[str, dict[str, Equipment]]:
    """The inside rooms in which something burns fuel for heat, and what."""
    rooms: dict[str, dict[str, Equipment]] = {}
    for name, piece in home.home.equipment.items():
        kind = home.home.kinds[piece.kind]
        if kind.burns_fuel and not kind.cooks and home.kind_of_room(piece.room).inside:
            rooms.setdefault(piece.room, {})[name] = piece
    return rooms


def _nearest_alarm(home: Survey, room: str, piece: Equipment) -> tuple[str | None, float]:
    """The alarm of a room that is nearest to a piece, and how far it is across the floor."""
    if piece.at is None:
        return None, math.inf
    alarms = {
        name: math.dist(alarm.at, piece.at)
        for name, alarm in home.pieces(_ALARM, room=room)
        if alarm.at is not None
    }
    nearest = min(alarms, key=lambda name: alarms[name], default=None)
    return nearest, alarms[nearest] if nearest else math.inf


@rule(
    "generator.indoors", "No generator stands in a room.",
    basis="Scottish Fire and Rescue Service, web page on power cuts: never in an enclosed space",
)  # fmt: skip
def generators_stand_outside(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces("generator"):
        if home.kind_of_room(piece.room).inside:
            yield Problem(
                ("equipment", name, "room"),
                f"'{name}' is in '{home.home.rooms[piece.room].name}': its fumes kill whoever is indoors.",
                "Put it outside, away from windows. Where it has a sealed flue, waive this by whoever tested that.",
            )


COMBUSTION: tuple[HomeRule, ...] = (
    every_burning_room_has_an_alarm,
    rooms_of_flues_have_an_alarm,
    alarms_are_near_enough,
    alarms_hang_clear,
    alarms_have_something_to_watch,
    generators_stand_outside,
)
