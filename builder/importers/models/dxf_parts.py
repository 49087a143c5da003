"""What a DXF drawing is made of, wherever in its blocks it lies: lines, outlines, arcs, texts, symbols.

Plans come as blocks in blocks: a door is a block, and so may be a whole floor. What lies in a block on
layer 0 is on the layer of the block, as the form has it (DXF reference, "layer 0", from memory).
"""

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

import ezdxf
import ezdxf.path
from shapely import MultiPoint, Polygon

from builder.importers.models.drawn import Ring, Vector

MOST = 400_000
"""Parts that are looked at: a plan has some thousands."""
_FARTHEST = 1e11
"""Units of the drawing from its zero: more than the way round the earth in millimetres."""
_DEEP = 8
_CORNERS = 3
_WORDS = frozenset({"TEXT", "MTEXT"})
_NOT_DRAWN = frozenset({"HATCH", "DIMENSION", "IMAGE", "WIPEOUT", "VIEWPORT", "LEADER", "MULTILEADER"})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Arc:
    """A part of a circle: its middle, its radius, its two ends, and how many degrees it goes round."""

    centre: Vector
    radius: float
    ends: tuple[Vector, Vector]
    degrees: float


@dataclass(frozen=True, slots=True)
class DrawnPart:
    """One entity in units of the drawing. ``outline`` where it is closed, ``points`` along it else."""

    kind: str
    layer: str
    handle: str
    points: Ring = ()
    outline: Ring = ()
    arc: Arc | None = None
    text: str = ""


@dataclass(frozen=True)
class Symbol:
    """Parts that are one thing: a block, or what stands by itself. ``turned``: degrees of the block."""

    name: str
    layer: str
    handle: str
    kind: str
    parts: tuple[DrawnPart, ...]
    turned: float = 0.0
    texts: tuple[str, ...] = ()

    @property
    def arcs(self) -> list[Arc]:
        """The arcs among its parts."""
        return [each.arc for each in self.parts if each.arc is not None]

    @property
    def hull(self) -> Polygon:
        """The smallest shape round all its points; empty where they lie in one line."""
        points = [point for each in self.parts for point in (*each.points, *each.outline)]
        shape = MultiPoint(points).convex_hull
        return shape if isinstance(shape, Polygon) else shape.buffer(1e-6)


@dataclass
class Plan:
    """All parts of a drawing that are no symbol, and its symbols. ``lost``: how many parts lie nowhere."""

    parts: list[DrawnPart] = field(default_factory=list)
    symbols: list[Symbol] = field(default_factory=list)
    is_cut: bool = False
    lost: int = 0

    def texts(self) -> Iterator[DrawnPart]:
        """Parts that are words."""
        return (each for each in self.parts if each.text)


def plan_of(entities: Iterable[Any], is_symbol: Callable[[str, str], bool], bent: float) -> Plan:
    """The parts of a drawing. ``is_symbol``: whether a block of this name on this layer is one thing.
    ``bent``: how far a straight piece may be off its curve, in units of the drawing."""
    reading = _DrawingReading(is_symbol, bent)
    reading.gather(entities, "", 0)
    return reading.plan


