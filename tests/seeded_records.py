"""Mistakes in what is recorded beside the plan: garage, garden, flats, people, names and layers."""

import copy

from tests.seeded_draft import FLAT, HOUSES, Draft, Made, Mistake, at, mistake

BUILT = ("integral", "attached", "detached")


def _garage(draft: Draft, *kinds: str) -> dict[str, str]:
    garage: dict[str, str] = draft.data.get("garage") or {}
    draft.need(garage.get("kind") in kinds)
    return garage


@mistake("garage.room-missing", "outside", "fire", "heat")
def a_garage_without_its_room(draft: Draft) -> Made:
    del _garage(draft, *BUILT)["room"]
    return at("garage")


@mistake("garage.stands-apart", "outside", forms=HOUSES)
def a_detached_garage_called_attached(draft: Draft) -> Made:
    _garage(draft, "detached")["kind"] = draft.rng.choice(("attached", "integral"))
    return at("garage.kind")


@mistake("garage.touches-the-home", "outside", "electricity")
def a_garage_of_the_home_called_detached(draft: Draft) -> Made:
    _garage(draft, "attached", "integral")["kind"] = "detached"
    return at("garage.kind")


@mistake("garage.no-main-door", "outside", "openings")
def a_garage_that_no_car_can_enter(draft: Draft) -> Made:
    _garage(draft, *BUILT)
    del draft.doors["garage-main-door"]
    return at("garage")


@mistake("numbers.unit", "outside", forms=HOUSES)
def a_lawn_in_square_feet(draft: Draft) -> Made:
    lawns = draft.data.get("lawns") or {}
    draft.need(lawns)
    name = next(iter(lawns))
    lawns[name]["area"] = draft.rng.randint(6_000, 20_000)
    return at(f"lawns.{name}.area")


@mistake("numbers.impossible", "outside", forms=HOUSES)
def a_lawn_in_square_millimetres(draft: Draft) -> Made:
    lawns = draft.data.get("lawns") or {}
    draft.need(lawns)
    name = next(iter(lawns))
    lawns[name]["area"] = draft.rng.randint(20, 200) * 1_000_000
    return at(f"lawns.{name}.area")


@mistake("numbers.fact-unit", "heat")
def hot_water_in_lukewarm_degrees_fahrenheit(draft: Draft) -> Made:
    cylinders = draft.equipment("hot-water-cylinder")
    draft.need(cylinders)
    draft.pieces[cylinders[0]]["facts"]["stored-at"] = draft.rng.randint(98, 108)
    return at(f"equipment.{cylinders[0]}.facts.stored-at")


@mistake("numbers.impossible-fact", "heat")
def a_cylinder_in_cubic_metres(draft: Draft) -> Made:
    cylinders = draft.equipment("hot-water-cylinder")
    draft.need(cylinders)
    draft.pieces[cylinders[0]]["facts"]["capacity"] = draft.rng.choice((0.15, 0.18, 0.21))
    return at(f"equipment.{cylinders[0]}.facts.capacity")


@mistake("fences.none", "outside", forms=HOUSES)
def a_garden_without_boundaries(draft: Draft) -> Made:
    draft.need("fences" in draft.data)
    del draft.data["fences"]
    return at("lawns")


@mistake("fences.side-unsaid", "outside", forms=HOUSES)
def a_side_that_is_nobodys(draft: Draft) -> Made:
    draft.need("fences" in draft.data)
    del draft.data["fences"][draft.pick(draft.data["fences"])]
    return at("fences")


@mistake("loft.no-hatch", "outside", forms=HOUSES)
def a_loft_that_nobody_gets_into(draft: Draft) -> Made:
    draft.need("loft-hatch" in draft.pieces and "loft" in draft.rooms)
    del draft.pieces["loft-hatch"]
    return at("rooms.loft")


@mistake("fences.side-twice", "outside", forms=HOUSES)
def two_fences_on_one_side(draft: Draft) -> Made:
    draft.need("fences" in draft.data)
    draft.data["fences"]["further"] = {"side": "left", "kind": "Brick wall", "owner": "shared"}
    return at("fences.further")


# Flats ----------------------------------------------------------------------------------------


@mistake("apartment.loft", "outside", forms=FLAT)
def a_flat_with_a_loft(draft: Draft) -> Made:
    draft.need(draft.form == "apartment")
    draft.rooms["loft"] = {"name": "Loft", "kind": "loft", "floor": next(iter(draft.floors))}
    return at("rooms.loft")


