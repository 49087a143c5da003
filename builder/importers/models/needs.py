"""What a guide still needs of a house type that no model says: a list to work through."""

from collections.abc import Mapping

from builder.importers.models.draft import DraftedValue, HouseTypeDraft, Needed
from builder.importers.models.rooms import RoomLayout
from builder.model.equipment import UNWRITTEN

_ESSENTIAL = (
    ("stopcock", "water", "the stopcock"),
    ("consumer-unit", "electricity", "the consumer unit"),
)
_FURTHER: Mapping[str, tuple[tuple[str, ...], str, str]] = {
    "smoke alarms": (("smoke-alarm",), "alarms stand on every floor", "hall-smoke-alarm: {kind: smoke-alarm, room: hall, place: in the middle of the ceiling}"),
    "a heat alarm": (("heat-alarm",), "a kitchen has one", "heat-alarm: {kind: heat-alarm, room: kitchen, place: in the middle of the ceiling}"),
    "what heats the home": (("gas-combination-boiler", "gas-system-boiler", "air-source-heat-pump", "heat-interface-unit", "panel-heater"), "'heating' names it", "boiler: {kind: gas-combination-boiler, room: kitchen, place: …}"),
    "thermostats": (("room-thermostat",), "each heating zone has one", "thermostat: {kind: room-thermostat, room: hall, place: …}"),
    "fans or a ventilation unit": (("extract-fan", "continuous-extract-unit", "heat-recovery-unit"), "'ventilation' names them", "bathroom-fan: {kind: extract-fan, room: bathroom, place: on the ceiling}"),
    "the meters": (("electric-meter",), "the owner reads them on the first day", "electric-meter: {kind: electric-meter, room: outside, place: …}"),
    "the valves of appliances": (("appliance-valve", "isolating-valve"), "each turns off one fitting", "washing-machine-valve: {kind: appliance-valve, room: kitchen, place: …, serves: The washing machine}"),
}  # fmt: skip


def listed(layout: RoomLayout, draft: HouseTypeDraft) -> None:
    """Writes into the draft what is still needed; what no guide can be without gets an entry to fill."""
    present = {entry["kind"].value for entry in draft.entries("equipment").values()}
    if any(kind.startswith("gas-") for kind in present) and "gas-emergency-valve" not in present:
        _add_to_be_written("gas-emergency-valve", "outside", draft)
        draft.needed.append(
            Needed("where the gas is turned off", "no guide of a home with gas can be without it")
        )
    for kind, supply, called in _ESSENTIAL:
        if kind not in present:
            _add_to_be_written(kind, _likely_room(layout), draft)
            draft.needed.append(
                Needed(f"where {called} is", f"no guide can be without what turns off the {supply}")
            )
    for what, (kinds, why, example) in _FURTHER.items():
        if present.isdisjoint(kinds):
            draft.needed.append(Needed(what, why, example))
    _sections(draft)
    _gaps(layout, draft)


def _add_to_be_written(kind: str, room: str, draft: HouseTypeDraft) -> None:
    why = "not in the model; say in which room and where"
    draft.add("equipment", kind, {
        "kind": DraftedValue(kind, None, "", why),
        "room": DraftedValue(room, None, "", why),
        "place": DraftedValue(UNWRITTEN, None, "", why),
    })  # fmt: skip


def _likely_room(layout: RoomLayout) -> str:
    kinds = ("utility", "kitchen", "kitchen-dining", "kitchen-living", "hall")
    ground = sorted(
        layout.rooms.values(), key=lambda each: (layout.levels[each.floor] != 0, each.id)
    )
    return next((each.id for kind in kinds for each in ground if each.kind == kind), ground[0].id)


def _sections(draft: HouseTypeDraft) -> None:
    examples = {
        "zones": ("heating zones", "each thermostat answers for its rooms", "ground: {name: Downstairs, rooms: [hall, living], thermostat: thermostat}"),
        "keys": ("keys", "they are counted on the day", "front-door: {name: Front door keys, count: 3, opens: the front door}"),
        "fences": ("fences and who owns them", "neighbours ask", "left: {side: left, kind: Timber 1.8 m high, owner: this-home}"),
        "finishes": ("finishes", "paint, tiles and floors by room", "hall-walls: {room: hall, surface: walls, material: Matt emulsion, colour: White}"),
    }  # fmt: skip
    for section, (what, why, example) in examples.items():
        if not draft.entries(section):
            draft.needed.append(Needed(what, why, f"{section}: {{{example}}}"))
    for section in ("heating", "ventilation"):
        if section not in draft.single:
            example = (
                "{source: boiler, hot_water: boiler}"
                if section == "heating"
                else "{system: intermittent-extract}"
            )
            draft.needed.append(
                Needed(section, "no equipment of the model tells it", f"{section}: {example}")
            )


def _gaps(layout: RoomLayout, draft: HouseTypeDraft) -> None:
    """What each entry still lacks."""
    unhung = [entry["name"].value for entry in draft.entries("doors").values()
              if "kind" not in entry and "hinge" not in entry]  # fmt: skip
    if unhung:
        draft.needed.append(
            Needed(
                "the hinges of doors", f"the model does not say how these open: {', '.join(unhung)}"
            )
        )
    flat = [
        each
        for each in draft.entries("windows").values()
        if "sill" not in each and each.get("kind", each["room"]).value != "roof"
    ]
    if flat:
        draft.needed.append(
            Needed("the sills of windows", "a plan does not say how high they are", "sill: 0.9")
        )
    sleeping = {name for name, each in layout.rooms.items() if each.kind == "bedroom"}
    lit = {entry["room"].value for entry in draft.entries("windows").values()}
    if sleeping & lit:
        draft.needed.append(Needed(
            "the clear opening of escape windows", "no model says which windows people can climb out of",
            "escape: true, restrictor: true, clear_width: 0.6, clear_height: 0.9",
        ))  # fmt: skip
    for room in sorted(sleeping - lit):
        draft.needed.append(
            Needed(f"a window of {layout.rooms[room].name}", "the model shows none")
        )
