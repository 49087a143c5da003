"""The doors by which people leave a home, and for which of them they need a key."""

from builder.model.building import Door
from builder.model.home import Home

_NO_DOOR = ("garage", "opening")


def ways_out(home: Home) -> dict[str, Door]:
    """The doors that lead from where people are to the open air or to a shared hall, by their ids: not from
    a garage, not onto a balcony, and not out of a room that is entered from outside alone."""
    return {name: door for name, door in home.doors.items() if _leads_out(name, door, home)}


def keyed_ways_out(home: Home) -> dict[str, Door]:
    """Those of them that somebody may need a key for."""
    return {name: door for name, door in ways_out(home).items() if door.needs_key}


def beyond(door: Door, home: Home) -> str:
    """The room on the outer side of a door, by its id."""
    return sorted(door.between, key=lambda room: not _is_inside(room, home))[1]


def _leads_out(name: str, door: Door, home: Home) -> bool:
    inner, outer = sorted(door.between, key=lambda room: not _is_inside(room, home))
    kind, beyond = _kind_of(inner, home), _kind_of(outer, home)
    out = home.room_kinds[kind].inside and not home.room_kinds[beyond].inside
    stays = home.room_kinds[beyond].from_home or kind == "garage" or door.kind in _NO_DOOR
    return out and not stays and _is_reached(name, inner, home)


def _is_reached(name: str, room: str, home: Home) -> bool:
    """Whether people are in a room, or come through it: they live or pass there, or another door leads in."""
    kind = home.room_kinds[_kind_of(room, home)]
    others = (each for other, each in home.doors.items() if other != name and room in each.between)
    return kind.habitable or kind.circulation or any(_joins(each, home) for each in others)


def _joins(door: Door, home: Home) -> bool:
    return all(_is_inside(room, home) for room in door.between)


def _is_inside(room: str, home: Home) -> bool:
    return home.room_kinds[_kind_of(room, home)].inside


def _kind_of(room: str, home: Home) -> str:
    return home.rooms[room].kind
