"""Mistakes in heating, gas and what warns of its gases."""

import copy

from shapely import Point

from tests.generated_heat import TWO_ZONES_FROM, UNHEATED
from tests.generated_plans import Data
from tests.seeded_draft import HALLS, Draft, Made, Mistake, at, mistake

BOILERS = ("gas-combination-boiler", "gas-system-boiler")
SEALED = (*BOILERS, "air-source-heat-pump")
SOURCES = (*SEALED, "heat-interface-unit")
WET_ROOMS = ("bathroom", "shower-room")


# Zones ----------------------------------------------------------------------------------------


def _zones(draft: Draft) -> dict[str, Data]:
    zones: dict[str, Data] = draft.data["zones"]
    return zones


def _zone(draft: Draft) -> tuple[str, Data]:
    name = draft.pick(_zones(draft))
    return name, _zones(draft)[name]


def _thermostat_room(draft: Draft, zone: Data) -> str:
    return str(draft.pieces[zone["thermostat"]]["room"])


def _plain_room(draft: Draft, zone: Data) -> str:
    """A room of a zone without its thermostat."""
    return draft.pick(room for room in zone["rooms"] if room != _thermostat_room(draft, zone))


@mistake("heating.room-in-no-zone", "heat")
def a_room_that_no_zone_heats(draft: Draft) -> Made:
    _, zone = _zone(draft)
    room = _plain_room(draft, zone)
    zone["rooms"].remove(room)
    del zone["emitters"][room]
    return at(f"rooms.{room}")


@mistake("heating.room-in-two-zones", "heat")
def a_room_that_two_zones_heat(draft: Draft) -> Made:
    draft.need(len(_zones(draft)) > 1)
    (_, first), (name, second), *_ = _zones(draft).items()
    second["rooms"].append(draft.pick(first["rooms"]))
    return at(f"zones.{name}.rooms")


@mistake("heating.unheated-room-in-zone", "heat")
def a_cold_room_in_a_zone(draft: Draft) -> Made:
    name, zone = _zone(draft)
    zone["rooms"].append(draft.pick(draft.of_kind(*UNHEATED, "loft")))
    return at(f"zones.{name}.rooms", also=("heating.room-without-emitter",))


@mistake("heating.zone-without-thermostat", "heat")
def a_zone_that_nothing_steers(draft: Draft) -> Made:
    name, zone = _zone(draft)
    del draft.pieces[zone.pop("thermostat")]
    return at(f"zones.{name}")


@mistake("heating.thermostat-kind", "heat", "electricity")
def a_switch_for_a_thermostat(draft: Draft) -> Made:
    name, zone = _zone(draft)
    draft.pieces[zone["thermostat"]]["kind"] = "fused-spur"
    return at(f"zones.{name}.thermostat")


@mistake("heating.thermostat-outside-its-zone", "heat")
def a_thermostat_in_another_zone(draft: Draft) -> Made:
    name, zone = _zone(draft)
    room = draft.pick(
        room
        for room in draft.drawn()
        if room not in zone["rooms"] and draft.kind(room) not in WET_ROOMS
    )
    spot = list(draft.middle(room))
    draft.pieces[zone["thermostat"]] |= {"room": room, "at": spot, "place": "on the far wall"}
    return at(f"zones.{name}.thermostat")


@mistake("heating.thermostat-twice", "heat")
def one_thermostat_for_two_zones(draft: Draft) -> Made:
    draft.need(len(_zones(draft)) > 1)
    (_, first), (name, second), *_ = _zones(draft).items()
    del draft.pieces[second["thermostat"]]
    second["thermostat"] = first["thermostat"]
    return at(f"zones.{name}.thermostat", also=("heating.thermostat-outside-its-zone",))


@mistake("heating.thermostat-idle", "heat")
def a_thermostat_that_steers_nothing(draft: Draft) -> Made:
    room = draft.pick(draft.of_kind(*HALLS))
    spot = list(draft.middle(room))
    draft.put("further-thermostat", "room-thermostat", room, "on the wall", at=spot, height=1.2)
    return at("equipment.further-thermostat")


@mistake("heating.valve-beside-thermostat", "heat")
def a_valve_that_works_against_its_thermostat(draft: Draft) -> Made:
    name, zone = _zone(draft)
    room = _thermostat_room(draft, zone)
    emitter = zone["emitters"][room]
    draft.need(emitter["kind"] in ("radiator", "towel-rail"))
    emitter["control"] = "thermostatic-valve"
    return at(f"zones.{name}.emitters.{room}.control")


