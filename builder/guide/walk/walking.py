"""The order in which a home is walked through: floor by floor, the shortest way, and out again.

The walk begins outside and at the front door. On each floor the room that one comes into is first, a
room that leads to others comes before them, and of all such orders the shortest is taken. Then it goes up, floor by floor, down to what
lies below the front door, and back: garages, what is outside, and last the front door again. It is
worked out on the home as drawn, so that plots of both hands are walked in one and the same order.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from builder.guide.walk.paces import Paces, WalkSpot
from builder.guide.walk.shortest import Tour, shortest_tour
from builder.home.survey import Survey
from builder.model.building import Door, Room

LOFT, HATCH = "loft", "loft-hatch"
"""The kind of room that nobody is led into, and the kind of equipment that opens it."""

_TRADE_ORDER = (
    "hall", "kitchen", "kitchen-dining", "kitchen-living", "utility", "living", "dining", "study",
    "toilet", "bathroom", "shower-room", "bedroom", "plant", "cupboard", "balcony", "roof-terrace",
)  # fmt: skip
"""Between ways of one length, the order of the trade decides (common practice)."""


@dataclass(frozen=True, slots=True)
class FloorWalk:
    """One floor: where the walk comes onto it and leaves it, and the rooms between, in order.

    ``rooms`` holds only those in which there is something to show; ``metres`` is the whole way.
    """

    floor: str
    start: WalkSpot
    rooms: tuple[str, ...]
    end: WalkSpot
    metres: float


@dataclass(frozen=True, slots=True)
class Walk:
    """The whole way: to the front door, through each floor, what comes afterwards, what is outside.

    ``approach`` are the rooms before the front door, from the street on; ``afterwards`` garages and
    rooms with a door of their own to the outside; ``outside`` gardens and yards.
    """

    entrance: str | None
    approach: tuple[str, ...]
    floors: tuple[FloorWalk, ...]
    afterwards: tuple[str, ...]
    outside: tuple[str, ...]

    @property
    def metres(self) -> float:
        return sum(each.metres for each in self.floors)


@dataclass(frozen=True)
class Walking:
    """Plans the walk through one home, by the rooms in which there is something to show."""

    survey: Survey
    wanted: Collection[str]

    @cached_property
    def paces(self) -> Paces:
        return Paces(self.survey)

    def walk(self) -> Walk:
        """The walk that visits every wanted room once, each part in its order."""
        floors = tuple(self._floors())
        met = {room for each in floors for room in each.rooms}
        approach = tuple(room for room in self._approach() if room in self.wanted)
        rest = [room for room in self.survey.home.rooms if room in self.wanted]
        rest = [room for room in rest if room not in met and room not in approach]
        inside = [room for room in rest if self.survey.kind_of_room(room).inside]
        return Walk(
            entrance=self.entrance,
            approach=approach,
            floors=floors,
            afterwards=tuple(inside),
            outside=tuple(room for room in rest if room not in inside),
        )

    @cached_property
    def entrance(self) -> str | None:
        """The front door: of the doors from outside, or from what is shared, the likeliest."""
        leading = [name for name, door in self.survey.home.doors.items() if self._leads_in(door)]
        return min(leading, key=self._likely, default=None)

    def _leads_in(self, door: Door) -> bool:
        inside = [self._indoors(room) for room in door.between]
        return sum(inside) == 1 and door.kind not in ("garage", "opening")

    def _indoors(self, room: str) -> bool:
        kind = self.survey.kind_of_room(room)
        return kind.inside or kind.from_home

    def _likely(self, name: str) -> tuple[bool, bool, bool, int]:
        """How likely a door is the front door: its id, what it opens from, what it opens into."""
        door = self.survey.home.doors[name]
        kinds = [self.survey.kind_of_room(room) for room in door.between]
        into = next(room for room in door.between if self._indoors(room))
        return (
            name != "front-door",
            not any(kind.shared for kind in kinds),
            not any(kind.circulation for kind in kinds),
            abs(self._level(into)),
        )

    def _level(self, room: str) -> int:
        floor = self.survey.home.rooms[room].floor
        return self.survey.home.floors[floor].level if floor else 0

    @cached_property
    def first_room(self) -> str | None:
        """The room behind the front door; without one, the first room that is drawn."""
        if self.entrance is not None:
            between = self.survey.home.doors[self.entrance].between
            return next(room for room in between if self._indoors(room))
        return next((name for name, _ in self.survey.inside()), None)

    def _approach(self) -> list[str]:
        """The rooms from the street to the front door: what is outside, then what is shared."""
        if self.entrance is None:
            return []
        between = self.survey.home.doors[self.entrance].between
        outer = next(room for room in between if room != self.first_room)
        if not self.survey.kind_of_room(outer).shared:
            return []
        shared = [name for name in self.survey.home.rooms if self.survey.kind_of_room(name).shared]
        return sorted(shared, key=lambda name: self._nearness(name, outer))

    def _nearness(self, room: str, outer: str) -> tuple[bool, bool, int]:
        """How near a shared room is to the one before the front door. One that no door joins to it, such as
        a car park, is entered from the street."""
        doors = self.paces.doors(room, outer)
        return room == outer, doors > 0, -doors

    def _floors(self) -> Iterator[FloorWalk]:
        """Each floor on which something is shown, in the order in which they are walked."""
        order = self._order_of_floors()
        for index, floor in enumerate(order):
            rooms = self._rooms_of(floor)
            if not rooms:
                continue
            start = self._start_on(floor, order[:index])
            end = self._end_on(floor, order[index + 1 :], start)
            tour = self._tour(start, rooms, end)
            named = tuple(rooms[each] for each in tour.order)
            yield FloorWalk(floor, start, named, end, tour.length / 1000)

    def _order_of_floors(self) -> tuple[str, ...]:
        """From the floor of the front door up, and then what lies below it, from the top down."""
        levels = {name: floor.level for name, floor in self.survey.home.floors.items()}
        home = self._level(self.first_room) if self.first_room else 0
        upwards = [name for name in self.survey.levels if levels[name] >= home]
        downwards = [name for name in reversed(self.survey.levels) if levels[name] < home]
        return (*upwards, *downwards)

    def _rooms_of(self, floor: str) -> list[str]:
        """The wanted rooms that are walked to on a floor, as the trade would list them."""
        rooms = self.survey.home.rooms
        here = [
            name
            for name, room in rooms.items()
            if name in self.wanted and room.floor == floor and self._is_in_the_tour(name, room)
        ]
        return sorted(here, key=lambda name: (_rank(rooms[name]), list(rooms).index(name)))

    def _is_in_the_tour(self, name: str, room: Room) -> bool:
        """Whether a room is walked to from inside; a garage waits until the end."""
        if self.survey.is_garage(name) or not self._indoors(name):
            return False
        return name in self._from_the_door or not list(self.survey.doors_of(name))

    @cached_property
    def _from_the_door(self) -> frozenset[str]:
        """The rooms that are reached from the front door without going out again."""
        if self.first_room is None:
            return frozenset()
        out = frozenset(name for name in self.survey.home.rooms if not self._indoors(name))
        return self.survey.ways.reached(self.first_room, shut=out)

    def _start_on(self, floor: str, before: Sequence[str]) -> WalkSpot:
        """Where the walk comes onto a floor: the front door, or the stairs from a floor before."""
        if self.first_room and self.survey.storey_of(self.first_room) == floor:
            door = self.survey.home.doors[self.entrance] if self.entrance else None
            return WalkSpot(self.first_room, door.at if door else None)
        return self._stairs(floor, before) or WalkSpot(self._arrival_of(floor), None)

    def _end_on(self, floor: str, after: Sequence[str], start: WalkSpot) -> WalkSpot:
        """Where the walk leaves a floor: by the stairs to the next, else as it came."""
        wanted = [each for each in after if self._rooms_of(each)]
        return self._stairs(floor, wanted) or start

    def _stairs(self, floor: str, others: Sequence[str]) -> WalkSpot | None:
        """The stairs of a floor that lead to the nearest of other floors."""
        found: dict[str, WalkSpot] = {}
        for door in self.survey.home.doors.values():
            for here, there in (door.between, door.between[::-1]):
                beyond = self.survey.storey_of(there)
                if self.survey.storey_of(here) == floor and beyond not in (None, floor):
                    found.setdefault(str(beyond), WalkSpot(here, door.at))
        levels = {name: each.level for name, each in self.survey.home.floors.items()}
        near = sorted(others, key=lambda name: abs(levels[name] - levels[floor]))
        return next((found[name] for name in near if name in found), None)

    def _arrival_of(self, floor: str) -> str:
        """The room that one comes into where no stairs are drawn: one that people pass through."""
        rooms = [name for name, _ in self.survey.inside(floor)]
        passing = [name for name in rooms if self.survey.kind_of_room(name).circulation]
        return [*passing, *rooms, *self._rooms_of(floor)][0]

    def _tour(self, start: WalkSpot, rooms: Sequence[str], end: WalkSpot) -> Tour:
        """The shortest way through rooms, no room passed by before its turn. Lengths in mm."""
        stops = [WalkSpot(room, None) for room in rooms]
        return shortest_tour(
            from_start=[self.paces.millimetres(start, each) for each in stops],
            between=[[self.paces.millimetres(one, two) for two in stops] for one in stops],
            to_end=[self.paces.millimetres(each, end) for each in stops],
            after=self._after(start.room, rooms),
        )

    def _after(self, first: str, rooms: Sequence[str]) -> list[set[int]]:
        """For each room, those that every way to it goes through: one halts there on the way in.

        The room that the walk begins in comes before all others.
        """
        after: list[set[int]] = [set() for _ in rooms]
        out = frozenset(name for name in self.survey.home.rooms if not self._indoors(name))
        whole = self.survey.ways.reached(first, shut=out)
        for index, room in enumerate(rooms):
            open_to = self.survey.ways.reached(first, shut=out | {room})
            behind = whole - open_to if room != first else frozenset(rooms) - {room}
            for other in behind:
                if other in rooms:
                    after[rooms.index(other)].add(index)
        return after


def _rank(room: Room) -> int:
    return _TRADE_ORDER.index(room.kind) if room.kind in _TRADE_ORDER else len(_TRADE_ORDER)


def hatches(survey: Survey) -> Mapping[str, str]:
    """For each loft, the room in which its hatch is: what is in a loft is shown from below."""
    pieces = list(survey.pieces(HATCH))
    found = {}
    for name, room in survey.home.rooms.items():
        if room.kind == LOFT and pieces:
            below = [
                piece.room for _, piece in pieces if survey.storey_of(piece.room) == room.floor
            ]
            found[name] = (below or [piece.room for _, piece in pieces])[0]
    return found
