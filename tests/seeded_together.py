"""Mistakes in what belongs together: zones and valves that are not recorded, gas kit, alarms."""

from shapely import Point

from tests.generated_plans import Data
from tests.seeded_draft import Draft, Made, Mistake, at, mistake

BOILERS = ("gas-combination-boiler", "gas-system-boiler")


@mistake("heating.zones-missing", "heat")
def heating_without_a_zone(draft: Draft) -> Made:
    """The thermostats go with the zones; radiators are part of a zone, so no source is asked for."""
    for zone in draft.data.pop("zones").values():
        del draft.pieces[zone["thermostat"]]
    return at("house_type")


@mistake("ventilation.valves-missing", "air")
def a_unit_whose_valves_nobody_wrote_down(draft: Draft) -> Made:
    air = draft.data["ventilation"]
    draft.need(air.get("unit") and air.get("air_valves"))
    del air["air_valves"]
    return at("ventilation")


@mistake("ventilation.two-systems", "air")
def a_fan_beside_heat_recovery(draft: Draft) -> Made:
    draft.need(draft.data["ventilation"]["system"] == "heat-recovery")
    room = draft.pick(draft.of_kind("bathroom", "shower-room", "toilet"))
    spot = list(draft.middle(room))
    draft.put("further-fan", "extract-fan", room, "on the wall", at=spot, height=2.1)
    return at("equipment.further-fan")


@mistake("gas.valve-beside-meter", "meters")
def a_gas_valve_far_from_its_meter(draft: Draft) -> Made:
    draft.need("gas-meter" in draft.pieces)
    draft.pieces["gas-meter"]["at"] = [-3.0, -3.0]
    away = draft.rng.choice((1.02, 1.5, 4.0))
    draft.pieces["gas-valve"]["at"] = [round(-3.0 - away, 2), -3.0]
    return at("equipment.gas-valve.at")


@mistake("carbon-monoxide.alarm-height", "heat")
def an_alarm_high_on_a_wall(draft: Draft) -> Made:
    alarm = _alarm(draft)
    alarm["height"] = round(draft.ceiling(alarm["room"]) - draft.rng.choice((0.14, 0.12)), 2)
    return at("equipment.carbon-monoxide-alarm.height")


@mistake("carbon-monoxide.alarm-height", "heat")
def an_alarm_on_the_ceiling_beside_a_wall(draft: Draft) -> Made:
    """It hangs on the wall side of its circle: as high as the ceiling, and less than 0.3 m clear."""
    alarm = _alarm(draft)
    room = draft.outline(alarm["room"])
    gap = room.exterior.distance(Point(alarm["at"]))
    draft.need(round(gap, 2) < 0.29)
    alarm["height"] = draft.ceiling(alarm["room"])
    return at("equipment.carbon-monoxide-alarm.at")


def _alarm(draft: Draft) -> Data:
    draft.need("carbon-monoxide-alarm" in draft.pieces)
    alarm: Data = draft.pieces["carbon-monoxide-alarm"]
    return alarm


@mistake("carbon-monoxide.alarm-idle", "heat")
def an_alarm_for_what_nothing_burns(draft: Draft) -> Made:
    draft.need(not draft.equipment(*BOILERS, "gas-hob"))
    room = draft.kitchens()[0]
    spot = list(draft.middle(room))
    draft.put("further-alarm", "carbon-monoxide-alarm", room, "on the wall", at=spot, height=2.1)
    return at("equipment.further-alarm")


TOGETHER: tuple[Mistake, ...] = (
    heating_without_a_zone, a_unit_whose_valves_nobody_wrote_down, a_fan_beside_heat_recovery,
    a_gas_valve_far_from_its_meter, an_alarm_high_on_a_wall, an_alarm_on_the_ceiling_beside_a_wall,
    an_alarm_for_what_nothing_burns,
)  # fmt: skip
