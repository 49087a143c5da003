"""Doors and windows of a model: where they stand, how wide they are, and how they open."""

from collections.abc import Callable, Iterator
from typing import Any

import ifcopenshell
import ifcopenshell.util.element as elements
import numpy

from builder.importers.models.drawn import ModelOpening, ModelOrigin
from builder.importers.models.ifc_shapes import Shapes

_UNSAID = ("", "NOTDEFINED", "USERDEFINED")
_WIDER = 0.45
"""Metres that a drawn door may be wider than its opening: its frame, its casing on both sides."""

Naming = Callable[[Any], ModelOrigin]


def doors_of(
    model: ifcopenshell.file, shapes: Shapes, scale: float, origin: Naming
) -> Iterator[ModelOpening]:
    """Every door that stands somewhere. ``scale``: metres in the model's unit of length."""
    for entity in model.by_type("IfcDoor"):
        yield _opening(entity, shapes, scale, origin(entity))


def windows_of(
    model: ifcopenshell.file, shapes: Shapes, scale: float, origin: Naming
) -> Iterator[ModelOpening]:
    """Every window that has a place."""
    for entity in model.by_type("IfcWindow"):
        yield _opening(entity, shapes, scale, origin(entity))


def _opening(entity: Any, shapes: Shapes, scale: float, origin: ModelOrigin) -> ModelOpening:
    matrix = shapes.placement(entity)
    along = _flat(matrix[:3, 0]) or (1.0, 0.0)
    width = _metres(entity.OverallWidth, scale)
    middle, low, drawn = _middle(entity, shapes, matrix, width)
    about = elements.get_type(entity)
    told = _properties(entity)
    operation, where = _operation(entity, about)
    return ModelOpening(
        name=str(entity.Name or ""),
        middle=middle,
        along=along,
        swing=_flat(matrix[:3, 1]) or (-along[1], along[0]),
        low=low,
        width=width or drawn,
        height=_metres(entity.OverallHeight, scale),
        operation=operation,
        operation_from=where,
        origin=origin,
        words=_words(entity, about),
        external=_value_of_kind(told, "IsExternal", bool),
        fire_rating=_rating(told),
        self_closing=bool(_value_of_kind(told, "SelfClosing", bool)),
        clear_width=_metres(_value_of_kind(told, "ClearWidth", (int, float)), scale),
        clear_height=_metres(_value_of_kind(told, "ClearHeight", (int, float)), scale),
    )


def _middle(
    entity: Any, shapes: Shapes, matrix: Any, width: float | None
) -> tuple[tuple[float, float], float, float | None]:
    """The middle in plan, the underside, and how wide it is drawn.

    A placement stands at one end of the opening (ISO 16739, IfcDoor); where the shape says
    otherwise, the shape is right, because programs differ.
    """
    mesh = shapes.mesh(entity)
    half, low, drawn = (width or 0.0) / 2, float(matrix[2, 3]), None
    if mesh is not None:
        corners, _, own = mesh
        least, most = corners[:, 0].min(), corners[:, 0].max()
        drawn = float(most - least)
        placed = corners @ own[:3, :3].T + own[:3, 3]
        low = max(low, float(placed[:, 2].min()))
        if width is None or abs(drawn - width) < _WIDER:
            half = float(least + most) / 2
    point = matrix @ numpy.array([half, 0.0, 0.0, 1.0])
    return (float(point[0]), float(point[1])), low, drawn


def _flat(vector: Any) -> tuple[float, float] | None:
    length = float(numpy.hypot(vector[0], vector[1]))
    return (float(vector[0]) / length, float(vector[1]) / length) if length > 0.1 else None


def _metres(value: Any, scale: float) -> float | None:
    usable = isinstance(value, int | float) and 0 < value * scale < 100
    return float(value) * scale if usable else None


def _operation(entity: Any, about: Any) -> tuple[str, str]:
    """How it opens, and which attribute says so: of itself, of its type, or of its panels."""
    for source in (entity, about):
        for name in ("OperationType", "PartitioningType"):
            value = str(getattr(source, name, None) or "")
            if name == "OperationType" and value not in _UNSAID:
                return value, f"{source.is_a()}.{name}"
    for source in (entity, about):
        for panel in _panels(source):
            value = str(getattr(panel, "OperationType", None) or "")
            if value not in _UNSAID:
                return value, f"{panel.is_a()}.OperationType"
    return "", ""


def _panels(source: Any) -> Iterator[Any]:
    if source is None:
        return
    yield from (
        each
        for each in getattr(source, "HasPropertySets", None) or ()
        if each.is_a("IfcWindowPanelProperties")
    )
    for relation in getattr(source, "IsDefinedBy", None) or ():
        told = getattr(relation, "RelatingPropertyDefinition", None)
        if told is not None and told.is_a("IfcWindowPanelProperties"):
            yield told


def _words(entity: Any, about: Any) -> tuple[str, ...]:
    said = [entity.Name, entity.ObjectType, entity.Description, getattr(about, "Name", None)]
    return tuple(dict.fromkeys(str(each) for each in said if each))


def _properties(entity: Any) -> dict[str, Any]:
    """All properties of an entity and its type by name; the common sets of the form come first."""
    try:
        sets = elements.get_psets(entity)
    except RuntimeError:
        return {}
    told: dict[str, Any] = {}
    for name in sorted(sets, key=lambda each: not each.startswith("Pset_")):
        for key, value in sets[name].items():
            told.setdefault(key, value)
    return told


def _value_of_kind(told: dict[str, Any], name: str, kind: Any) -> Any:
    value = told.get(name)
    return value if isinstance(value, kind) else None


def _rating(told: dict[str, Any]) -> str:
    """The fire rating; a program that has none writes the name of the property as its value."""
    value = str(told.get("FireRating") or "").strip()
    return "" if value.replace(" ", "").lower() in ("firerating", "none", "0") else value
