"""Mistakes in doors and windows as drawn: in no wall, past its end, over one another."""

import copy

from shapely import LineString, Point

from tests.generated_plans import Data, Wall
from tests.seeded_draft import HALLS, Draft, Made, Mistake, at, mistake
from tests.seeded_plan import SMALL


def _inner_doors(draft: Draft) -> list[str]:
    """The doors of rooms that nothing is measured to."""
    quiet = draft.quiet()
    return [
        name
        for name, door in draft.doors.items()
        if "at" in door and door["between"][1] in quiet and "hinge" in door
    ]


@mistake("doors.opens-elsewhere", "openings")
def a_door_that_opens_into_a_third_room(draft: Draft) -> Made:
    name = draft.pick(name for name, door in draft.doors.items() if "opens_into" in door)
    between = draft.doors[name]["between"]
    draft.doors[name]["opens_into"] = draft.pick(
        room for room in draft.inside() if room not in between
    )
    return at(f"doors.{name}.opens_into")


@mistake("doors.one-room-twice", "alone")
def a_back_door_between_a_room_and_itself(draft: Draft) -> Made:
    name = draft.pick(name for name in ("back-door",) if name in draft.doors)
    room = draft.doors[name]["between"][0]
    draft.doors[name]["between"] = [room, room]
    return at(f"doors.{name}.between")


@mistake("doors.none", "alone")
def no_doors_at_all(draft: Draft) -> Made:
    draft.doors.clear()
    also = ("water.room-without-isolation", "fire.escape-window-missing", "fire.top-storey-needs-another-way")  # fmt: skip
    return at("house_type", also=also)


@mistake("doors.not-placed", "openings")
def a_door_without_its_place(draft: Draft) -> Made:
    name = draft.pick(_inner_doors(draft))
    del draft.doors[name]["at"]
    return at(f"doors.{name}")


@mistake("doors.rooms-do-not-touch", "alone")
def a_door_between_rooms_apart(draft: Draft) -> Made:
    quiet = [room for room in draft.quiet() if room in draft.drawn()]
    one, other = draft.pick(
        (one, other)
        for one in quiet
        for other in quiet
        if one < other and draft.floor_of(one) == draft.floor_of(other)
        and draft.outline(one).distance(draft.outline(other)) > 0.35
    )  # fmt: skip
    spot = list(draft.rooms[one]["outline"][0])
    draft.doors["further-door"] = {
        "name": "Further door", "between": [one, other], "at": spot, "opens_into": one, "hinge": "left",
    }  # fmt: skip
    return at("doors.further-door.between")


@mistake("doors.not-in-its-wall", "openings")
def a_door_in_the_middle_of_a_room(draft: Draft) -> Made:
    name = draft.pick(_inner_doors(draft))
    room = draft.doors[name]["between"][1]
    wall = draft.door_wall(name)
    spot = draft.middle(room)
    draft.need(abs(spot[not wall.upright] - wall.at) > 0.2)
    draft.doors[name]["at"] = list(spot)
    return at(f"doors.{name}.at")


@mistake("doors.not-in-its-wall", "openings")
def a_door_in_another_wall(draft: Draft) -> Made:
    name = draft.pick(_inner_doors(draft))
    one, other = draft.doors[name]["between"]
    draft.need(draft.door_wall(name))
    spots = [
        wall.spot((wall.low + wall.high) / 2) for wall in draft.walls(other) if wall.length > 0.8
    ]
    right = [_line(wall) for wall in draft.shared(one, other)]
    wrong = [spot for spot in spots if all(line.distance(Point(spot)) > 0.2 for line in right)]
    draft.doors[name]["at"] = list(draft.pick(wrong))
    return at(f"doors.{name}.at")


def _line(wall: Wall) -> LineString:
    """A wall as geometry; a room round a corner of another has two walls with it."""
    return LineString([wall.spot(wall.low), wall.spot(wall.high)])


@mistake("doors.wider-than-wall", "openings")
def a_door_wider_than_its_wall(draft: Draft) -> Made:
    name = draft.pick(_inner_doors(draft))
    draft.doors[name]["width"] = round(draft.door_wall(name).length + 0.1, 2)
    return at(f"doors.{name}.width", also=("doors.overlap",))


