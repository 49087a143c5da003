"""Heating, zones and ventilation of a house type, as far as its equipment tells."""

from collections.abc import Sequence

from builder.importers.models.draft import DraftedValue, Entry, HouseTypeDraft
from builder.importers.models.pieces import ModelPiece, emitters
from builder.importers.models.rooms import RoomLayout
from builder.importers.models.words import OPEN_AIR

_SOURCES = (
    "air-source-heat-pump",
    "gas-system-boiler",
    "gas-combination-boiler",
    "heat-interface-unit",
)
_UNHEATED = ("cupboard", "plant", "garage", "loft", *OPEN_AIR, "communal")
_WET = (
    "kitchen",
    "kitchen-dining",
    "kitchen-living",
    "bathroom",
    "shower-room",
    "toilet",
    "utility",
)


def served(pieces: Sequence[ModelPiece], layout: RoomLayout, draft: HouseTypeDraft) -> None:
    """What can be told of heating and air from the equipment that was found."""
    _heating(draft)
    _zones(pieces, layout, draft)
    _ventilation(layout, draft)


def _first(draft: HouseTypeDraft, *kinds: str) -> tuple[str, Entry] | None:
    found = draft.entries("equipment").items()
    return next(
        ((name, entry) for kind in kinds for name, entry in found if entry["kind"].value == kind),
        None,
    )


def _heating(draft: HouseTypeDraft) -> None:
    source = _first(draft, *_SOURCES)
    if source is None:
        return
    name, entry = source
    stored = _first(draft, "hot-water-cylinder")
    water = stored or source
    why = "the only piece that makes heat"
    draft.single["heating"] = {
        "source": DraftedValue(name, entry["kind"].origin, "Name", why),
        "hot_water": DraftedValue(
            water[0], water[1]["kind"].origin, "Name", "it stores hot water" if stored else why
        ),
    }


def _zones(pieces: Sequence[ModelPiece], layout: RoomLayout, draft: HouseTypeDraft) -> None:
    """One zone for each thermostat that has a floor to itself; one for the home where there is one."""
    stats = {
        name: layout.rooms[entry["room"].value].floor
        for name, entry in draft.entries("equipment").items()
        if entry["kind"].value == "room-thermostat" and entry["room"].value in layout.rooms
    }
    heated = [name for name, each in layout.rooms.items() if each.kind not in _UNHEATED]
    warm = emitters(pieces)
    if not stats and not warm:
        return
    apart = len(stats) > 1 and len(set(stats.values())) == len(stats)
    if apart:
        for stat, floor in stats.items():
            rooms = [name for name in heated if layout.rooms[name].floor == floor]
            _zone(
                f"{floor}-floor",
                f"{floor.capitalize()} floor",
                rooms,
                stat,
                warm,
                "one thermostat on each floor",
                draft,
            )
        return
    first = next(iter(stats), None)
    why = "one thermostat for the whole home" if first else "the model has no thermostat"
    _zone("whole-home", "Whole home", heated, first, warm, why, draft)


def _zone(
    identifier: str,
    name: str,
    rooms: list[str],
    stat: str | None,
    warm: Sequence[ModelPiece],
    why: str,
    draft: HouseTypeDraft,
) -> None:
    origin = draft.entries("equipment")[stat]["kind"].origin if stat else None
    entry: Entry = {
        "name": DraftedValue(name, None, "", why),
        "rooms": DraftedValue(tuple(rooms), origin, "", why),
    }
    if stat:
        entry["thermostat"] = DraftedValue(stat, origin, "Name", why)
    inside = [each for each in warm if each.room and each.room.id in rooms]
    if inside:
        told = {f"{each.room.id}-{each.kind}": each for each in inside if each.room}
        entry["emitters"] = DraftedValue(
            {name: {"kind": each.kind, "room": each.room.id, "control": "thermostatic-valve"}  # type: ignore[union-attr]
             for name, each in told.items()},
            inside[0].thing.origin, "Name", "no model says how they are controlled",
        )  # fmt: skip
    draft.add("zones", identifier, entry)


def _ventilation(layout: RoomLayout, draft: HouseTypeDraft) -> None:
    for kind, system in (
        ("heat-recovery-unit", "heat-recovery"),
        ("continuous-extract-unit", "continuous-extract"),
    ):
        if unit := _first(draft, kind):
            origin = unit[1]["kind"].origin
            draft.single["ventilation"] = {
                "system": DraftedValue(system, origin, "Name", f"it has a {kind}"),
                "unit": DraftedValue(unit[0], origin, "Name"),
            }
            return
    fans = {
        name: entry
        for name, entry in draft.entries("equipment").items()
        if entry["kind"].value == "extract-fan"
        and entry["room"].value in layout.rooms
        and layout.rooms[entry["room"].value].kind in _WET
    }
    if not fans:
        return
    origin = next(iter(fans.values()))["kind"].origin
    valves = {
        entry["room"].value: {"room": entry["room"].value, "by": name}
        for name, entry in fans.items()
    }
    draft.single["ventilation"] = {
        "system": DraftedValue(
            "intermittent-extract",
            origin,
            "Name",
            "it has fans in wet rooms, and no unit for all of them",
        ),
        "air_valves": DraftedValue(valves, origin, "ObjectPlacement"),
    }
