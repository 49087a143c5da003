"""Mistakes in ventilation: rates, fans, units, valves and the vents of windows."""

from shapely.ops import unary_union

from tests.generated_air import (
    BY_AREA,
    BY_BEDROOMS,
    CONTINUOUS,
    FURTHER,
    INTERMITTENT,
    ONE_ROOM,
    ROWS,
)  # fmt: skip
from tests.generated_plans import Data
from tests.generated_rooms import HABITABLE, KITCHENS, WET
from tests.seeded_draft import Draft, Made, Mistake, at, mistake

BY_FANS = ("natural", "intermittent-extract")
BY_UNIT = ("continuous-extract", "heat-recovery")
TOTALS = ("ventilation.total-below-whole-home", "ventilation.out-of-balance")
"""Rules that a unit's valves fall foul of when one of them moves less."""
FILTER = {"filter-every": "6 months"}


def _air(draft: Draft, *systems: str) -> Data:
    air: Data = draft.data["ventilation"]
    draft.need(air["system"] in systems)
    return air


def _valve(draft: Draft, *systems: str, direction: str = "extract") -> tuple[str, Data]:
    valves = _air(draft, *systems)["air_valves"]
    name = draft.pick(
        name for name, valve in valves.items() if valve.get("direction", "extract") == direction
    )
    return name, valves[name]


def _path(valve: str, *field: str) -> str:
    return ".".join(("ventilation", "air_valves", valve, *field))


# Rates ----------------------------------------------------------------------------------------


@mistake("ventilation.missing", "air")
def a_home_without_fresh_air(draft: Draft) -> Made:
    del draft.data["ventilation"]
    return at("house_type")


def _least(draft: Draft) -> float:
    """The least whole-home rate, by Table 1.3 and paragraph 1.24 (see ``generated_air``)."""
    inside = [room for room in draft.drawn() if draft.kind(room) != "garage"]
    area = sum(draft.outline(room).area for room in inside)
    bedrooms = len(draft.of_kind("bedroom"))
    by_bedrooms = BY_BEDROOMS.get(bedrooms, BY_BEDROOMS[5] + FURTHER * (bedrooms - 5))
    return max(ONE_ROOM if len(draft.habitable()) == 1 else by_bedrooms, BY_AREA * area)


@mistake("ventilation.whole-home-rate", "air")
def too_little_air_for_the_home(draft: Draft) -> Made:
    air = _air(draft, *BY_UNIT)
    air["whole_home_rate"] = round(_least(draft) - draft.rng.choice((0.1, 1, 5)) - 0.05, 1)
    return at("ventilation.whole_home_rate")


@mistake("ventilation.whole-home-rate-missing", "air")
def a_rate_that_nobody_measured(draft: Draft) -> Made:
    del _air(draft, *BY_UNIT)["whole_home_rate"]
    return at("ventilation")


@mistake("ventilation.extract-intermittent", "air")
def a_weak_fan(draft: Draft) -> Made:
    name, valve = _valve(draft, *BY_FANS)
    row = ROWS[draft.kind(valve["room"])]
    least = INTERMITTENT["hood" if valve["by"] == "hood" else row]
    valve["rate"] = round(least - draft.rng.choice((0.5, 1, 3)), 1)
    return at(_path(name))


@mistake("ventilation.extract-intermittent", "air", "equipment")
def a_fan_beside_a_hood_that_filters(draft: Draft) -> Made:
    """The fan would do beside a hood that takes air outside; this hood returns it to the room."""
    air = _air(draft, *BY_FANS)
    kitchen = draft.kitchens()[0]
    draft.need(air["air_valves"][kitchen]["by"] == "hood")
    draft.pieces["hood"] |= {"kind": "cooker-hood-recirculating", "facts": dict(FILTER)}
    spot = list(draft.middle(kitchen))
    draft.put("further-fan", "extract-fan", kitchen, "on the ceiling", at=spot)
    air["air_valves"][kitchen] |= {"by": "further-fan", "rate": draft.rng.choice((30, 59))}
    return at(_path(kitchen))


@mistake("ventilation.hood-height", "air")
def a_hood_that_hangs_too_low(draft: Draft) -> Made:
    draft.need(draft.equipment("cooker-hood-extracting") and "hob" in draft.pieces)
    draft.pieces["hob"]["height"] = 0.9
    draft.pieces["hood"]["height"] = draft.rng.choice((1.4, 1.5, 1.54, 1.66, 1.9))
    return at("equipment.hood.height")


@mistake("ventilation.inner-wet-room", "alone")
def an_inner_room_with_a_weak_fan(draft: Draft) -> Made:
    """A room between others, as large as its fan is weak."""
    _air(draft, *BY_FANS)
    room = draft.pick(room for room in draft.of_kind(*WET) if _is_inner(draft, room))
    draft.rooms[room]["area"] = 40
    return at(f"rooms.{room}", also=("heating.two-zones",))


