"""Whether a condition holds for a home, and why: every answer can be read out."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from pydantic import BaseModel

from builder.home.assemble import OWN
from builder.home.ways_out import keyed_ways_out
from builder.layers.memo import Memo
from builder.model.article import Source
from builder.model.building import Door, Floor
from builder.model.condition import Condition, NamedCondition
from builder.model.equipment import Equipment
from builder.model.home import Home
from builder.model.record import entries_of
from builder.model.services import AirValve
from builder.selection.bodies import speaks_to
from builder.selection.named import parts_of, sound_conditions

_SUNK = 1.2


@dataclass(frozen=True, slots=True)
class Reason:
    """An answer and what it rests on. ``paths`` are the dotted paths in the home that decided."""

    holds: bool
    says: str
    paths: tuple[str, ...] = ()
    parts: "tuple[Reason, ...]" = ()


@dataclass(frozen=True)
class Judge:
    """One home, of which many conditions are asked. ``kept``: the answers for homes that are alike; ``alike``: this home
    without what is one plot's own, so that more are."""

    home: Home
    kept: Memo | None = None
    alike: Home | None = None

    def of(self, condition: Condition) -> Reason:
        """Whether every line of a condition holds, each line a part of the reason."""
        if self.kept is None:
            return self._of(condition)
        parts = (Judge, condition, *self._rests_on(condition, self.kept))
        return self.kept.made_from(parts, lambda: self._of(condition))

    def _rests_on(self, condition: Condition, kept: Memo) -> Iterator[object]:
        """The sections of the home that the answer follows from."""
        read = kept.once(sections_read, condition, self.home.conditions)
        home = self.home if read.own or self.alike is None else self.alike
        return (getattr(home, name) for name in read.sections)

    def _of(self, condition: Condition) -> Reason:
        parts = tuple(self._lines(condition))
        if len(parts) == 1:
            return parts[0]
        return Reason(all(part.holds for part in parts), "all of these", parts=parts)

    def holds(self, condition: Condition) -> bool:
        """Whether a condition holds; looked into once, however often it is asked for."""
        known = self._verdicts.get(id(condition))
        if known is None:
            # The condition is kept beside its answer, so that no other takes its place in memory.
            known = self._verdicts[id(condition)] = condition, self.of(condition).holds
        return known[1]

    def applies(self, entry: Any) -> bool:
        """Whether an entry that says when it applies does so; a source, where its body speaks to the nation."""
        if isinstance(entry, Source) and not speaks_to(entry, self.home.development.nation):
            return False
        when = getattr(entry, "when", None)
        return when is None or self.holds(when)

    @cached_property
    def _verdicts(self) -> dict[int, tuple[Condition, bool]]:
        return {}

    @cached_property
    def named(self) -> Mapping[str, NamedCondition]:
        """Every condition that has a name: those of the home's layers over those that ship."""
        own = self.home.conditions
        return self.kept.once(sound_conditions, own) if self.kept else sound_conditions(own)

    def is_so(self, name: str) -> bool:
        """Whether a named condition holds; one that nobody has named does not."""
        known = self.named.get(name)
        return known is not None and self.holds(known.when)

    def of_kinds(self, kinds: Sequence[str]) -> Reason:
        """Whether the home has equipment or emitters that do the work of one of these kinds."""
        found = [each for kind in dict.fromkeys(kinds) for each in self._kinds.get(kind, ())]
        paths = tuple(path for _, path in sorted(found))
        named = " or ".join(kinds)
        return Reason(bool(paths), f"has {named}" if paths else f"has no {named}", paths)

    def _burning(self, kinds: Sequence[str], fuels: Sequence[str]) -> Reason:
        """Whether one and the same piece is of one of these kinds and has one of these fuels."""
        paths = set(self.of_kinds(kinds).paths)
        found = tuple(path for fuel, path in fuels_in(self.home) if fuel in fuels and path in paths)
        named = f"{' or '.join(kinds)} with {' or '.join(fuels)}"
        return Reason(bool(found), f"has {named}" if found else f"has no {named}", found)

    @cached_property
    def _kinds(self) -> Mapping[str, list[tuple[int, str]]]:
        """For each kind of the home the dotted paths that have it, numbered in the home's order."""
        paths: dict[str, list[tuple[int, str]]] = {}
        for number, (kind, path) in enumerate(kinds_in(self.home)):
            for each in work_of(kind, self.home):
                paths.setdefault(each, []).append((number, path))
        return paths

    def _lines(self, condition: Condition) -> Iterator[Reason]:
        if condition.kind is not None and condition.fuel is not None:
            yield self._burning(condition.kind, condition.fuel)
        elif condition.kind is not None:
            yield self.of_kinds(condition.kind)
        elif condition.fuel is not None:
            yield _fuel(condition.fuel, self.home)
        if condition.form is not None:
            yield _form_reason(condition.form, self.home)
        if condition.is_ is not None:
            yield self._named_reason(condition.is_)
        if condition.nation is not None:
            yield _nation(condition.nation, self.home)
        for path in condition.has or ():
            yield _has(path, self.home)
        for path, wanted in (condition.equals or {}).items():
            yield _equals(path, wanted, self.home)
        for path, words in (condition.worded or {}).items():
            yield _worded(path, words, self.home)
        yield from self._combined(condition)

    def _combined(self, condition: Condition) -> Iterator[Reason]:
        if condition.all is not None:
            parts = tuple(self.of(each) for each in condition.all)
            yield Reason(all(part.holds for part in parts), "all of these", parts=parts)
        if condition.any is not None:
            parts = tuple(self.of(each) for each in condition.any)
            yield Reason(any(part.holds for part in parts), "any of these", parts=parts)
        if condition.not_ is not None:
            part = self.of(condition.not_)
            yield Reason(not part.holds, "not this", parts=(part,))

    def _named_reason(self, names: Sequence[str]) -> Reason:
        parts = tuple(self.of(self.named[name].when) for name in names if name in self.named)
        return Reason(any(part.holds for part in parts), f"is {' or '.join(names)}", parts=parts)