class _DrawingReading:
    """One drawing on its way to a plan."""

    def __init__(self, is_symbol: Callable[[str, str], bool], bent: float) -> None:
        self.is_symbol, self.bent = is_symbol, bent
        self.plan = Plan()

    def gather(self, entities: Iterable[Any], layer: str, depth: int) -> None:
        """Adds parts and symbols to the plan; blocks that are no symbol are looked into."""
        for entity in entities:
            if len(self.plan.parts) >= MOST:
                self.plan.is_cut = True
                return
            own = _layer_of(entity, layer)
            if entity.dxftype() == "INSERT":
                self._block(entity, own, depth)
            else:
                self.plan.parts.extend(self._parts(entity, own))

    def _block(self, insert: Any, layer: str, depth: int) -> None:
        inner, texts = _unpacked(insert), list(_attributes(insert, layer))
        self.plan.parts.extend(texts)
        if self.is_symbol(str(insert.dxf.name), layer):
            parts = list(self._flat(inner, layer, 0))
            self.plan.symbols.append(Symbol(
                str(insert.dxf.name), layer, str(insert.dxf.handle or ""), "INSERT",
                tuple(each for each in parts if not each.text), float(insert.dxf.get("rotation", 0.0)),
                tuple(each.text for each in (*texts, *parts) if each.text),
            ))  # fmt: skip
        elif depth < _DEEP:
            self.gather(inner, layer, depth + 1)

    def _flat(self, entities: Iterable[Any], layer: str, depth: int) -> Iterator[DrawnPart]:
        for entity in entities:
            own = _layer_of(entity, layer)
            if entity.dxftype() != "INSERT":
                yield from self._parts(entity, own)
            elif depth < _DEEP:
                yield from self._flat(_unpacked(entity), own, depth + 1)

    def _parts(self, entity: Any, layer: str) -> Iterator[DrawnPart]:
        """One entity as parts: words, or a line, and of a line the arcs in it besides."""
        kind, handle = entity.dxftype(), str(entity.dxf.get("handle", "") or "")
        if kind in _WORDS:
            place, text = entity.dxf.insert, " ".join(entity.plain_text().split())
            if text and self._lies_somewhere((place,)):
                yield DrawnPart(kind, layer, handle, ((float(place.x), float(place.y)),), text=text)
            return
        if kind in _NOT_DRAWN or not (points := self._points(entity)):
            return
        closed = len(points) > _CORNERS and math.dist(points[0], points[-1]) <= self.bent
        arc = _arc(entity, points) if kind == "ARC" else None
        yield DrawnPart(kind, layer, handle, points, points[:-1] if closed else (), arc)
        if kind in ("LWPOLYLINE", "POLYLINE"):
            yield from (
                DrawnPart("ARC", layer, handle, bend, arc=_arc(each, bend))
                for each in _bends(entity)
                if (bend := self._points(each))
            )

    def _points(self, entity: Any) -> Ring:
        """Points along an entity; nothing of what is no line."""
        try:
            path = ezdxf.path.make_path(entity)
            if not self._lies_somewhere(path.control_vertices()):
                return ()
            return tuple((float(each.x), float(each.y)) for each in path.flattening(self.bent))
        except (TypeError, ezdxf.DXFError, ValueError, ArithmeticError):
            return ()

    def _lies_somewhere(self, points: Iterable[Any]) -> bool:
        """Whether points are on a site. A curve through others would be cut into pieces without end."""
        somewhere = all(abs(each.x) < _FARTHEST and abs(each.y) < _FARTHEST for each in points)
        self.plan.lost += not somewhere
        return somewhere


def _layer_of(entity: Any, outer: str) -> str:
    own = str(entity.dxf.get("layer", "0"))
    return outer if own == "0" and outer else own


def _unpacked(insert: Any) -> list[Any]:
    """What a block shows where it stands; nothing of one that cannot be drawn."""
    try:
        inserts = insert.multi_insert() if insert.mcount > 1 else (insert,)
        return [each for one in inserts for each in one.virtual_entities()]
    except (ezdxf.DXFError, ValueError, ArithmeticError):
        return []


def _attributes(insert: Any, layer: str) -> Iterator[DrawnPart]:
    for each in insert.attribs:
        if text := " ".join(str(each.dxf.text).split()):
            place = each.dxf.insert
            yield DrawnPart("ATTRIB", layer, str(each.dxf.handle), ((float(place.x), float(place.y)),), text=text)  # fmt: skip


def _bends(line: Any) -> Iterator[Any]:
    if line.has_arc:
        yield from (each for each in line.virtual_entities() if each.dxftype() == "ARC")


def _arc(entity: Any, points: Ring) -> Arc:
    centre = entity.ocs().to_wcs(entity.dxf.center)
    degrees = (float(entity.dxf.end_angle) - float(entity.dxf.start_angle)) % 360.0
    ends = (points[0], points[-1])
    return Arc((float(centre.x), float(centre.y)), float(entity.dxf.radius), ends, degrees)


def scaled(ring: Ring, scale: float) -> Ring:
    """A ring in another unit."""
    return tuple(times(each, scale) for each in ring)


def times(point: Vector, scale: float) -> Vector:
    """A point in another unit."""
    return point[0] * scale, point[1] * scale
