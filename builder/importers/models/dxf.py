"""Reads a DXF drawing with closed outlines of rooms on a layer. Runs in a process of its own.

Of several layers that begin with the same name each is a floor, in the order of their names. Floors that
are drawn side by side are laid over each other by their left front corners. Doors and windows come from
their swings, and from layers and blocks whose names say what they are.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from statistics import median
from typing import Any

import ezdxf
import ezdxf.recover
import ezdxf.units
from shapely import Point, Polygon, STRtree

from builder.errors import counted
from builder.importers.models.drawn import (
    ModelDrawing,
    ModelOpening,
    ModelOrigin,
    Ring,
    Space,
    Storey,
    Vector,
)
from builder.importers.models.dxf_openings import openings_of
from builder.importers.models.dxf_parts import MOST, DrawnPart, plan_of, scaled, times
from builder.importers.models.request import UNITS, ModelRequest, NoOutlinesError
from builder.importers.models.words import Vocabulary

_STOREY, _CEILING = 2.7, 2.4
"""Metres from floor to floor, and from floor to ceiling: a plan does not say them."""
_LEAST = 0.3
_BENT = 0.001
"""Metres that a straight piece may be off its curve; in a drawing whose unit nobody knows yet, units."""
_APART = 3.0
"""Metres between rooms of one layer from which they may be two floors side by side."""
_ROOM = (1.2, 20.0)
"""Metres that the middle one of the rooms of a home is wide."""
_LIKELY = ("millimetres", "metres", "centimetres", "inches", "feet")


def read_dxf(path: Path, name: str, words: Vocabulary, asked: ModelRequest) -> ModelDrawing:
    """A drawing as far as it shows rooms. Raises NoOutlinesError where no layer shows any."""
    return _DxfReader(_opened(path), name, words, asked).drawing()


def _opened(path: Path) -> Any:
    """The drawing; one that breaks the form is mended as far as the library can."""
    try:
        return ezdxf.readfile(str(path))
    except (ezdxf.DXFStructureError, UnicodeDecodeError):
        return ezdxf.recover.readfile(str(path))[0]


class _DxfReader:
    """One drawing on its way to plain values."""

    def __init__(self, document: Any, name: str, words: Vocabulary, asked: ModelRequest) -> None:
        self.document, self.name, self.words, self.asked = document, name, words, asked
        self.plan = plan_of(
            document.modelspace(), self._is_symbol, _BENT / (_metres_told(document) or 0.001)
        )
        self.closed = [each for each in self.plan.parts if each.outline]
        self.layers = self._layers(asked.layer)
        self.scale, self.unit = self._scale()

    def drawing(self) -> ModelDrawing:
        """Everything that is read of the drawing."""
        storeys = tuple(
            Storey(each, number * _STOREY, ModelOrigin("LAYER", each, each, self.name), number * _STOREY)
            for number, each in enumerate(self.layers)
        )  # fmt: skip
        texts = [(each.text, Point(*times(each.points[0], self.scale))) for each in self._texts()]
        tree = STRtree([point for _, point in texts])
        spaces = [
            found
            for number, each in enumerate(self.layers)
            for found in self._spaces(each, number, texts, tree)
        ]
        read = openings_of(self.plan, spaces, self.layers, self._use, self.scale, self.name)
        shifts = _shifts(spaces)
        faults = [*_faults(spaces, shifts, self.layers), *read.faults]
        if self.plan.lost:
            lost = counted(self.plan.lost, "part")
            faults.append(
                f"Coordinates that are no numbers, or too large for any site: {lost} left out."
            )
        if self.plan.is_cut:
            faults.append(f"Of this drawing only the first {MOST:,} parts were looked at.")
        rings = [
            scaled(each.outline, self.scale) for each in self.closed if each.layer in self.layers
        ]
        return ModelDrawing(
            form="DXF",
            program=str(self.document.header.get("$LASTSAVEDBY", "")),
            unit=self.unit,
            scale=self.scale,
            storeys=storeys,
            spaces=tuple(_shifted(each, *shifts.get(each.storey, (0.0, 0.0))) for each in spaces),
            doors=tuple(_raised(door, storey, shifts) for storey, door in read.doors),
            windows=tuple(_raised(window, storey, shifts) for storey, window in read.windows),
            faults=tuple(faults),
            typical=(median(map(_wide, rings)), None) if rings else None,
        )

    def _use(self, text: str) -> str:
        """What a layer or a block is for: as it was asked for, else as its name says."""
        asked = {"door": self.asked.doors, "window": self.asked.windows}
        for use, layer in asked.items():
            if layer and text.casefold().startswith(layer.casefold()):
                return use
        said = self.words.drawn(text)
        return "" if asked.get(said) else said

    def _is_symbol(self, block: str, layer: str) -> bool:
        return bool(self._use(block) or self._use(layer))

    def _layers(self, layer: str | None) -> Sequence[str]:
        """The layers with outlines: the one of this name, else all that begin with it."""
        known = sorted({each.layer for each in self.closed})
        listed = ", ".join(known) or "none"
        name_it = "Name one: --layer NAME." if known else "Draw each room as one closed line (a polyline) on a layer of its own."  # fmt: skip
        if layer is None:
            wrong = f"A drawing does not say which layer has the outlines of rooms. Layers with closed lines: {listed}."
            raise NoOutlinesError(wrong, name_it)
        exact = [each for each in known if each.casefold() == layer.casefold()]
        found = exact or [each for each in known if each.casefold().startswith(layer.casefold())]
        if not found:
            wrong = f"No layer '{layer}' has closed lines. Layers with closed lines: {listed}."
            raise NoOutlinesError(wrong, name_it)
        return found

    def _scale(self) -> tuple[float, str]:
        """Metres in a unit of the drawing: as asked, as it says, else by how wide its rooms are."""
        if self.asked.unit:
            return UNITS[self.asked.unit], f"{self.asked.unit}, as asked for"
        if told := _metres_told(self.document):
            return told, _unit_name(told)
        wide = median(_wide(each.outline) for each in self.closed if each.layer in self.layers)
        fits = (each for each in _LIKELY if _ROOM[0] <= wide * UNITS[each] <= _ROOM[1])
        unit = next(fits, "millimetres")
        return UNITS[unit], f"{unit}, which it does not say"

    def _texts(self) -> list[DrawnPart]:
        """Words: those on layers of outlines first, those of figures alone last."""

        def order(part: DrawnPart) -> tuple[bool, bool]:
            return not any(letter.isalpha() for letter in part.text), part.layer not in self.layers

        return sorted(self.plan.texts(), key=order)

    def _spaces(
        self, layer: str, storey: int, texts: Sequence[tuple[str, Point]], tree: STRtree
    ) -> Iterator[Space]:
        for part in self.closed:
            if part.layer != layer:
                continue
            ring = scaled(part.outline, self.scale)
            shape = Polygon(ring).buffer(0)
            if shape.area < _LEAST:
                continue
            inside = [texts[i][0] for i in sorted(tree.query(shape, predicate="contains"))]
            low = storey * _STOREY
            which = part.handle or f"{ring[0][0]:.2f},{ring[0][1]:.2f}"
            yield Space(
                number=which, name=inside[0] if inside else "", storey=storey, rings=(ring,), low=low,
                high=low + _CEILING, origin=ModelOrigin(part.kind, f"{layer}/{which}", inside[0] if inside else "", self.name),
                words=tuple(inside),
            )  # fmt: skip


def _metres_told(document: Any) -> float:
    """Metres in the unit that a drawing says; 0 where it says none."""
    code = int(document.header.get("$INSUNITS", 0) or 0)
    try:
        unit = ezdxf.units.InsertUnits(code)
    except ValueError:
        return 0.0
    return (
        float(ezdxf.units.conversion_factor(unit, ezdxf.units.InsertUnits.Meters)) if code else 0.0
    )


def _unit_name(scale: float) -> str:
    near = (unit for unit, metres in UNITS.items() if abs(metres - scale) < 1e-9)
    return next(near, f"units of {scale:g} m")


def _shifts(spaces: Sequence[Space]) -> Mapping[int, Vector]:
    """How far floors that are drawn beside the first one are moved, to lie over it."""
    bounds = {
        storey: _bounds(storey, spaces) for storey in sorted({each.storey for each in spaces})
    }
    if not bounds:
        return {}
    x0, y0, x1, y1 = next(iter(bounds.values()))
    return {
        storey: (x0 - left, y0 - low)
        for storey, (left, low, right, high) in bounds.items()
        if right < x0 or left > x1 or high < y0 or low > y1
    }


def _bounds(storey: int, spaces: Iterable[Space]) -> tuple[float, float, float, float]:
    points = [point for each in spaces if each.storey == storey for point in each.rings[0]]
    across, up = [x for x, _ in points], [y for _, y in points]
    return min(across), min(up), max(across), max(up)


def _faults(
    spaces: Sequence[Space], shifts: Mapping[int, Vector], layers: Sequence[str]
) -> Iterator[str]:
    """What a person should know of how the floors were read, in sentences."""
    yield f"Floors of a plan are taken to be {_STOREY} m apart and {_CEILING} m high: a plan does not say it."
    if shifts:
        yield "Floors that are drawn side by side were laid over each other by their left front corners."
    for storey, layer in enumerate(layers):
        gap = _widest_gap([each for each in spaces if each.storey == storey])
        if gap > _APART:
            yield (
                f"Rooms on layer '{layer}' stand {gap:.1f} m apart and were read as one floor. Are they several floors"
                f" side by side? Give each a layer of its own ('{layer}-1', '{layer}-2')."
            )


def _widest_gap(spaces: Sequence[Space]) -> float:
    """Metres, the most that any room is left of or in front of all the others."""
    widest = 0.0
    for axis in (0, 1):
        spans = sorted(
            (
                min(point[axis] for point in each.rings[0]),
                max(point[axis] for point in each.rings[0]),
            )
            for each in spaces
        )
        reached = [max(end for _, end in spans[: i + 1]) for i in range(len(spans))]
        gaps = (later[0] - end for (_, later), end in zip(pairwise(spans), reached, strict=False))
        widest = max(widest, *gaps, 0.0)
    return widest


def _shifted(space: Space, across: float, up: float) -> Space:
    if not across and not up:
        return space
    return replace(
        space, rings=tuple(tuple((x + across, y + up) for x, y in ring) for ring in space.rings)
    )


def _raised(opening: ModelOpening, storey: int, shifts: Mapping[int, Vector]) -> ModelOpening:
    across, up = shifts.get(storey, (0.0, 0.0))
    x, y = opening.middle
    return replace(opening, middle=(x + across, y + up), low=storey * _STOREY)


def _wide(ring: Ring) -> float:
    across, up = [x for x, _ in ring], [y for _, y in ring]
    return max(max(across) - min(across), max(up) - min(up))
