"""Homes for plans: those of the demo without their guides, and others drawn at random from a seed: floors cut into rooms again and again, and crowded on purpose.

They are no sound homes: cupboards of 0.6 m, doors of every kind wherever two rooms meet, dozens of
pieces on one spot. A plan must be legible all the same.
"""

import random
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

from shapely import LineString, Polygon, box
from shapely.ops import linemerge, unary_union

from builder.errors import Findings
from builder.home.assemble import TracedHome, assemble
from builder.layers.stack import Stacking
from builder.model.building import Door, Floor, Room, Window
from builder.model.equipment import Equipment
from builder.model.home import Home
from builder.sources.workspace import read_workspace
from tests.conftest import PROJECT
from tests.rule_cases import sound

TEMPLATE = sound("house").home
NAMES = (
    "Hall", "WC", "Bed 1", "Utility room", "Bathroom", "Cupboard under the stairs",
    "Kitchen and dining room", "Warmwasserspeicherraum", "Mezzanine with a view over the quay",
)  # fmt: skip
DOORS = ("hinged", "hinged", "hinged", "double", "sliding", "folding", "garage", "opening")
Corners = tuple[tuple[float, float], ...]


def homes_of_the_demo() -> dict[str, TracedHome]:
    """Every home of the demo, without its articles and its guide."""
    findings = Findings()
    workspace = read_workspace(PROJECT, findings)
    stacking = Stacking(workspace, findings)
    homes = {}
    for reference, plot in workspace.plots.items():
        stack = stacking.stack(plot)
        assert stack is not None
        traced = assemble(reference, stacking.merge(stack), findings)
        assert traced is not None, list(map(str, findings))
        homes[reference] = traced
    return homes


@dataclass
class Drawing:
    """A home on its way: its records so far."""

    chance: random.Random
    rooms: dict[str, Room] = field(default_factory=dict)
    doors: dict[str, Door] = field(default_factory=dict)
    windows: dict[str, Window] = field(default_factory=dict)
    equipment: dict[str, Equipment] = field(default_factory=dict)


def home_of(seed: int) -> Home:
    """A home of one to three floors, each a rectangle or an L; one for each seed."""
    chance = random.Random(seed)
    made = Drawing(chance)
    width, depth = round(chance.uniform(2.5, 14), 2), round(chance.uniform(2.5, 12), 2)
    floors = ("ground", "first", "second")[: chance.choice((1, 1, 1, 2, 3))]
    for floor in floors:
        _floor(made, floor, width, depth)
    _pieces(made, width, depth)
    changes: dict[str, Any] = {
        "plot": TEMPLATE.plot.model_copy(update={"front_faces": chance.choice((None, 0.0, 137.5))}),
        "floors": {
            name: Floor(name=f"{name.title()} floor", level=level)
            for level, name in enumerate(floors)
        },
        "rooms": {**made.rooms, "outside": TEMPLATE.rooms["outside"]},
        "doors": made.doors,
        "windows": made.windows,
        "equipment": made.equipment,
    }
    return TEMPLATE.model_copy(update={key: _mapping(each) for key, each in changes.items()})


def _mapping(value: Any) -> Any:
    kind = type(TEMPLATE.rooms)
    return kind(value) if isinstance(value, dict) else value  # type: ignore[call-arg]


def _floor(made: Drawing, floor: str, width: float, depth: float) -> None:
    outlines: dict[str, Polygon] = {}
    for outline in _cut(made.chance, width, depth):
        name = f"{floor}-{len(outlines)}"
        outlines[name] = outline
        corners: Corners = tuple(
            (round(x, 2), round(y, 2)) for x, y in outline.exterior.coords[:-1]
        )
        made.rooms[name] = Room(
            name=made.chance.choice(NAMES), kind="hall", floor=floor, outline=corners
        )
    for one, other in combinations(outlines, 2):
        shared = outlines[one].boundary.intersection(outlines[other].boundary)
        _door(made, (one, other), shared)
    outside = unary_union(list(outlines.values())).boundary.buffer(0.001, join_style="mitre")
    for name, outline in outlines.items():
        _window(made, name, outline.boundary.intersection(outside))