@dataclass(frozen=True, slots=True)
class SectionsRead:
    """The sections of a home that the answer to a condition follows from. ``own``: what is one plot's own
    is asked for."""

    sections: tuple[str, ...]
    own: bool


def sections_read(condition: Condition, named: Mapping[str, NamedCondition]) -> SectionsRead:
    """What a condition asks of a home. ``named``: the conditions that the home's layers name."""
    lines = tuple(_all_lines(condition, sound_conditions(named)))
    paths = [path for each in lines for path in _paths_in(each)]
    read = {name for each in lines for name in _sections_of_line(each)}
    read.update(name for path in paths for name in _sections_at(path.partition(".")[0]))
    return SectionsRead(tuple(sorted(read)), any(path.endswith(OWN) for path in paths))


def _all_lines(condition: Condition, named: Mapping[str, NamedCondition]) -> Iterator[Condition]:
    """A condition, and all that stand in it or are named by it."""
    for each in parts_of(condition):
        yield each
        for name in each.is_ or ():
            if name in named:
                yield from _all_lines(named[name].when, named)


def _paths_in(condition: Condition) -> Iterator[str]:
    yield from condition.has or ()
    yield from condition.equals or ()
    yield from condition.worded or ()


def _sections_of_line(condition: Condition) -> Iterator[str]:
    """The sections that a condition reads besides those of its paths."""
    if condition.kind is not None or condition.fuel is not None:
        yield from ("equipment", "zones", "kinds")
    if condition.form is not None:
        yield "form"
    if condition.is_ is not None:
        yield "conditions"
    if condition.nation is not None:
        yield "development"


def _sections_at(name: str) -> tuple[str, ...]:
    """The sections behind the first name of a path; none where a home has nothing of that name."""
    if name == "*":
        return tuple(Home.model_fields)
    if name in WORKED_OUT_FROM:
        return WORKED_OUT_FROM[name]
    return (name,) if name in Home.model_fields else ()


def judge(condition: Condition, home: Home) -> Reason:
    """Whether every line of one condition holds for a home, each line a part of the reason."""
    return Judge(home).of(condition)


def kinds_in(home: Home) -> Iterator[tuple[str, str]]:
    """The kind and the dotted path of every piece of equipment and every emitter."""
    for name, piece in home.equipment.items():
        yield piece.kind, f"equipment.{name}"
    for zone_name, zone in home.zones.items():
        for name, emitter in zone.emitters.items():
            yield emitter.kind, f"zones.{zone_name}.emitters.{name}"


def work_of(kind: str, home: Home) -> frozenset[str]:
    """The kinds whose work a kind does, its own among them."""
    known = home.kinds.get(kind)
    return frozenset({kind, *(known.counts_as if known else ())})


def fuels_in(home: Home) -> Iterator[tuple[str, str]]:
    """The fuel and the dotted path of every piece that has one, of its own or of its kind."""
    for name, piece in home.equipment.items():
        if fuel := piece.fuel or home.kinds[piece.kind].fuel:
            yield fuel, f"equipment.{name}"


def _fuel(fuels: Sequence[str], home: Home) -> Reason:
    paths = tuple(path for fuel, path in fuels_in(home) if fuel in fuels)
    named = " or ".join(fuels)
    return Reason(bool(paths), f"has {named}" if paths else f"has no {named}", paths)


def _form_reason(forms: Sequence[str], home: Home) -> Reason:
    holds = home.form in forms
    return Reason(holds, f"form is {home.form}, wanted {' or '.join(forms)}", ("form",))


def _nation(nations: Sequence[str], home: Home) -> Reason:
    nation = home.development.nation
    says = f"nation is {nation or 'not named'}, wanted {' or '.join(nations)}"
    return Reason(nation in nations, says, ("development.nation",))


def _has(path: str, home: Home) -> Reason:
    paths = tuple(found for found, value in values_at(home, path) if _counts(value))
    return Reason(bool(paths), f"has {path}" if paths else f"has nothing at {path}", paths)


