"""Mistakes in fire safety: alarms, fire doors, ways out, and windows that people could fall from."""

import math

from tests.generated_rooms import HABITABLE, HIGH
from tests.seeded_draft import FLAT, FLATS, HALLS, HOUSE, Draft, Made, Mistake, at, mistake
from tests.seeded_plan import BY_AREA

TOO_FAR = 7.6
"""Metres from an alarm to a door: beyond the 7.5 m that are the most."""
WEAK = (None, "FD15", "E15")
"""What a door of a protected stair or flat is not: a fire door of 20 minutes."""


# Alarms ---------------------------------------------------------------------------------------


def _hall_alarm(draft: Draft) -> tuple[str, str]:
    hall = draft.pick(draft.of_kind(*HALLS))
    return hall, f"{hall}-smoke-alarm"


@mistake("fire.smoke-alarm-missing", "alarms")
def a_storey_without_a_smoke_alarm(draft: Draft) -> Made:
    hall, alarm = _hall_alarm(draft)
    del draft.pieces[alarm]
    return at(f"rooms.{hall}")


@mistake("fire.alarm-distance", "alarms", "openings")
def an_alarm_at_the_far_end_of_the_hall(draft: Draft) -> Made:
    """So far that a door of the hall to a living room or bedroom is more than 7.5 m away."""
    hall, alarm = _hall_alarm(draft)
    left, front, right, back = draft.outline(hall).bounds
    doors = [
        draft.doors[name]["at"]
        for room in draft.habitable()
        for name in draft.doors_of(room)
        if hall in draft.doors[name]["between"] and not draft.opens_wide(room)
    ]
    spots = [(round((left + right) / 2, 2), round(y, 2)) for y in (front + 0.3, back - 0.3)]
    far = [spot for spot in spots if any(math.dist(spot, door) > TOO_FAR for door in doors)]
    draft.pieces[alarm]["at"] = list(draft.pick(far))
    return at(f"equipment.{alarm}.at")


@mistake("fire.heat-alarm", "alarms")
def an_open_kitchen_without_a_heat_alarm(draft: Draft) -> Made:
    kitchens = draft.kitchens()
    kitchen = draft.pick(
        room for room in kitchens if draft.kind(room) != "kitchen" or draft.opens_wide(room)
    )
    del draft.pieces[f"{kitchen}-heat-alarm"]
    return at(f"rooms.{kitchen}")


@mistake("fire.kitchen-heat-alarm", "alarms")
def a_shut_kitchen_without_a_heat_alarm(draft: Draft) -> Made:
    kitchen = draft.pick(room for room in draft.of_kind("kitchen") if not draft.opens_wide(room))
    del draft.pieces[f"{kitchen}-heat-alarm"]
    return at(f"rooms.{kitchen}")


@mistake("fire.alarm-near-wall", "alarms")
def an_alarm_in_a_corner(draft: Draft) -> Made:
    alarm = draft.pick(
        name for name in draft.equipment("heat-alarm") if not draft.opens_wide(draft.pieces[name]["room"])
    )  # fmt: skip
    left, front, *_ = draft.outline(draft.pieces[alarm]["room"]).bounds
    at_y = draft.pieces[alarm]["at"][1]
    draft.pieces[alarm]["at"] = [round(left + draft.rng.choice((0.1, 0.2, 0.29)), 2), at_y]
    room = draft.outline(draft.pieces[alarm]["room"])
    draft.need(len(room.exterior.coords) == 5 and at_y > front)
    return at(f"equipment.{alarm}.at")


@mistake("fire.alarm-too-low", "alarms")
def an_alarm_halfway_down_the_wall(draft: Draft) -> Made:
    alarm = draft.pick(draft.equipment("smoke-alarm", "heat-alarm"))
    drop = draft.rng.choice((0.31, 0.5, 1.0))
    draft.pieces[alarm]["height"] = round(draft.ceiling(draft.pieces[alarm]["room"]) - drop, 2)
    return at(f"equipment.{alarm}.height")


@mistake("fire.alarm-not-placed", "alarms")
def an_alarm_at_no_height(draft: Draft) -> Made:
    alarm = draft.pick(draft.equipment("smoke-alarm", "heat-alarm"))
    del draft.pieces[alarm]["height"]
    return at(f"equipment.{alarm}")


def _further_alarm(draft: Draft, room: str) -> None:
    spot, height = list(draft.middle(room)), draft.ceiling(room)
    draft.put("further-alarm", "smoke-alarm", room, "on the ceiling", at=spot, height=height)


@mistake("fire.smoke-alarm-in-a-wet-room-or-kitchen", "alarms")
def a_smoke_alarm_over_a_bath(draft: Draft) -> Made:
    room = draft.pick(draft.of_kind("bathroom", "shower-room", "utility", "toilet"))
    _further_alarm(draft, room)
    return at("equipment.further-alarm.room")


