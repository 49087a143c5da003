"""Draws a house type as a plan in DXF, as another program would: outlines, doors by their swings, windows.

Independent of the importer: it reads plain YAML. ``style``: doors as ``blocks`` that are turned and
mirrored, as loose ``arcs`` on the layer of no door, or as blocks in one ``nested`` block a floor.
"""

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import ezdxf
from shapely import Point, Polygon

BESIDE = 20.0
"""Metres to the right at which the next floor is drawn."""


def draw_plan(
    house: Mapping[str, Any], path: Path, unit: int, size: float, style: str, wall: float = 0.0
) -> None:
    """Write the plan. ``unit``: what the drawing says of it, ``size``: its units in a metre,
    ``wall``: how far, in metres, rooms end before the middle of their walls."""
    _Plan(house, unit, size, style, wall).write(path)


class _Plan:
    def __init__(
        self, house: Mapping[str, Any], unit: int, size: float, style: str, wall: float
    ) -> None:
        self.wall = wall
        self.house, self.size, self.style = house, size, style
        self.document = ezdxf.new("R2010", units=unit)
        self.space: Any = self.document.modelspace()
        self.shapes = {
            name: Polygon(room["outline"]) for name, room in house["rooms"].items() if room.get("outline")
        }  # fmt: skip
        self._door_block()

    def write(self, path: Path) -> None:
        for floor, said in self.house["floors"].items():
            target = self.document.blocks.new(f"floor {said['level']}") if self.style == "nested" else self.space  # fmt: skip
            self._rooms(floor, said["level"], target)
            self._doors(floor, said["level"], target)
            self._windows(floor, said["level"], target)
            if self.style == "nested":
                self.space.add_blockref(f"floor {said['level']}", (0, 0))
        self.document.saveas(path)

    def _door_block(self) -> None:
        """A door of 1 by 1: the hinge at 0, shut along x, open along y."""
        block = self.document.blocks.new("Single leaf")
        block.add_arc((0, 0), 1, 0, 90)
        block.add_lwpolyline([(0, 0), (0.05, 0), (0.05, 1), (0, 1)], close=True)

    def _at(self, x: float, y: float, level: int) -> tuple[float, float]:
        return (x + BESIDE * level) * self.size, (y + 3.0) * self.size

    def _on(self, floor: str) -> dict[str, Polygon]:
        return {
            name: shape for name, shape in self.shapes.items() if self.house["rooms"][name]["floor"] == floor
        }  # fmt: skip

    def _rooms(self, floor: str, level: int, target: Any) -> None:
        for name, shape in self._on(floor).items():
            faces = shape.buffer(-self.wall, join_style="mitre")
            ring = [self._at(x, y, level) for x, y in list(faces.exterior.coords)[:-1]]
            target.add_lwpolyline(ring, close=True, dxfattribs={"layer": f"ROOMS-{level}"})
            middle = shape.representative_point()
            place = self._at(middle.x, middle.y, level)
            target.add_text(self.house["rooms"][name]["name"], dxfattribs={"layer": "TEXT", "insert": place, "height": 1})  # fmt: skip

    def _doors(self, floor: str, level: int, target: Any) -> None:
        rooms = self._on(floor)
        for door in self.house["doors"].values():
            own = [each for each in door["between"] if each in rooms]
            if not own or "at" not in door or door.get("kind") == "opening":
                continue
            into, width = door.get("opens_into", own[0]), door.get("width", 0.838)
            nx, ny = self._normal(door["at"], own, into, rooms)
            left = (
                ny,
                -nx,
            )  # of whoever stands in the room that it opens into and looks at the door
            x, y = door["at"]
            for way in {"left": (1,), "right": (-1,)}.get(door.get("hinge", ""), (1, -1)):
                leaf = width / (1 if door.get("hinge") else 2)
                hinge = (x + way * left[0] * width / 2, y + way * left[1] * width / 2)
                self._leaf(hinge, (-way * left[0], -way * left[1]), (nx, ny), leaf, level, target)

    def _normal(
        self, at: tuple[float, float], own: list[str], into: str, rooms: Mapping[str, Polygon]
    ) -> tuple[int, int]:
        """The way from the middle of a door into the room that it opens into."""
        for nx, ny in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            here, there = (
                Point(at[0] + sign * 0.3 * nx, at[1] + sign * 0.3 * ny) for sign in (1, -1)
            )
            inside = {name for name in own if rooms[name].contains(here)}
            beyond = {name for name in own if rooms[name].contains(there)}
            if (inside or {"outside"}) == {into} and beyond != inside:
                return nx, ny
        raise AssertionError(f"no wall at {at}")

    def _leaf(
        self, hinge: tuple[float, float], shut: tuple[float, float], opens: tuple[float, float], leaf: float,
        level: int, target: Any,
    ) -> None:  # fmt: skip
        centre, radius = self._at(*hinge, level), leaf * self.size
        turned = math.degrees(math.atan2(shut[1], shut[0]))
        is_mirrored = shut[0] * opens[1] - shut[1] * opens[0] < 0
        if self.style == "arcs":
            start, end = (turned - 90, turned) if is_mirrored else (turned, turned + 90)
            target.add_arc(centre, radius, start, end, dxfattribs={"layer": "PLAN"})
            tip = (centre[0] + opens[0] * radius, centre[1] + opens[1] * radius)
            target.add_line(centre, tip, dxfattribs={"layer": "PLAN"})
            return
        target.add_blockref("Single leaf", centre, dxfattribs={
            "layer": f"A-DOOR-{level}", "rotation": turned, "xscale": radius,
            "yscale": -radius if is_mirrored else radius,
        })  # fmt: skip

    def _windows(self, floor: str, level: int, target: Any) -> None:
        for window in self.house["windows"].values():
            rooms = self._on(floor)
            if window["room"] not in rooms or window.get("kind") == "roof":
                continue
            x, y = window["at"]
            wide, edge = window["width"], rooms[window["room"]].boundary
            along = (1, 0) if edge.distance(Point(x + 0.2, y)) < 0.01 else (0, 1)
            for off in (-0.05, 0.0, 0.05):
                ends = [
                    self._at(x + sign * along[0] * wide / 2 + off * along[1], y + sign * along[1] * wide / 2 + off * along[0], level)
                    for sign in (-1, 1)
                ]  # fmt: skip
                target.add_line(*ends, dxfattribs={"layer": f"A-GLAZ-{level}"})
            cross = [
                self._at(x + off * along[1], y + off * along[0], level) for off in (-0.05, 0.05)
            ]
            target.add_line(*cross, dxfattribs={"layer": f"A-GLAZ-{level}"})