@mistake("apartment.garage", "outside", forms=FLAT)
def a_flat_with_a_garage(draft: Draft) -> Made:
    draft.need(draft.form == "apartment")
    draft.data["garage"] = {"kind": "car-port", "place": "in the yard"}
    return at("garage")


@mistake("apartment.garden", "outside", forms=FLAT)
def a_flat_with_a_garden(draft: Draft) -> Made:
    draft.need(draft.form == "apartment")
    draft.data["lawns"] = {"back": {"place": "behind the building"}}
    return at("lawns")


@mistake("apartment.communal-missing", "outside", forms=FLAT)
def a_flat_with_nothing_shared(draft: Draft) -> Made:
    draft.need(draft.form == "apartment")
    del draft.data["communal"]
    return at("form")


@mistake("apartment.refuse-store", "outside", forms=FLAT)
def a_flat_without_a_bin_store(draft: Draft) -> Made:
    draft.need(draft.form == "apartment")
    del draft.data["stores"]
    return at("form")


@mistake("house.communal-door", "outside", "openings", forms=HOUSES)
def a_house_entered_from_a_corridor(draft: Draft) -> Made:
    draft.need(draft.form in ("house", "bungalow"))
    draft.rooms["corridor"] = {"name": "Corridor", "kind": "communal"}
    draft.doors["front-door"]["between"][0] = "corridor"
    return at("doors.front-door.between")


# People, meters, keys, names --------------------------------------------------------------------


@mistake("contacts.no-emergency", "people")
def nobody_for_emergencies(draft: Draft) -> Made:
    names = ("emergency-services", "gas-emergency", "power-cut", "out-of-hours")
    draft.data["contacts"] = {name: {"emergency": False} for name in names}
    return at("contacts")


@mistake("contacts.emergency-without-telephone", "people")
def an_emergency_contact_that_nobody_can_call(draft: Draft) -> Made:
    draft.data["contacts"] = {"out-of-hours": {"telephone": None}}
    return at("contacts.out-of-hours")


@mistake("contacts.no-customer-care", "people")
def nobody_who_mends_faults(draft: Draft) -> Made:
    draft.data["contacts"] = {"customer-care": None}
    draft.data["covers"] = {
        name: {"contact": "out-of-hours"} for name in ("damage-reports", "builder")
    }
    return at("contacts")


@mistake("utilities.without-meter", "meters")
def a_supply_that_nothing_counts(draft: Draft) -> Made:
    name = draft.pick(draft.data["utilities"])
    del draft.data["utilities"][name]["meter"]
    return at(f"utilities.{name}")


@mistake("keys.none", "keys")
def no_keys(draft: Draft) -> Made:
    del draft.data["keys"]
    return at("house_type")


@mistake("finishes.none", "finishes")
def no_finishes(draft: Draft) -> Made:
    del draft.data["finishes"]
    return at("house_type")


@mistake("names.twice", "names")
def two_rooms_with_one_name(draft: Draft) -> Made:
    first, *others = draft.inside()
    room = draft.pick(others)
    draft.rooms[room]["name"] = draft.rooms[first]["name"].upper()
    return at(f"rooms.{room}.name")


@mistake("names.equipment-twice", "equipment")
def two_pieces_that_are_told_apart_by_nothing(draft: Draft) -> Made:
    piece = copy.deepcopy(draft.pieces["grid-switches"])
    draft.pieces["further-switches"] = piece | {"at": list(draft.middle(piece["room"]))}
    return at("equipment.further-switches.place")


# Facts, layers and editions ---------------------------------------------------------------------


@mistake("facts.missing", "air")
def a_unit_without_its_filter_interval(draft: Draft) -> Made:
    name = draft.pick(draft.equipment("heat-recovery-unit"))
    del draft.pieces[name]["facts"]
    return at(f"equipment.{name}")


@mistake("facts.unknown", "facts")
def a_fact_that_its_kind_does_not_know(draft: Draft) -> Made:
    draft.pieces["oven"]["facts"] = {"colour": "White"}
    return at("equipment.oven.facts.colour")


@mistake("facts.type", "water", "heat")
def a_number_written_as_text(draft: Draft) -> Made:
    name = draft.pick(draft.equipment("hot-water-cylinder"))
    draft.pieces[name]["facts"]["capacity"] = "180 litres"
    return at(f"equipment.{name}.facts.capacity")


