"""Tells the homes of one building apart, and which of them are built alike or in mirror image."""

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import networkx
from shapely import Point, Polygon, STRtree, affinity, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from builder.importers.models.drawn import (
    ModelDrawing,
    ModelOpening,
    ModelThing,
    Space,
    Stair,
    Vector,
)
from builder.importers.models.words import OPEN_AIR, Heard, Vocabulary

_MEETS = 0.02
"""Metres between rooms that have no wall between them."""
_REACH = 0.8
"""Metres on each side of a door within which its rooms lie."""
_ALIKE = 0.95
"""How much of two rooms must cover each other, as a share of both, to be one design."""
_WET = ("bathroom", "shower-room", "toilet")
_SIGNS = (
    (
        "kitchen",
        ("oven", "induction-hob", "gas-hob", "ceramic-hob", "dishwasher", "fridge-freezer"),
    ),
    ("bathroom", ("bath", "shower")),
    ("toilet", ("toilet",)),
)
"""Kinds of rooms by what is built into them, the surest first."""
_FEW = 3
"""Rooms that a home has at least where nobody knows what they are."""
_COOKING = ("kitchen", "kitchen-dining", "kitchen-living")


@dataclass(frozen=True)
class Known:
    """A space, what kind of room it was taken for, and why. ``key`` is its place in the drawing."""

    key: str
    space: Space
    heard: Heard | None
    shape: Polygon

    @property
    def kind(self) -> str:
        """The kind of room, or nothing where no word says one."""
        return self.heard.kind if self.heard else ""

    @property
    def is_outdoors(self) -> bool:
        """Whether the model draws a piece of the outside as a space: a garden, a yard."""
        return self.space.is_outside and self.kind not in OPEN_AIR


class Rooms(tuple[Known, ...]):
    """All rooms of a model, found by where they are: a large building has thousands."""

    @cached_property
    def _tree(self) -> STRtree:
        return STRtree([each.shape for each in self])

    def near(self, shape: BaseGeometry, by: float = 0.0) -> list[Known]:
        """The rooms whose bounds come as near to a shape, in the order of the model."""
        if by:
            found = self._tree.query(box(*_widened(shape.bounds, by)))
        else:
            found = self._tree.query(shape)
        return [self[index] for index in sorted(found)]


def _widened(
    bounds: tuple[float, float, float, float], by: float
) -> tuple[float, float, float, float]:
    left, low, right, high = bounds
    return left - by, low - by, right + by, high + by


@dataclass(frozen=True, slots=True)
class Likeness:
    """How one home lies to another: ``mirrored``, and by how many degrees it is turned besides."""

    other: str
    mirrored: bool
    turned: int


@dataclass(frozen=True)
class HomeInModel:
    """The rooms of one home. ``told_by`` says how it was told from the others."""

    name: str
    rooms: tuple[Known, ...]
    told_by: str

    @property
    def area(self) -> float:
        """Square metres to the faces of the walls."""
        return sum(each.shape.area for each in self.rooms)


def known_rooms(drawing: ModelDrawing, words: Vocabulary) -> Rooms:
    """Every space as a shape, with the kind that its names say."""
    return Rooms(
        Known(
            f"{index}",
            space,
            words.room((space.name, *space.words))
            or _heard_by_stairs(space, drawing.stairs)
            or _heard_by_things(space, drawing.things, words),
            _largest(Polygon(space.rings[0]).buffer(0)),
        )
        for index, space in enumerate(drawing.spaces)
    )


def _heard_by_stairs(space: Space, stairs: Iterable[Stair]) -> Heard | None:
    """A space that no name tells of is a stairwell where a staircase fills most of it."""
    shape = Polygon(space.rings[0]).buffer(0)
    for stair in stairs:
        (x0, y0, z0), (x1, y1, _) = stair.box.low, stair.box.high
        filled = shape.intersection(box(x0, y0, x1, y1)).area > 0.5 * shape.area
        if filled and abs(space.low - z0) < 1.0:
            return Heard("stairs", f"{stair.origin.entity} {stair.origin.identifier}")
    return None


def _heard_by_things(space: Space, things: Iterable[ModelThing], words: Vocabulary) -> Heard | None:
    """A space that no name tells of is a kitchen or a bathroom by what is built into it."""
    shape = Polygon(space.rings[0]).buffer(0)
    found = {
        heard.kind: heard.word
        for thing in things
        if space.low - 0.3 <= thing.box.middle[2] <= space.high
        and shape.contains(Point(thing.box.middle[:2]))
        and (heard := words.thing(thing.classes, thing.type, thing.texts)) is not None
    }
    for kind, signs in _SIGNS:
        sign = next((each for each in signs if each in found), None)
        if sign is not None:
            return Heard(kind, f"a {sign} stands in it", english=False)
    return None


