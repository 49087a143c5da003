"""Mistakes in what is said of supplies, fuel and the building: something is not said at all."""

from builder.model.equipment import UNWRITTEN
from tests.seeded_draft import FLATS, HOUSES, Draft, Made, Mistake, at, mistake


@mistake("water.source-unsaid", "water-source")
def water_of_which_nobody_says_where_it_comes_from(draft: Draft) -> Made:
    draft.data["water"] = None
    return at("form")


@mistake("drains.unsaid", "drains")
def waste_water_of_which_nobody_says_where_it_goes(draft: Draft) -> Made:
    draft.data["foul_drainage"] = None
    return at("form")


@mistake("tenure.unsaid", "tenure")
def a_home_of_which_nobody_says_how_it_is_owned(draft: Draft) -> Made:
    draft.data["tenure"] = None
    return at("form")


@mistake("fabric.unsaid", "fabric")
def walls_of_which_nobody_says_what_they_are(draft: Draft) -> Made:
    lacking = {"walls": None} if draft.form in HOUSES and draft.chance(0.5) else {"origin": None}
    draft.data["fabric"] = lacking
    return at("form")


@mistake("apartment.building-unsaid", "building", forms=FLATS)
def a_flat_of_which_nobody_says_what_lies_above(draft: Draft) -> Made:
    del draft.data["building"]["homes_above"]
    return at("form")


@mistake("apartment.way-in-unsaid", "building", forms=FLATS)
def a_flat_of_which_nobody_says_how_help_comes_in(draft: Draft) -> Made:
    draft.need(draft.data["building"]["own_entrance"] is False)
    del draft.data["building"][draft.pick(["fire_notice", "help_gets_in"])]
    return at("building")


@mistake("gates.way-in-unsaid", "gates", "building", forms=HOUSES)
def a_gate_in_the_way_of_help(draft: Draft) -> Made:
    draft.data["gates"] = {"yard": {"place": "across the lane", "on_the_way_in": True}}
    return at("gates.yard")


@mistake("gates.by-hand-unsaid", "gates", forms=HOUSES)
def a_gate_that_a_power_cut_shuts(draft: Draft) -> Made:
    draft.data["gates"] = {"yard": {"place": "across the lane", "powered": True}}
    return at("gates.yard")


@mistake("water.private-unsaid", "water-source")
def a_borehole_that_nobody_describes(draft: Draft) -> Made:
    draft.data["water"] = {"source": "borehole", "metered": False, "contact": None}
    return at("water")


@mistake("drains.private-unsaid", "drains")
def a_septic_tank_that_nobody_describes(draft: Draft) -> Made:
    draft.data["foul_drainage"] = {"to": "septic-tank", "contact": None}
    return at("foul_drainage")


@mistake("drains.emptied-twice", "drains", "alone")
def a_septic_tank_that_is_emptied_in_two_rhythms(draft: Draft) -> Made:
    draft.data["foul_drainage"] = {"to": "shared-plant", "emptied": "1 year"}
    tank = {"kind": "septic-tank", "room": "outside", "place": "behind the home"}
    draft.pieces["tank"] = {**tank, "facts": {"emptied-every": "2 years"}}
    return at("foul_drainage.emptied")


@mistake("sprinklers.feed-unsaid", "sprinklers")
def sprinklers_without_a_word_on_their_water(draft: Draft) -> Made:
    draft.need("sprinklers" in draft.data)
    del draft.data["sprinklers"]
    return at("equipment.sprinkler-valve")


@mistake("sprinklers.valve-missing", "sprinklers")
def sprinklers_that_nothing_turns_off(draft: Draft) -> Made:
    draft.need("sprinklers" in draft.data)
    for name in draft.equipment("sprinkler-valve"):
        del draft.pieces[name]
    return at("sprinklers")


@mistake("heating.network-unsaid", "network")
def a_heat_interface_unit_of_nobody(draft: Draft) -> Made:
    draft.need("heat_network" in draft.data)
    del draft.data["heat_network"]
    return at("equipment.heat-interface-unit")