def _cut(chance: random.Random, width: float, depth: float) -> list[Polygon]:
    """A rectangle, or an L of two, cut into rooms; some of these lose a corner to a cupboard."""
    parts = [(0.0, 0.0, width, depth)]
    if chance.random() < 0.3:
        x, y = round(width * 0.6, 2), round(depth * 0.5, 2)
        parts = [(0.0, 0.0, x, depth), (x, 0.0, width, y)]
    rooms = []
    for part in parts:
        for left, front, right, back in _halves(chance, part, chance.choice((0, 1, 2, 3, 4, 2))):
            room = box(left, front, right, back)
            if min(right - left, back - front) > 2 and chance.random() < 0.3:
                corner = box(left, front, left + chance.choice((0.7, 1.0)), front + 1.2)
                rooms += [room.difference(corner), corner]
            else:
                rooms.append(room)
    return rooms


def _halves(
    chance: random.Random, part: tuple[float, float, float, float], depth: int
) -> list[tuple[float, float, float, float]]:
    left, front, right, back = part
    across = right - left >= back - front
    length = right - left if across else back - front
    if depth == 0 or length < 1.2:
        return [part]
    cut = round(chance.uniform(0.6, length - 0.6), 2)
    first = (left, front, left + cut, back) if across else (left, front, right, front + cut)
    second = (left + cut, front, right, back) if across else (left, front + cut, right, back)
    return [*_halves(chance, first, depth - 1), *_halves(chance, second, depth - 1)]


def _straight(shape: Any) -> LineString | None:
    """The longest straight piece of a wall."""
    lines = [
        each
        for each in getattr(shape, "geoms", (shape,))
        if isinstance(each, LineString) and not each.is_empty
    ]
    merged = linemerge(lines) if lines else None
    found = [
        LineString(pair)
        for line in getattr(merged, "geoms", (merged,) if merged is not None else ())
        for pair in zip(line.coords[:-1], line.coords[1:], strict=True)
    ]
    return max(found, key=lambda each: each.length, default=None)


def _middle(chance: random.Random, wall: LineString, width: float) -> tuple[float, float]:
    point = wall.interpolate(chance.uniform(width / 2, wall.length - width / 2))
    return round(point.x, 2), round(point.y, 2)


def _door(made: Drawing, rooms: tuple[str, str], shared: Any) -> None:
    wall, chance = _straight(shared), made.chance
    width = chance.choice((0.69, 0.76, 0.84, 1.5))
    if wall is None or wall.length < width or chance.random() < 0.3:
        return
    made.doors[f"door-{len(made.doors)}"] = Door(
        name="Door",
        between=rooms,
        at=_middle(chance, wall, width),
        width=width,
        kind=chance.choice(DOORS),
        opens_into=chance.choice((*rooms, None)),
        hinge=chance.choice(("left", "right", None)),
    )


def _window(made: Drawing, room: str, outside: Any) -> None:
    wall, chance = _straight(outside), made.chance
    width = chance.choice((0.6, 1.2, 2.4))
    if wall is None or wall.length < width:
        return
    made.windows[f"window-{len(made.windows)}"] = Window(
        name="Window",
        room=room,
        at=_middle(chance, wall, width),
        width=width,
        kind=chance.choice(("casement", "sash", "roof")),
    )


def _pieces(made: Drawing, width: float, depth: float) -> None:
    """Up to 22 pieces: half of them on one corner of their room, some outside, some unplaced."""
    chance, rooms = made.chance, sorted(made.rooms)
    for index in range(chance.choice((0, 4, 10, 22))):
        room = chance.choice((*rooms[:3], chance.choice(rooms), "outside"))
        outline = made.rooms[room].outline if room in made.rooms else None
        x, y = (outline or ((width, 0.0),))[0]
        if chance.random() < 0.5:
            x, y = x + chance.uniform(-0.1, 0.6), y + chance.uniform(-0.1, 0.6)
        at = None if chance.random() < 0.05 else (round(x, 2), round(y, 2))
        made.equipment[f"piece-{index}"] = TEMPLATE.equipment[
            chance.choice(sorted(TEMPLATE.equipment))
        ].model_copy(update={"room": room, "at": at})
