"""The way from the home to each part of it that is lived in by itself, through its doors."""

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from builder.languages.language import Language
from builder.model.building import Door
from builder.model.home import Home


@dataclass(frozen=True, slots=True)
class PartWay:
    """A part of a home, and how one gets there in words; ``says`` is empty where nothing is known of it."""

    name: str
    says: str


def ways_to_parts(home: Home, language: Language) -> tuple[PartWay, ...]:
    """How one gets to each part of a home."""
    return tuple(
        PartWay(part.name, way_to(home, part.rooms, part.place, language))
        for part in home.parts.values()
    )


def way_to(home: Home, rooms: Collection[str], place: str | None, language: Language) -> str:
    """How one gets to the rooms of a part that stands in a place: both in words, as far as they are known."""
    told = [f"{place[0].upper()}{place[1:]}."] if place else []
    if doors := doors_to(home, rooms):
        told.append(language.say("Way there: %(doors)s.", doors=", ".join(doors)))
    return " ".join(told)


def doors_to(home: Home, rooms: Collection[str]) -> tuple[str, ...]:
    """The names of the doors on the way from the home to a part, in order; none where no door is known.

    Of several ways through as few doors the one is taken whose doors lie nearest to each other.
    """
    elsewhere = {room for other in home.parts.values() for room in other.rooms}
    starts = [name for name, room in home.rooms.items() if _is_home(home, name) and name not in elsewhere]  # fmt: skip
    ways: list[tuple[str, ...]] = [(name,) for name in _doors_from(home, starts)]
    seen = set(starts)
    while ways:
        arrived = [way for way in ways if set(home.doors[way[-1]].between) & set(rooms)]
        if arrived:
            nearest = min(arrived, key=lambda way: _apart(home, way))
            return tuple(home.doors[name].name for name in nearest)
        ways = list(_one_door_further(home, ways, seen))
    return ()


def _is_home(home: Home, room: str) -> bool:
    kind = home.room_kinds[home.rooms[room].kind]
    return kind.inside and not kind.shared


def _doors_from(home: Home, rooms: list[str]) -> Iterator[str]:
    """The doors that lead out of these rooms: between them and others."""
    for name, door in home.doors.items():
        if len(set(door.between) & set(rooms)) == 1 and door.kind != "garage":
            yield name


def _one_door_further(
    home: Home, ways: list[tuple[str, ...]], seen: set[str]
) -> Iterator[tuple[str, ...]]:
    reached = {room for way in ways for room in home.doors[way[-1]].between} - seen
    seen |= reached
    for way in ways:
        for room in set(home.doors[way[-1]].between) & reached:
            for name, door in home.doors.items():
                if room in door.between and name not in way and not set(door.between) <= seen:
                    yield (*way, name)


def _apart(home: Home, way: tuple[str, ...]) -> float:
    """Metres on the plan from door to door along a way; a door that nobody placed is far."""
    doors: Mapping[str, Door] = home.doors
    length = 0.0
    for one, other in pairwise(way):
        at, to = doors[one].at, doors[other].at
        length += math.dist(at, to) if at is not None and to is not None else 1000.0
    return length