@mistake("facts.type", "water")
def a_setting_written_as_text(draft: Draft) -> Made:
    name = draft.pick(draft.equipment("blending-valve"))
    draft.pieces[name]["facts"]["set-at"] = "41 degrees"
    return at(f"equipment.{name}.facts.set-at", also=("water.blending-valve-not-set",))


@mistake("options.change-nothing", "layers")
def an_option_with_a_description_alone(draft: Draft) -> Made:
    said = {"name": "Oak floor", "summary": "An oak floor."}
    draft.options["oak"] = {"options": {"oak": said}}
    return at("options.oak")


@mistake("options.change-nothing", "layers", "keys")
def an_option_that_says_what_is_so(draft: Draft) -> Made:
    said = {"name": "Keys", "summary": "Three keys."}
    keys = {"front-door": {"count": 3}}
    draft.options["more-keys"] = {"options": {"more-keys": said}, "keys": keys}
    return at("options.more-keys")


@mistake("departures.repeat-their-layer", "layers")
def a_departure_that_says_what_is_so(draft: Draft) -> Made:
    place = draft.pieces["oven"]["place"]
    draft.departure.setdefault("equipment", {})["oven"] = {"place": place}
    return at("equipment.oven.place")


@mistake("editions.not-named", "alone")
def an_edition_that_nobody_named(draft: Draft) -> Made:
    draft.data["development"] = {"editions": {"falling": None}}
    return at("development")


@mistake("editions.unknown-subject", "alone")
def an_edition_of_what_there_is_not(draft: Draft) -> Made:
    draft.data["development"] = {"editions": {"fires": "2019"}}
    return at("development.editions.fires")


@mistake("editions.no-table", "alone")
def an_edition_of_the_future(draft: Draft) -> Made:
    subject = draft.rng.choice(("fire", "water", "ventilation", "falling"))
    draft.data["development"] = {"editions": {subject: "2093"}}
    return at(f"development.editions.{subject}")


# Supplies that nothing turns off ------------------------------------------------------------------


@mistake("essentials.water", "water", "equipment")
def nothing_turns_off_the_water(draft: Draft) -> Made:
    for name in draft.equipment("stopcock", "external-stop-tap"):
        del draft.pieces[name]
        draft.as_in_its_layer(name)
    return at("equipment", also=("water.room-without-isolation",))


@mistake("essentials.water-outside", "water", "water-source")
def nothing_turns_off_the_water_outside(draft: Draft) -> Made:
    draft.need(draft.pieces["stopcock"]["room"] in draft.inside())
    del draft.pieces["external-stop-tap"]
    return at("water")


@mistake("essentials.electricity", "electricity", "equipment")
def nothing_turns_off_the_electricity(draft: Draft) -> Made:
    del draft.pieces["consumer-unit"]
    return at("equipment")


@mistake("essentials.gas", "heat", "equipment")
def nothing_turns_off_the_gas(draft: Draft) -> Made:
    del draft.pieces[draft.pick(draft.equipment("gas-emergency-valve"))]
    return at("equipment")


RECORDS: tuple[Mistake, ...] = (
    a_lawn_in_square_feet, hot_water_in_lukewarm_degrees_fahrenheit,
    a_lawn_in_square_millimetres,
    a_cylinder_in_cubic_metres,
    a_garage_without_its_room, a_detached_garage_called_attached,
    a_garage_of_the_home_called_detached, a_garage_that_no_car_can_enter,
    a_garden_without_boundaries, a_side_that_is_nobodys, a_loft_that_nobody_gets_into, two_fences_on_one_side, a_flat_with_a_loft, a_flat_with_a_garage,
    a_flat_with_a_garden, a_flat_with_nothing_shared, a_flat_without_a_bin_store,
    a_house_entered_from_a_corridor, nobody_for_emergencies,
    an_emergency_contact_that_nobody_can_call, nobody_who_mends_faults,
    a_supply_that_nothing_counts, no_keys, no_finishes, two_rooms_with_one_name,
    two_pieces_that_are_told_apart_by_nothing, a_unit_without_its_filter_interval,
    a_fact_that_its_kind_does_not_know, a_number_written_as_text, a_setting_written_as_text,
    an_option_with_a_description_alone, an_option_that_says_what_is_so,
    a_departure_that_says_what_is_so, an_edition_that_nobody_named, an_edition_of_what_there_is_not,
    an_edition_of_the_future, nothing_turns_off_the_water, nothing_turns_off_the_water_outside,
    nothing_turns_off_the_electricity, nothing_turns_off_the_gas,
)  # fmt: skip
