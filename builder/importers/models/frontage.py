"""Which way a home looks: its front door, and the frame that puts it to the front."""

from collections.abc import Sequence
from dataclasses import dataclass

from builder.importers.models.drawn import ModelDrawing, ModelOpening, Storey, Vector
from builder.importers.models.frame import (
    SIDES,
    Axes,
    moved_to_corner,
    quarter_to_front,
    straight_angle,
)
from builder.importers.models.homes import HomeInModel, Known, Rooms, beside
from builder.importers.models.words import OPEN_AIR

_UP = 1.8
"""Metres above the building's zero from which a front door is not that of the street."""
_BY_THE_SEA = 12.0
"""Metres that no lowest storey of a home is above the zero of its own building."""
_ARRIVING = ("hall", "stairs", "landing")
_SAYS_FRONT = ("front", "entrance", "main", "haustür", "haustuer", "eingang", "voordeur", "entrée")


@dataclass(frozen=True, slots=True)
class ModelEntrance:
    """A door that people come in by: the room behind it, the way out, and what lies beyond."""

    door: ModelOpening
    room: Known
    outward: Vector
    beyond: Known | None
    above: float = 0.0

    @property
    def is_shared(self) -> bool:
        """Whether it leads to a place that homes share: what is up in a building is not the street."""
        return self.beyond is not None or self.above > _UP


def entrances(drawing: ModelDrawing, home: HomeInModel, rooms: Rooms) -> tuple[ModelEntrance, ...]:
    """The doors that lead into a home from outside or from a shared place, the likeliest first."""
    own = {each.key for each in home.rooms}
    found = []
    for door in drawing.doors:
        into, beyond = beside(door, rooms)
        for room, other, way in ((into, beyond, -1.0), (beyond, into, 1.0)):
            if room is not None and room.key in own and (other is None or other.key not in own):
                outward = (way * door.swing[0], way * door.swing[1])
                above = above_zero(drawing.storeys, room.space.storey)
                found.append(ModelEntrance(door, room, outward, other, above))
                break
    return tuple(sorted(found, key=_unlikely))


def _unlikely(entrance: ModelEntrance) -> tuple[bool, bool, bool, float, str]:
    """Orders entrances: named so, then into a hall, low down, and of one leaf."""
    door, words = entrance.door, " ".join(entrance.door.words).casefold()
    named = any(each in words for each in _SAYS_FRONT)
    arrives = entrance.room.kind in _ARRIVING
    return not named, not arrives, "DOUBLE" in door.operation, round(door.low, 2), door.name


def above_zero(storeys: Sequence[Storey], storey: int) -> float:
    """Metres of a storey above the building's zero; above its lowest where heights are over the sea."""
    if storey >= len(storeys):
        return 0.0
    lowest = min(each.elevation for each in storeys)
    return storeys[storey].elevation - (lowest if abs(lowest) > _BY_THE_SEA else 0.0)


def frame_of(home: HomeInModel, front: ModelEntrance | None, side: str | None) -> tuple[Axes, str]:
    """The frame of a home, and in words why it stands so. ``side``: the model's side that is the front."""
    rings = [each.space.rings[0] for each in home.rooms]
    straight = straight_angle(rings)
    level = Axes(-straight)
    if side is not None:
        angle, why = SIDES[side], f"asked for: the {side} side of the model is the front"
    elif front is not None and not front.is_shared:
        angle = quarter_to_front(level.turned(front.outward))
        why = f"guessed: the front door ({front.door.origin.identifier}) is in the front wall"
    else:
        angle, why = (
            0.0,
            "guessed: the model's y runs to the back, because no door to the street says otherwise",
        )
    if straight:
        why += f"; the model stands {abs(straight):.2f}° off its axes"
    frame = Axes((angle - straight) % 360)
    lowest = min(each.space.storey for each in home.rooms)
    on_ground = [
        each.space.rings[0]
        for each in home.rooms
        if each.space.storey == lowest and each.kind not in OPEN_AIR
    ]
    return moved_to_corner(frame, on_ground or rings), why


def front_faces(frame: Axes, north: float | None) -> float | None:
    """The compass bearing that the front looks to, where the model says where north is."""
    if north is None:
        return None
    # The front looks to -y of the frame, which is 180 degrees from y, turned back into the model.
    return round((180.0 + frame.angle + north) % 360, 1)