def _equals(path: str, wanted: Sequence[str], home: Home) -> Reason:
    found = [
        (where, _value_in_words(each))
        for where, value in values_at(home, path)
        for each in (value if isinstance(value, tuple) else (value,))
    ]
    paths = tuple(where for where, value in found if value in wanted)
    given = ", ".join(sorted({value for _, value in found})) or "nothing"
    return Reason(bool(paths), f"{path} is {given}, wanted {' or '.join(wanted)}", paths)


def _worded(path: str, words: Sequence[str], home: Home) -> Reason:
    """Whether a text has one of these words. What only looks like it has not: oak effect is no oak."""
    wanted = re.compile(
        rf"\b(?:{'|'.join(map(re.escape, words))})\b(?![ -](?:effect|look)\b)", re.IGNORECASE
    )
    found = values_at(home, path)
    paths = tuple(
        where for where, value in found if isinstance(value, str) and wanted.search(value)
    )
    named = " or ".join(words)
    return Reason(bool(paths), f"{path} {'says' if paths else 'does not say'} {named}", paths)


def values_at(home: Home, path: str) -> list[tuple[str, Any]]:
    """The values at a dotted path, in which ``*`` stands for every entry, with their own paths."""
    found: list[tuple[str, Any]] = [("", home)]
    for step in path.split("."):
        found = [
            (f"{where}.{key}".lstrip("."), value)
            for where, holder in found
            for key, value in _below(holder, step)
        ]
    return found


def _below(holder: Any, step: str) -> Iterator[tuple[str, Any]]:
    if isinstance(holder, Home) and step in WORKED_OUT:
        yield step, WORKED_OUT[step](holder)
    elif isinstance(holder, BaseModel):
        if step == "*":
            yield from entries_of(holder).items()
        elif step in type(holder).model_fields:
            yield step, getattr(holder, step)
    elif isinstance(holder, Mapping):
        if step == "*":
            yield from holder.items()
        elif step in holder:
            yield step, holder[step]


def _outside_doors(home: Home) -> dict[str, Door]:
    """The doors of which one side is not inside a home."""
    return {
        name: door
        for name, door in home.doors.items()
        if not all(_is_inside(room, home) for room in door.between)
    }


def _storeys(home: Home) -> int:
    """On how many floors the home has rooms that people use, as far as it is said: no loft, no garage."""
    used = (room for name, room in home.rooms.items() if room.floor and _is_inside(name, home))
    return len({room.floor for room in used if home.room_kinds[room.kind].floor_area})


def _is_inside(room: str, home: Home) -> bool:
    return home.room_kinds[home.rooms[room].kind].inside


def piped_air(home: Home) -> dict[str, AirValve]:
    """Where air enters or leaves at a valve, through a pipe, and not at the grille of its own fan."""
    return {
        name: valve
        for name, valve in (home.ventilation.air_valves if home.ventilation else {}).items()
        if home.equipment[valve.by].room != valve.room
    }


def _finished(home: Home) -> dict[str, dict[str, str]]:
    """By surface, such as the floor: the material of each finish."""
    found: dict[str, dict[str, str]] = {}
    for name, finish in home.finishes.items():
        found.setdefault(finish.surface, {})[name] = finish.material
    return found


def _own_equipment(home: Home) -> dict[str, Equipment]:
    """The pieces that nobody else is said to look after."""
    return {
        name: piece
        for name, piece in home.equipment.items()
        if not (piece.served_by or home.kinds[piece.kind].served_by)
    }


def _sunk_floors(home: Home) -> dict[str, Floor]:
    """The floors with rooms that lie more than 1.2 m below the ground, as Approved Document B has it of a basement."""
    used = {room.floor for room in home.rooms.values()}
    floors = home.floors.items()
    return {name: each for name, each in floors if name in used and each.above_ground <= -_SUNK}


WORKED_OUT: Mapping[str, Callable[[Home], Any]] = {
    "finished": _finished,
    "keyed_ways_out": keyed_ways_out,
    "outside_doors": _outside_doors,
    "own_equipment": _own_equipment,
    "piped_air": piped_air,
    "storeys": _storeys,
    "sunk_floors": _sunk_floors,
}
"""What a condition may ask for that no file says, and that follows from what files say."""
WORKED_OUT_FROM: Mapping[str, tuple[str, ...]] = {
    "finished": ("finishes",),
    "keyed_ways_out": ("doors", "rooms", "room_kinds"),
    "outside_doors": ("doors", "rooms", "room_kinds"),
    "own_equipment": ("equipment", "kinds"),
    "piped_air": ("ventilation", "equipment"),
    "storeys": ("rooms", "room_kinds"),
    "sunk_floors": ("floors", "rooms"),
}
"""The sections of a home that each of them follows from."""


def _counts(value: Any) -> bool:
    """A home has what is there: not nothing, not an empty mapping, not a plain no."""
    return value is not None and value is not False and value not in ({}, ())


def _value_in_words(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)
