"""Carbon monoxide: an alarm in each room where something burns fuel, near enough to notice."""

import math
from collections.abc import Iterator

from builder.home.survey import Survey
from builder.model.equipment import Equipment
from builder.rules.limits import over, under
from builder.rules.reference import Table
from builder.rules.rule import HomeRule, Problem, rule_by
from builder.rules.telling import metres, quoted


@rule_by(
    "combustion", "alarm-most-distance",
    identifier="carbon-monoxide.alarm-missing",
    says="Each room with an appliance that burns fuel for heat has a carbon monoxide alarm.",
)  # fmt: skip
def every_burning_room_has_an_alarm(home: Survey, _table: Table) -> Iterator[Problem]:
    for room, burning in _burning_rooms(home).items():
        if not any(home.pieces("carbon-monoxide-alarm", room=room)):
            first, name = next(iter(burning)), home.home.rooms[room].name
            burns = "burns" if len(burning) == 1 else "burn"
            yield Problem(
                ("equipment", first),
                f"'{name}' has no carbon monoxide alarm, and {quoted(burning)} {burns} fuel there.",
                f"Add a carbon-monoxide-alarm in '{name}'.",
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
        for name, alarm in home.pieces("carbon-monoxide-alarm", room=room)
        if alarm.at is not None
    }
    nearest = min(alarms, key=lambda name: alarms[name], default=None)
    return nearest, alarms[nearest] if nearest else math.inf


COMBUSTION: tuple[HomeRule, ...] = (every_burning_room_has_an_alarm, alarms_are_near_enough)
