"""How people get out of a home: which rooms are one space, which halls join, which doors lead out."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from builder.home.survey import Survey
from builder.model.building import Door

GROUND = 1.2
"""Metres: a storey within this of the ground is a ground storey (Approved Document B, appendix A)."""

_RATING = re.compile(r"(?:FD|EI?) ?([0-9]{2,3}) ?(S(?:a|200)?)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Rating:
    """How long a door holds back fire, and whether it holds back smoke."""

    minutes: int
    smoke: bool


def rating_of(door: Door) -> Rating | None:
    """What a door's rating says, in the letters of BS 476 (FD30S) or EN 13501 (E30Sa)."""
    found = _RATING.fullmatch(door.fire_rating or "")
    return Rating(int(found[1]), found[2] is not None) if found else None


def holds_back(door: Door, minutes: float, *, smoke: bool = False) -> bool:
    """Whether a door is a fire door of these minutes; a rating that cannot be read is let pass."""
    if door.kind == "opening" or door.fire_rating is None:
        return False
    rating = rating_of(door)
    return rating is None or (rating.minutes >= minutes and (rating.smoke or not smoke))


def rated(door: Door) -> str:
    """What is known of a door's rating, to follow its name in a sentence."""
    if door.kind == "opening":
        return "is an opening with no door in it"
    return "has no fire rating" if door.fire_rating is None else f"is rated {door.fire_rating}"


def rating_at(name: str, door: Door) -> tuple[str, ...]:
    """Where a door's rating is written, or would be."""
    return ("doors", name) if door.fire_rating is None else ("doors", name, "fire_rating")


def beyond(door: Door, room: str) -> str:
    """The room on the other side of a door."""
    return door.between[door.between[0] == room]


def name_of(home: Survey, room: str) -> str:
    return home.home.rooms[room].name


def is_hall(home: Survey, room: str) -> bool:
    kind = home.kind_of_room(room)
    return kind.inside and kind.circulation


def is_kitchen(home: Survey, room: str) -> bool:
    return home.kind_of_room(room).extract == "kitchen"


def ways_out(home: Survey, room: str) -> Iterator[tuple[str, Door]]:
    """The doors of a room that lead out of the home: to the ground or to a shared corridor.

    A door to a balcony of an upper storey leads nowhere, and a garage door is no way out.
    """
    near_ground = abs(home.height_above_ground(room)) <= GROUND
    for name, door in home.doors_of(room):
        kind = home.kind_of_room(beyond(door, room))
        if not kind.inside and door.kind != "garage" and (near_ground or not kind.from_home):
            yield name, door


def leads_out(home: Survey, rooms: frozenset[str]) -> bool:
    return any(True for room in rooms for _ in ways_out(home, room))


def joined(
    home: Survey, rooms: frozenset[str], through: Callable[[Door, str], bool]
) -> frozenset[str]:
    """The rooms inside that are reached from some by doors that ``through`` lets pass."""
    found, waiting = set(rooms), list(rooms)
    while waiting:
        here = waiting.pop()
        for _, door in home.doors_of(here):
            other = beyond(door, here)
            if other not in found and home.kind_of_room(other).inside and through(door, other):
                found.add(other)
                waiting.append(other)
    return frozenset(found)


def open_plan(home: Survey, room: str) -> frozenset[str]:
    """A room and the rooms of its storey that no door parts from it: one space."""
    floor = home.storey_of(room)

    def open_on_this_floor(door: Door, other: str) -> bool:
        return door.kind == "opening" and home.storey_of(other) == floor

    return joined(home, frozenset({room}), open_on_this_floor)


def halls_from(home: Survey, halls: frozenset[str], minutes: float) -> frozenset[str]:
    """The halls that are one with these: no fire door between; with those on the way out if none leads out."""

    def no_fire_door(door: Door, other: str) -> bool:
        return is_hall(home, other) and not holds_back(door, minutes)

    near = joined(home, halls, no_fire_door)
    if leads_out(home, near):
        return near
    return joined(home, halls, lambda _, other: is_hall(home, other))