@mistake("heating.emitter-outside-its-zone", "heat")
def a_radiator_of_another_zone(draft: Draft) -> Made:
    name, zone = _zone(draft)
    room = _plain_room(draft, zone)
    zone["emitters"][room]["room"] = draft.pick(
        other for other in draft.drawn() if other not in zone["rooms"]
    )
    return at(f"zones.{name}.emitters.{room}.room", also=("heating.room-without-emitter",))


@mistake("heating.room-without-emitter", "heat")
def a_room_that_nothing_warms(draft: Draft) -> Made:
    name, zone = _zone(draft)
    del zone["emitters"][_plain_room(draft, zone)]
    return at(f"zones.{name}.emitters")


@mistake("heating.two-zones", "heat")
def one_zone_for_a_large_home(draft: Draft) -> Made:
    area = sum(draft.outline(room).area for room in draft.drawn() if draft.kind(room) != "garage")
    draft.need(area >= TWO_ZONES_FROM and len(_zones(draft)) > 1)
    (name, first), *others = _zones(draft).items()
    for other, zone in others:
        first["rooms"] += zone["rooms"]
        first["emitters"] |= zone["emitters"]
        del draft.pieces[zone["thermostat"]]
        del _zones(draft)[other]
    return at(f"zones.{name}")


# What makes the heat --------------------------------------------------------------------------


def _source(draft: Draft) -> str:
    return draft.pick(draft.equipment(*SOURCES))


@mistake("heating.source-missing", "heat")
def radiators_that_nothing_heats(draft: Draft) -> Made:
    _source(draft)
    del draft.data["heating"]["source"]
    return at("heating")


@mistake("heating.source-of-no-heat", "heat")
def an_oven_that_heats_the_home(draft: Draft) -> Made:
    draft.data["heating"]["source"] = "oven"
    return at("heating.source")


@mistake("heating.heat-pump-warms-nothing", "heat")
def a_heat_pump_that_warms_no_room(draft: Draft) -> Made:
    draft.need("source" not in draft.data["heating"])
    draft.put("further-pump", "air-source-heat-pump", "outside", "behind the home")
    return at("equipment.further-pump.kind")


@mistake("heating.two-sources", "heat")
def two_things_that_heat_the_home(draft: Draft) -> Made:
    _source(draft)
    hall = draft.of_kind(*HALLS)[0]
    spot = list(draft.middle(hall))
    draft.put("further-source", "heat-interface-unit", hall, "behind a hatch", at=spot, height=1.0)
    return at("equipment.further-source", also={"heating.network-unsaid"})


@mistake("heating.hot-water-missing", "heat")
def hot_water_from_nowhere(draft: Draft) -> Made:
    del draft.data["heating"]["hot_water"]
    return at("heating")


@mistake("heating.no-time-control", "heat")
def heating_that_never_sleeps(draft: Draft) -> Made:
    _source(draft)
    del draft.pieces["programmer"]
    return at("heating")


@mistake("heating.cylinder-without-immersion-switch", "heat")
def a_cylinder_that_depends_on_its_source(draft: Draft) -> Made:
    name = draft.pick(draft.equipment("hot-water-cylinder"))
    del draft.pieces["immersion-switch"]
    return at(f"equipment.{name}")


@mistake("heating.flue", "heat")
def a_boiler_without_a_flue(draft: Draft) -> Made:
    boiler = draft.pick(draft.equipment(*BOILERS))
    del draft.pieces["flue"]
    return at(f"equipment.{boiler}")


@mistake("heating.condensate", "heat")
def a_boiler_that_drains_nowhere(draft: Draft) -> Made:
    boiler = draft.pick(draft.equipment(*BOILERS))
    del draft.pieces["condensate"]
    return at(f"equipment.{boiler}")


@mistake("heating.pressure-gauge", "heat")
def a_sealed_system_without_a_gauge(draft: Draft) -> Made:
    """The filling loop of the builder standard has a gauge of its own, so both are gone."""
    source = draft.pick(draft.equipment(*SEALED))
    del draft.pieces["pressure-gauge"], draft.pieces["filling-loop"]
    return at(f"equipment.{source}", also=("heating.filling-loop",))


@mistake("heating.filling-loop", "heat")
def a_sealed_system_that_cannot_be_filled(draft: Draft) -> Made:
    source = draft.pick(draft.equipment(*SEALED))
    del draft.pieces["filling-loop"]
    return at(f"equipment.{source}")


@mistake("heating.manifold", "heat")
def warm_floors_without_a_manifold(draft: Draft) -> Made:
    del draft.pieces[draft.pick(draft.equipment("underfloor-manifold"))]
    return at("zones")