def _largest(shape: BaseGeometry) -> Polygon:
    parts = [each for each in getattr(shape, "geoms", (shape,)) if isinstance(each, Polygon)]
    return max(parts, key=lambda each: each.area, default=Polygon())


def homes_of(drawing: ModelDrawing, rooms: Rooms, words: Vocabulary) -> tuple[HomeInModel, ...]:
    """The homes of a building, by their names; one where nothing tells several apart."""
    own = Rooms(each for each in rooms if each.kind != "communal")
    for told_by, key in _partitions(words):
        groups = _rooms_by(own, key)
        homes = {name: group for name, group in groups.items() if _may_be_a_home(group)}
        if len(homes) > 1:
            return tuple(
                HomeInModel(name, tuple(group), told_by) for name, group in sorted(homes.items())
            )
    joined = _groups_with_ways(drawing, own)
    if len(joined) > 1:
        return tuple(
            HomeInModel(str(number), tuple(group), "the ways between its rooms")
            for number, group in enumerate(joined, start=1)
        )
    return (HomeInModel("1", tuple(own), "the whole model"),) if own else ()


def _partitions(words: Vocabulary) -> Iterator[tuple[str, Callable[[Known], str]]]:
    """Ways to tell homes apart by names, the surest first."""

    def zone(room: Known) -> str:
        named = [each for each in room.space.zones if words.names_a_home(each)]
        return (named or [*room.space.zones, ""])[0]

    yield "the zones that its spaces are in", zone
    yield "the letters before the numbers of its spaces", _letters
    yield "the first part of the numbers of its spaces", _first_part
    yield "the buildings that its spaces are in", lambda room: room.space.building


def _letters(room: Known) -> str:
    found = re.match(r"\s*([^\W\d_]+)[\s._/-]*\d", room.space.number)
    return found[1].upper() if found else ""


def _first_part(room: Known) -> str:
    parts = [each for each in re.split(r"[\s._/-]+", room.space.number.strip()) if each]
    return parts[0].upper() if len(parts) > 1 else ""


def _rooms_by(rooms: Iterable[Known], key: Callable[[Known], str]) -> dict[str, list[Known]]:
    """Rooms by what a key says of them, in each building by itself."""
    groups: dict[tuple[str, str], list[Known]] = defaultdict(list)
    for room in rooms:
        if name := key(room):
            groups[name, room.space.building].append(room)
    often = Counter(name for name, _ in groups)
    return {
        name if often[name] == 1 or name == building else f"{building} {name}".strip(): group
        for (name, building), group in groups.items()
    }


def _may_be_a_home(rooms: Sequence[Known]) -> bool:
    """Whether rooms that something holds together are a home, as far as their names are understood."""
    return _is_a_home(rooms) or (len(rooms) >= _FEW and not any(each.kind for each in rooms))


def _is_a_home(rooms: Sequence[Known]) -> bool:
    """Whether people can live in these rooms: somewhere to cook, and somewhere to wash."""
    kinds = {each.kind for each in rooms}
    return not kinds.isdisjoint(_COOKING) and not kinds.isdisjoint(_WET)


def _groups_with_ways(drawing: ModelDrawing, rooms: Rooms) -> list[list[Known]]:
    """Groups of rooms with ways between them in which people can live."""
    graph = networkx.Graph()
    graph.add_nodes_from(each.key for each in rooms)
    graph.add_edges_from(_joined_pairs(drawing, rooms))
    named = {each.key: each for each in rooms}
    groups = [
        [named[key] for key in sorted(part, key=int)]
        for part in networkx.connected_components(graph)
    ]
    homes = [group for group in groups if _is_a_home(group)]
    return sorted(homes, key=_corner) if len(homes) > 1 else []


def _corner(rooms: Sequence[Known]) -> tuple[float, float]:
    x, y, _, _ = unary_union([each.shape for each in rooms]).bounds
    return round(x, 3), round(y, 3)


def _joined_pairs(drawing: ModelDrawing, rooms: Rooms) -> Iterator[tuple[str, str]]:
    for door in drawing.doors:
        sides = beside(door, rooms)
        if None not in sides:
            yield sides[0].key, sides[1].key  # type: ignore[union-attr]
    for one in rooms:
        for other in rooms.near(one.shape, _MEETS):
            later = int(other.key) > int(one.key)
            if later and one.space.storey == other.space.storey and meets(one.shape, other.shape):
                yield one.key, other.key
    for stair in drawing.stairs:
        low, high = stair.box.low, stair.box.high
        plan = box(low[0], low[1], high[0], high[1])
        on = [each for each in rooms.near(plan) if _is_beside_stair(each, low, high)]
        yield from ((on[0].key, each.key) for each in on[1:])


