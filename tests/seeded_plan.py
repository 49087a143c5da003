"""Mistakes in the plan: rooms, floors, doors, windows, and equipment at its spot."""

import copy

from tests.generated_plans import Wall
from tests.seeded_draft import FLAT, HALLS, Draft, Made, Mistake, at, mistake

SMALL = 0.15
"""Metres that a wall is moved: openings stand 0.2 m from the ends of their walls."""
BY_AREA = ("ventilation.whole-home-rate", "heating.two-zones")
"""What a home at the limit falls foul of when a slip makes its floor larger or adds a bedroom."""


# Rooms and floors -----------------------------------------------------------------------------


@mistake("rooms.no-floor", "alone")
def a_loft_on_no_floor(draft: Draft) -> Made:
    loft = draft.pick(draft.of_kind("loft"))
    del draft.rooms[loft]["floor"]
    return at(f"rooms.{loft}")


@mistake("rooms.no-outline", "alone")
def a_room_that_is_not_drawn(draft: Draft) -> Made:
    room = draft.pick(draft.quiet())
    del draft.rooms[room]["outline"]
    return at(f"rooms.{room}")


@mistake("rooms.no-outline", "alone")
def a_home_that_is_not_drawn(draft: Draft) -> Made:
    for room in draft.rooms.values():
        room.pop("outline", None)
    return at("house_type")


@mistake("rooms.outline-crosses-itself", "alone")
def two_corners_in_the_wrong_order(draft: Draft) -> Made:
    room = draft.pick(room for room in draft.quiet() if len(draft.rooms[room]["outline"]) == 4)
    ring = draft.rooms[room]["outline"]
    ring[1], ring[2] = ring[2], ring[1]
    return at(f"rooms.{room}.outline")


def _neighbours(draft: Draft, movable: list[str]) -> tuple[str, str, Wall]:
    """Two rooms one behind the other, without a door between, and their wall."""
    pairs = [
        (room, other, wall)
        for room in movable
        for other in draft.drawn(draft.floor_of(room))
        if len(draft.rooms[room]["outline"]) == 4 and other not in draft.others(room)
        for wall in (draft.shared(room, other) if other != room else [])
        if wall.length > 0.5 and not wall.upright and draft.kind(other) not in HALLS
    ]
    return draft.pick(pairs)


def _push(draft: Draft, room: str, wall: Wall, by: float) -> None:
    """Moves a wall of a room outwards, or inwards where ``by`` is less than nothing."""
    ring = draft.rooms[room]["outline"]
    outwards = 1 if wall.at == max(y for _, y in ring) else -1
    for corner in ring:
        if corner[1] == wall.at:
            corner[1] = round(corner[1] + outwards * by, 2)


@mistake("rooms.overlap", "alone")
def a_room_that_reaches_into_another(draft: Draft) -> Made:
    room, other, wall = _neighbours(draft, draft.drawn())
    _push(draft, room, wall, SMALL)
    later = max((room, other), key=list(draft.rooms).index)
    return at(f"rooms.{later}.outline", also=BY_AREA)


@mistake("rooms.gap", "alone")
def a_room_that_ends_short_of_another(draft: Draft) -> Made:
    alarmed = {piece["room"] for piece in draft.pieces.values() if "alarm" in piece["kind"]}
    fit = [room for room in draft.drawn() if room not in alarmed and draft.kind(room) != "toilet"]
    room, other, wall = _neighbours(draft, fit)
    _push(draft, room, wall, -SMALL)
    beside = [draft.rooms[room], draft.rooms[other]]
    touched = [name for name in draft.drawn(draft.floor_of(room)) if draft.kind(name) in HALLS or draft.rooms[name] in beside]  # fmt: skip
    return at(*(f"rooms.{name}.outline" for name in touched[:1]))


@mistake("rooms.too-small", "alone")
def a_cupboard_to_sleep_in(draft: Draft) -> Made:
    room = draft.pick(each for each in draft.of_kind("cupboard") if draft.outline(each).area < 4.5)
    draft.data["room_kinds"] = {"berth": {"name": "Berth", "sleeping": True, "heated": False}}
    draft.rooms[room]["kind"] = "berth"
    return at(f"rooms.{room}.outline", also=BY_AREA)


def _ways_in(draft: Draft) -> list[str]:
    return [
        name for name, door in draft.doors.items() if {"outside", "corridor"} & set(door["between"])
    ]


@mistake("rooms.no-way-in", "alone")
def no_door_from_outside(draft: Draft) -> Made:
    draft.need(draft.form != "apartment")
    for name in _ways_in(draft):
        del draft.doors[name]
    also = (
        "garage.no-main-door", "fire.stair-leads-out", "fire.escape-window-missing",
        "fire.top-storey-needs-another-way",
    )  # fmt: skip
    return at("doors", also=also)


@mistake("apartment.entrance", "alone", forms=FLAT)
def a_flat_without_a_door_to_it(draft: Draft) -> Made:
    draft.need(draft.form == "apartment")
    for name in _ways_in(draft):
        del draft.doors[name]
    return at("doors")


@mistake("rooms.not-reached", "alone")
def a_room_that_no_door_leads_to(draft: Draft) -> Made:
    room = draft.pick(room for room in draft.quiet() if len(draft.doors_of(room)) == 1)
    del draft.doors[draft.doors_of(room)[0]]
    return at(f"rooms.{room}")


@mistake("floors.same-level", "alone")
def two_floors_on_one_level(draft: Draft) -> Made:
    draft.need(len(draft.floors) > 1)
    low, high = list(draft.floors)[:2]
    draft.floors[high]["level"] = draft.floors[low]["level"]
    return at(f"floors.{high}.level")


