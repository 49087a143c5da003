"""A home with its plan as JSON: ``schemas/home.json`` is the shape, and says what each part means.

Serial numbers are private and are left out unless they are asked for.
"""

import json
from typing import Any, Literal

from pydantic import Field

from builder.guide.about import About
from builder.guide.plan.drawing import UNITS, Base, Spot
from builder.model.home import Home
from builder.model.record import ById, Record, Text, empty
from builder.model.shape import private_fields

FORM: Literal["handover-home"] = "handover-home"
VERSION: Literal[1] = 1

Point = tuple[float, float]


class DrawnRoom(Record):
    """A room as it is drawn: the ring of its outline, to the middle of the walls, and its area in m²."""

    ring: tuple[Point, ...]
    area: float


class DrawnFloor(Record):
    """One floor as it is drawn, in metres, x to the right and y to the back, in the home's own hand.

    ``walls`` are rings: a wall is what an odd number of them goes round. ``marks`` are the spots of
    equipment with the letters that they have on the plan.
    """

    walls: tuple[tuple[Point, ...], ...]
    rooms: ById[DrawnRoom]
    marks: ById[Text] = Field(default_factory=empty)


class HomeFile(Record):
    """One home for another program. A change of this shape is a new ``version``.

    ``reference`` is <development>/<plot>; ``home`` holds all of it by the names that its authors write,
    lengths in metres, dates as ISO 8601; ``plan`` holds its floors by their ids.
    """

    form: Literal["handover-home"] = FORM
    version: Literal[1] = VERSION
    reference: Text
    home: Home
    plan: ById[DrawnFloor]


def home_schema() -> dict[str, Any]:
    """The JSON Schema of the file."""
    return HomeFile.model_json_schema(by_alias=True, mode="serialization")


def home_text(reference: str, about: About, *, private: bool) -> str:
    """A home as the text of its file: the same home gives the same bytes."""
    plain = about.home.model_dump(mode="json", by_alias=True, exclude_none=True)
    if not plain["languages"]:
        del plain["languages"]
    if not private:
        _without_private(plain)
    whole = {
        "form": FORM,
        "version": VERSION,
        "reference": reference,
        "home": plain,
        "plan": {name: _floor(base, about) for name, base in about.plans.bases.items()},
    }
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


def _without_private(plain: dict[str, Any]) -> None:
    fields = private_fields(Home.model_fields["equipment"].annotation.__args__[1])  # type: ignore[union-attr]
    for piece in plain.get("equipment", {}).values():
        for name in fields:
            piece.pop(name, None)


def _floor(base: Base, about: About) -> dict[str, Any]:
    home, outlines = about.home, about.plans.survey.outlines
    here = {
        name for name, piece in home.equipment.items() if home.rooms[piece.room].floor == base.floor
    }
    return {
        "walls": [_ring(ring) for ring in base.walls],
        "rooms": {
            area.room: {
                "ring": _ring(area.corners),
                "area": round(home.rooms[area.room].area or outlines[area.room].area, 3),
            }
            for area in base.areas
        },
        "marks": {name: mark.text for name, mark in about.plans.marks.items() if name in here},
    }


def _ring(ring: tuple[Spot, ...]) -> list[list[float]]:
    return [[round(x / UNITS, 4), round(-y / UNITS, 4) + 0.0] for x, y in ring]
