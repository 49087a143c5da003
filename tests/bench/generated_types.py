"""House types and options of a portfolio: generated homes, finished as a housebuilder would."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import count
from typing import Any

from shapely import Polygon

from tests.generated_homes import form_of, generated

Data = dict[str, Any]


@dataclass(frozen=True)
class Drawn:
    """What a house type is to be: its form, how many storeys, and the seed that is tried first."""

    form: str
    storeys: int
    seed: int


DRAWN = {
    "aldery": Drawn("house", 2, 7), "bransel": Drawn("house", 2, 85), "corvel": Drawn("house", 2, 67),
    "dunsey": Drawn("house", 2, 49), "ellingar": Drawn("house", 3, 131), "fosmere": Drawn("house", 4, 178),
    "garrowel": Drawn("bungalow", 1, 9), "hestle": Drawn("apartment", 1, 17),
    "imbry": Drawn("apartment", 1, 53), "jorvane": Drawn("maisonette", 2, 20),
    "kelsing": Drawn("coach-house", 2, 171),
}  # fmt: skip

MAKES = {
    "boiler": "Arrowend", "heat-pump": "Tarnholm", "cylinder": "Owsterby", "hob": "Pellindor",
    "oven": "Pellindor", "dishwasher": "Pellindor", "washing-machine": "Pellindor",
    "consumer-unit": "Corvane", "ventilation-unit": "Aithe", "hood": "Pellindor",
    "programmer": "Tidderbourne", "charger": "Corvane", "stopcock": "Gathermoor",
}  # fmt: skip
"""Invented makers by the id of a piece."""

SURFACES: dict[str, Data] = {
    "walls": {"surface": "walls", "material": "Matt emulsion", "colour": "Oat Field", "make": "Nettledown", "reference": "ND 117"},
    "ceiling": {"surface": "ceiling", "material": "Matt emulsion", "colour": "White", "make": "Nettledown", "reference": "ND 001"},
    "woodwork": {"surface": "woodwork", "material": "Satin paint, water-based", "colour": "White", "make": "Nettledown", "reference": "ND 001 S"},
    "floor": {"surface": "floor", "material": "Carpet, twist pile", "colour": "Heather Grey", "make": "Brockwold", "reference": "Fold 40 HG"},
}  # fmt: skip

OPTIONS: dict[str, Data] = {
    "car-charger": {
        "option": {"name": "Car charger", "summary": "A charger for an electric car on the outside wall."},
        "equipment": {"car-charger": {"kind": "car-charger", "room": "outside", "place": "on the front wall, to the {left} of the front door", "height": 1.1, "make": "Corvane", "model": "Plug 7"}},
    },
    "solar": {
        "option": {"name": "Solar panels", "summary": "Solar panels on the roof."},
        "equipment": {
            "roof-inverter": {"kind": "solar-inverter", "room": "hall", "place": "high on the wall, beside the front door", "make": "Solvenna", "model": "Flow 3"},
            "roof-isolator": {"kind": "solar-isolator", "room": "hall", "place": "below the solar inverter", "height": 1.3, "serves": "The solar inverter"},
        },
    },
    "induction-hob": {
        "option": {"name": "Induction hob", "summary": "An induction hob with touch controls."},
        "equipment": {"hob": {"kind": "induction-hob", "make": "Pellindor", "model": "Glide 4"}},
    },
    "oak-floor": {
        "option": {"name": "Oak floor in the hall", "summary": "Oak boards on the hall floor."},
        "finishes": {"hall-floor": {"material": "Engineered oak boards, oiled", "colour": "Natural", "reference": "Oak 14 N"}},
    },
    "bird-box": {
        "option": {"name": "Bird box", "summary": "A bird box on the outside wall."},
        "equipment": {"bird-box": {"kind": "bird-box", "room": "outside", "place": "high on the side wall, on the {right}"}},
    },
}  # fmt: skip

OPTION_SETS = {
    "": 40,
    "car-charger": 24,
    "car-charger+solar": 14,
    "oak-floor+induction-hob": 10,
    "bird-box+oak-floor": 7,
    "car-charger+solar+oak-floor+bird-box": 5,
}
"""What buyers of houses choose, and how many of a hundred do."""

FLAT_SETS = {"": 60, "oak-floor": 25, "oak-floor+induction-hob": 15}
"""What buyers of flats choose, who have no wall and no roof of their own."""


def house_types() -> dict[str, Data]:
    """Every house type by its id, as its file says it."""
    return {name: _finished(name, _drawn(wanted)) for name, wanted in DRAWN.items()}


def burns_gas(house_type: Data) -> bool:
    return "gas" in house_type["utilities"]


def shares_an_entrance(house_type: Data) -> bool:
    return "communal" in house_type


@cache
def _drawn(wanted: Drawn) -> Data:
    """The first generated home of this form, from the seed on."""
    for seed in count(wanted.seed):
        if form_of(seed) == wanted.form:
            data = generated(seed).data
            if len(data["floors"]) == wanted.storeys:
                return data
    raise AssertionError("seeds do not end")


def _finished(name: str, data: Data) -> Data:
    """With a name, makers, locks, finishes in every room, keys, and how it is owned and built."""
    said = data | {
        "tenure": "leasehold" if shares_an_entrance(data) else "freehold",
        "fabric": {"origin": "new", "walls": "cavity"},
        "house_type": {"name": name.capitalize(), "summary": _summary(data)},
        "utilities": {key: each for key, each in data["utilities"].items() if key == "gas"},
        "equipment": {key: _made(key, piece) for key, piece in data["equipment"].items()},
        "windows": {key: _placed(each) for key, each in data["windows"].items()},
        "finishes": dict(_finishes(data)),
        "keys": data["keys"] | {"windows": {"name": "Window key", "count": 4, "opens": "all windows"}},
    }  # fmt: skip
    if not shares_an_entrance(data):
        said["positions"] = _positions(data)
    if data["form"] in ("house", "bungalow"):
        said["parking"] = {"drive": {"name": "Drive", "place": "on the {left} of the home"}}
        said["gates"] = {
            "side-gate": {
                "place": "on the {right} of the home",
                "lock": "A bolt on the garden side",
            }
        }
    return said


def _summary(data: Data) -> str:
    beds = sum(1 for room in data["rooms"].values() if room["kind"] == "bedroom")
    return f"A {data['form'].replace('-', ' ')} with {beds} bedroom{'s' if beds > 1 else ''}."


def _made(identifier: str, piece: Data) -> Data:
    make = MAKES.get(identifier)
    model = f"{identifier.split('-', maxsplit=1)[0].capitalize()} {3 + len(identifier) % 5}"
    return piece | ({"make": make, "model": model} if make else {})


def _placed(window: Data) -> Data:
    return {"place": "in the outside wall"} | window


def _positions(data: Data) -> Data:
    """Where the pieces of the solar option stand in this hall, 0.3 m apart."""
    spot = Polygon(data["rooms"]["hall"]["outline"]).representative_point()
    across = round(spot.x, 2)
    return {
        "roof-inverter": {"at": [across, round(spot.y - 0.15, 2)]},
        "roof-isolator": {"at": [across, round(spot.y + 0.15, 2)]},
    }


def _finishes(data: Data) -> Iterator[tuple[str, Data]]:
    for room, said in data["rooms"].items():
        if said["kind"] not in ("garage", "loft", "balcony"):
            for surface, look in SURFACES.items():
                yield f"{room}-{surface}", {"room": room} | look
