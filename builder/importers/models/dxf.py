"""Reads a DXF drawing with closed outlines of rooms on a layer. Runs in a process of its own.

Of several layers that begin with the same name each is a floor, in the order of their names. Floors that
are drawn side by side are laid over each other by their left front corners.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.path
import ezdxf.units
from shapely import Point, Polygon

from builder.importers.models.drawn import ModelDrawing, ModelOrigin, Ring, Space, Storey

_STOREY, _CEILING = 2.7, 2.4
"""Metres from floor to floor, and from floor to ceiling: a plan does not say them."""
_LEAST = 0.3
_OUTLINES = "LWPOLYLINE POLYLINE"
_TEXTS = "TEXT MTEXT ATTRIB"
_BENT = 0.01


def read_dxf(path: Path, name: str, layer: str | None) -> ModelDrawing:
    """A drawing as far as it shows rooms. Raises ValueError with what is wrong, in a sentence."""
    document = ezdxf.readfile(str(path))
    space = document.modelspace()
    if layer is None:
        raise ValueError(
            f"say with --layer which layer has the outlines of rooms. Layers with closed lines: {_candidates(space) or 'none'}"
        )
    scale, unit = _scale(document)
    layers = _layers(space, layer)
    if not layers:
        raise ValueError(
            f"no layer '{layer}' has closed lines. Layers with closed lines: {_candidates(space) or 'none'}"
        )
    storeys = tuple(
        Storey(each, number * _STOREY, ModelOrigin("LAYER", each, each, name), number * _STOREY)
        for number, each in enumerate(layers)
    )
    spaces = tuple(
        found
        for number, each in enumerate(layers)
        for found in _spaces(space, each, number, scale, name)
    )
    spaces, moved = _over_each_other(spaces)
    said = f"Floors of a plan are taken to be {_STOREY} m apart and {_CEILING} m high: a plan does not say it."
    beside = (
        (
            "Floors that are drawn side by side were laid over each other by their left front corners.",
        )
        if moved
        else ()
    )
    program = str(document.header.get("$LASTSAVEDBY", ""))
    return ModelDrawing("DXF", program, unit, storeys, spaces, faults=(said, *beside))


def _over_each_other(spaces: Sequence[Space]) -> tuple[tuple[Space, ...], bool]:
    """Floors over each other, and whether one was moved there."""
    corners = {
        storey: (min(x for x, _ in points), min(y for _, y in points), max(x for x, _ in points), max(y for _, y in points))
        for storey in sorted({each.storey for each in spaces})
        if (points := [point for each in spaces if each.storey == storey for point in each.rings[0]])
    }  # fmt: skip
    if not corners:
        return tuple(spaces), False
    x0, y0, x1, y1 = next(iter(corners.values()))
    shifts = {
        storey: (x0 - left, y0 - low)
        for storey, (left, low, right, high) in corners.items()
        if right < x0 or left > x1 or high < y0 or low > y1
    }
    return tuple(_shifted(each, *shifts.get(each.storey, (0.0, 0.0))) for each in spaces), bool(
        shifts
    )


def _shifted(space: Space, across: float, up: float) -> Space:
    if not across and not up:
        return space
    return replace(
        space, rings=tuple(tuple((x + across, y + up) for x, y in ring) for ring in space.rings)
    )


def _scale(document: Any) -> tuple[float, str]:
    """Metres in a unit of the drawing. A drawing without units is taken for millimetres."""
    code = int(document.header.get("$INSUNITS", 0) or 0)
    if code == 0:
        return 0.001, "millimetres, which it does not say"
    return float(
        ezdxf.units.conversion_factor(ezdxf.units.InsertUnits(code), ezdxf.units.InsertUnits.Meters)
    ), ezdxf.units.decode(code)


def _closed(space: Any) -> Iterator[Any]:
    for entity in space.query(_OUTLINES):
        ends = list(_points(entity))
        same = len(ends) > 3 and ends[0] == ends[-1]
        if getattr(entity, "closed", False) or getattr(entity, "is_closed", False) or same:
            yield entity


def _points(entity: Any) -> Iterator[tuple[float, float]]:
    """The corners of a line; a bulge is followed in short pieces."""
    path = ezdxf.path.make_path(entity)
    yield from ((float(each.x), float(each.y)) for each in path.flattening(_BENT * 10))


def _candidates(space: Any) -> str:
    return ", ".join(sorted({each.dxf.layer for each in _closed(space)}))


def _layers(space: Any, layer: str) -> Sequence[str]:
    """The layers with outlines: the one of this name, else all that begin with it."""
    known = sorted({each.dxf.layer for each in _closed(space)})
    exact = [each for each in known if each.casefold() == layer.casefold()]
    return exact or [each for each in known if each.casefold().startswith(layer.casefold())]


def _spaces(space: Any, layer: str, storey: int, scale: float, file: str) -> Iterator[Space]:
    texts = [(text, Point(x * scale, y * scale)) for text, x, y in _texts(space, layer)]
    for entity in _closed(space):
        if entity.dxf.layer != layer:
            continue
        ring: Ring = tuple((x * scale, y * scale) for x, y in _points(entity))
        ring = ring[:-1] if len(ring) > 1 and ring[0] == ring[-1] else ring
        shape = Polygon(ring).buffer(0) if len(ring) > 2 else Polygon()
        if shape.area < _LEAST:
            continue
        inside = [text for text, point in texts if shape.contains(point)]
        low = storey * _STOREY
        yield Space(
            number=entity.dxf.handle, name=inside[0] if inside else "", storey=storey, rings=(ring,), low=low,
            high=low + _CEILING, origin=ModelOrigin(entity.dxftype(), f"{layer}/{entity.dxf.handle}", inside[0] if inside else "", file),
            words=tuple(inside),
        )  # fmt: skip


def _texts(space: Any, layer: str) -> Iterator[tuple[str, float, float]]:
    """Texts with their places: those on the layer of the outlines first, those of figures alone last."""
    found = []
    for entity in space.query(_TEXTS):
        text = entity.plain_text() if hasattr(entity, "plain_text") else entity.dxf.text
        place = entity.dxf.insert
        if text.strip():
            order = (not any(letter.isalpha() for letter in text), entity.dxf.layer != layer)
            found.append((order, " ".join(text.split()), float(place.x), float(place.y)))
    yield from (each[1:] for each in sorted(found, key=lambda each: each[0]))