@mistake("fire.smoke-alarm-in-a-garage", "alarms")
def a_smoke_alarm_over_a_car(draft: Draft) -> Made:
    _further_alarm(draft, draft.pick(draft.of_kind("garage")))
    return at("equipment.further-alarm.kind")


@mistake("fire.large-storey", "alone")
def a_hall_for_dancing_beside_the_house(draft: Draft) -> Made:
    draft.need(draft.form in ("house", "coach-house"))
    floor = next(iter(draft.floors))
    outline = [[60, 0], [80, 0], [80, 11], [60, 11]]
    draft.rooms["barn"] = {"name": "Barn", "kind": "cupboard", "floor": floor, "outline": outline}
    draft.doors["barn-door"] = {
        "name": "Barn door", "between": ["outside", "barn"], "at": [65, 0], "opens_into": "barn",
        "hinge": "left",
    }  # fmt: skip
    return at(f"floors.{floor}", also=BY_AREA)


# Fire doors -----------------------------------------------------------------------------------


def _rated(draft: Draft, name: str, rating: str | None) -> str:
    """Gives a door another rating, or none; where a finding says so."""
    draft.doors[name].pop("fire_rating", None)
    if rating is None:
        return f"doors.{name}"
    draft.doors[name]["fire_rating"] = rating
    return f"doors.{name}.fire_rating"


@mistake("fire.rating-unreadable", "fire")
def a_rating_that_is_none(draft: Draft) -> Made:
    name = draft.pick(name for name, door in draft.doors.items() if "fire_rating" in door)
    return at(_rated(draft, name, draft.rng.choice(("FD", "30 minutes", "FD3OS"))))


@mistake("fire.rating-of-an-opening", "fire")
def a_fire_rating_of_a_hole_in_a_wall(draft: Draft) -> Made:
    name = draft.pick(name for name, door in draft.doors.items() if door.get("kind") == "opening")
    draft.doors[name]["fire_rating"] = "FD30"
    return at(f"doors.{name}.kind")


@mistake("fire.garage-door", "fire", "openings")
def a_garage_door_that_fire_passes(draft: Draft) -> Made:
    draft.need("garage-door" in draft.doors)
    return at(_rated(draft, "garage-door", draft.rng.choice((None, "FD20S", "FD30", "E20Sa"))))


@mistake("fire.garage-door-closes", "fire", "openings")
def a_garage_door_that_stands_open(draft: Draft) -> Made:
    draft.need("garage-door" in draft.doors)
    draft.doors["garage-door"]["self_closing"] = False
    return at("doors.garage-door")


@mistake("fire.flat-entrance-door", "fire", forms=FLATS)
def a_flat_door_that_fire_passes(draft: Draft) -> Made:
    draft.need(draft.is_flat)
    return at(_rated(draft, "front-door", draft.rng.choice((None, "FD20S", "FD30"))))


@mistake("fire.flat-entrance-door-closes", "fire", forms=FLATS)
def a_flat_door_that_stands_open(draft: Draft) -> Made:
    draft.need(draft.is_flat and "self_closing" in draft.doors["front-door"])
    del draft.doors["front-door"]["self_closing"]
    return at("doors.front-door")


def _hall_doors(draft: Draft) -> list[str]:
    """The fire doors between a hall and a room in which a fire can start."""
    burn = draft.of_kind(*HABITABLE, "kitchen", "utility")
    return [
        name
        for name, door in draft.doors.items()
        if "fire_rating" in door and draft.kind(door["between"][0]) in HALLS and door["between"][1] in burn
    ]  # fmt: skip


@mistake("fire.protected-stair", "fire")
def a_stair_door_that_fire_passes(draft: Draft) -> Made:
    draft.need(draft.is_high and len(draft.floors) > 1)
    path = _rated(draft, draft.pick(_hall_doors(draft)), draft.rng.choice(WEAK))
    return at(path, also=("fire.escape-window-missing",))


@mistake("fire.stair-leads-out", "alone", forms=HOUSE)
def a_high_stair_into_a_living_room(draft: Draft) -> Made:
    """The front door is in the wall of another room, and none in the hall."""
    draft.need(draft.is_high and draft.form == "house")
    draft.need("hall" not in draft.doors.get("back-door", {}).get("between", []))
    room = draft.pick(room for room in ("living", "kitchen-living") if room in draft.rooms)
    draft.doors["front-door"] |= {
        "between": ["outside", room], "opens_into": room, "at": draft.free_spot(room),
    }  # fmt: skip
    also = ("fire.escape-window-missing", "fire.escape-through-kitchen")
    return at("rooms.hall", also=also)


# Ways out -------------------------------------------------------------------------------------


def _escape_windows(draft: Draft) -> list[str]:
    return [name for name, window in draft.windows.items() if window.get("escape")]


