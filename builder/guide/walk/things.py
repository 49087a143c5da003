"""Everything in and about a home that a buyer is shown, and the room in which each thing is."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from builder.guide.about import About
from builder.guide.equipment_pages import articles_for
from builder.guide.gates import motors
from builder.guide.pieces import EmitterPiece, Piece, where
from builder.guide.walk.walking import Walking, hatches
from builder.home.survey import Survey
from builder.home.ways_out import keyed_ways_out
from builder.languages.language import Say, to_say
from builder.model.building import Door, Window
from builder.selection.conditions import piped_air

SUBJECTS = {
    "building-door": to_say("Main door of the building"),
    "stores": to_say("Stores and bins"),
    "communal": to_say("What you share"),
    "parking": to_say("Parking"),
    "outside-door": to_say("Doors to the outside"),
    "garage-door": to_say("Garage door"),
    "fire-door": to_say("Fire doors"),
    "escape-window": to_say("Escape windows"),
    "roof-window": to_say("Windows in the roof"),
    "waiting-window": to_say("Windows where people see you"),
    "opening-window": to_say("Windows"),
    "background-ventilator": to_say("Vents in the windows"),
    "air-valve": to_say("Air valves"),
    "lawns": to_say("Grass"),
    "fences": to_say("Fences and who owns them"),
    "gates": to_say("Gates"),
    "front-door": to_say("Front door"),
    "steady-radiator": to_say("Radiators without a valve of their own"),
}
"""What is shown besides equipment and rooms, in the order in which a stop shows it."""

_VALVED = frozenset({"radiator", "towel-rail"})
"""Kinds of emitter that are set at a valve, where they have one."""

_OWNERS = {
    "this-home": to_say("yours"),
    "neighbour": to_say("your neighbour's"),
    "shared": to_say("shared with your neighbour"),
    "managing-agent": to_say("looked after by whoever manages what homes share"),
}

_SIDES = {
    "left": to_say("at the left"),
    "right": to_say("at the right"),
    "back": to_say("at the back"),
    "front": to_say("at the front"),
}
_SURFACES = {
    "turf": to_say("Grass (turf)"),
    "seed": to_say("Grass (seed)"),
    "artificial": to_say("Grass (artificial)"),
}


_WAYS = {
    "extract": to_say("Air leaves here"),
    "supply": to_say("Fresh air enters here"),
    None: to_say("Air valve"),
}


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing to show. ``id`` is its dotted path in the home; ``section`` and ``key`` say what of
    the script is about it; ``above`` that it is in a loft, which nobody is led into."""

    id: str
    section: str
    key: str
    group: str
    room: str
    title: str
    where: str
    place: str
    details: tuple[str, ...] = ()
    serial: str | None = None
    article: str | None = None
    above: bool = False


