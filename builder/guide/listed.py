"""Entries of sections that repeat, as articles list them: with the names of what they refer to."""

from collections.abc import Sequence
from typing import Any

from builder.guide.gates import motors
from builder.guide.part_ways import way_to
from builder.guide.pieces import Piece
from builder.guide.prose import with_dialling
from builder.home.ways_out import beyond, ways_out
from builder.languages.language import Language
from builder.model.home import Home
from builder.model.record import entries_of

_NAMED_ROOMS = ("windows", "finishes")


def with_names(
    entry: dict[str, Any], section: str, home: Home, pieces: Sequence[Piece], language: Language
) -> dict[str, Any]:
    """An entry with the names of what it refers to in place of their ids."""
    rooms = home.rooms
    if section in _NAMED_ROOMS:
        entry["room_id"], entry["room"] = entry["room"], rooms[entry["room"]].name
    if section == "parts":
        entry["room_ids"] = entry["rooms"]
        entry["rooms"] = tuple(rooms[room].name for room in entry["rooms"])
        own = entry.pop("own")
        entry["pieces"] = tuple(each for each in pieces if each.room_id in entry["room_ids"] or each.id in own)  # fmt: skip
        entry["way"] = way_to(home, entry["room_ids"], entry["place"], language)
    if section == "doors":
        entry["rooms"] = tuple(rooms[room].name for room in entry["between"])
        door, entry["way_out"] = home.doors[entry["id"]], entry["id"] in ways_out(home)
        entry["needs_key"] = door.needs_key
        outer = rooms[beyond(door, home)]
        entry["shared_hall"] = (
            outer.name if entry["way_out"] and home.room_kinds[outer.kind].shared else None
        )
    if section == "rooms" and entry["floor"]:
        entry["floor"] = home.floors[entry["floor"]].name
    if section == "communal":
        entry["looked_after_by"] = with_dialling(
            entries_of(home.contacts[entry["looked_after_by"]])
        )
    if section == "premises" and entry["contact"]:
        entry["contact"] = with_dialling(entries_of(home.contacts[entry["contact"]]))
    if section == "gates":
        entry["motor"] = motors(home.gates, pieces).get(entry["id"])
    if section == "utilities":
        entry = with_dialling(entry)
        entry["meter"] = next((each for each in pieces if each.id == entry["meter"]), None)
    return entry