@mistake("fuel.two-gases", "gases")
def a_tank_beside_the_gas_main(draft: Draft) -> Made:
    draft.need(bool(draft.equipment("gas-meter")))
    draft.pieces["tank"] = {"kind": "lpg-tank", "room": "outside", "place": "behind the home"}
    return at(*(f"equipment.{name}" for name in draft.pieces))


@mistake("fuel.unsaid", "fuel", "meters")
def an_appliance_that_burns_nobody_knows_what(draft: Draft) -> Made:
    draft.data.setdefault("kinds", {})["brazier"] = {
        "name": "Brazier", "system": "outside", "what": "Burns something.", "burns_fuel": True,
        "page": False,
    }  # fmt: skip
    draft.pieces["brazier"] = {"kind": "brazier", "room": "outside", "place": "behind the home"}
    return at("equipment.brazier", also={"heating.flue"})


@mistake("supplies.serves-missing", "serves")
def two_stopcocks_that_nobody_tells_apart(draft: Draft) -> Made:
    draft.need("stopcock" in draft.pieces)
    room = draft.pieces["stopcock"]["room"]
    draft.pieces["further-stopcock"] = {"kind": "stopcock", "name": "Second stopcock", "room": room, "place": "beside the first", "height": 0.4}  # fmt: skip
    return at("equipment.stopcock", "equipment.further-stopcock", also={"equipment.not-placed"})


@mistake("equipment.place-unwritten", "unwritten")
def a_piece_whose_place_nobody_wrote(draft: Draft) -> Made:
    name = draft.pick(name for name, piece in draft.pieces.items() if "place" in piece)
    draft.pieces[name]["place"] = UNWRITTEN
    return at(f"equipment.{name}.place")


@mistake("combustion.fan-beside-open-flue", "open-flue", forms=HOUSES)
def a_fan_beside_an_open_fire(draft: Draft) -> Made:
    for name in ("fire", "fan"):
        draft.need(name not in draft.pieces)
    draft.data.setdefault("kinds", {})["open-hearth"] = {
        "name": "Hearth", "system": "outside", "what": "An open hearth.", "page": False,
        "facts": {"open-flue": {"name": "Takes its air from here", "type": "yes-no"}},
    }  # fmt: skip
    outside = {"room": "outside", "place": "in the summer house"}
    draft.pieces["fire"] = {"kind": "open-hearth", **outside, "facts": {"open-flue": True}}
    draft.pieces["fan"] = {"kind": "cooker-hood-extracting", **outside, "facts": {"rate": 60}}
    return at("equipment.fan")


@mistake("essentials.oil", "oil")
def an_oil_tank_without_a_valve(draft: Draft) -> Made:
    draft.pieces["tank"] = {"kind": "oil-tank", "room": "outside", "place": "behind the home"}
    return at("equipment")


@mistake("oil.tank-without-a-bund", "alone")
def a_large_oil_tank_of_one_wall(draft: Draft) -> Made:
    outside = {"room": "outside", "place": "behind the home"}
    draft.pieces["tank"] = {"kind": "oil-tank", **outside, "facts": {"capacity": 5000}}
    draft.pieces["oil-valve"] = {"kind": "oil-valve", **outside}
    return at("equipment.tank")


@mistake("oil.bund-too-small", "alone")
def a_second_wall_that_holds_too_little(draft: Draft) -> Made:
    outside = {"room": "outside", "place": "behind the home"}
    facts = {"capacity": 1200, "bunded": True, "bund-holds": draft.rng.choice((1200, 1319))}
    draft.pieces["tank"] = {"kind": "oil-tank", **outside, "facts": facts}
    draft.pieces["oil-valve"] = {"kind": "oil-valve", **outside}
    return at("equipment.tank.facts.bund-holds")


@mistake("falling.guard-too-low", "guard")
def a_guard_that_people_fall_over(draft: Draft) -> Made:
    room = draft.pick(draft.inside())
    draft.rooms[room]["guard"] = draft.rng.choice((0.5, 0.89))
    return at(f"rooms.{room}.guard")


