"""A building as a model draws it, whatever program wrote it: plain values, metres, no library's types.

Coordinates are those of the model, turned and moved by nothing. All of it can be passed between
processes, because the library that reads models runs in one of its own.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

Vector = tuple[float, float]
Ring = tuple[Vector, ...]


_DRAWN: Mapping[str, str] = {
    "Name": "text", "LongName": "text", "Representation": "points", "ObjectPlacement": "place", "OverallWidth": "width",
    "OperationType": "swing", "Elevation": "name", "Decomposes": "layer",
}  # fmt: skip
"""What says the same in a drawing that is no building model."""


@dataclass(frozen=True, slots=True)
class ModelOrigin:
    """Which entity of which file something comes from. ``identifier``: its GlobalId, or its layer."""

    entity: str
    identifier: str
    name: str = ""
    file: str = ""

    def attribute(self, name: str) -> str:
        """One attribute of the entity, as a comment says it."""
        said = self.says(name)
        return f"{self.entity}{'.' if said else ''}{said} {self.identifier}"

    def says(self, name: str) -> str:
        """What an attribute of a building model is called in the file that this comes from."""
        return name if self.entity.startswith("Ifc") else _DRAWN.get(name, name)


@dataclass(frozen=True, slots=True)
class Storey:
    """One level of the building. ``elevation`` in metres above the building's own zero, ``height`` in
    the coordinates of the model."""

    name: str
    elevation: float
    origin: ModelOrigin
    height: float


@dataclass(frozen=True, slots=True)
class Space:
    """One space: ``rings`` are the parts of its footprint, ``low`` and ``high`` its floor and ceiling.

    ``storey`` counts in the model's storeys. ``zones`` names the zones that it is in, ``building`` the
    building, ``own_area`` what the model itself says of its floor area; ``is_outside``, that it is no
    part of the inside.
    """

    number: str
    name: str
    storey: int
    rings: tuple[Ring, ...]
    low: float
    high: float
    origin: ModelOrigin
    words: tuple[str, ...] = ()
    zones: tuple[str, ...] = ()
    own_area: float | None = None
    building: str = ""
    is_outside: bool = False


@dataclass(frozen=True, slots=True)
class ModelOpening:
    """A door or a window. ``middle`` in plan, ``along`` its width, ``swing`` the way its leaf goes.

    ``operation`` is the model's own word for how it opens. ``low`` is its underside; of one that is
    drawn flat, in a plan, nobody knows it.
    """

    name: str
    middle: Vector
    along: Vector
    swing: Vector
    low: float
    width: float | None
    height: float | None
    operation: str
    origin: ModelOrigin
    words: tuple[str, ...] = ()
    external: bool | None = None
    fire_rating: str = ""
    self_closing: bool = False
    clear_width: float | None = None
    clear_height: float | None = None
    operation_from: str = ""
    is_flat: bool = False


@dataclass(frozen=True, slots=True)
class ModelBox:
    """How far something reaches: metres in the coordinates of the model."""

    low: tuple[float, float, float]
    high: tuple[float, float, float]

    @property
    def middle(self) -> tuple[float, float, float]:
        """The middle of the box."""
        x, y, z = ((one + other) / 2 for one, other in zip(self.low, self.high, strict=True))
        return x, y, z


@dataclass(frozen=True, slots=True)
class Stair:
    """A flight of stairs, or all flights of one staircase. ``foot`` and ``head``: the middle of its
    lowest and highest step, where its shape shows them."""

    box: ModelBox
    origin: ModelOrigin
    foot: Vector | None = None
    head: Vector | None = None


@dataclass(frozen=True, slots=True)
class Wall:
    """A wall's footprint and how far up it goes."""

    ring: Ring
    low: float
    high: float
    origin: ModelOrigin


@dataclass(frozen=True, slots=True)
class ModelThing:
    """Anything else that stands in the building, in the model's own words.

    ``classes`` are its own and that of its type, ``type`` its predefined type, ``texts`` its names from the most exact to the least. ``told``
    holds what property sets say of make and model, each with the name of the property. ``size`` is how
    far it reaches along ``along``, and across.
    """

    classes: tuple[str, ...]
    type: str
    texts: tuple[str, ...]
    box: ModelBox
    origin: ModelOrigin
    space: str = ""
    material: str = ""
    told: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    size: Vector | None = None
    along: Vector = (1.0, 0.0)


@dataclass(frozen=True, slots=True)
class ModelDrawing:
    """All of a model, or of several laid over each other.

    ``north``: degrees anticlockwise from the model's y to true north. ``faults`` are parts that the
    reader could not make out, each in a sentence. ``scale``: metres in its unit. ``typical``: how wide and how high the middle one of
    its rooms is, of its walls where it has no rooms, whether it was read or is too small or large for it.
    """

    form: str
    program: str
    unit: str
    storeys: tuple[Storey, ...] = ()
    spaces: tuple[Space, ...] = ()
    doors: tuple[ModelOpening, ...] = ()
    windows: tuple[ModelOpening, ...] = ()
    stairs: tuple[Stair, ...] = ()
    walls: tuple[Wall, ...] = ()
    things: tuple[ModelThing, ...] = ()
    north: float | None = None
    faults: tuple[str, ...] = ()
    counts: Mapping[str, int] = field(default_factory=dict)
    scale: float = 1.0
    typical: tuple[float, float | None] | None = None
