"""Floors and rooms of a house type, from the spaces of one home in a model."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from shapely import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from builder.importers.models.draft import DraftedValue, HouseTypeDraft, LeftOut, identifier, plain
from builder.importers.models.drawn import ModelDrawing, Storey
from builder.importers.models.frame import Axes
from builder.importers.models.homes import Known, Rooms
from builder.importers.models.outlines import (
    corners,
    overlaps,
    squared,
    to_the_middle,
    without_overlaps,
)
from builder.importers.models.words import OPEN_AIR, Vocabulary

_FLOORS = {-1: ("basement", "Basement"), 0: ("ground", "Ground floor"), 1: ("first", "First floor"),
           2: ("second", "Second floor"), 3: ("third", "Third floor"), 4: ("fourth", "Fourth floor")}  # fmt: skip
_NO_ROOM = (*OPEN_AIR, "communal")
_SMALL = 2.5
"""Square metres below which a room without a name is taken for a cupboard."""
_TALLEST = 0.05
_STOREY = 2.9
"""Metres from floor to floor, to tell which floor of a building a home is on."""


@dataclass(frozen=True)
class PlacedRoom:
    """One room of the house type: its id, its space, and its outline in the house type's frame.

    ``faces`` is drawn to the faces of its walls, ``outline`` to their middle.
    """

    id: str
    known: Known
    kind: str
    name: str
    floor: str
    faces: Polygon
    outline: Polygon


@dataclass
class RoomLayout:
    """All rooms of the house type by id, and what is known of its floors."""

    frame: Axes
    rooms: dict[str, PlacedRoom] = field(default_factory=dict)
    levels: dict[str, int] = field(default_factory=dict)
    heights: dict[str, float] = field(default_factory=dict)
    ceilings: dict[str, float] = field(default_factory=dict)

    def of(self, known: Known | None) -> PlacedRoom | None:
        """The room that a space became, if it became one."""
        return next(
            (each for each in self.rooms.values() if known and each.known.key == known.key), None
        )

    @cached_property
    def whole(self) -> BaseGeometry:
        """What all rooms cover in plan, once they are laid out."""
        return unary_union([each.outline for each in self.rooms.values()])

    def on(self, floor: str) -> dict[str, PlacedRoom]:
        """The rooms of one floor."""
        return {name: each for name, each in self.rooms.items() if each.floor == floor}


@dataclass(frozen=True)
class HomeOfModel:
    """What a house type is made from: the drawing and all its rooms, those of this home as they are laid
    out, and the words of the model's language. ``draft`` is what is made of them."""

    drawing: ModelDrawing
    rooms: Rooms
    layout: RoomLayout
    words: Vocabulary
    draft: HouseTypeDraft


def laid_out(
    drawing: ModelDrawing,
    rooms: Sequence[Known],
    frame: Axes,
    entrance: int,
    words: Vocabulary,
    draft: HouseTypeDraft,
) -> RoomLayout:
    """Floors and rooms, written into the draft. ``entrance``: the storey of the front door."""
    layout = RoomLayout(frame)
    usable = [each for each in rooms if not _is_left_out(each, words, draft)]
    storeys = sorted({each.space.storey for each in usable})
    for storey in storeys:
        here = [each for each in usable if each.space.storey == storey]
        _floor(
            drawing.storeys,
            storey,
            storeys.index(storey) - storeys.index(entrance),
            here,
            layout,
            draft,
        )
        _rooms(here, next(reversed(layout.levels)), layout, draft)
    _names(layout, draft)
    return layout


def _is_left_out(room: Known, words: Vocabulary, draft: HouseTypeDraft) -> bool:
    """Whether nobody can stand in a space: shafts, air, and roofs that are drawn as one."""
    space = room.space
    void = None if room.heard else words.is_void((space.name, *space.words))
    if void is not None:
        draft.left_out.append(LeftOut(_room_in_words(room), f"'{void.word}' is no room"))
        return True
    if room.is_outdoors:
        draft.left_out.append(LeftOut(_room_in_words(room), "the model says that it is outside"))
        return True
    if room.kind == "loft" and room.space.number and "roof" in _all_words(room):
        draft.left_out.append(LeftOut(_room_in_words(room), "the roof is not drawn as a room"))
        return True
    return False