@mistake("windows.handle-far", "alone")
def a_handle_that_people_lean_out_for(draft: Draft) -> Made:
    editions = draft.data.get("development", {}).get("editions", {}) | {"falling": "2021"}
    draft.data["development"] = draft.data.get("development", {}) | {"editions": editions}
    for window in draft.windows.values():
        draft.need(window.get("restrictor") or window.get("kind") == "fixed" or window.get("sill", 2) >= 1.1)  # fmt: skip
    name = draft.pick(draft.windows)
    draft.windows[name]["handle_reach"] = draft.rng.choice((0.66, 1.2))
    return at(f"windows.{name}.handle_reach")


@mistake("electricity.outlet-height", "point")
def a_point_that_nobody_reaches(draft: Draft) -> Made:
    room = draft.pick(draft.habitable())
    height = draft.rng.choice((0.1, 0.44, 1.21, 1.5))
    draft.put("point", "data-point", room, "on the wall", at=draft.free_spot(room), height=height)
    return at("equipment.point.height")


@mistake("outside.bins-far", "bins")
def bins_that_are_carried_far(draft: Draft) -> Made:
    store = {"name": "Far store", "kind": "recycling", "place": "down the lane"}
    draft.data.setdefault("stores", {})["far"] = store | {"carry": draft.rng.choice((31, 60))}
    return at("stores.far.carry")


@mistake("nation.not-named", "nation")
def a_site_in_no_nation(draft: Draft) -> Made:
    draft.data["development"] = draft.data.get("development", {}) | {"nation": None}
    return at("development")


@mistake("parts.supply-unsaid", "parts")
def a_part_of_which_nobody_says_what_turns_it_off(draft: Draft) -> Made:
    rooms = [room for room in draft.quiet() if not _in(draft, room, "consumer-unit")]
    draft.data["parts"] = {"annexe": {"name": "Annexe", "rooms": [draft.pick(rooms)]}}
    return at("parts.annexe")


@mistake("parts.smoke-alarm-missing", "parts", "equipment")
def a_part_that_nothing_warns(draft: Draft) -> Made:
    rooms = [room for room in draft.of_kind("bedroom") if not _in(draft, room, "smoke-alarm")]
    own = draft.equipment("consumer-unit", "stopcock")
    draft.data["parts"] = {"annexe": {"name": "Annexe", "rooms": [draft.pick(rooms)], "own": own}}
    return at("parts.annexe")


def _in(draft: Draft, room: str, kind: str) -> bool:
    return any(draft.pieces[name]["room"] == room for name in draft.equipment(kind))


SAID: tuple[Mistake, ...] = (
    water_of_which_nobody_says_where_it_comes_from,
    waste_water_of_which_nobody_says_where_it_goes,
    a_home_of_which_nobody_says_how_it_is_owned,
    walls_of_which_nobody_says_what_they_are,
    a_flat_of_which_nobody_says_what_lies_above,
    a_flat_of_which_nobody_says_how_help_comes_in,
    a_gate_in_the_way_of_help,
    a_gate_that_a_power_cut_shuts,
    a_borehole_that_nobody_describes,
    a_septic_tank_that_nobody_describes,
    a_septic_tank_that_is_emptied_in_two_rhythms,
    sprinklers_without_a_word_on_their_water,
    sprinklers_that_nothing_turns_off,
    a_heat_interface_unit_of_nobody,
    a_tank_beside_the_gas_main,
    an_appliance_that_burns_nobody_knows_what,
    two_stopcocks_that_nobody_tells_apart,
    a_piece_whose_place_nobody_wrote,
    a_fan_beside_an_open_fire,
    an_oil_tank_without_a_valve,
    a_large_oil_tank_of_one_wall,
    a_second_wall_that_holds_too_little,
    a_guard_that_people_fall_over,
    a_handle_that_people_lean_out_for,
    a_point_that_nobody_reaches,
    bins_that_are_carried_far,
    a_site_in_no_nation,
    a_part_of_which_nobody_says_what_turns_it_off,
    a_part_that_nothing_warns,
)
