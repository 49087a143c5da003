"""Equipment and the rest of a home in words: what articles and pages say of them."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from builder.guide.photographs import names_of
from builder.guide.view import View, view
from builder.home.roles import holder_of
from builder.languages.language import FIRST, Language, to_say
from builder.model.equipment import Equipment, FactDefinition, Kind
from builder.model.home import Home


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of equipment in words. ``where`` is its full place in this home.

    ``title`` is its name, with the room where two pieces of this home share the name. ``does`` lists
    the kinds whose work it does; ``call`` and ``served_by`` are ids of contacts.
    """

    id: str
    name: str
    title: str
    kind: str
    kind_name: str
    system: str
    what: str
    room_id: str
    room: str
    floor: str | None
    where: str
    place: str
    make: str | None
    model: str | None
    serves: str | None
    note: str | None
    height: float | None
    caution: str | None
    turns_off: str | None
    meter: bool
    service_every: str | None
    photos: tuple[str, ...]
    article: str | None
    actions: tuple[str, ...]
    drawings: tuple[str, ...]
    has_page: bool
    does: tuple[str, ...]
    fuel: str | None
    needs_mains: bool
    without_mains: str | None
    call: str | None
    own_call: bool
    served_by: str | None
    facts: tuple[tuple[str, str], ...]
    facts_by_id: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class EmitterPiece:
    """A radiator, floor loop or panel heater in words. ``does`` lists the kinds whose work it does;
    ``call`` is the id of the contact whom its kind names."""

    id: str
    name: str
    title: str
    call: str | None
    kind: str
    does: tuple[str, ...]
    room_id: str
    room: str
    zone: str
    place: str | None
    control: str
    needs_mains: bool
    without_mains: str | None


@dataclass(frozen=True, slots=True)
class ZonePiece:
    """A heating zone in words."""

    id: str
    name: str
    rooms: tuple[str, ...]
    thermostat: Piece | None
    emitters: tuple[EmitterPiece, ...]


def pieces_of(home: Home, language: Language = FIRST) -> tuple[Piece, ...]:
    """Every piece of equipment, floor by floor and room by room in the order of the house type."""
    order = {name: index for index, name in enumerate(home.rooms)}
    levels = {name: floor.level for name, floor in home.floors.items()}

    def walking(item: tuple[str, Equipment]) -> tuple[int, int]:
        room = home.rooms[item[1].room]
        return levels.get(room.floor or "", 99), order[item[1].room]

    ordered = sorted(home.equipment.items(), key=walking)
    names = Counter(_name(each, home) for each in home.equipment.values())
    return tuple(_piece(identifier, each, home, names, language) for identifier, each in ordered)


def _name(equipment: Equipment, home: Home) -> str:
    return equipment.name or home.kinds[equipment.kind].name


def _piece(
    identifier: str, equipment: Equipment, home: Home, names: Counter[str], language: Language
) -> Piece:
    kind, name = home.kinds[equipment.kind], _name(equipment, home)
    facts = tuple(_facts(equipment, kind, language))
    return Piece(
        id=identifier,
        name=name,
        title=f"{name}, {home.rooms[equipment.room].name}" if names[name] > 1 else name,
        kind=equipment.kind,
        kind_name=kind.name,
        system=kind.system,
        what=_what_for(equipment, kind, home, language),
        room_id=equipment.room,
        room=home.rooms[equipment.room].name,
        floor=floor_name(equipment.room, home),
        where=where(equipment.room, equipment.place, home),
        place=equipment.place,
        make=equipment.make,
        model=equipment.model,
        serves=equipment.serves,
        note=equipment.note,
        height=equipment.height,
        caution=kind.caution,
        turns_off=kind.turns_off,
        meter=kind.meter,
        service_every=kind.service_every,
        photos=names_of(equipment),
        article=kind.article,
        actions=kind.actions,
        drawings=kind.drawings if equipment.drawings is None else equipment.drawings,
        has_page=kind.page,
        does=(equipment.kind, *kind.counts_as),
        fuel=equipment.fuel or kind.fuel,
        needs_mains=_first_said(equipment.needs_mains, kind.needs_mains),
        without_mains=kind.without_mains,
        call=equipment.call or _holder(kind.call, home),
        own_call=equipment.call is not None,
        served_by=equipment.served_by or _holder(kind.served_by, home),
        facts=tuple((name, text) for _, name, text in facts),
        facts_by_id=tuple((key, text) for key, _, text in facts),
    )


_TURNS_OFF: Mapping[str, str] = {
    "water": to_say("Turns off the water to %(what)s."),
    "reused-water": to_say("Turns off the water that is used again, to %(what)s."),
    "gas": to_say("Turns off the gas to %(what)s."),
    "oil": to_say("Turns off the oil to %(what)s."),
    "electricity": to_say("Turns off the electricity to %(what)s."),
    "heating": to_say("Turns off the heating to %(what)s."),
}


def _what_for(equipment: Equipment, kind: Kind, home: Home, language: Language) -> str:
    """What a piece is for; one that shuts a supply off says what it shuts off, where that is said."""
    reused = home.reused_water.serves if home.reused_water else None
    served = equipment.serves or (reused if kind.turns_off == "reused-water" else None)
    if kind.turns_off and served:
        return shuts_off(kind.turns_off, served, language)
    return kind.what