# Gas ------------------------------------------------------------------------------------------


@mistake("gas.appliance-without-supply", "heat", "meters")
def gas_that_comes_from_nowhere(draft: Draft) -> Made:
    burning = draft.equipment(*BOILERS, "gas-hob")
    draft.need(burning)
    del draft.pieces["gas-meter"]
    del draft.data["utilities"]["gas"]
    return at(f"equipment.{burning[0]}")


@mistake("gas.supply-without-appliance", "heat", "meters")
def gas_that_nothing_burns(draft: Draft) -> Made:
    draft.need("gas-meter" not in draft.pieces)
    for kind in ("gas-meter", "gas-emergency-valve"):
        draft.put(kind, kind, "outside", "in the box on the front wall")
    return at("equipment.gas-meter")


@mistake("carbon-monoxide.alarm-missing", "heat")
def a_boiler_without_an_alarm(draft: Draft) -> Made:
    boiler = draft.pick(draft.equipment(*BOILERS))
    del draft.pieces["carbon-monoxide-alarm"]
    return at(f"equipment.{boiler}")


@mistake("carbon-monoxide.alarm-missing", "heat")
def an_alarm_in_the_next_room(draft: Draft) -> Made:
    boiler = draft.pick(draft.equipment(*BOILERS))
    others = [room for room in draft.drawn() if room != draft.pieces[boiler]["room"]]
    room, alarm = draft.pick(others), draft.pieces["carbon-monoxide-alarm"]
    below = draft.ceiling(alarm["room"]) - alarm["height"]
    alarm |= {"room": room, "at": list(draft.middle(room))}
    alarm["height"] = round(draft.ceiling(room) - below, 2)
    return at(f"equipment.{boiler}")


@mistake("carbon-monoxide.alarm-distance", "heat")
def an_alarm_too_near_its_boiler(draft: Draft) -> Made:
    boiler = draft.pieces[draft.pick(draft.equipment(*BOILERS))]
    x, y = boiler["at"]
    gap = draft.rng.choice((0.98, 0.5))
    room = draft.outline(boiler["room"])
    near = [(round(x + gap, 2), y), (round(x - gap, 2), y), (x, round(y + gap, 2)), (x, round(y - gap, 2))]  # fmt: skip
    alarm = copy.deepcopy(draft.pieces["carbon-monoxide-alarm"])
    draft.pieces["carbon-monoxide-alarm"] = alarm
    alarm["at"] = list(draft.pick(spot for spot in near if room.contains(Point(spot))))
    return at("equipment.carbon-monoxide-alarm.at", also=("carbon-monoxide.alarm-height",))


@mistake("carbon-monoxide.alarm-distance", "heat")
def an_alarm_too_far_from_its_boiler(draft: Draft) -> Made:
    boiler = draft.pieces[draft.pick(draft.equipment(*BOILERS))]
    room = draft.outline(boiler["room"])
    corners = draft.rooms[boiler["room"]]["outline"]
    far = [corner for corner in corners if Point(corner).distance(Point(boiler["at"])) > 3.05]
    draft.need(room.area > 0)
    draft.pieces["carbon-monoxide-alarm"]["at"] = list(draft.pick(far))
    return at("equipment.carbon-monoxide-alarm.at", also=("carbon-monoxide.alarm-height",))


CLIMATE: tuple[Mistake, ...] = (
    a_room_that_no_zone_heats, a_room_that_two_zones_heat, a_cold_room_in_a_zone,
    a_zone_that_nothing_steers, a_switch_for_a_thermostat, a_thermostat_in_another_zone,
    one_thermostat_for_two_zones, a_thermostat_that_steers_nothing,
    a_valve_that_works_against_its_thermostat, a_radiator_of_another_zone,
    a_room_that_nothing_warms, one_zone_for_a_large_home, radiators_that_nothing_heats,
    an_oven_that_heats_the_home, two_things_that_heat_the_home, a_heat_pump_that_warms_no_room, hot_water_from_nowhere,
    heating_that_never_sleeps, a_cylinder_that_depends_on_its_source, a_boiler_without_a_flue,
    a_boiler_that_drains_nowhere, a_sealed_system_without_a_gauge,
    a_sealed_system_that_cannot_be_filled, warm_floors_without_a_manifold,
    gas_that_comes_from_nowhere, gas_that_nothing_burns, a_boiler_without_an_alarm,
    an_alarm_in_the_next_room, an_alarm_too_near_its_boiler, an_alarm_too_far_from_its_boiler,
)  # fmt: skip