def _is_inner(draft: Draft, room: str) -> bool:
    """Whether every wall of a room is shared with a room of its floor."""
    outline = draft.outline(room)
    others = [
        draft.outline(each) for each in draft.drawn(draft.rooms[room]["floor"]) if each != room
    ]
    return bool(outline.exterior.difference(unary_union(others).buffer(0.01)).length < 0.1)


@mistake("ventilation.extract-continuous", "air")
def a_weak_valve(draft: Draft) -> Made:
    name, valve = _valve(draft, *BY_UNIT)
    least = CONTINUOUS[ROWS[draft.kind(valve["room"])]]
    valve["boost_rate"] = round(least - draft.rng.choice((0.2, 1, 2)), 1)
    valve["rate"] = min(valve["rate"], valve["boost_rate"])
    return at(_path(name), also=TOTALS)


@mistake("ventilation.wet-room-without-extract", "air")
def a_damp_room(draft: Draft) -> Made:
    name, valve = _valve(draft, *BY_FANS, *BY_UNIT)
    del draft.data["ventilation"]["air_valves"][name]
    if draft.pieces[valve["by"]]["kind"] in ("extract-fan", "cooker-hood-extracting"):
        del draft.pieces[valve["by"]]
    return at(f"rooms.{valve['room']}", also=TOTALS)


@mistake("ventilation.recirculating-hood-counted", "air")
def a_hood_that_only_filters(draft: Draft) -> Made:
    kitchen = draft.kitchens()[0]
    draft.need(_air(draft, *BY_FANS)["air_valves"][kitchen]["by"] == "hood")
    draft.pieces["hood"] |= {"kind": "cooker-hood-recirculating", "facts": dict(FILTER)}
    return at(_path(kitchen, "by"), also=("ventilation.wet-room-without-extract",))


@mistake("ventilation.moved-by", "air")
def a_valve_that_an_oven_works(draft: Draft) -> Made:
    name, valve = _valve(draft, *BY_FANS, *BY_UNIT)
    valve["by"] = "oven"
    return at(_path(name, "by"), also=("ventilation.wet-room-without-extract", *TOTALS))


@mistake("ventilation.supply-missing", "air")
def a_bedroom_without_fresh_air(draft: Draft) -> Made:
    name, valve = _valve(draft, "heat-recovery", direction="supply")
    draft.need(draft.kind(valve["room"]) not in KITCHENS)
    del draft.data["ventilation"]["air_valves"][name]
    return at(f"rooms.{valve['room']}", also=("ventilation.out-of-balance",))


@mistake("ventilation.supply-direction", "air")
def a_fan_that_blows_in(draft: Draft) -> Made:
    name, valve = _valve(draft, *BY_FANS, "continuous-extract")
    valve["direction"] = "supply"
    also = (*TOTALS, "ventilation.wet-room-without-extract")
    return at(_path(name, "direction"), also=also)


@mistake("ventilation.direction-unsaid", "air")
def a_valve_of_which_nobody_knows_the_way(draft: Draft) -> Made:
    name, valve = _valve(draft, "heat-recovery", direction="extract")
    del valve["direction"]
    return at(_path(name))


@mistake("ventilation.out-of-balance", "air")
def less_air_in_than_out(draft: Draft) -> Made:
    share = draft.rng.choice((0.84, 0.8, 0.5))
    for valve in _air(draft, "heat-recovery")["air_valves"].values():
        if valve.get("direction") == "supply":
            valve["rate"] = round(valve["rate"] * share - 0.05, 1)
    return at("ventilation.air_valves")


@mistake("ventilation.total-below-whole-home", "air")
def valves_that_do_not_add_up(draft: Draft) -> Made:
    air = _air(draft, *BY_UNIT)
    air["whole_home_rate"] = round(air["whole_home_rate"] + draft.rng.choice((0.1, 1, 8)), 1)
    return at("ventilation.whole_home_rate")


@mistake("ventilation.boost-below-normal", "air")
def a_boost_that_slows_the_air(draft: Draft) -> Made:
    name, valve = _valve(draft, *BY_UNIT, direction=draft.rng.choice(("extract", "supply")))
    valve["boost_rate"] = round(valve["rate"] - 0.1, 1)
    return at(_path(name, "boost_rate"), also=("ventilation.extract-continuous",))


# Kit ------------------------------------------------------------------------------------------


@mistake("ventilation.unit-missing", "air")
def a_system_without_its_unit(draft: Draft) -> Made:
    air = _air(draft, *BY_UNIT)
    del air["unit"], air["air_valves"]
    also = ("ventilation.wet-room-without-extract", "ventilation.supply-missing")
    return at("ventilation", also=also)


