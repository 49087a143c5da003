"""Shapes of a model's entities: where they stand, how far they reach, what they cover in plan.

Solids are turned into triangles only for what is asked for, one at a time, so that memory holds one.
"""

from collections.abc import Iterable, Iterator
from functools import cached_property
from statistics import median
from typing import Any

import ifcopenshell
import ifcopenshell.geom
import numpy
import shapely
from ifcopenshell.util.placement import get_local_placement
from ifcopenshell.util.unit import calculate_unit_scale
from shapely import LineString, Polygon
from shapely.ops import polygonize, unary_union

from builder.importers.models.drawn import ModelBox, Ring, Vector

_CLIMBS, _STEP = 1.0, 0.25
"""Metres: what climbs less is no staircase; the height of a step, and a little more."""
_FLAT = ("FootPrint", "Axis", "Annotation")
"""Representations that are drawn in plan, the best first."""
CEILING = 2.4
"""Metres that a room is taken to be high which is drawn flat."""
_SLIVER = 1e-6
"""Square metres: triangles seen from the side."""
_LEAST = 0.05
"""Square metres: what is smaller is no part of a room."""


class Shapes:
    """Shapes of one model. ``faults`` collects what could not be made out, in sentences."""

    def __init__(self, model: ifcopenshell.file, faults: list[str]) -> None:
        self.model, self.faults = model, faults
        self.scale = calculate_unit_scale(model)
        self.flat = 0
        self.sizes: dict[str, list[tuple[float, float]]] = {}

    @cached_property
    def _settings(self) -> Any:
        settings = ifcopenshell.geom.settings()
        # A wall is wanted whole: openings in it are drawn by their doors and windows.
        settings.set("disable-opening-subtractions", True)  # noqa: FBT003
        return settings

    @cached_property
    def _flat_settings(self) -> Any:
        settings = ifcopenshell.geom.settings()
        settings.set("dimensionality", ifcopenshell.ifcopenshell_wrapper.CURVES_SURFACES_AND_SOLIDS)
        return settings

    def placement(self, entity: Any) -> Any:
        """The place of an entity: a matrix of 4 by 4, in metres."""
        matrix = numpy.eye(4)
        if entity.ObjectPlacement is not None:
            matrix = numpy.array(get_local_placement(entity.ObjectPlacement), dtype=float)
            matrix[:3, 3] *= self.scale
        return matrix

    def mesh(self, entity: Any) -> tuple[Any, Any, Any] | None:
        """Corners in the entity's own axes, triangles, and its matrix; none where it has no shape."""
        if not _has_body(entity):
            return None
        try:
            shape = ifcopenshell.geom.create_shape(self._settings, entity)
        except RuntimeError:
            self.faults.append(
                f"The shape of {entity.is_a()} '{entity.Name}' ({entity.GlobalId}) cannot be worked out."
            )
            return None
        corners = numpy.array(shape.geometry.verts, dtype=float).reshape(-1, 3)
        triangles = numpy.array(shape.geometry.faces, dtype=int).reshape(-1, 3)
        matrix = numpy.array(shape.transformation.matrix, dtype=float).reshape(4, 4).T
        return (corners, triangles, matrix) if len(corners) else None

    def box(self, entity: Any) -> ModelBox | None:
        """How far an entity reaches, that of its parts where it has no shape of its own."""
        reach = list(self._reaches(entity))
        if not reach:
            return None
        low = numpy.min([each[0] for each in reach], axis=0)
        high = numpy.max([each[1] for each in reach], axis=0)
        return ModelBox(tuple(map(float, low)), tuple(map(float, high)))  # type: ignore[arg-type]

    def ends(self, entities: Iterable[Any]) -> tuple[Vector | None, Vector | None]:
        """The middle of the lowest and of the highest part of something that climbs, in plan."""
        meshes = [mesh for entity in entities if (mesh := self.mesh(entity)) is not None]
        if not meshes:
            return None, None
        points = numpy.vstack(
            [corners @ matrix[:3, :3].T + matrix[:3, 3] for corners, _, matrix in meshes]
        )
        low, high = points[:, 2].min(), points[:, 2].max()
        if high - low < _CLIMBS:
            return None, None
        parts = (points[points[:, 2] < low + _STEP], points[points[:, 2] > high - _STEP])
        foot, head = ((part[:, :2].min(axis=0) + part[:, :2].max(axis=0)) / 2 for part in parts)
        return (float(foot[0]), float(foot[1])), (float(head[0]), float(head[1]))

    def _reaches(self, entity: Any) -> Iterator[tuple[Any, Any]]:
        mesh = self.mesh(entity)
        if mesh is not None:
            corners, _, matrix = mesh
            placed = corners @ matrix[:3, :3].T + matrix[:3, 3]
            yield placed.min(axis=0), placed.max(axis=0)
            return
        for relation in getattr(entity, "IsDecomposedBy", ()) or ():
            for part in relation.RelatedObjects:
                yield from self._reaches(part)

    def flat_footprint(self, entity: Any) -> tuple[tuple[Ring, ...], float, float] | None:
        """What the lines of an entity that has no body go round in plan; how high it is, nobody says."""
        lines = list(self._flat_lines(entity))
        rings = tuple(_ring(each) for each in _closed_areas(lines))
        if not rings:
            return None
        self.flat += 1
        low = float(self.placement(entity)[2, 3])
        return rings, low, low + CEILING

    def _flat_lines(self, entity: Any) -> Iterator[LineString]:
        whole = getattr(entity, "Representation", None)
        for drawn in whole.Representations if whole else ():
            if drawn.RepresentationIdentifier not in _FLAT:
                continue
            try:
                shape = ifcopenshell.geom.create_shape(self._flat_settings, entity, drawn)
            except RuntimeError:
                continue
            corners = numpy.array(shape.geometry.verts, dtype=float).reshape(-1, 3)
            matrix = numpy.array(shape.transformation.matrix, dtype=float).reshape(4, 4).T
            placed = corners @ matrix[:3, :3].T + matrix[:3, 3]
            edges = numpy.array(shape.geometry.edges, dtype=int).reshape(-1, 2)
            yield from (LineString(placed[list(edge), :2]) for edge in edges)
            return

    def typical(self) -> tuple[float, float] | None:
        """How wide and how high the middle one of the rooms is of which the footprint was asked for."""
        sizes = self.sizes.get("rooms") or self.sizes.get("walls")
        if not sizes:
            return None
        return median(wide for wide, _ in sizes), median(high for _, high in sizes)

    def footprint(self, entity: Any) -> tuple[tuple[Ring, ...], float, float] | None:
        """What an entity covers in plan, ring by ring, and its lowest and highest point."""
        mesh = self.mesh(entity)
        if mesh is None:
            return None
        corners, triangles, matrix = mesh
        placed = corners @ matrix[:3, :3].T + matrix[:3, 3]
        reach = placed.max(axis=0) - placed.min(axis=0)
        self.sizes.setdefault((entity.is_a("IfcSpace") and "rooms") or "walls", []).append(
            (float(max(reach[:2])), float(reach[2]))
        )
        covered = _covered(placed[:, :2], triangles)
        rings = tuple(_ring(each) for each in covered)
        if not rings:
            return None
        return rings, float(placed[:, 2].min()), float(placed[:, 2].max())


