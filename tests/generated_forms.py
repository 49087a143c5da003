"""Homes of every form as sound plans: rooms, doors and windows, and the garage.

Where a number of a standard decides, it is written here with its source, and not read from the
tables that the trade rules read.
"""

import math
import random
from dataclasses import dataclass, field

from shapely import Polygon

from tests.generated_plans import (
    Data,
    Plan,
    Storey,
    UnbuildableError,
    Wall,
    Want,
    Widths,
    added,
    corners,
    drawn,
    on_grid,
    outside_walls,
    placed,
    shared_wall,
    walls_of,
)
from tests.generated_rooms import HABITABLE, HIGH, KITCHENS, storeys_of

FORMS = ("house", "house", "house", "bungalow", "apartment", "maisonette", "coach-house")
DEEPEST = {
    "house": 11.5,
    "bungalow": 12.5,
    "apartment": 9.0,
    "maisonette": 9.0,
    "coach-house": 10.5,
}


NEAR_ENOUGH = 9.0
"""Metres from the entrance of a high flat to its farthest corner, without a protected hall
(Approved Document B, Volume 1, England, 2019 edition, paragraph 3.18)."""


@dataclass
class Building:
    """A plan with what its form brings: where it is entered from, its garage, its protected stair."""

    form: str
    plan: Plan
    shared_entrance: bool
    protected: bool
    escape: bool
    garage: Data | None = None
    rooms: dict[str, Data] = field(default_factory=dict)

    def kind(self, room: str) -> str:
        return self.plan.wants[room].kind

    def of_kind(self, *kinds: str) -> list[str]:
        return [room for room in self.plan.wants if self.kind(room) in kinds]

    def height(self, room: str) -> float:
        return self.plan.storey_of(room).above_ground

    @property
    def area(self) -> float:
        """Internal floor area: all rooms but garages."""
        return float(sum(
            outline.area for room, outline in self.plan.outlines.items() if self.kind(room) != "garage"
        ))  # fmt: skip


def building(rng: random.Random, form: str) -> Building:
    """A home of this form, drawn again until it is sound."""
    for _ in range(400):
        try:
            return _attempt(rng, form)
        except UnbuildableError:
            continue
    raise AssertionError(f"no {form} could be drawn")


def _attempt(rng: random.Random, form: str) -> Building:
    storeys = storeys_of(rng, form)
    plan = drawn(rng, storeys, _widths(rng, form))
    if plan.shell(plan.storeys[0]).bounds[3] > DEEPEST[form]:
        raise UnbuildableError("too deep")
    low = storeys[0].above_ground
    shared = form == "apartment" or (form == "maisonette" and (low > 1 or rng.random() < 0.4))
    high = max(storey.above_ground for storey in storeys) > HIGH
    home = Building(form, plan, shared, high, not high or rng.random() < 0.7)
    _add_garage(rng, home)
    _add_doors(rng, home)
    _add_windows(rng, home)
    _add_rooms(rng, home)
    return home


def _widths(rng: random.Random, form: str) -> Widths:
    least = {"bungalow": 3.4, "apartment": 3.2, "coach-house": 2.9}.get(form, 2.8)
    hall = on_grid(rng.uniform(1.2, 2.0))
    beside = form in ("house", "maisonette") and rng.random() < 0.25
    left = 0.0 if beside else on_grid(rng.uniform(least, least + 1.4))
    right = on_grid(rng.uniform(least + (1.0 if beside else 0.0), least + 1.9))
    return Widths(left, round(left + hall, 2), round(left + hall + right, 2))


# Garages, doors and windows -------------------------------------------------------------------


def _add_garage(rng: random.Random, home: Building) -> None:
    """A garage of any kind; an integral one has its room already."""
    place = "to the {left} of the hall"
    if home.of_kind("garage"):
        home.garage = {"kind": "integral", "place": place, "room": "garage"}
    elif home.form in ("house", "bungalow") and rng.random() < 0.5:
        kind = rng.choice(("attached", "detached", "car-port"))
        home.garage = {"kind": kind, "place": "beside the home"}
        if kind != "car-port":
            side = home.plan.shell(home.plan.storeys[0]).bounds[2]
            side += 0.0 if kind == "attached" else on_grid(rng.uniform(1.0, 4.0))
            outline = _rectangle(on_grid(side), 0, on_grid(side + 3.0), 5.5)
            want = Want("garage", "garage", "Garage", 16.5)
            added(home.plan, want, outline, apart=kind == "detached")
            home.garage["room"] = "garage"


