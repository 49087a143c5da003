"""Mistakes in water and electricity."""

import copy

from shapely import Point

from tests.generated_rooms import HABITABLE
from tests.seeded_draft import HALLS, HOUSES, Draft, Made, Mistake, at, mistake
from tests.seeded_plan import BY_AREA

# Water ----------------------------------------------------------------------------------------


@mistake("water.outside-tap-valve", "water", forms=HOUSES)
def an_outside_tap_that_cannot_be_drained(draft: Draft) -> Made:
    tap = draft.pick(draft.equipment("outside-tap"))
    del draft.pieces[f"{tap}-valve"]
    return at(f"equipment.{tap}")


@mistake("water.appliance-valve", "water")
def a_machine_without_its_valve(draft: Draft) -> Made:
    name = draft.pick(name for name in ("dishwasher", "washing-machine") if name in draft.pieces)
    del draft.pieces[f"{name}-valve"]
    return at("equipment.dishwasher", "equipment.washing-machine")


@mistake("water.toilet-valve", "water")
def a_toilet_without_its_valve(draft: Draft) -> Made:
    name = draft.pick(draft.equipment("toilet"))
    del draft.pieces[f"{name}-valve"]
    return at(f"equipment.{name}")


@mistake("water.boiling-tap-valve", "water")
def a_boiling_tap_without_a_valve(draft: Draft) -> Made:
    tap = draft.pick(draft.equipment("boiling-tap"))
    room = draft.pieces[tap]["room"]
    for name in draft.equipment("isolating-valve"):
        if draft.pieces[name]["room"] == room:
            del draft.pieces[name]
    return at(f"equipment.{tap}")


@mistake("water.room-without-isolation", "water", "equipment", forms=HOUSES)
def a_kitchen_from_which_nothing_stops_the_water(draft: Draft) -> Made:
    """The stopcock is in a garage that stands apart, and the kitchen has no valve."""
    draft.need(draft.data.get("garage", {}).get("kind") == "detached")
    draft.pieces["stopcock"] |= {"room": "garage", "at": list(draft.middle("garage"))}
    for name in draft.equipment("isolating-valve", "boiling-tap"):
        if draft.pieces[name]["room"] in draft.kitchens():
            del draft.pieces[name]
    return at(*(f"rooms.{room}" for room in [*draft.kitchens(), "utility"]))


@mistake("water.stopcock-out-of-reach", "water", "equipment")
def a_stopcock_that_needs_a_ladder(draft: Draft) -> Made:
    draft.as_in_its_layer("stopcock")
    draft.pieces["stopcock"]["height"] = draft.rng.choice((1.81, 2.0, 2.2))
    return at("equipment.stopcock.height")


@mistake("water.stopcock-out-of-reach", "water", "equipment")
def a_stopcock_in_the_loft(draft: Draft) -> Made:
    draft.need("loft" in draft.rooms)
    draft.pieces["stopcock"]["room"] = "loft"
    del draft.pieces["stopcock"]["at"]
    return at("equipment.stopcock.room", also=("water.room-without-isolation",))


@mistake("water.stopcock-far", "alone")
def a_stopcock_at_the_end_of_a_long_passage(draft: Draft) -> Made:
    """A passage runs on from the end of the hall for 16 m."""
    hall = draft.of_kind(*HALLS)[0]
    left, _, right, back = draft.outline(hall).bounds
    draft.need(back == max(draft.outline(room).bounds[3] for room in draft.drawn("floor-0")))
    outline = [[left, back], [right, back], [right, back + 16], [left, back + 16]]
    draft.rooms["passage"] = {"name": "Passage", "kind": "cupboard", "floor": "floor-0", "outline": outline}  # fmt: skip
    draft.doors["passage-door"] = {
        "name": "Passage door", "between": [hall, "passage"], "opens_into": "passage", "hinge": "left",
        "at": [round((left + right) / 2, 2), back],
    }  # fmt: skip
    draft.need(draft.floor_of(draft.pieces["stopcock"]["room"]) == "floor-0")
    return at("equipment.stopcock.at", also=BY_AREA)