def _has_body(entity: Any) -> bool:
    whole = getattr(entity, "Representation", None)
    drawn = whole.Representations if whole is not None else ()
    return any(each.RepresentationIdentifier not in _FLAT for each in drawn)


def _closed_areas(lines: list[LineString]) -> list[Polygon]:
    """What lines close round, the largest part first."""
    snapped: Any = shapely.set_precision(lines, 1e-4) if lines else []
    return sorted(
        (each for each in polygonize(unary_union(snapped)) if each.area > _LEAST),
        key=lambda each: -each.area,
    )


def _covered(corners: Any, triangles: Any) -> list[Polygon]:
    """The union of triangles seen from above, without holes, the largest part first."""
    flat = shapely.polygons(corners[triangles])
    flat = flat[shapely.area(flat) > _SLIVER]
    whole = unary_union(shapely.set_precision(flat, 1e-6)) if len(flat) else None
    parts = [each for each in getattr(whole, "geoms", (whole,)) if isinstance(each, Polygon)]
    return sorted((each for each in parts if each.area > _LEAST), key=lambda each: -each.area)


def _ring(polygon: Polygon) -> Ring:
    outer = polygon.exterior.simplify(1e-4)
    return tuple((float(x), float(y)) for x, y in list(outer.coords)[:-1])
