"""The plans of one home: every floor with its marks, and any floor with one thing on it."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from builder.guide.pieces import Piece
from builder.guide.plan.boxes import Box, around
from builder.guide.plan.drawing import (
    EDGE,
    UNITS,
    Base,
    FloorPlan,
    Highlight,
    Mark,
    Name,
    PlacedPiece,
    Spot,
    TouchPlan,
    spot_of,
)
from builder.guide.plan.fitted import drawn_pieces
from builder.guide.plan.ground import FloorGround
from builder.guide.plan.marks import TouchMarks, marks_of, north_mark, touch_marks
from builder.guide.plan.names import names_of
from builder.guide.plan.pins import WantedPin, pins_of, spread
from builder.guide.plan.walls import FloorDrawing
from builder.home.survey import Survey
from builder.languages.language import FIRST, Language, to_say
from builder.layers.memo import Memo
from builder.model.building import Room
from builder.model.home import Home

NAME_SIZES = (14, 12, 11, 10, 9)
"""Units of type for the names of rooms on a full plan, the largest first."""
PHONE, LEGIBLE, SHOWN_HIGH = 288, 10, 384
"""Pixels: the width of a plan on the narrowest phone, the least size of type that is read, and the
height that a plan of one room is shown in at most."""
NEAREST = 4.0
"""Metres from the walls within which a piece outside is drawn; one farther off is in the table."""


@dataclass(frozen=True, slots=True)
class Built:
    """What the floors and walls of a home are drawn from, whatever else is in it: sections of the home, and
    the equipment that is ``drawn`` from above."""

    floors: Mapping[str, Any]
    rooms: Mapping[str, Room]
    room_kinds: Mapping[str, Any]
    doors: Mapping[str, Any]
    windows: Mapping[str, Any]
    stairs: Mapping[str, Any]
    fittings: Mapping[str, Any]
    garage: object
    drawn: tuple[object, ...]


@dataclass(frozen=True)
class Plans:
    """All that is drawn of a home. Floors and names are worked out once for all plans.

    With ``kept``, homes that have the same drawn in the same places share one drawing.
    """

    home: Home
    pieces: tuple[Piece, ...]
    kept: Memo = field(default_factory=Memo, compare=False, repr=False)
    language: Language = field(default=FIRST, compare=False, repr=False)

    @cached_property
    def marks(self) -> Mapping[str, Mark]:
        """The mark of each piece that is drawn, the same on every plan."""
        drawn = (
            piece
            for piece in self.pieces
            if (floor := self.floor_of(piece)) and self._spot(piece, floor)
        )
        return marks_of(drawn, self.home.systems)

    @cached_property
    def survey(self) -> Survey:
        return Survey(self.home, self.kept)

    @property
    def drawn(self) -> bool:
        """Whether there is a floor to draw: a room on it has an outline."""
        return any(self.survey.storey_of(room) for room in self.survey.outlines)

    @cached_property
    def bases(self) -> Mapping[str, Base]:
        """The floors that have a drawing, from the lowest up."""
        parts = (FloorDrawing, self.built)
        return self.kept.made_from(parts, lambda: _bases(Survey(self.home, self.kept)))

    @cached_property
    def built(self) -> Built:
        """What its floors and walls are drawn from."""
        home = self.home
        drawn = self.kept.same(tuple(drawn_pieces(home)))
        return self.kept.once(
            Built, home.floors, home.rooms, home.room_kinds, home.doors, home.windows, home.stairs,
            home.fittings, home.garage, drawn,
        )  # fmt: skip

    def shows(self, pieces: Iterable[Piece]) -> tuple[object, ...]:
        """All that plans and walls with some pieces on them are made from, and no others: the very same
        parts where it is the same."""
        equipment = self.home.equipment
        stand = ((each, equipment[each.id].at, equipment[each.id].height) for each in pieces)
        return self.built, self.kept.same(tuple(stand))

    @cached_property
    def placed(self) -> tuple[PlacedPiece, ...]:
        """Every piece that is drawn, at its place: full plans keep their names and marks clear of all."""
        return self.kept.same(
            tuple(
                PlacedPiece(each.piece, each.mark, each.spot, each.room)
                for floor in self.bases
                for each in self._wanted_pins(floor, None)
            )
        )

    @cached_property
    def entrance(self) -> str | None:
        """The floor that the outside is drawn with: that of the front door, level 0."""
        level = {name: abs(self.home.floors[name].level) for name in self.bases}
        return min(level, key=lambda name: level[name], default=None)

    def floor_of(self, piece: Piece) -> str | None:
        """The floor whose plan and table a piece belongs to."""
        floor = self.home.rooms[piece.room_id].floor
        return floor if floor in self.bases else self.entrance

    def full(self, floor: str, systems: Iterable[str] | None = None) -> FloorPlan:
        """A floor with the marks of some systems, or of all."""
        base = self.bases[floor]
        wanted = self._wanted_pins(floor, None if systems is None else frozenset(systems))
        names = self._names[floor]
        parts = (pins_of, self._sites[floor], self.kept.same(tuple(wanted)), names)
        pins = self.kept.made_from(parts, lambda: pins_of(self._sites[floor], wanted, names))
        return FloorPlan(
            base=base,
            names=names,
            pins=pins,
            box=spread(base, pins, names),
            title=self.language.say("Plan: %(floor)s", floor=base.title),
            describes=self._describes(base, pins=len(pins)),
            north=self._north,
            front=self.language.say("Front of the home"),
        )

    def touch(self, floor: str) -> TouchPlan:
        """A floor for a telephone: marks that a finger can touch, of all systems and of each."""
        base = self.bases[floor]
        placed = self.kept.same(
            tuple(
                PlacedPiece(each.piece, each.mark, each.spot, each.room)
                for each in self._wanted_pins(floor, None)
            )
        )
        marks = self.kept.once(touch_marks, base, placed)
        return TouchPlan(
            base=base,
            names=self.kept.once(_touch_names, self._sites[floor], self.home.rooms, marks),
            sets=marks.sets,
            size=marks.size,
            box=marks.box,
            title=self.language.say("Plan: %(floor)s", floor=base.title),
            describes=self._describes(base, pins=len(placed)),
            north=self._north,
            front=self.language.say("Front of the home"),
        )

    def of_system(self, system: str) -> tuple[FloorPlan, ...]:
        """Each floor on which something of a system is drawn, with its marks alone."""
        return tuple(
            self.full(floor, (system,))
            for floor in self.bases
            if self._wanted_pins(floor, frozenset({system}))
        )

    def listed(self, floor: str, system: str | None = None) -> tuple[Piece, ...]:
        """The pieces of a floor's table, drawn or not, in the order of their marks."""
        return tuple(
            piece
            for piece in self.pieces
            if self.floor_of(piece) == floor and system in (None, piece.system)
        )

    def highlights(self, pieces: Sequence[Piece]) -> tuple[Highlight, ...]:
        """One plan for each floor that has some of these pieces, with only them on it."""
        floors: dict[str, list[Piece]] = {}
        for piece in pieces:
            floor = self.floor_of(piece)
            if floor is not None and (self._spot(piece, floor) or self._is_shown(piece, floor)):
                floors.setdefault(floor, []).append(piece)
        return tuple(
            self._highlight(floor, floors[floor]) for floor in self.bases if floor in floors
        )

    def bare(self, floor: str) -> Highlight:
        """A floor with nothing on it."""
        base = self.bases[floor]
        says = self._description(to_say("Plan of the %(floor)s."), floor=_lower(base.title))
        return Highlight(base, (), (), (), base.box, says)

    def spot(self, piece: Piece) -> Spot | None:
        """Where a piece is drawn on its floor's plan, if it is."""
        floor = self.floor_of(piece)
        return self._spot(piece, floor) if floor else None

    def legible(self, floor: str) -> int:
        """Units of type that a telephone shows legibly on a plan of a floor, however tall that is."""
        return _legible_in(self.bases[floor].box)

    def room(self, room: str) -> Highlight | None:
        """The floor of a room with the room shaded, or none where it is not drawn."""
        floor = self.home.rooms[room].floor
        if floor is None or floor not in self.bases or not self._has_area(room, floor):
            return None
        base = self.bases[floor]
        says = self._description(
            to_say("Plan of the %(floor)s, with this room shaded: %(room)s."),
            floor=_lower(base.title), room=self.home.rooms[room].name,
        )  # fmt: skip
        return Highlight(base, self._large_names(floor), (room,), (), base.box, says)

    def door(self, name: str) -> Highlight | None:
        """The floor of a door with a ring round it, or none where it is not drawn."""
        door = self.home.doors[name]
        rooms = [self.home.rooms[each] for each in door.between if each in self.home.rooms]
        drawn = [each.floor for each in rooms if each.floor and each.floor in self.bases]
        if door.at is None or not drawn:
            return None
        base = self.bases[drawn[0]]
        says = self._description(
            to_say("Plan of the %(floor)s, with a ring at the front door."),
            floor=_lower(base.title),
        )
        return Highlight(
            base, self._large_names(base.floor), (), (spot_of(door.at),), base.box, says
        )

    def _highlight(self, floor: str, pieces: list[Piece]) -> Highlight:
        base = self.bases[floor]
        rooms = dict.fromkeys(
            each.room_id for each in pieces if self._has_area(each.room_id, floor)
        )
        spots = dict.fromkeys(spot for each in pieces if (spot := self._spot(each, floor)))
        places = "; ".join(each.where for each in pieces)
        box = base.box
        for x, y in spots:
            box = box.joined(Box(x, y, x, y))
        says = self._description(
            to_say("Plan of the %(floor)s: %(places)s."), floor=_lower(base.title), places=places
        )
        return Highlight(base, self._large_names(floor), tuple(rooms), tuple(spots), box, says)

    def _is_shown(self, piece: Piece, floor: str) -> bool:
        return self._has_area(piece.room_id, floor)

    def _has_area(self, room: str, floor: str) -> bool:
        return any(area.room == room for area in self.bases[floor].areas)

    def _large_names(self, floor: str) -> tuple[Name, ...]:
        return self._legible[floor]

    @cached_property
    def _legible(self) -> Mapping[str, tuple[Name, ...]]:
        """For each floor the names that fit their rooms at a size that a phone shows legibly."""
        return {
            name: self.kept.once(_legible_names, site, self.home.rooms)
            for name, site in self._sites.items()
        }

    @cached_property
    def _names(self) -> Mapping[str, tuple[Name, ...]]:
        """For each floor the names of its rooms, in the same places on all of its full plans."""
        return {
            name: self.kept.once(_full_names, site, self.home.rooms, self._spots_of(name))
            for name, site in self._sites.items()
        }

    def _spots_of(self, floor: str) -> tuple[Spot, ...]:
        return self.kept.same(tuple(each.spot for each in self._wanted_pins(floor, None)))

    @cached_property
    def _sites(self) -> Mapping[str, FloorGround]:
        return {name: self.kept.once(FloorGround, base) for name, base in self.bases.items()}

    def _wanted_pins(self, floor: str, systems: frozenset[str] | None) -> list[WantedPin]:
        return [
            WantedPin(piece.id, self.marks[piece.id], spot, piece.room_id)
            for piece in self.listed(floor)
            if (systems is None or piece.system in systems)
            and (spot := self._spot(piece, floor)) is not None
        ]

    def _spot(self, piece: Piece, floor: str) -> Spot | None:
        """Where a piece is drawn on its floor's plan; none where no place was given, or too far."""
        at = self.home.equipment[piece.id].at
        if at is None:
            return None
        spot = round(at[0] * UNITS), round(-at[1] * UNITS)
        near = self.bases[floor].box.grown(NEAREST * UNITS)
        return spot if near.holds(*spot) else None

    @property
    def _north(self) -> str | None:
        """Degrees clockwise from the top of the drawing, where the back of the home is."""
        plot = getattr(self.home, "plot", None)  # Of a home that only plans are drawn from: none.
        faces = plot and plot.front_faces
        return None if faces is None else north_mark(faces)

    def _description(self, message: str, **values: str) -> str:
        """What a plan shows, and from where it is seen."""
        return f"{self.language.say(message, **values)} {self.language.text(SEEN)}"

    def _describes(self, base: Base, pins: int) -> str:
        say = self.language.say
        marked = say("No marks")
        if pins:
            marked = say("%(count)d marks, each listed in the table below", count=pins)
        return say(
            "%(floor)s, seen from above; the front of the home is at the bottom. %(marked)s.",
            floor=base.title, marked=marked,
        )  # fmt: skip


