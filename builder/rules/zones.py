"""Heating zones: each heated room in one of them, each with a thermostat that can feel its heat."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.model.services import Emitter
from builder.rules.measures import quoted
from builder.rules.reference import Table
from builder.rules.rule import HomeRule, Problem, rule, rule_by

_ZONES = (
    "common practice: each heated room belongs to one zone, so that one thermostat answers for it"
)
_THERMOSTATS = "common practice: a thermostat stands where it feels the heat of its own zone"


@rule("heating.zones-missing", "A heated home has its heating zones.", basis=_ZONES)
def heated_homes_have_zones(home: Survey) -> Iterator[Problem]:
    heated = [name for name, _ in home.living() if home.heated(name)]
    verb = "is" if len(heated) == 1 else "are"
    if heated and not home.home.zones:
        yield Problem(
            ("house_type",),
            f"{len(heated)} of the rooms {verb} heated, and no heating zone is recorded.",
            "Add 'zones:', each with its rooms, its thermostat and what heats them.",
        )


@rule("heating.room-in-no-zone", "Each heated room is in a heating zone.", basis=_ZONES)
def heated_rooms_are_in_a_zone(home: Survey) -> Iterator[Problem]:
    zoned = {room for zone in home.home.zones.values() for room in zone.rooms}
    for name, room in home.living():
        if home.home.zones and home.heated(name) and name not in zoned:
            yield Problem(
                ("rooms", name),
                f"'{room.name}' is heated and in no heating zone.",
                "Add it to the 'rooms' of a zone, or say 'heated: false'.",
            )


@rule(
    "heating.room-in-two-zones", "No room is in two heating zones.", basis=_ZONES,
    severity=Severity.ERROR,
)  # fmt: skip
def no_room_is_in_two_zones(home: Survey) -> Iterator[Problem]:
    first: dict[str, str] = {}
    for name, zone in home.home.zones.items():
        for room in dict.fromkeys(zone.rooms):
            if room in first:
                yield Problem(
                    ("zones", name, "rooms"),
                    f"'{home.home.rooms[room].name}' is in the zones '{first[room]}' and '{name}'.",
                    "Leave it in the zone whose thermostat turns its heat on.",
                )
            first.setdefault(room, name)


@rule("heating.unheated-room-in-zone", "Each room of a zone is heated.", basis=_ZONES)
def rooms_of_zones_are_heated(home: Survey) -> Iterator[Problem]:
    for name, zone in home.home.zones.items():
        for room in zone.rooms:
            if not home.heated(room):
                yield Problem(
                    ("zones", name, "rooms"),
                    f"'{home.home.rooms[room].name}' is in the zone '{name}' and is not heated.",
                    "Take it out of the zone, or say 'heated: true' of the room.",
                )


@rule("heating.zone-without-thermostat", "Each zone has a thermostat.", basis=_THERMOSTATS)
def zones_have_a_thermostat(home: Survey) -> Iterator[Problem]:
    for name, zone in home.home.zones.items():
        own = [each.control == "own-thermostat" for each in zone.emitters.values()]
        if zone.thermostat is None and not (own and all(own)):
            yield Problem(
                ("zones", name),
                f"The zone '{zone.name}' has no thermostat.",
                "Add 'thermostat:', the room thermostat that turns its heat on.",
            )


@rule("heating.thermostat-kind", "The thermostat of a zone is one.", basis=_THERMOSTATS)
def thermostats_are_thermostats(home: Survey) -> Iterator[Problem]:
    for name, zone in home.home.zones.items():
        if zone.thermostat and "room-thermostat" not in home.does(
            home.home.equipment[zone.thermostat]
        ):
            yield Problem(
                ("zones", name, "thermostat"),
                f"'{zone.thermostat}' is of kind {home.home.equipment[zone.thermostat].kind}, and no thermostat.",
                "Name a room thermostat, or give its kind 'counts_as: [room-thermostat]'.",
            )


@rule(
    "heating.thermostat-outside-its-zone", "A zone's thermostat is in a room of the zone.",
    basis=_THERMOSTATS, severity=Severity.ERROR,
)  # fmt: skip
def thermostats_are_in_their_zone(home: Survey) -> Iterator[Problem]:
    for name, zone in home.home.zones.items():
        piece = home.home.equipment[zone.thermostat] if zone.thermostat else None
        if piece is not None and piece.room not in zone.rooms:
            room = home.home.rooms[piece.room].name
            yield Problem(
                ("zones", name, "thermostat"),
                f"'{zone.thermostat}' is in '{room}', which is not in the zone '{zone.name}'.",
                "Name the thermostat that is in one of its rooms, or correct where it is.",
            )


@rule("heating.thermostat-twice", "A thermostat belongs to one zone.", basis=_THERMOSTATS)
def thermostats_belong_to_one_zone(home: Survey) -> Iterator[Problem]:
    first: dict[str, str] = {}
    for name, zone in home.home.zones.items():
        if zone.thermostat in first:
            yield Problem(
                ("zones", name, "thermostat"),
                f"'{zone.thermostat}' is the thermostat of the zones '{first[zone.thermostat]}' and '{name}'.",
                "Make the two one zone, or name the thermostat of each.",
            )
        if zone.thermostat:
            first.setdefault(zone.thermostat, name)


@rule("heating.thermostat-idle", "Each room thermostat belongs to a zone.", basis=_THERMOSTATS)
def thermostats_are_used(home: Survey) -> Iterator[Problem]:
    used = {zone.thermostat for zone in home.home.zones.values()}
    for name, piece in home.pieces("room-thermostat"):
        if home.home.zones and name not in used:
            yield Problem(
                ("equipment", name),
                f"No zone names '{name}' in '{home.home.rooms[piece.room].name}' as its thermostat.",
                "Name it under 'thermostat' of its zone, or take it out.",
            )


@rule(
    "heating.valve-beside-thermostat",
    "No radiator in a thermostat's room has a valve of its own that closes before it.",
    basis="common practice: the valve would close first, and the thermostat would call for heat without end",
)  # fmt: skip
def no_valve_works_against_a_thermostat(home: Survey) -> Iterator[Problem]:
    for name, zone in home.home.zones.items():
        piece = home.home.equipment[zone.thermostat] if zone.thermostat else None
        for emitter, each in zone.emitters.items():
            beside = piece is not None and each.room == piece.room
            if beside and each.control == "thermostatic-valve":
                room = home.home.rooms[each.room].name
                yield Problem(
                    ("zones", name, "emitters", emitter, "control"),
                    f"'{emitter}' has a thermostatic valve in '{room}', beside '{zone.thermostat}'.",
                    "Write 'control: none', and have the valve taken off, or move the thermostat.",
                )


@rule(
    "heating.emitter-outside-its-zone", "What heats a zone is in one of its rooms.", basis=_ZONES,
    severity=Severity.ERROR,
)  # fmt: skip
def emitters_are_in_their_zone(home: Survey) -> Iterator[Problem]:
    for name, zone in home.home.zones.items():
        for emitter, each in zone.emitters.items():
            if each.room not in zone.rooms:
                room = home.home.rooms[each.room].name
                yield Problem(
                    ("zones", name, "emitters", emitter, "room"),
                    f"'{emitter}' is in '{room}', which is not in the zone '{zone.name}'.",
                    "Put it under the zone of its room, or correct its room.",
                )


@rule(
    "heating.room-without-emitter", "Each room of a zone has something that heats it.",
    basis=_ZONES, severity=Severity.NOTE,
)  # fmt: skip
def rooms_of_zones_have_heat(home: Survey) -> Iterator[Problem]:
    warm = {each.room for each in _emitters(home)}
    for name, zone in home.home.zones.items():
        without = [home.home.rooms[each].name for each in zone.rooms if each not in warm]
        if without and zone.emitters:
            yield Problem(
                ("zones", name, "emitters"),
                f"Nothing heats {quoted(without)} in the zone '{zone.name}'.",
                "Add what heats it under 'emitters', or say 'heated: false' of the room.",
            )


def _emitters(home: Survey) -> Iterator[Emitter]:
    for zone in home.home.zones.values():
        yield from zone.emitters.values()


@rule_by(
    "energy", "two-zones-from",
    identifier="heating.two-zones",
    says="A large home has two heating zones or more.",
)  # fmt: skip
def large_homes_have_two_zones(home: Survey, table: Table) -> Iterator[Problem]:
    least = table.number("two-zones-from")
    if len(home.home.zones) == 1 and round(home.floor_area, 2) >= least:
        yield Problem(
            ("zones", next(iter(home.home.zones))),
            f"The home has {home.floor_area:.1f} m² and one heating zone; from {least:g} m² it needs two.",
            "Divide it, for instance into living rooms and bedrooms, each with its thermostat.",
        )


ZONES: tuple[HomeRule, ...] = (
    heated_homes_have_zones,
    heated_rooms_are_in_a_zone,
    no_room_is_in_two_zones,
    rooms_of_zones_are_heated,
    zones_have_a_thermostat,
    thermostats_are_thermostats,
    thermostats_are_in_their_zone,
    thermostats_belong_to_one_zone,
    thermostats_are_used,
    no_valve_works_against_a_thermostat,
    emitters_are_in_their_zone,
    rooms_of_zones_have_heat,
    large_homes_have_two_zones,
)