@mistake("floors.out-of-order", "alone")
def a_floor_no_higher_than_the_one_below(draft: Draft) -> Made:
    draft.need(len(draft.floors) == 2)
    low, high = draft.floors
    draft.floors[high]["above_ground"] = draft.floors[low]["above_ground"]
    return at(f"floors.{high}")


@mistake("floors.nothing-on-it", "alone")
def a_floor_without_rooms(draft: Draft) -> Made:
    draft.need(not draft.is_flat)
    level = max(floor["level"] for floor in draft.floors.values()) + 1
    draft.floors["attic"] = {"name": "Attic", "level": level, "above_ground": draft.top + 2.6}
    return at("floors.attic")


@mistake("apartment.two-floors", "alone", forms=FLAT)
def a_flat_with_a_room_upstairs(draft: Draft) -> Made:
    draft.need(draft.form == "apartment" and draft.top in (0.0, 5.8))
    draft.floors["above"] = {"name": "Floor above", "level": 1, "above_ground": draft.top + 2.7}
    outline = [[0, 0], [2, 0], [2, 1], [0, 1]]
    draft.rooms["attic"] = {"name": "Attic store", "kind": "cupboard", "floor": "above", "outline": outline}  # fmt: skip
    draft.doors["attic-stairs"] = {"name": "Attic stairs", "between": ["hall", "attic"], "kind": "opening"}  # fmt: skip
    return at("form", also=(*BY_AREA, "fire.protected-stair"))


# Equipment at its spot ------------------------------------------------------------------------


@mistake("equipment.outside-its-room", "equipment", "water", "electricity", "heat")
def a_piece_outside_its_room(draft: Draft) -> Made:
    piece = draft.pieces["oven"]
    piece["at"] = [round(piece["at"][0] + 30, 2), piece["at"][1]]
    return at("equipment.oven.at")


@mistake("equipment.outside-its-room", "equipment", "water", "electricity", "heat")
def a_piece_recorded_in_another_room(draft: Draft) -> Made:
    piece = draft.pieces["oven"]
    others = [room for room in draft.drawn() if room != piece["room"]]
    piece["room"] = draft.pick(
        room for room in others if draft.outline(room).distance(draft.outline(piece["room"])) > 0.1
    )
    return at("equipment.oven.at")


@mistake("equipment.place-unwritten", "equipment", "water", "electricity", "heat")
def a_piece_whose_place_nobody_has_written(draft: Draft) -> Made:
    name = draft.pick(draft.equipment("consumer-unit", "stopcock", "hot-water-cylinder"))
    draft.pieces[name]["place"] = "to be written"
    return at(f"equipment.{name}.place")


@mistake("equipment.not-placed", "equipment", "water", "electricity", "heat")
def a_piece_with_a_sticker_and_no_spot(draft: Draft) -> Made:
    name = draft.pick(draft.equipment("consumer-unit", "stopcock", "hot-water-cylinder"))
    del draft.pieces[name]["at"]
    return at(f"equipment.{name}")


@mistake("equipment.above-the-ceiling", "equipment", "water", "electricity", "heat")
def a_piece_above_the_ceiling(draft: Draft) -> Made:
    room = draft.pieces["programmer"]["room"]
    draft.pieces["programmer"]["height"] = round(draft.ceiling(room) + 0.3, 2)
    return at("equipment.programmer.height")


@mistake("equipment.inside-the-home-and-outside", "equipment", "water", "electricity", "heat")
def a_piece_outside_that_is_drawn_inside(draft: Draft) -> Made:
    fit = [name for name in draft.pieces if draft.pieces[name]["room"] == "outside"]
    name = draft.pick(each for each in fit if not draft.pieces[each]["kind"].startswith("gas"))
    floor = next(iter(draft.floors.values()))
    draft.need(floor["above_ground"] == 0)
    room = draft.pick(draft.drawn(next(iter(draft.floors))))
    draft.pieces[name]["at"] = list(draft.middle(room))
    return at(f"equipment.{name}.at")


@mistake("equipment.same-spot-twice", "equipment", "water", "electricity", "heat")
def a_piece_that_was_copied_and_not_moved(draft: Draft) -> Made:
    second = copy.deepcopy(draft.pieces["oven"]) | {"place": "beside the oven"}
    for name in ("registered", "facts"):  # what is wrong in them would be a second mistake
        second.pop(name, None)
    draft.pieces["second-oven"] = second
    return at("equipment.second-oven.at")


@mistake("equipment.stopcock-outside", "water")
def a_stopcock_outside(draft: Draft) -> Made:
    draft.pieces["stopcock"]["room"] = "outside"
    del draft.pieces["stopcock"]["at"]
    return at(
        "equipment.stopcock.room", also=("water.room-without-isolation", "essentials.water-inside")
    )


PLAN: tuple[Mistake, ...] = (
    a_loft_on_no_floor, a_room_that_is_not_drawn, a_home_that_is_not_drawn,
    two_corners_in_the_wrong_order, a_room_that_reaches_into_another,
    a_room_that_ends_short_of_another, a_cupboard_to_sleep_in, no_door_from_outside,
    a_flat_without_a_door_to_it, a_room_that_no_door_leads_to, two_floors_on_one_level,
    a_floor_no_higher_than_the_one_below, a_floor_without_rooms, a_flat_with_a_room_upstairs,
    a_piece_outside_its_room, a_piece_recorded_in_another_room,
    a_piece_with_a_sticker_and_no_spot, a_piece_above_the_ceiling,
    a_piece_outside_that_is_drawn_inside, a_piece_that_was_copied_and_not_moved, a_stopcock_outside,
)  # fmt: skip