def _bases(survey: Survey) -> Mapping[str, Base]:
    made = {name: FloorDrawing(survey, name).base() for name in survey.levels}
    return {name: base for name, base in made.items() if base is not None}


def _legible_in(box: Box) -> int:
    whole = box.grown(EDGE)
    return math.ceil(LEGIBLE * max(whole.width / PHONE, whole.height / SHOWN_HIGH))


def _legible_names(site: FloorGround, rooms: Mapping[str, Room]) -> tuple[Name, ...]:
    return names_of(site, _names_of_rooms(rooms), (_legible_in(site.base.box),), outside=False)


def _full_names(
    site: FloorGround, rooms: Mapping[str, Room], spots: tuple[Spot, ...]
) -> tuple[Name, ...]:
    return names_of(site, _names_of_rooms(rooms), NAME_SIZES, spots)


def _touch_names(
    site: FloorGround, rooms: Mapping[str, Room], marks: TouchMarks
) -> tuple[Name, ...]:
    size = math.ceil(LEGIBLE * (marks.box.width + 2 * EDGE) / PHONE)
    taken = [
        around(each.x, each.y, marks.size, marks.size)
        for _, some in marks.sets[:1]
        for each in some
    ]
    return names_of(site, _names_of_rooms(rooms), (size,), marks=taken, outside=False)


def _names_of_rooms(rooms: Mapping[str, Room]) -> dict[str, str]:
    return {name: room.name for name, room in rooms.items()}


SEEN = to_say("Seen from above; the front of the home is at the bottom.")


def _lower(title: str) -> str:
    return title[:1].lower() + title[1:]
