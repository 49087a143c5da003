"""A generated home on the way to one mistake, and what a mistake says of itself."""

import copy
import math
import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

from shapely import Polygon

from tests.generated_forms import FORMS
from tests.generated_homes import Generated
from tests.generated_plans import Corner, Data, Wall
from tests.generated_rooms import HABITABLE, HIGH, KITCHENS

OUTSIDE_KINDS = ("outside", "communal", "balcony")
HALLS = ("hall", "landing")
FLAT = ("apartment",)
FLATS = ("apartment", "maisonette")
HOUSE = ("house",)
HOUSES = ("house", "bungalow")
T = TypeVar("T")


class NotInThisHomeError(Exception):
    """A mistake that cannot be made in a home, for it lacks what the mistake is about."""


@dataclass(frozen=True)
class Made:
    """A mistake as made. ``paths``: where its rule may point; ``also``: rules that it sets off too."""

    paths: frozenset[str]
    also: frozenset[str] = frozenset()


def at(*paths: str, also: Iterable[str] = ()) -> Made:
    return Made(frozenset(paths), frozenset(also))


@dataclass
class Draft:
    """A copy of a home to make mistakes in, with the questions that mistakes ask of it."""

    home: Generated
    rng: random.Random
    data: Data = field(init=False)
    options: dict[str, Data] = field(init=False)
    departure: Data = field(init=False)

    def __post_init__(self) -> None:
        self.data = copy.deepcopy(self.home.data)
        self.options = copy.deepcopy(self.home.options)
        self.departure = copy.deepcopy(self.home.departure)

    @property
    def generated(self) -> Generated:
        """The home as it now is."""
        return Generated(self.home.seed, self.data, self.options, self.departure, self.home.hand)

    def pick(self, choices: Iterable[T]) -> T:
        """One of some things; without any the mistake is not for this home."""
        listed = list(choices)
        self.need(bool(listed))
        return self.rng.choice(listed)

    def need(self, holds: object) -> None:
        """Gives the mistake up where this home is not one for it."""
        if not holds:
            raise NotInThisHomeError

    def chance(self, share: float) -> bool:
        return self.rng.random() < share

    # The sections of a home -------------------------------------------------------------------

    @property
    def rooms(self) -> dict[str, Data]:
        return self.data["rooms"]  # type: ignore[no-any-return]

    @property
    def doors(self) -> dict[str, Data]:
        return self.data["doors"]  # type: ignore[no-any-return]

    @property
    def windows(self) -> dict[str, Data]:
        return self.data["windows"]  # type: ignore[no-any-return]

    @property
    def pieces(self) -> dict[str, Data]:
        return self.data["equipment"]  # type: ignore[no-any-return]

    @property
    def floors(self) -> dict[str, Data]:
        return self.data["floors"]  # type: ignore[no-any-return]

    @property
    def form(self) -> str:
        return str(self.data["form"])

    # Questions -------------------------------------------------------------------------------

    def kind(self, room: str) -> str:
        return "outside" if room == "outside" else str(self.rooms[room]["kind"])

    def of_kind(self, *kinds: str) -> list[str]:
        return [room for room in self.rooms if self.kind(room) in kinds]

    def inside(self) -> list[str]:
        return [room for room in self.rooms if self.kind(room) not in OUTSIDE_KINDS]

    def quiet(self, *more: str) -> list[str]:
        """Rooms that no distance is measured to and no fire starts in, as bathrooms."""
        return self.of_kind("toilet", "bathroom", "shower-room", "cupboard", *more)

    def equipment(self, *kinds: str) -> list[str]:
        return [name for name, piece in self.pieces.items() if piece["kind"] in kinds]

    def height(self, room: str) -> float:
        return float(self.floors[self.rooms[room]["floor"]]["above_ground"])

    @property
    def top(self) -> float:
        return max(float(floor["above_ground"]) for floor in self.floors.values())

    @property
    def is_high(self) -> bool:
        return self.top > HIGH

    @property
    def is_flat(self) -> bool:
        return "corridor" in self.rooms

    def floor_of(self, room: str) -> str | None:
        return self.rooms[room].get("floor") if room in self.rooms else None

    def habitable(self) -> list[str]:
        return self.of_kind(*HABITABLE)

    def kitchens(self) -> list[str]:
        return self.of_kind(*KITCHENS)

    def doors_of(self, room: str) -> list[str]:
        return [name for name, door in self.doors.items() if room in door["between"]]

    def windows_of(self, *rooms: str) -> list[str]:
        return [name for name, window in self.windows.items() if window["room"] in rooms]

    def others(self, room: str) -> list[str]:
        """The rooms on the other side of the doors of a room."""
        both = [self.doors[name]["between"] for name in self.doors_of(room)]
        return [pair[pair[0] == room] for pair in both]

    def is_via(self, room: str) -> bool:
        """Whether a room is reached through another that is no hall."""
        return not any(self.kind(other) in HALLS for other in self.others(room))

    def opens_wide(self, room: str) -> bool:
        """Whether an opening without a door joins a room to another of its floor."""
        return any(
            self.doors[name]["kind"] == "opening"
            for name in self.doors_of(room)
            if "kind" in self.doors[name] and "at" in self.doors[name]
        )

    # Geometry --------------------------------------------------------------------------------

    def outline(self, room: str) -> Polygon:
        return Polygon(self.rooms[room]["outline"])

    def drawn(self, floor: str | None = None) -> list[str]:
        """The rooms inside that have an outline, of one floor or of all."""
        return [
            room
            for room in self.inside()
            if "outline" in self.rooms[room] and floor in (None, self.floor_of(room))
        ]

    def walls(self, room: str) -> list[Wall]:
        ring = self.rooms[room]["outline"]
        found = []
        for (x, y), (end_x, end_y) in zip(ring, [*ring[1:], ring[0]], strict=True):
            upright = x == end_x
            ends = sorted((y, end_y) if upright else (x, end_x))
            found.append(Wall(upright, x if upright else y, ends[0], ends[1]))
        return found

    def shared(self, one: str, other: str) -> list[Wall]:
        both = ((wall, beside) for wall in self.walls(one) for beside in self.walls(other))
        return [shared for wall, beside in both if (shared := wall.beside(beside))]

    def outside_walls(self, room: str) -> list[Wall]:
        left = self.walls(room)
        for other in self.drawn(self.floor_of(room)):
            for beside in self.walls(other) if other != room else ():
                left = [part for wall in left for part in wall.without(beside)]
        return left

    def wall_at(self, walls: Sequence[Wall], spot: Sequence[float]) -> Wall:
        """The wall that a spot stands on."""
        for wall in walls:
            across, along = (spot[0], spot[1]) if wall.upright else (spot[1], spot[0])
            if abs(across - wall.at) < 0.01 and wall.low <= along <= wall.high:
                return wall
        raise NotInThisHomeError

    def door_wall(self, name: str) -> Wall:
        """The wall that a door between two drawn rooms stands in."""
        one, other = self.doors[name]["between"]
        self.need(one in self.drawn() and other in self.drawn())
        return self.wall_at(self.shared(one, other), self.doors[name]["at"])

    def free_spot(self, room: str) -> list[float]:
        """A spot in an outside wall of a room, a metre and more from its doors and windows."""
        openings = [*self.doors.values(), *self.windows.values()]
        taken = [each["at"] for each in openings if "at" in each]
        spots = [
            wall.spot(wall.low + along * wall.length / 20)
            for wall in self.outside_walls(room)
            for along in range(3, 18)
            if wall.length > 3
        ]
        free = [spot for spot in spots if all(math.dist(spot, each) > 1.4 for each in taken)]
        return list(self.pick(free))

    def middle(self, room: str) -> Corner:
        """A spot well inside a room."""
        spot = self.outline(room).representative_point()
        return round(spot.x, 2), round(spot.y, 2)

    def way(self, start: Corner, door: Corner, end: Corner) -> float:
        """Metres from a spot by a door to another, at least: straight on either side."""
        return math.dist(start, door) + math.dist(door, end)

    # Pieces ----------------------------------------------------------------------------------

    def put(self, name: str, kind: str, room: str, place: str, **more: Any) -> None:
        self.pieces[name] = {"kind": kind, "room": room, "place": place, **more}

    def as_in_its_layer(self, name: str) -> None:
        """Takes back what the site changed of a piece, so that its layer's own word holds."""
        self.departure.get("equipment", {}).pop(name, None)
        if not self.departure.get("equipment"):
            self.departure.pop("equipment", None)

    def ceiling(self, room: str) -> float:
        return float(self.floors[self.rooms[room]["floor"]]["ceiling"])


@dataclass(frozen=True)
class Mistake:
    """One mistake: the rule that finds it, the subjects that it touches, and how it is made.

    Two mistakes that share no subject do not disturb each other. Those of the subject ``alone``
    change so much that each is made by itself. ``forms``: only homes of these have what it is about.
    """

    rule: str
    subjects: frozenset[str]
    forms: tuple[str, ...]
    make: Callable[[Draft], Made]

    @property
    def name(self) -> str:
        return self.make.__name__.replace("_", " ")

    def may_join(self, other: "Mistake") -> bool:
        """Whether both can be made in one home, each to be found by its own rule."""
        every = self.subjects | other.subjects
        return "alone" not in every and not self.subjects & other.subjects


def mistake(
    rule: str, *subjects: str, forms: tuple[str, ...] = FORMS
) -> Callable[[Callable[[Draft], Made]], Mistake]:
    """Declares a mistake that this rule finds."""
    return lambda make: Mistake(rule, frozenset(subjects), forms, make)