@mistake("water.bath-too-hot", "water")
def a_bath_that_scalds(draft: Draft) -> Made:
    name = draft.pick(draft.equipment("blending-valve"))
    draft.pieces[name]["facts"]["set-at"] = draft.rng.choice((48.5, 50, 60))
    return at(f"equipment.{name}.facts.set-at")


@mistake("water.blending-valve-not-set", "water")
def a_blending_valve_that_nobody_measured(draft: Draft) -> Made:
    name = draft.pick(draft.equipment("blending-valve"))
    del draft.pieces[name]["facts"]
    return at(f"equipment.{name}")


@mistake("water.bath-without-blending", "water")
def a_bath_without_a_blending_valve(draft: Draft) -> Made:
    room = draft.pick(draft.of_kind("bathroom"))
    del draft.pieces[f"{room}-blending-valve"]
    return at(f"rooms.{room}")


@mistake("water.stored-too-cool", "water", "heat")
def a_cylinder_that_breeds_bacteria(draft: Draft) -> Made:
    name = draft.pick(draft.equipment("hot-water-cylinder"))
    draft.pieces[name]["facts"]["stored-at"] = draft.rng.choice((45, 55, 59.5))
    return at(f"equipment.{name}.facts.stored-at")


@mistake("water.two-stopcocks-named-alike", "water", "equipment")
def two_stopcocks_with_one_name(draft: Draft) -> Made:
    kitchen = draft.kitchens()[0]
    spot = list(draft.middle(kitchen))
    draft.put("further-stopcock", "stopcock", kitchen, "behind the plinth", at=spot, height=0.1)
    draft.pieces["stopcock"]["serves"] = "the upper floor"
    draft.pieces["further-stopcock"]["serves"] = "the kitchen"
    return at("equipment.further-stopcock")


# Electricity ----------------------------------------------------------------------------------


@mistake("electricity.consumer-unit-height", "electricity")
def a_consumer_unit_over_the_door(draft: Draft) -> Made:
    draft.pieces["consumer-unit"]["height"] = draft.rng.choice((1.2, 1.34, 1.46, 2.0))
    return at("equipment.consumer-unit.height")


@mistake("electricity.consumer-unit-in-wet-room", "electricity")
def a_consumer_unit_beside_a_shower(draft: Draft) -> Made:
    room = draft.pick(draft.of_kind("bathroom", "shower-room"))
    draft.pieces["consumer-unit"] |= {"room": room, "at": list(draft.middle(room))}
    return at("equipment.consumer-unit.room")


@mistake("electricity.consumer-unit-out-of-reach", "electricity")
def a_consumer_unit_in_the_loft(draft: Draft) -> Made:
    draft.need("loft" in draft.rooms)
    draft.pieces["consumer-unit"]["room"] = "loft"
    del draft.pieces["consumer-unit"]["at"]
    return at("equipment.consumer-unit.room")


@mistake("electricity.switch-serves-nothing", "electricity")
def a_switch_for_nobody_knows_what(draft: Draft) -> Made:
    name = draft.pick(draft.equipment("grid-switch", "fused-spur", "isolator-switch"))
    del draft.pieces[name]["serves"]
    return at(f"equipment.{name}")


@mistake("electricity.switch-height", "electricity", "air")
def a_switch_that_is_too_high(draft: Draft) -> Made:
    name = draft.pick(draft.equipment("boost-switch", "entry-handset"))
    draft.pieces[name]["height"] = draft.rng.choice((0.3, 1.25, 1.6))
    return at(f"equipment.{name}.height")


@mistake("electricity.solar-isolator", "electricity", forms=HOUSES)
def an_inverter_that_cannot_be_cut_off(draft: Draft) -> Made:
    draft.need("solar-isolator" in draft.pieces)
    del draft.pieces["solar-isolator"]
    return at("equipment.solar-inverter")


