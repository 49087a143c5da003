"""The way from the home to each part of it that is lived in by itself, through its doors."""

import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import combinations

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
    # Few homes have such a part, and what finds ways takes long to load.
    import networkx  # noqa: PLC0415

    graph = networkx.Graph(_steps(home, rooms))
    try:
        way = networkx.shortest_path(graph, _HERE, _THERE, weight="length")[1:-1]
    except (networkx.NodeNotFound, networkx.NetworkXNoPath):
        return ()
    return tuple(home.doors[name].name for name in way)


def _is_home(home: Home, room: str) -> bool:
    kind = home.room_kinds[home.rooms[room].kind]
    return kind.inside and not kind.shared


_HERE, _THERE = "from the home", "to the part"
"""The ends of a way. No door is called so: ids have no spaces."""
_FAR = 1_000.0
"""Metres: a door that nobody placed is far, and one door more is farther than any way on a plan."""


def _steps(home: Home, rooms: Collection[str]) -> Iterator[tuple[str, str, dict[str, float]]]:
    """From door to door through each room between the home and a part, and how far that is."""
    elsewhere = {room for other in home.parts.values() for room in other.rooms}
    start = {room for room in home.rooms if _is_home(home, room) and room not in elsewhere}
    doors = {name: door for name, door in home.doors.items() if not start.issuperset(door.between)}
    for name, door in doors.items():
        if start.intersection(door.between) and door.kind != "garage":
            yield _HERE, name, {"length": 0.0}
        if set(rooms).intersection(door.between):
            yield name, _THERE, {"length": 0.0}
    for one, other in combinations(doors, 2):
        if set(doors[one].between).intersection(doors[other].between) - start:
            yield one, other, {"length": _FAR * _FAR + _apart(doors[one], doors[other])}


def _apart(one: Door, other: Door) -> float:
    """Metres on the plan from door to door."""
    return math.dist(one.at, other.at) if one.at is not None and other.at is not None else _FAR