@mistake("fire.escape-window-missing", "fire", "openings", "falling")
def a_bedroom_that_nobody_climbs_out_of(draft: Draft) -> Made:
    draft.need(not draft.is_high)
    upstairs = [room for room in draft.habitable() if draft.height(room) > 1.2]
    room = draft.pick(
        room for room in upstairs if not draft.is_via(room) and not draft.opens_wide(room)
    )
    for name in draft.windows_of(room):
        draft.windows[name].pop("escape", None)
    draft.need(not any(draft.kind(other) == "balcony" for other in draft.others(room)))
    return at(f"rooms.{room}")


@mistake("fire.escape-window-size", "falling")
def an_escape_window_that_is_too_narrow(draft: Draft) -> Made:
    name = draft.pick(_escape_windows(draft))
    draft.windows[name] |= draft.rng.choice((
        {"clear_width": 0.44, "clear_height": 1.0}, {"clear_width": 0.6, "clear_height": 0.54},
        {"clear_width": 0.9, "clear_height": 0.4},
    ))  # fmt: skip
    return at(f"windows.{name}.clear_width")


@mistake("fire.escape-window-sill", "falling")
def an_escape_window_that_is_too_high_to_climb(draft: Draft) -> Made:
    name = draft.pick(_escape_windows(draft))
    draft.windows[name]["sill"] = draft.rng.choice((1.11, 1.2, 1.5))
    return at(f"windows.{name}.sill")


@mistake("fire.escape-window-unmeasured", "falling")
def an_escape_window_that_nobody_measured(draft: Draft) -> Made:
    name = draft.pick(_escape_windows(draft))
    del draft.windows[name][draft.rng.choice(("clear_width", "clear_height", "sill"))]
    return at(f"windows.{name}")


@mistake("fire.escape-window-too-high", "falling")
def an_escape_window_above_a_deadly_drop(draft: Draft) -> Made:
    rooms = [room for room in draft.habitable() if draft.height(room) > HIGH]
    name = draft.pick(draft.windows_of(*rooms))
    draft.windows[name] |= {"escape": True, "clear_width": 0.6, "clear_height": 1.0}
    return at(f"windows.{name}.escape")


@mistake("fire.escape-window-fixed", "falling", "air", "openings")
def an_escape_window_that_does_not_open(draft: Draft) -> Made:
    name = draft.pick(_escape_windows(draft))
    draft.windows[name]["kind"] = "fixed"
    draft.windows[name].pop("restrictor", None)
    return at(f"windows.{name}.kind", also=("ventilation.no-opening-window",))


@mistake("fire.inner-room", "fire", "falling")
def a_room_behind_a_room_without_a_way_out(draft: Draft) -> Made:
    draft.need("dining" in draft.rooms and draft.is_via("dining"))
    for name in draft.windows_of("dining"):
        draft.windows[name].pop("escape", None)
    return at("rooms.dining")


@mistake("fire.escape-through-kitchen", "alone")
def a_way_out_through_the_kitchen_alone(draft: Draft) -> Made:
    """The front door is gone, and the back door leads from the kitchen."""
    draft.need(not draft.is_high and not draft.is_flat and _escape_windows(draft))
    back = draft.doors.get("back-door", {"between": ["outside"]})["between"][0]
    draft.need(back in draft.kitchens())
    del draft.doors["front-door"]
    return at(f"rooms.{draft.kitchens()[0]}")


@mistake("fire.flat-travel", "fire", "openings", forms=FLAT)
def a_weak_door_in_a_long_high_flat(draft: Draft) -> Made:
    """Some corner is more than 9 m from the entrance, and one door of the hall is no fire door."""
    draft.need(draft.form == "apartment" and draft.is_high)
    draft.need(not draft.equipment("sprinkler-valve"))
    start = draft.doors["front-door"]["at"]
    ways = [
        draft.way(start, draft.doors[name]["at"], corner)
        for name in _hall_doors(draft)
        for corner in draft.rooms[draft.doors[name]["between"][1]]["outline"]
        if draft.doors[name]["between"][1] in draft.habitable()
    ]
    draft.need(max(ways, default=0) > 9.05)
    doors = [name for name in _hall_doors(draft) if draft.doors[name]["between"][1] != "utility"]
    weak = draft.pick(doors)
    return at(_rated(draft, weak, draft.rng.choice(WEAK)))


@mistake("fire.top-storey-needs-another-way", "fire", "equipment", forms=HOUSE)
def a_house_of_four_storeys_without_sprinklers(draft: Draft) -> Made:
    draft.need(len(draft.floors) == 4)
    del draft.pieces["sprinkler-valve"], draft.data["sprinklers"]
    return at("floors.floor-3.above_ground")