@mistake("electricity.solar-and-meter", "electricity", "meters", forms=HOUSES)
def an_inverter_without_a_meter(draft: Draft) -> Made:
    draft.need("solar-inverter" in draft.pieces)
    del draft.pieces["electric-meter"]
    del draft.data["utilities"]["electricity"]["meter"]
    return at("equipment.solar-inverter", also=("utilities.without-meter",))


@mistake("generator.indoors", "electricity")
def a_generator_where_people_sleep(draft: Draft) -> Made:
    room = draft.pick(draft.of_kind("bedroom"))
    draft.put("generator", "generator", room, "in the corner", at=list(draft.middle(room)))
    return at("equipment.generator.room")


@mistake("electricity.battery-place", "electricity")
def a_battery_where_people_sleep(draft: Draft) -> Made:
    room = draft.pick(draft.of_kind("bedroom", *HALLS))
    spot = list(draft.middle(room))
    draft.put("further-battery", "home-battery", room, "on the wall", at=spot, height=1.0)
    return at("equipment.further-battery.room")


@mistake("electricity.charger-place", "electricity")
def a_charger_in_the_hall(draft: Draft) -> Made:
    room = draft.pick([*draft.of_kind("hall"), *draft.kitchens()])
    spot = list(draft.middle(room))
    draft.put("further-charger", "car-charger", room, "on the wall", at=spot, height=1.0)
    return at("equipment.further-charger.room")


@mistake("electricity.charger-power", "electricity", forms=HOUSES)
def a_charger_that_is_too_weak(draft: Draft) -> Made:
    draft.put("slow-charger", "car-charger", "outside", "on the wall", facts={"power": 3.6})
    return at("equipment.slow-charger.facts.power")


@mistake("oil.tank-near-the-home", "alone", forms=HOUSES)
def an_oil_tank_beside_the_wall(draft: Draft) -> Made:
    draft.put("oil-tank", "oil-tank", "outside", "beside the home", at=_beside(draft, 1.7))
    return at("equipment.oil-tank.at", also=_NEEDS_OF_A_TANK)


@mistake("lpg.tank-near-the-home", "alone", forms=HOUSES)
def an_lpg_tank_beside_the_wall(draft: Draft) -> Made:
    draft.put("lpg-tank", "lpg-tank", "outside", "beside the home", at=_beside(draft, 2.4))
    return at("equipment.lpg-tank.at", also=_NEEDS_OF_A_TANK)


@mistake("lpg.bottles-near-an-opening", "alone", forms=HOUSES)
def bottles_below_a_window(draft: Draft) -> Made:
    draft.put("bottles", "lpg-bottles", "outside", "below a window", at=_at_a_window(draft))
    return at("equipment.bottles.at", also=_NEEDS_OF_A_TANK)


@mistake("lpg.bottles-near-a-drain", "alone", forms=HOUSES)
def bottles_beside_a_drain(draft: Draft) -> Made:
    draft.put("cover", "drain-chamber", "outside", "in the yard", at=_beside(draft, 20))
    draft.put("bottles", "lpg-bottles", "outside", "in the yard", at=_beside(draft, 21.9))
    return at("equipment.bottles.at", also=_NEEDS_OF_A_TANK)


@mistake("oil.tank-near-private-water", "alone", "water-source")
def an_oil_tank_of_one_wall_and_a_well(draft: Draft) -> Made:
    said = {"shared": False, "treatment": "a filter", "contact": None}
    draft.data["water"] = {"source": draft.pick(["borehole", "well", "spring"]), **said}
    draft.pieces["tank"] = {"kind": "oil-tank", "room": "outside", "place": "behind the home"}
    return at("equipment.tank", also=_NEEDS_OF_A_TANK)