def shuts_off(supply: str, served: str, language: Language) -> str:
    """What is said of a piece that turns off the supply of what it serves."""
    return language.say(_TURNS_OFF[supply], what=inner(served))


def inner(text: str) -> str:
    """A text inside a sentence: "The toilets" becomes "the toilets", and "LPG" stays."""
    return text if text[1:2].isupper() else f"{text[:1].lower()}{text[1:]}"


def _first_said(*said: bool | None) -> bool:
    return next((each for each in said if each is not None), False)


def _holder(role: str | None, home: Home) -> str | None:
    return holder_of(role, home.contacts) if role else None


def _facts(equipment: Equipment, kind: Kind, language: Language) -> Iterator[tuple[str, str, str]]:
    """Id, name and text of each fact, in the order that the kind defines them."""
    for key, definition in kind.facts.items():
        if key in equipment.facts:
            yield key, definition.name, fact_text(equipment.facts[key], definition, language)


def fact_text(value: object, definition: FactDefinition, language: Language = FIRST) -> str:
    """A fact in words: ``210 litres``, ``yes``, ``through the kitchen wall``."""
    if isinstance(value, bool):
        return language.say("yes") if value else language.say("no")
    if isinstance(value, str) and definition.rhythm:
        return language.term(value)
    text = language.text(value) if isinstance(value, str) else f"{value:g}"
    unit = definition.unit
    return f"{text} {unit}" if unit and not text.endswith(unit) else text


def where(room_id: str, place: str, home: Home) -> str:
    """A full place, such as "Kitchen, ground floor: under the sink"."""
    floor = floor_name(room_id, home)
    room = home.rooms[room_id].name
    return f"{room}, {floor[0].lower()}{floor[1:]}: {place}" if floor else f"{room}: {place}"


def floor_name(room_id: str, home: Home) -> str | None:
    """The floor of a room, where the home has more than one and the room is not called as its floor."""
    floor = home.rooms[room_id].floor
    inside = {room.floor for room in home.rooms.values() if room.floor}
    several = len(inside) > 1
    name = home.floors[floor].name if floor and several else None
    return None if name and name.lower() == home.rooms[room_id].name.lower() else name


def zones_of(home: Home, pieces: tuple[Piece, ...]) -> tuple[ZonePiece, ...]:
    """Every heating zone, with its thermostat and emitters."""
    by_id = {piece.id: piece for piece in pieces}
    return tuple(
        ZonePiece(
            id=name,
            name=zone.name,
            rooms=tuple(home.rooms[room].name for room in zone.rooms),
            thermostat=by_id.get(zone.thermostat or ""),
            emitters=tuple(
                EmitterPiece(
                    id=each,
                    name=home.kinds[emitter.kind].name,
                    title=f"{home.kinds[emitter.kind].name}, {home.rooms[emitter.room].name}",
                    call=_holder(home.kinds[emitter.kind].call, home),
                    kind=emitter.kind,
                    does=(emitter.kind, *home.kinds[emitter.kind].counts_as),
                    room_id=emitter.room,
                    room=home.rooms[emitter.room].name,
                    zone=zone.name,
                    place=emitter.place,
                    control=emitter.control,
                    needs_mains=bool(home.kinds[emitter.kind].needs_mains),
                    without_mains=home.kinds[emitter.kind].without_mains,
                )
                for each, emitter in zone.emitters.items()
            ),
        )
        for name, zone in home.zones.items()
    )


def words(items: "tuple[str, ...] | list[str]") -> str:
    """A list in the words of the first language: "Hall, Landing and Kitchen"."""
    return FIRST.listed(items)


def piece_view(piece: Piece, contacts: Mapping[str, dict[str, Any]]) -> View:
    """A piece as articles see it: its facts by their ids, and whom to call for it."""
    entries = {name: getattr(piece, name) for name in piece.__slots__}
    for name in ("call", "served_by"):
        entries[name] = view(f"{piece.id}.{name}", contacts.get(entries[name]))
    entries["facts"] = View(f"{piece.id}.facts", dict(piece.facts_by_id))
    return View(piece.id, entries)


def doing_by_kind(pieces: tuple[Piece, ...]) -> Mapping[str, list[int]]:
    """For each kind, the numbers of the pieces that do its work."""
    return numbered_by_kind(each.does for each in pieces)


def numbered_by_kind(kinds: Iterable[Iterable[str]]) -> Mapping[str, list[int]]:
    """For each kind, the numbers of those things in a row that name it."""
    found: dict[str, list[int]] = {}
    for number, named in enumerate(kinds):
        for kind in named:
            found.setdefault(kind, []).append(number)
    return found


def needing_mains(pieces: tuple[Piece, ...]) -> tuple[Piece, ...]:
    """The pieces that need the mains."""
    return tuple(piece for piece in pieces if piece.needs_mains)


def contacts_named_by(pieces: tuple[Piece, ...]) -> tuple[str, ...]:
    """The ids of the contacts that pieces name."""
    named = (each for piece in pieces for each in (piece.call, piece.served_by) if each)
    return tuple(sorted(set(named)))


def home_with_only(sections: Mapping[str, Any]) -> Home:
    """A home of which only these sections can be read."""
    made: Home = Home.model_construct(set(sections), **sections)
    return made