def _all_words(room: Known) -> str:
    return " ".join((room.space.name, *room.space.words)).casefold()


def _room_in_words(room: Known) -> str:
    space = room.space
    return f"{space.origin.entity} '{' '.join(filter(None, (space.number, space.name)))}' ({space.origin.identifier})"


def _floor(
    storeys: Sequence[Storey],
    storey: int,
    level: int,
    rooms: Sequence[Known],
    layout: RoomLayout,
    draft: HouseTypeDraft,
) -> None:
    """One floor, named by its level; its ceiling is as high as in most of its area."""
    name, title = _FLOORS.get(
        level, (f"level-{level}" if level >= 0 else f"lower-{-level}", f"Floor {level}")
    )
    model = storeys[storey] if storey < len(storeys) else None
    origin = model.origin if model else None
    low = _most([(each.space.low, each.shape.area) for each in rooms])
    ceiling = round(
        _most([(each.space.high - each.space.low, each.shape.area) for each in rooms]), 3
    )
    entry = {
        "name": DraftedValue(
            title, origin, "Name", f"the model says '{plain(model.name)}'" if model else ""
        ),
        "level": DraftedValue(
            level, origin, "Elevation", "counted from the floor of the front door"
        ),
    }
    layout.levels[name], layout.heights[name] = level, model.elevation if model else low
    layout.ceilings[name] = ceiling
    if 1.5 < ceiling < 8:
        entry["ceiling"] = DraftedValue(
            ceiling, rooms[0].space.origin, "Representation", "the height of most rooms here"
        )
    draft.add("floors", name, entry)


def above_ground(layout: RoomLayout, draft: HouseTypeDraft, up: float) -> None:
    """The height of each floor over the ground, once all floors are known. ``up``: that of the floor
    of the front door, which is 0 where the door leads to the street."""
    ground = next((name for name, level in layout.levels.items() if level == 0), None)
    if ground is None:
        return
    for name, entry in draft.sections["floors"].items():
        height = round(layout.heights[name] - layout.heights[ground] + up, 3) + 0.0
        origin = entry["level"].origin
        why = "" if height else "the floor of the front door"
        entry["above_ground"] = DraftedValue(height, origin, "Elevation", why)
        if up and len(layout.levels) == 1:
            storey = _FLOORS.get(round(height / _STOREY), ("", f"Floor {round(height / _STOREY)}"))[
                1
            ]
            entry["name"] = DraftedValue(
                storey, origin, "Name", f"it is {height:.2f} m above the ground"
            )


def _most(weighted: Sequence[tuple[float, float]]) -> float:
    """The value that most of the area has, to the centimetre."""
    areas: Counter[float] = Counter()
    for value, area in weighted:
        areas[round(value, 2)] += round(area * 1e4)
    common = max(areas, key=lambda each: (areas[each], -each))
    return next(value for value, _ in weighted if round(value, 2) == common)


def _rooms(rooms: Sequence[Known], floor: str, layout: RoomLayout, draft: HouseTypeDraft) -> None:
    """The rooms of one floor with their outlines, drawn to the middle of the walls between them."""
    rings = {each.key: layout.frame.ring(each.space.rings[0]) for each in rooms}
    faces = squared(rings)
    named = {each.key: each for each in rooms}
    for one, other, area in overlaps(faces):
        draft.noticed.append(
            f"{_room_in_words(named[one])} and {_room_in_words(named[other])} overlap by {area:.2f} m²; the smaller of them keeps it."
        )
    faces, gone = without_overlaps(faces)
    for key in gone:
        draft.left_out.append(
            LeftOut(_room_in_words(named[key]), "other spaces take up most of it")
        )
    walled = {key: each for key, each in faces.items() if named[key].kind not in _NO_ROOM}
    outlines = to_the_middle(walled)
    for key in faces:
        _room(named[key], floor, faces[key], outlines.get(key, faces[key]), layout)