@dataclass(frozen=True)
class Contents:
    """All that there is to show in one home. ``serials`` are private, by the ids of equipment."""

    about: About
    survey: Survey
    serials: Mapping[str, str]

    @cached_property
    def things(self) -> tuple[Thing, ...]:
        """Everything, in the order of the house type."""
        return tuple(
            each
            for found in (
                self._equipment(),
                self._emitters(),
                self._doors(),
                self._windows(),
                self._air_valves(),
                self._outside(),
                self._rooms(),
            )
            for each in found
        )

    @cached_property
    def _plan(self) -> Walking:
        return Walking(self.survey, ())

    @cached_property
    def _hatches(self) -> Mapping[str, str]:
        return hatches(self.survey)

    @cached_property
    def out_of_doors(self) -> str:
        """The room outside that the front door, or the building, opens to; without one, the first."""
        home = self.about.home
        for name in home.rooms:
            kind = self.survey.kind_of_room(name)
            if not (kind.inside or kind.shared or kind.from_home):
                return name
        return self._plan.first_room or next(iter(home.rooms))

    def _equipment(self) -> Iterator[Thing]:
        for piece in self.about.pieces:
            article = next(articles_for(piece, self.about), None)
            yield Thing(
                id=f"equipment.{piece.id}",
                section="kinds",
                key=piece.kind,
                group=self._several(piece.kind),
                room=self._hatches.get(piece.room_id, piece.room_id),
                title=piece.title,
                where=piece.where,
                place=piece.where if piece.room_id in self._hatches else piece.place,
                details=tuple(_details(piece, self.about.say)),
                serial=self.serials.get(piece.id),
                article=article.front.title if article else None,
                above=piece.room_id in self._hatches,
            )

    def _emitters(self) -> Iterator[Thing]:
        """Radiators and other emitters, where none of the equipment is one of them already."""
        stands = {(piece.room_id, piece.kind) for piece in self.about.pieces}
        for zone in self.about.zones:
            for each in zone.emitters:
                if (each.room_id, each.kind) not in stands:
                    yield self._emitter(zone.id, each)

    def _emitter(self, zone: str, each: EmitterPiece) -> Thing:
        """A radiator without a valve is no place to show how one is set."""
        steady = each.control != "thermostatic-valve" and not _VALVED.isdisjoint(each.does)
        return Thing(
            id=f"zones.{zone}.emitters.{each.id}",
            section="subjects" if steady else "kinds",
            key="steady-radiator" if steady else each.kind,
            group=self.about.language.text(SUBJECTS["steady-radiator"])
            if steady
            else self._several(each.kind),
            room=each.room_id,
            title=each.name,
            where=self._place_in_words(each.room_id, each.place),
            place=each.place or "",
            details=(self.about.say("Heating zone: %(zone)s", zone=each.zone),),
        )

    def _several(self, kind: str) -> str:
        one = self.about.home.kinds[kind]
        return one.several or one.name

    def _place_in_words(self, room: str, place: str | None) -> str:
        home = self.about.home
        return where(room, place, home) if place else where(room, "", home).removesuffix(": ")

    def _doors(self) -> Iterator[Thing]:
        garage_doors = {piece.room_id for piece in self.about.pieces if piece.kind == "garage-door"}
        for name, door in self.about.home.doors.items():
            room, key = self._door(name, door)
            if key and not (key == "garage-door" and room in garage_doors):
                yield self._subject(f"doors.{name}", key, room, door.name, self._between_rooms(door),
                                    tuple(self._details_of_door(name, door)))  # fmt: skip

    def _details_of_door(self, name: str, door: Door) -> Iterator[str]:
        """How it is locked; and of a way out for which a key is needed, where that is kept."""
        if door.lock:
            yield self.about.say("To lock it: %(how)s", how=door.lock)
        if name in keyed_ways_out(self.about.home):
            yield self.about.say("Its key is kept where everyone finds it in the dark")

    def _between_rooms(self, door: Door) -> str:
        one, other = (self.about.home.rooms[room].name for room in door.between)
        return self.about.say("Between %(one)s and %(other)s", one=one, other=other)

    def _door(self, name: str, door: Door) -> tuple[str, str | None]:
        """Where a door is shown, and as what; None where there is nothing to show of it."""
        inner = sorted(door.between, key=self._outness)
        outness = [self._outness(room) for room in inner]
        if name == self._plan.entrance:
            return inner[1], "front-door"
        if outness[0] == _SHARED and outness[1] == _OUT:
            return inner[1], "building-door"
        if door.kind == "garage":
            return inner[0], "garage-door"
        if outness[0] < _SHARED <= outness[1] and door.kind != "opening":
            return inner[0], "outside-door"
        return inner[0], "fire-door" if door.fire_rating else None

    def _outness(self, room: str) -> int:
        """How far out a room is: passages first, then rooms, then what is shared, then outside."""
        kind = self.survey.kind_of_room(room)
        if kind.inside:
            return 0 if kind.circulation else 1
        return _SHARED if kind.shared else _OUT

    def _windows(self) -> Iterator[Thing]:
        for name, window in self.about.home.windows.items():
            place = window.place or ""
            if window.kind != "fixed":
                key = _key_of(window, climbs="hard-walking" not in self.about.true_names)
                yield self._subject(f"windows.{name}", key, window.room, window.name, place,
                                    tuple(_details_of_window(window, self.about.say)))  # fmt: skip
            if window.background_ventilator is not None:
                vent = self.about.say(
                    "Vent, %(window)s", window=f"{window.name[0].lower()}{window.name[1:]}"
                )
                yield self._subject(f"windows.{name}.background_ventilator",
                                    "background-ventilator", window.room, vent, place)  # fmt: skip

    def _air_valves(self) -> Iterator[Thing]:
        """Where air enters and leaves, apart from a fan's own grille."""
        for name, valve in piped_air(self.about.home).items():
            does = self.about.language.text(_WAYS[valve.direction])
            yield self._subject(f"ventilation.air_valves.{name}", "air-valve", valve.room, does)

    def _outside(self) -> Iterator[Thing]:
        home = self.about.home
        yield from self._places(
            "stores", {name: (each.name, each.place) for name, each in home.stores.items()}
        )
        yield from self._places(
            "communal", {name: (each.name, each.place) for name, each in home.communal.items()}
        )
        yield from self._places(
            "parking", {name: (each.name, each.place) for name, each in home.parking.items()}
        )
        yield from self._places(
            "lawns",
            {name: (self._grass(each.surface), each.place) for name, each in home.lawns.items()},
        )
        own = motors(home.gates, self.about.pieces)
        gates = {name: each.place for name, each in home.gates.items() if name not in own}
        yield from self._places(
            "gates", {name: (self.about.say("Gate"), place) for name, place in gates.items()}
        )
        yield from self._places("fences", {
            name: (
                f"{each.kind}, {self.about.language.text(_OWNERS[each.owner])}",
                self.about.language.text(_SIDES[each.side]),
            )
            for name, each in home.fences.items()
        })  # fmt: skip

    def _grass(self, surface: str | None) -> str:
        return self.about.language.text(_SURFACES[surface] if surface else to_say("Grass"))

    def _places(self, section: str, named: Mapping[str, tuple[str, str]]) -> Iterator[Thing]:
        for name, (title, place) in named.items():
            yield self._subject(f"{section}.{name}", section, self.out_of_doors, title, place)

    def _rooms(self) -> Iterator[Thing]:
        """Each room itself: its kind has words of its own where there is something to say of it."""
        for name, room in self.about.home.rooms.items():
            if name not in self._hatches:
                yield Thing(id=f"rooms.{name}", section="room_kinds", key=room.kind,
                            group=self.about.say("This room"), room=name, title=room.name,
                            where=self._place_in_words(name, None), place="")  # fmt: skip

    def _subject(
        self, identifier: str, key: str, room: str, title: str, place: str = "",
        details: tuple[str, ...] = (),
    ) -> Thing:  # fmt: skip
        return Thing(identifier, "subjects", key, self.about.language.text(SUBJECTS[key]), room, title,
                     self._place_in_words(room, place), place, details)  # fmt: skip


_SHARED, _OUT = 2, 3


def _details(piece: Piece, say: Say) -> Iterator[str]:
    """What the person who shows it has at hand: what it serves, its make, notes and facts."""
    if piece.serves:
        yield say("It serves: %(what)s", what=piece.serves)
    if piece.make:
        yield say("Make: %(made)s", made=" ".join(filter(None, (piece.make, piece.model))))
    if piece.note:
        yield say("Note: %(note)s", note=piece.note)
    yield from (f"{name}: {text}" for name, text in piece.facts)


def _key_of(window: Window, *, climbs: bool) -> str:
    """What is shown of a window: nobody climbs out of one in the roof, whose room waits for help there, and
    nobody who walks with difficulty out of any."""
    if not window.escape:
        return "opening-window"
    if not climbs:
        return "waiting-window"
    return "roof-window" if window.kind == "roof" else "escape-window"


def _details_of_window(window: Window, say: Say) -> Iterator[str]:
    if window.restrictor:
        yield say("A catch keeps it from opening wide")
    if window.lockable:
        yield say("It locks with a key")
