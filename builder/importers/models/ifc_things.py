"""What else stands in a model: equipment, furniture, stairs and walls."""

from collections.abc import Iterator, Mapping
from typing import Any

import ifcopenshell
import ifcopenshell.util.element as elements

from builder.importers.models.drawn import ModelBox, ModelThing, Stair, Wall
from builder.importers.models.ifc_openings import Naming
from builder.importers.models.ifc_shapes import Shapes
from builder.importers.models.words import BUILT_IN, Heard, Vocabulary

_CLASSES = ("IfcDistributionElement", "IfcBuildingElementProxy", "IfcFurnishingElement")
_TOLD = {
    "make": ("Manufacturer", "ManufacturerName"),
    "model": ("ModelLabel", "ModelReference", "ModelNumber", "Model", "ArticleNumber"),
}
"""Properties that say make and model, the best first: Pset_ManufacturerTypeInformation, COBie, others."""


def things_of(
    model: ifcopenshell.file, shapes: Shapes, known: Vocabulary, origin: Naming
) -> Iterator[ModelThing]:
    """Whatever may be equipment. Shapes are worked out only for what words or class make likely."""
    for entity in _entities(model):
        about = elements.get_type(entity)
        texts = _texts(entity, about)
        kind = str(elements.get_predefined_type(entity) or "")
        classes = (entity.is_a(), *((about.is_a(),) if about is not None else ()))
        heard = known.thing(classes, kind, texts)
        likely = heard is not None and not heard.kind.startswith("-")
        box = (shapes.box(entity) if likely else None) or _point(entity, shapes)
        yield ModelThing(
            classes=classes,
            type=kind,
            texts=texts,
            box=box,
            origin=origin(entity),
            space=_space(entity),
            material=_material(entity) if likely else "",
            told=_make_and_model(entity) if likely else {},
            **_lying(entity, shapes, heard),
        )


def _lying(entity: Any, shapes: Shapes, heard: Heard | None) -> dict[str, Any]:
    """How a fitting lies: its size in its own axes, and the way of the first of them."""
    mesh = shapes.mesh(entity) if heard is not None and heard.kind in BUILT_IN else None
    if mesh is None:
        return {}
    corners, _, matrix = mesh
    reach = corners.max(axis=0) - corners.min(axis=0)
    return {
        "size": (float(reach[0]), float(reach[1])),
        "along": (float(matrix[0, 0]), float(matrix[1, 0])),
    }


def _entities(model: ifcopenshell.file) -> Iterator[Any]:
    for name in _CLASSES:
        yield from model.by_type(name)


def _point(entity: Any, shapes: Shapes) -> ModelBox:
    x, y, z = (float(each) for each in shapes.placement(entity)[:3, 3])
    return ModelBox((x, y, z), (x, y, z))


def _texts(entity: Any, about: Any) -> tuple[str, ...]:
    said = [
        entity.Name, entity.ObjectType, getattr(about, "Name", None), entity.Description,
        getattr(about, "ElementType", None), getattr(entity, "Tag", None),
    ]  # fmt: skip
    return tuple(dict.fromkeys(str(each) for each in said if each))


def _space(entity: Any) -> str:
    container = elements.get_container(entity)
    return container.GlobalId if container is not None and container.is_a("IfcSpace") else ""


def _material(entity: Any) -> str:
    try:
        found = elements.get_materials(entity)
    except (RuntimeError, AttributeError):
        return ""
    return next((str(each.Name) for each in found if getattr(each, "Name", None)), "")


def _make_and_model(entity: Any) -> Mapping[str, tuple[str, str]]:
    """Make and model, each with the property set and property that say it."""
    try:
        sets = elements.get_psets(entity)
    except RuntimeError:
        return {}
    found: dict[str, tuple[str, str]] = {}
    for fact, names in _TOLD.items():
        for name in names:
            for group, told in sets.items():
                value = told.get(name)
                if fact not in found and isinstance(value, str) and _is_meant(value, name):
                    found[fact] = (value.strip(), f"{group}.{name}")
    return found


def _is_meant(value: str, name: str) -> bool:
    """Whether a text is more than a program's filler, such as the name of its own property."""
    bare = value.replace(" ", "").lower()
    return bare not in ("", name.lower(), "n/a", "na", "none", "-", "generic", "unset")


def stairs_of(model: ifcopenshell.file, shapes: Shapes, origin: Naming) -> Iterator[Stair]:
    """Each staircase once; flights that belong to none by themselves."""
    for entity in model.by_type("IfcStair"):
        box = shapes.box(entity)
        if box is not None:
            yield Stair(box, origin(entity), *shapes.ends(_flights(entity) or [entity]))
    for entity in model.by_type("IfcStairFlight"):
        whole = elements.get_aggregate(entity)
        if whole is None or not whole.is_a("IfcStair"):
            box = shapes.box(entity)
            if box is not None:
                yield Stair(box, origin(entity), *shapes.ends([entity]))


def _flights(stair: Any) -> list[Any]:
    return [each for each in elements.get_decomposition(stair) if each.is_a("IfcStairFlight")]


def walls_of(model: ifcopenshell.file, shapes: Shapes, origin: Naming) -> Iterator[Wall]:
    """Footprints of walls, part by part."""
    for entity in model.by_type("IfcWall"):
        footprint = shapes.footprint(entity)
        if footprint is not None:
            rings, low, high = footprint
            yield from (Wall(ring, low, high, origin(entity)) for ring in rings)