def _room(known: Known, floor: str, faces: Polygon, outline: Polygon, layout: RoomLayout) -> None:
    kind = known.kind or ("cupboard" if faces.area < _SMALL else "living")
    if kind == "hall" and layout.levels[floor] > 0:
        kind = "landing"
    name = plain(known.space.name, 40) or plain(known.space.number, 40) or "Room"
    if not any(letter.isalpha() for letter in name):
        name = f"{_TITLES[kind] if known.kind else 'Room'} {name}"
    key = f"{known.key}"
    layout.rooms[key] = PlacedRoom(key, known, kind, name, floor, faces, outline)


def _names(layout: RoomLayout, draft: HouseTypeDraft) -> None:
    """Ids and names that no two rooms share, and the entries of all rooms."""
    titles: dict[str, list[PlacedRoom]] = defaultdict(list)
    for each in layout.rooms.values():
        titles[_title(each)].append(each)
    layout.rooms = {}
    for title, rooms in titles.items():
        for number, each in enumerate(rooms, start=1):
            name = f"{title} {number}" if len(rooms) > 1 else title
            free = draft.add("rooms", identifier(name, "room"), {})
            draft.sections["rooms"][free].update(_entry(each, name))
            layout.rooms[free] = PlacedRoom(
                free, each.known, each.kind, name, each.floor, each.faces, each.outline
            )


def _title(room: PlacedRoom) -> str:
    """A room's name: the model's own where it is English, else that of its kind."""
    heard = room.known.heard
    english = heard is None or heard.english
    title = (
        room.name
        if english
        else _number_after(_TITLES.get(room.kind, room.kind.capitalize()), room.name)
    )
    return title[:1].upper() + title[1:]


def _number_after(title: str, name: str) -> str:
    digits = (
        "".join(each for each in name.rsplit(maxsplit=1)[-1] if each.isdigit())
        if name.split()
        else ""
    )
    return f"{title} {digits}" if digits and len(digits) < 3 else title


_TITLES: Mapping[str, str] = {
    "hall": "Hall", "landing": "Landing", "stairs": "Stairs", "living": "Living room", "dining": "Dining room",
    "kitchen": "Kitchen", "kitchen-dining": "Kitchen and dining room", "kitchen-living": "Kitchen and living room",
    "study": "Study", "bedroom": "Bedroom", "bathroom": "Bathroom", "shower-room": "Shower room",
    "toilet": "Toilet", "utility": "Utility room", "cupboard": "Cupboard", "plant": "Plant cupboard",
    "garage": "Garage", "loft": "Loft", "balcony": "Balcony", "roof-terrace": "Roof terrace",
}  # fmt: skip


def _entry(room: PlacedRoom, name: str) -> dict[str, DraftedValue]:
    space, heard = room.known.space, room.known.heard
    attribute = "LongName" if space.name else "Name"
    said = plain(space.name or space.number)
    why = "" if said.casefold() == name.casefold() else f"the model says '{said}'"
    entry = {
        "name": DraftedValue(name, space.origin, attribute, note=why),
        "kind": DraftedValue(room.kind, space.origin, attribute, _why_kind(room)),
        "floor": DraftedValue(room.floor, space.origin, "Decomposes"),
        "outline": DraftedValue(corners(room.outline), space.origin, "Representation"),
    }
    if abs(room.faces.area - room.outline.area) > _TALLEST or heard is None:
        entry["area"] = DraftedValue(round(room.faces.area, 2), space.origin, "Representation")
    return entry


def _why_kind(room: PlacedRoom) -> str:
    heard = room.known.heard
    if heard is None:
        return f"no name says what it is, and it has {room.faces.area:.1f} m²"
    if heard.kind != room.kind:
        return f"'{heard.word}' on an upper floor"
    return f"by the word '{heard.word}'" if heard.word.casefold() != room.kind else ""