@mistake("doors.past-the-corner", "openings")
def a_door_past_the_end_of_its_wall(draft: Draft) -> Made:
    name = draft.pick(_inner_doors(draft))
    door, wall = draft.doors[name], draft.door_wall(name)
    draft.need(wall.length > door["width"])
    door["at"] = list(wall.spot(wall.high - door["width"] / 2 + SMALL))
    return at(f"doors.{name}.at")


@mistake("doors.overlap", "openings")
def two_doors_in_one_place(draft: Draft) -> Made:
    name = draft.pick(_inner_doors(draft))
    twin = copy.deepcopy(draft.doors[name]) | {"name": "Second door"}
    draft.doors["second-door"] = twin
    return at("doors.second-door.at")


@mistake("doors.no-hinge", "openings")
def a_door_without_its_swing(draft: Draft) -> Made:
    name = draft.pick(name for name, door in draft.doors.items() if "hinge" in door)
    del draft.doors[name][draft.rng.choice(("hinge", "opens_into"))]
    return at(f"doors.{name}")


def _in_a_wall(draft: Draft) -> tuple[str, Data, Wall]:
    """A window and the outside wall that it stands in."""
    name = draft.pick(draft.windows)
    window = draft.windows[name]
    return name, window, draft.wall_at(draft.outside_walls(window["room"]), window["at"])


@mistake("windows.not-placed", "openings")
def a_window_without_its_place(draft: Draft) -> Made:
    name = draft.pick(draft.windows)
    del draft.windows[name]["at"]
    return at(f"windows.{name}")


@mistake("windows.not-in-an-outside-wall", "openings")
def a_window_in_the_middle_of_a_room(draft: Draft) -> Made:
    name, window, wall = _in_a_wall(draft)
    spot = draft.middle(window["room"])
    walls = draft.outside_walls(window["room"])
    draft.need(all(abs(spot[not each.upright] - each.at) > 0.2 for each in walls) and wall)
    window["at"] = list(spot)
    return at(f"windows.{name}.at")


@mistake("windows.not-in-an-outside-wall", "openings")
def a_window_in_an_inside_wall(draft: Draft) -> Made:
    name, window, _ = _in_a_wall(draft)
    room = window["room"]
    hall = draft.pick(each for each in draft.others(room) if draft.kind(each) in HALLS)
    wall = draft.pick(each for each in draft.shared(room, hall) if each.length > 1)
    spot = wall.spot((wall.low + wall.high) / 2)
    outside = draft.outside_walls(room)
    draft.need(all(abs(spot[not each.upright] - each.at) > 0.2 for each in outside))
    window["at"] = list(spot)
    return at(f"windows.{name}.at")


@mistake("windows.wider-than-wall", "openings")
def a_window_wider_than_its_wall(draft: Draft) -> Made:
    name, window, wall = _in_a_wall(draft)
    window["width"] = round(wall.length + 0.1, 2)
    return at(f"windows.{name}.width", also=("windows.overlap", "doors.overlap"))


@mistake("windows.past-the-corner", "openings")
def a_window_past_the_end_of_its_wall(draft: Draft) -> Made:
    name, window, wall = _in_a_wall(draft)
    draft.need(wall.length > window["width"])
    window["at"] = list(wall.spot(wall.low + window["width"] / 2 - SMALL))
    return at(f"windows.{name}.at", also=("windows.overlap",))


@mistake("windows.overlap", "openings")
def two_windows_in_one_place(draft: Draft) -> Made:
    _, window, _ = _in_a_wall(draft)
    draft.windows["twin-window"] = copy.deepcopy(window) | {"name": "Twin window"}
    return at("windows.twin-window.at", also=("windows.low-sill",))


OPENINGS: tuple[Mistake, ...] = (
    a_door_that_opens_into_a_third_room, a_back_door_between_a_room_and_itself, no_doors_at_all,
    a_door_without_its_place, a_door_between_rooms_apart, a_door_in_the_middle_of_a_room,
    a_door_in_another_wall,
    a_door_wider_than_its_wall, a_door_past_the_end_of_its_wall, two_doors_in_one_place,
    a_door_without_its_swing, a_window_without_its_place, a_window_in_the_middle_of_a_room,
    a_window_in_an_inside_wall, a_window_wider_than_its_wall, a_window_past_the_end_of_its_wall,
    two_windows_in_one_place,
)  # fmt: skip