def _rectangle(left: float, front: float, right: float, back: float) -> Polygon:
    return Polygon([(left, front), (right, front), (right, back), (left, back)])


def _add_doors(rng: random.Random, home: Building) -> None:
    _add_entrance(rng, home)
    for storey in home.plan.storeys:
        for want in storey.wants:
            if want.id != "garage":
                _add_inner_door(rng, home, want, storey.spine.id)
    for below, above in zip(home.plan.storeys, home.plan.storeys[1:], strict=False):
        number = above.level
        home.plan.doors[f"stairs-{number}"] = {
            "name": f"Stairs {number}", "between": [below.spine.id, above.spine.id], "kind": "opening",
        }  # fmt: skip
    if home.form == "apartment" and _all_near(home) and rng.random() < 0.5:
        for name in home.plan.doors.keys() - {"front-door"}:
            home.plan.doors[name].pop("fire_rating", None)
    if "garage" in home.plan.outlines:
        _add_garage_doors(rng, home)
    if not home.height(home.plan.storeys[0].spine.id) and home.form != "coach-house":
        _add_back_door(rng, home)


def _all_near(home: Building) -> bool:
    """Whether every corner of a flat is near its entrance, so that its hall needs no fire doors.

    Rooms that are no rectangles, or are reached through others, are taken to be far.
    """
    start = home.plan.doors["front-door"]["at"]
    for room, want in home.plan.wants.items():
        outline = corners(home.plan.outlines[room])
        if want.kind not in HABITABLE:
            continue
        if len(outline) > 4 or want.via:
            return False
        door = home.plan.doors[f"{room}-door"]["at"]
        if math.dist(start, door) + max(math.dist(door, each) for each in outline) > NEAR_ENOUGH:
            return False
    return True


def _add_entrance(rng: random.Random, home: Building) -> None:
    storey = home.plan.storeys[0]
    front = storey.spine.id
    at = placed(rng, home.plan, storey.id, _front_walls(home, front), 0.8)
    door: Data = _door(rng, "Front door", ["outside", front], at, 0.8, front)
    if home.shared_entrance:
        rating = rng.choice(("FD30S", "FD60S", "FD30S"))
        door |= {"between": ["corridor", front], "fire_rating": rating, "self_closing": True}
        door["name"] = "Flat entrance door"
    home.plan.doors["front-door"] = door


def _door(
    rng: random.Random, name: str, between: list[str], at: tuple[float, float], width: float,
    into: str,
) -> Data:  # fmt: skip
    return {
        "name": name, "between": between, "at": list(at), "width": width, "opens_into": into,
        "hinge": rng.choice(("left", "right")),
    }  # fmt: skip


def _add_inner_door(rng: random.Random, home: Building, want: Want, spine: str) -> None:
    origin = want.via or spine
    wall, storey = shared_wall(home.plan, want.id, origin), home.plan.storey_of(want.id)
    width = 1.4 if want.opening else rng.choice((0.69, 0.76))
    at = placed(rng, home.plan, storey.id, wall, width)
    into = origin if want.kind in ("toilet", "cupboard") else want.id
    door = _door(rng, f"{want.name} door", [origin, want.id], at, width, into)
    if want.opening:
        door = {"name": f"{want.name} opening", "between": [origin, want.id], "at": list(at), "width": width, "kind": "opening"}  # fmt: skip
    elif origin == spine and want.kind in (*HABITABLE, "kitchen", "utility") and home.protected:
        door["fire_rating"] = rng.choice(("FD20", "FD30", "FD30S", "E30Sa"))
    home.plan.doors[f"{want.id}-door"] = door


def _add_garage_doors(rng: random.Random, home: Building) -> None:
    """The main door at the front, and a fire door to the home where the garage adjoins it."""
    plan, storey = home.plan, home.plan.storeys[0]
    at = placed(rng, plan, storey.id, _front_walls(home, "garage"), 2.1)
    plan.doors["garage-main-door"] = {
        "name": "Main garage door", "between": ["garage", "outside"], "at": list(at), "width": 2.1,
        "kind": "garage",
    }  # fmt: skip
    inside = next(
        (
            room
            for room in (storey.spine.id, *home.of_kind("utility", "kitchen"))
            if room in plan.rooms(storey)
            and any(wall.length > 1.2 for wall in shared_wall(plan, room, "garage"))
        ),
        None,
    )
    if inside and "garage" not in plan.apart and rng.random() < 0.7:
        at = placed(rng, plan, storey.id, shared_wall(plan, inside, "garage"), 0.76)
        door = _door(rng, "Garage door to the home", [inside, "garage"], at, 0.76, inside)
        rating = rng.choice(("FD30S", "FD60S", "E30Sa"))
        plan.doors["garage-door"] = door | {"fire_rating": rating, "self_closing": True}