@mistake("ventilation.unit-of-another-system", "air")
def the_unit_of_the_other_system(draft: Draft) -> Made:
    recovers = _air(draft, *BY_UNIT)["system"] == "heat-recovery"
    kind = "continuous-extract-unit" if recovers else "heat-recovery-unit"
    draft.pieces["ventilation-unit"]["kind"] = kind
    return at("ventilation.unit")


@mistake("ventilation.two-systems", "air")
def two_systems_in_one_home(draft: Draft) -> Made:
    recovers = _air(draft, *BY_FANS, *BY_UNIT)["system"] == "heat-recovery"
    kind = "continuous-extract-unit" if recovers else "heat-recovery-unit"
    room = draft.pick(draft.of_kind("hall"))
    spot = list(draft.middle(room))
    draft.put("further-unit", kind, room, "over the hatch", at=spot, height=2.0, facts=dict(FILTER))
    return at("equipment.further-unit")


@mistake("ventilation.boost-switch", "air")
def a_unit_that_nobody_boosts(draft: Draft) -> Made:
    _air(draft, *BY_UNIT)
    del draft.pieces["boost-switch"]
    return at("ventilation")


@mistake("ventilation.filter-interval", "air")
def a_filter_that_nobody_changes(draft: Draft) -> Made:
    name = draft.pick(draft.equipment("continuous-extract-unit", "cooker-hood-recirculating"))
    del draft.pieces[name]["facts"]
    return at(f"equipment.{name}")


@mistake("ventilation.no-opening-window", "air", "falling", "openings")
def a_room_with_fixed_windows(draft: Draft) -> Made:
    fit = [
        room
        for room in draft.habitable()
        if not any(draft.windows[name].get("escape") for name in draft.windows_of(room))
        and not {"outside", "corridor"} & set(draft.others(room))
    ]
    room = draft.pick(fit)
    for name in draft.windows_of(room):
        draft.windows[name]["kind"] = "fixed"
        draft.windows[name].pop("restrictor", None)
    return at(f"rooms.{room}")


# Vents of windows -----------------------------------------------------------------------------


def _without_vents(draft: Draft, room: str, area: int) -> Made:
    """Leaves a room so much, all of it in its first window."""
    first, *others = draft.windows_of(room)
    draft.windows[first]["background_ventilator"] = area
    for name in others:
        draft.windows[name].pop("background_ventilator", None)
    return at(f"windows.{first}")


@mistake("ventilation.background-area", "air", "openings")
def a_room_with_small_vents(draft: Draft) -> Made:
    _air(draft, *BY_FANS)
    room = draft.pick(draft.of_kind(*HABITABLE, "kitchen", "bathroom", "shower-room"))
    bath = draft.kind(room) in ("bathroom", "shower-room")
    return _without_vents(draft, room, 3900 if bath else draft.rng.choice((4000, 7900)))


@mistake("ventilation.background-continuous", "air", "openings")
def a_bedroom_with_small_vents(draft: Draft) -> Made:
    _air(draft, "continuous-extract")
    room = draft.pick(room for room in draft.habitable() if draft.kind(room) not in KITCHENS)
    return _without_vents(draft, room, draft.rng.choice((2500, 3999)))


@mistake("ventilation.background-with-heat-recovery", "air", "openings")
def a_vent_beside_heat_recovery(draft: Draft) -> Made:
    _air(draft, "heat-recovery")
    name = draft.pick(draft.windows)
    draft.windows[name]["background_ventilator"] = 4000
    return at(f"windows.{name}.background_ventilator")


@mistake("ventilation.background-in-wet-room", "air", "openings")
def a_vent_beside_a_fan_that_never_stops(draft: Draft) -> Made:
    _air(draft, "continuous-extract")
    wet = [room for room in draft.of_kind(*WET) if draft.kind(room) not in HABITABLE]
    name = draft.pick(draft.windows_of(*wet))
    draft.windows[name]["background_ventilator"] = 4000
    return at(f"windows.{name}.background_ventilator")


AIR: tuple[Mistake, ...] = (
    a_home_without_fresh_air, too_little_air_for_the_home, a_rate_that_nobody_measured, a_weak_fan,
    a_fan_beside_a_hood_that_filters, a_weak_valve, a_damp_room, a_hood_that_only_filters,
    a_valve_that_an_oven_works, a_bedroom_without_fresh_air, a_fan_that_blows_in,
    a_valve_of_which_nobody_knows_the_way, less_air_in_than_out, valves_that_do_not_add_up, a_boost_that_slows_the_air,
    a_system_without_its_unit, the_unit_of_the_other_system, two_systems_in_one_home,
    a_unit_that_nobody_boosts, a_filter_that_nobody_changes, a_room_with_fixed_windows,
    a_room_with_small_vents, a_bedroom_with_small_vents, a_vent_beside_heat_recovery,
    a_vent_beside_a_fan_that_never_stops, a_hood_that_hangs_too_low, an_inner_room_with_a_weak_fan,
)  # fmt: skip