def doors_onto(home: Survey, halls: frozenset[str]) -> Iterator[tuple[str, Door, str, str]]:
    """The doors from halls to rooms in which a fire starts: door, its hall and its room.

    Bathrooms and cupboards are none of these rooms; the door of a garage has a rule of its own.
    """
    for name, door in home.home.doors.items():
        for hall, room in (door.between, door.between[::-1]):
            if hall in halls and room not in halls and _can_burn(home, room):
                yield name, door, hall, room


def _can_burn(home: Survey, room: str) -> bool:
    kind = home.kind_of_room(room)
    burns = kind.habitable or kind.extract in ("kitchen", "utility")
    return kind.inside and burns and not is_hall(home, room) and not home.is_garage(room)


def protected(home: Survey, halls: frozenset[str], minutes: float) -> bool:
    """Whether fire doors keep these halls free of smoke all the way out of the home."""
    space = halls_from(home, halls, minutes)
    doors = doors_onto(home, space)
    return leads_out(home, space) and all(holds_back(door, minutes) for _, door, _, _ in doors)


def halls_of(home: Survey, room: str) -> frozenset[str]:
    """The halls that a room, or the space that it is part of, opens into."""
    space = open_plan(home, room)
    near = {beyond(door, each) for each in space for _, door in home.doors_of(each)}
    return frozenset(each for each in near | space if is_hall(home, each))


def passed_through(home: Survey, room: str) -> tuple[str, ...]:
    """The rooms that a room is reached through, where no hall and no way out adjoins it."""
    space = open_plan(home, room)
    if halls_of(home, room) or leads_out(home, space):
        return ()
    near = {beyond(door, each) for each in space for _, door in home.doors_of(each)} - space
    beyond_it = (each for each in home.home.rooms if each in near)
    return tuple(each for each in beyond_it if _leads_on(home, frozenset({each}), space))


def never_without(home: Survey, room: str) -> tuple[str, ...]:
    """The rooms that a room is reached through and without which it leads nowhere: none where there are two ways."""
    space = open_plan(home, room)
    through = passed_through(home, room)
    return tuple(each for each in through if not _leads_on(home, space, frozenset({each})))


def _leads_on(home: Survey, rooms: frozenset[str], shut: frozenset[str]) -> bool:
    """Whether a hall or a way out is reached from rooms by doors, and not through ``shut``."""
    reached = joined(home, rooms, lambda _, other: other not in shut)
    return leads_out(home, reached) or any(is_hall(home, each) for each in reached)


def escape_windows(home: Survey, room: str) -> bool:
    """Whether a room, or the space that it is part of, has an escape window."""
    space = open_plan(home, room)
    return any(each.escape and each.room in space for each in home.home.windows.values())


def high_stairs(home: Survey, above: float) -> frozenset[str]:
    """The halls at either end of each stair to a storey higher than ``above`` metres."""
    high = [rooms for rooms in _stairs(home) if _top(home, rooms) > above]
    return frozenset(room for rooms in high for room in rooms if is_hall(home, room))


def top_of_stairs(home: Survey) -> float:
    """Metres above the ground to which the stairs inside the home go up."""
    return max((_top(home, rooms) for rooms in _stairs(home)), default=0.0)


def _stairs(home: Survey) -> Iterator[tuple[str, str]]:
    """The two rooms of each door or opening inside that joins two storeys."""
    for door in home.home.doors.values():
        inside = all(home.kind_of_room(each).inside for each in door.between)
        if inside and not home.on_one_floor(*door.between):
            yield door.between


def _top(home: Survey, rooms: tuple[str, str]) -> float:
    return max(home.height_above_ground(each) for each in rooms)


def is_flat(home: Survey) -> bool:
    """Whether the home is an apartment or a maisonette that is entered from what it shares."""
    shared = (
        home.kind_of_room(each).shared for door in home.home.doors.values() for each in door.between
    )
    return home.home.form in ("apartment", "maisonette") and any(shared)


def sprinklered(home: Survey) -> bool:
    return any(True for _ in home.pieces("sprinkler-valve"))