@mistake("drains.tank-near-the-home", "alone", forms=HOUSES)
def a_septic_tank_below_the_window(draft: Draft) -> Made:
    kind = draft.pick(["septic-tank", "cesspool"])
    draft.put(
        "sunk",
        kind,
        "outside",
        "in the lawn",
        at=_at_a_window(draft),
        facts={"emptied-every": "1 year"},
    )
    return at("equipment.sunk.at")


def _at_a_window(draft: Draft) -> list[float]:
    """The place of a window on the ground floor of a room that people live in."""
    ground = {name for name, each in draft.data["floors"].items() if each["level"] == 0}
    placed = [
        each["at"] for each in draft.windows.values()
        if "at" in each and draft.rooms[each["room"]].get("floor") in ground
        and draft.rooms[each["room"]]["kind"] in HABITABLE
    ]  # fmt: skip
    draft.need(bool(placed))
    spot: list[float] = list(draft.pick(placed))
    return spot


def _beside(draft: Draft, metres: float) -> list[float]:
    """A place as far as this from the leftmost corner of the home, on its left."""
    drawn = [draft.rooms[name] for name in draft.inside()]
    outlines = [room["outline"] for room in drawn if "outline" in room]
    x, y = min(tuple(corner) for outline in outlines for corner in outline)
    return [round(x - metres, 2), y]


_NEEDS_OF_A_TANK = (
    "essentials.oil",
    "essentials.gas",
    "gas.supply-without-appliance",
    "fuel.two-gases",
)
"""What else is missing where a tank stands that feeds nothing."""


@mistake("electricity.garage-unit", "electricity", "outside", forms=HOUSES)
def a_garage_that_nothing_cuts_off(draft: Draft) -> Made:
    draft.need(draft.data.get("garage", {}).get("kind") == "detached")
    switches = draft.equipment("garage-consumer-unit", "isolator-switch")
    for name in switches:
        del draft.pieces[name]
    powered = draft.equipment("home-battery", "car-charger")
    draft.need(powered)
    return at(*(f"equipment.{name}" for name in powered))


@mistake("electricity.near-bath", "electricity")
def a_switch_beside_the_shower(draft: Draft) -> Made:
    wet = draft.pick(draft.equipment("shower", "blending-valve"))
    beside = copy.deepcopy(draft.pieces[wet])
    x, y = beside["at"]
    near = [[round(x + dx, 2), y] for dx in (0.59, -0.59, 0.3, -0.3)]
    room = draft.outline(beside["room"])
    spot = draft.pick([each for each in near if room.contains(Point(each))][:1])
    draft.put("shaver-switch", "fused-spur", beside["room"], "beside it", at=spot, height=1.1, serves="The mirror")  # fmt: skip
    return at("equipment.shaver-switch.at")


SUPPLIES: tuple[Mistake, ...] = (
    an_outside_tap_that_cannot_be_drained, a_machine_without_its_valve, a_toilet_without_its_valve,
    a_boiling_tap_without_a_valve, a_kitchen_from_which_nothing_stops_the_water,
    a_stopcock_that_needs_a_ladder, a_stopcock_in_the_loft,
    a_stopcock_at_the_end_of_a_long_passage, a_bath_that_scalds,
    a_blending_valve_that_nobody_measured, a_bath_without_a_blending_valve,
    a_cylinder_that_breeds_bacteria, two_stopcocks_with_one_name, a_consumer_unit_over_the_door,
    a_consumer_unit_beside_a_shower, a_consumer_unit_in_the_loft, a_switch_for_nobody_knows_what,
    a_switch_that_is_too_high, an_inverter_that_cannot_be_cut_off, an_inverter_without_a_meter,
    a_battery_where_people_sleep, a_generator_where_people_sleep, a_charger_in_the_hall, a_charger_that_is_too_weak,
    an_oil_tank_beside_the_wall, an_lpg_tank_beside_the_wall, bottles_below_a_window, bottles_beside_a_drain,
    an_oil_tank_of_one_wall_and_a_well, a_septic_tank_below_the_window, a_garage_that_nothing_cuts_off,
    a_switch_beside_the_shower,
)  # fmt: skip