@mistake("fire.top-floor-height", "fire", "equipment", forms=FLATS)
def a_high_flat_without_sprinklers(draft: Draft) -> Made:
    draft.need(draft.is_flat and draft.top > 11)
    del draft.pieces["sprinkler-valve"], draft.data["sprinklers"]
    top = max(draft.floors, key=lambda name: draft.floors[name]["above_ground"])
    return at(f"floors.{top}.above_ground")


# Windows that people could fall from -------------------------------------------------------------


def _upstairs(draft: Draft) -> list[str]:
    """The windows above a drop of more than 0.6 m (Approved Document K, requirement K2)."""
    return [name for name, window in draft.windows.items() if draft.height(window["room"]) > 0.6]


@mistake("windows.low-sill", "falling")
def a_low_window_that_opens_wide(draft: Draft) -> Made:
    name = draft.pick(_upstairs(draft))
    del draft.windows[name]["restrictor"]
    draft.windows[name]["sill"] = draft.rng.choice((0.3, 0.7, 0.79))
    return at(f"windows.{name}.sill")


@mistake("windows.restrictor-advised", "falling")
def a_window_upstairs_that_opens_wide(draft: Draft) -> Made:
    name = draft.pick(_upstairs(draft))
    del draft.windows[name]["restrictor"]
    return at(f"windows.{name}")


@mistake("windows.safety-glass", "glass")
def a_low_window_of_ordinary_glass(draft: Draft) -> Made:
    name = _low_window(draft)
    draft.windows[name]["safety_glass"] = False
    return at(f"windows.{name}.safety_glass")


@mistake("windows.glass-unsaid", "glass")
def a_low_window_of_unknown_glass(draft: Draft) -> Made:
    name = _low_window(draft)
    del draft.windows[name]["safety_glass"]
    return at(f"windows.{name}")


def _low_window(draft: Draft) -> str:
    """A window that is made low, on a floor that nobody falls far from."""
    low = [name for name, each in draft.windows.items() if not each.get("restrictor")]
    name = draft.pick(low)
    draft.windows[name]["sill"] = draft.rng.choice((0.3, 0.6, 0.79))
    return name


@mistake("fire.alarms-linked", "linked")
def alarms_that_nobody_links(draft: Draft) -> Made:
    alarms = draft.equipment("smoke-alarm", "heat-alarm")
    draft.need(len(alarms) > 1)
    draft.data["alarms"] = {"linked": "none"}
    return at(*(f"equipment.{name}" for name in alarms))


@mistake("windows.sill-unknown", "falling")
def a_window_upstairs_of_unknown_height(draft: Draft) -> Made:
    name = draft.pick(name for name in _upstairs(draft) if not draft.windows[name].get("escape"))
    del draft.windows[name]["restrictor"]
    del draft.windows[name]["sill"]
    return at(f"windows.{name}")


@mistake("windows.fixed-restrictor", "falling", "air", "openings")
def a_restrictor_on_a_window_that_does_not_open(draft: Draft) -> Made:
    name = draft.pick(name for name in _upstairs(draft) if not draft.windows[name].get("escape"))
    draft.windows[name]["kind"] = "fixed"
    return at(f"windows.{name}.kind", also=("ventilation.no-opening-window",))


FIRE: tuple[Mistake, ...] = (
    a_storey_without_a_smoke_alarm, an_alarm_at_the_far_end_of_the_hall,
    an_open_kitchen_without_a_heat_alarm, a_shut_kitchen_without_a_heat_alarm, an_alarm_in_a_corner,
    an_alarm_halfway_down_the_wall, an_alarm_at_no_height, a_smoke_alarm_over_a_bath,
    a_smoke_alarm_over_a_car, a_hall_for_dancing_beside_the_house, a_rating_that_is_none,
    a_fire_rating_of_a_hole_in_a_wall, a_garage_door_that_fire_passes,
    a_garage_door_that_stands_open, a_flat_door_that_fire_passes, a_flat_door_that_stands_open,
    a_stair_door_that_fire_passes, a_high_stair_into_a_living_room,
    a_bedroom_that_nobody_climbs_out_of, an_escape_window_that_is_too_narrow,
    an_escape_window_that_is_too_high_to_climb, an_escape_window_that_nobody_measured,
    an_escape_window_above_a_deadly_drop, an_escape_window_that_does_not_open,
    a_room_behind_a_room_without_a_way_out, a_way_out_through_the_kitchen_alone,
    a_low_window_of_ordinary_glass, a_low_window_of_unknown_glass, alarms_that_nobody_links,
    a_weak_door_in_a_long_high_flat, a_house_of_four_storeys_without_sprinklers,
    a_high_flat_without_sprinklers, a_low_window_that_opens_wide, a_window_upstairs_that_opens_wide,
    a_window_upstairs_of_unknown_height, a_restrictor_on_a_window_that_does_not_open,
)  # fmt: skip