def _add_back_door(rng: random.Random, home: Building) -> None:
    """A door to the garden or, from a flat, the ground outside."""
    room = next(iter(home.of_kind("utility", *KITCHENS)))
    kind, width = rng.choice((("hinged", 0.84), ("double", 1.5), ("sliding", 1.8)))
    try:
        at = placed(rng, home.plan, home.plan.storeys[0].id, _window_walls(home, room), width)
    except UnbuildableError:
        return
    door = _door(rng, "Back door", [room, "outside"], at, width, room)
    if kind != "hinged":
        door = {key: value for key, value in door.items() if key not in ("opens_into", "hinge")}
    home.plan.doors["back-door"] = door | {"kind": kind}


def _front_walls(home: Building, room: str) -> list[Wall]:
    return [wall for wall in walls_of(home.plan, room) if not wall.upright and wall.at == 0]


def _window_walls(home: Building, room: str) -> list[Wall]:
    """The outside walls; of a flat not those to its corridor."""
    walls = outside_walls(home.plan, room)
    return [wall for wall in walls if wall.upright or wall.at or not home.shared_entrance]


def _add_windows(rng: random.Random, home: Building) -> None:
    likely = {"bathroom": 0.6, "shower-room": 0.4, "toilet": 0.4, "utility": 0.5, "landing": 0.2}
    for room, want in home.plan.wants.items():
        if want.kind in HABITABLE or want.kind == "kitchen":
            _add_window(rng, home, room, f"{room}-window")
            if rng.random() < 0.5:
                try_window(rng, home, room, f"{room}-second-window")
        elif rng.random() < likely.get(want.kind, 0):
            try_window(rng, home, room, f"{room}-window")


def try_window(rng: random.Random, home: Building, room: str, name: str) -> bool:
    """Adds a window where an outside wall of the room has space for one."""
    try:
        _add_window(rng, home, room, name)
    except UnbuildableError:
        return False
    return True


def _add_window(rng: random.Random, home: Building, room: str, name: str) -> None:
    plan, want, storey = home.plan, home.plan.wants[room], home.plan.storey_of(room)
    wide = rng.choice((0.9, 1.2, 1.5)) if want.kind in HABITABLE else 0.6
    at = placed(rng, plan, storey.id, _window_walls(home, room), wide)
    called = f"{want.name}{name.removeprefix(room).replace('-', ' ')}"
    window: Data = {"name": called, "room": room, "at": list(at), "width": wide}
    window["sill"] = rng.choice((0.8, 0.9, 1.0, 1.1))
    window["safety_glass"] = True
    if abs(storey.above_ground) > 0.6:
        window["restrictor"] = True
    if want.kind in HABITABLE and _climbed_from(home, want, storey):
        window |= {"escape": True} | rng.choice((
            {"clear_width": 0.6, "clear_height": 1.0}, {"clear_width": 0.6, "clear_height": 0.55},
            {"clear_width": 0.45, "clear_height": 0.74}, {"clear_width": 0.74, "clear_height": 0.45},
        ))  # fmt: skip
    plan.windows[name] = window


def _climbed_from(home: Building, want: Want, storey: Storey) -> bool:
    """Whether the windows of a room are ways out: up to 4.5 m, and always of a room behind another."""
    if storey.above_ground > HIGH:
        return False
    return home.escape or want.via is not None


def _add_rooms(rng: random.Random, home: Building) -> None:
    """The rooms as data, with what has no outline or lies outside."""
    for room, want in home.plan.wants.items():
        floor = home.plan.storey_of(room).id
        outline = corners(home.plan.outlines[room])
        home.rooms[room] = {
            "name": want.name,
            "kind": want.kind,
            "floor": floor,
            "outline": outline,
        }
    first = home.plan.storeys[0]
    whole = home.plan.shell(first).bounds[2]
    if home.shared_entrance:
        outline = [[0, -1.5], [round(whole, 2), -1.5], [round(whole, 2), 0], [0, 0]]
        home.rooms["corridor"] = {"name": "Corridor", "kind": "communal", "floor": first.id, "outline": outline}  # fmt: skip
    elif home.form in ("house", "bungalow", "coach-house") and rng.random() < 0.7:
        top = home.plan.storeys[-1].id
        home.rooms["loft"] = {"name": "Loft", "kind": "loft", "floor": top}