def _is_beside_stair(
    room: Known, low: tuple[float, float, float], high: tuple[float, float, float]
) -> bool:
    plan = box(low[0], low[1], high[0], high[1])
    level = room.space.low <= high[2] + 0.5 and low[2] - 0.5 <= room.space.low
    return level and room.shape.intersection(plan).area > 0.2


def meets(one: Polygon, other: Polygon) -> bool:
    """Whether two rooms of one storey have no wall between them for the width of a way."""
    if one.distance(other) > _MEETS:
        return False
    return open_between(one, other) >= 0.6


def open_between(one: Polygon, other: Polygon) -> float:
    """Metres along which two rooms have no wall between them."""
    near = one.boundary.intersection(other.buffer(_MEETS, join_style="mitre"))
    return float(near.length)


def beside(opening: ModelOpening, rooms: Rooms) -> tuple[Known | None, Known | None]:
    """The room that an opening's leaf would swing into, and the one on its other side."""
    near = [
        each
        for each in rooms.near(Point(opening.middle), _REACH + 0.2)
        if _is_at_height(opening, each) and not each.is_outdoors
    ]
    return _towards(opening, near, 1.0), _towards(opening, near, -1.0)


def _is_at_height(opening: ModelOpening, room: Known) -> bool:
    return room.space.low - 0.35 <= opening.low <= room.space.high - 0.1


def _towards(opening: ModelOpening, rooms: Iterable[Known], way: float) -> Known | None:
    """The nearest room on one side of an opening, as far as a thick wall."""
    probe = _probe(opening.middle, opening.along, opening.swing, way, opening.width or 0.8)
    best: tuple[float, Known] | None = None
    for room in rooms:
        part = room.shape.intersection(probe)
        if part.area < 1e-3:
            continue
        off = min(_ahead(point, opening, way) for point in _points(part))
        if best is None or off < best[0] - 1e-6:
            best = (off, room)
    return best[1] if best else None


def _probe(middle: Vector, along: Vector, swing: Vector, way: float, width: float) -> Polygon:
    """A strip across the middle of an opening, from it out to one side."""
    half = min(0.15, width / 4)
    ends = ((-half, 0.02), (half, 0.02), (half, _REACH), (-half, _REACH))
    return Polygon(
        [
            (
                middle[0] + a * along[0] + way * b * swing[0],
                middle[1] + a * along[1] + way * b * swing[1],
            )
            for a, b in ends
        ]
    )


def _ahead(point: tuple[float, ...], opening: ModelOpening, way: float) -> float:
    x, y = point[0] - opening.middle[0], point[1] - opening.middle[1]
    return way * (x * opening.swing[0] + y * opening.swing[1])


def _points(shape: object) -> Iterator[tuple[float, ...]]:
    for part in getattr(shape, "geoms", (shape,)):
        if isinstance(part, Polygon):
            yield from part.exterior.coords


def likenesses(home: HomeInModel, others: Iterable[HomeInModel]) -> Iterator[Likeness]:
    """The other homes that are this one again, turned, or its mirror image."""
    for other in others:
        if other.name != home.name and (found := _likeness(home, other)) is not None:
            yield found


def _likeness(home: HomeInModel, other: HomeInModel) -> Likeness | None:
    if len(home.rooms) != len(other.rooms):
        return None
    for mirrored in (False, True):
        for turned in (0, 90, 180, 270):
            if _covers(home, other, mirrored=mirrored, turned=turned):
                return Likeness(other.name, mirrored, turned)
    return None


def _covers(home: HomeInModel, other: HomeInModel, *, mirrored: bool, turned: int) -> bool:
    """Whether each room of one home lies on one of the other, once it is turned and moved there."""

    def moved(shape: Polygon) -> Polygon:
        flipped = affinity.scale(shape, -1 if mirrored else 1, 1, origin=(0, 0))
        return affinity.rotate(flipped, turned, origin=(0, 0))

    floors, its = _floors(home), _floors(other)
    mine = [(floors[each.space.storey], moved(each.shape)) for each in home.rooms]
    left, low, _, _ = unary_union([shape for _, shape in mine]).bounds
    x, y, _, _ = unary_union([each.shape for each in other.rooms]).bounds
    placed = [(floor, affinity.translate(shape, x - left, y - low)) for floor, shape in mine]
    return all(
        any(
            floor == its[each.space.storey] and _cover_alike(shape, each.shape)
            for each in other.rooms
        )
        for floor, shape in placed
    )


def _floors(home: HomeInModel) -> dict[int, int]:
    """The floors of a home, counted from its lowest, by the storeys of the model."""
    storeys = sorted({each.space.storey for each in home.rooms})
    return {storey: number for number, storey in enumerate(storeys)}


def _cover_alike(one: Polygon, other: Polygon) -> bool:
    together = one.union(other).area
    return together > 0 and one.intersection(other).area / together >= _ALIKE
