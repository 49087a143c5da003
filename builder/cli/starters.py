"""The house type that ``handover new housetype`` begins with, made near to the one that is wanted."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import wraps
from pathlib import Path
from string import Template
from typing import Any

import click
import yaml

from builder.saving.changing import ChangingFile

_STARTERS = Path(__file__).parent / "scaffolds" / "starters"
HEATS = ("gas-combination", "gas-system", "heat-pump", "electric")
VENTILATIONS = ("intermittent-extract", "continuous-extract", "heat-recovery")
NATIONS = ("england", "wales", "scotland", "northern-ireland")
_USUAL_HEAT = {"scotland": "heat-pump"}
"""Where a new home may burn nothing for its heat (Technical Handbook Domestic, 6.11, from memory)."""
_PLACES: Mapping[int, Mapping[str, Any]] = {
    1: {"x": -3, "right": 0, "middle": -1.5, "side": "left", "corner": [3.5, 7.3], "beside": [3.8, 7.0], "unit": [0.5, 7.8], "boost": [1.5, 7.9],
        "valve": [0.4, 7.5], "lounge": [2, 2], "bed": [7.5, 2.8], "whole": 27, "wet": 14, "wet_boost": 18, "supply": 9},
    2: {"x": 6, "right": 9, "middle": 7.5, "side": "right", "corner": [5.5, 7.3], "beside": [5.8, 7.0], "unit": [2.0, 7.8], "boost": [2.4, 7.9],
        "valve": [1.0, 7.5], "lounge": [4, 2], "bed": [5.0, 2.8], "whole": 32, "wet": 19, "wet_boost": 22, "supply": 11},
    3: {"x": 6, "right": 9, "middle": 7.5, "side": "right", "corner": [5.5, 7.3], "beside": [5.8, 7.0], "unit": [2.0, 7.8], "boost": [2.4, 7.9],
        "valve": [1.0, 7.5], "lounge": [4, 2], "bed": [5.0, 2.8], "whole": 48, "wet": 25, "wet_boost": 30, "supply": 10},
}  # fmt: skip
"""Spots and rates that follow from the number of storeys: metres, and litres a second."""


@dataclass(frozen=True, slots=True)
class Near:
    """What the house is to be like; what is not said stays as in the plain scaffold."""

    storeys: int | None = None
    garage: bool = False
    heat: str | None = None
    ventilation: str | None = None
    nation: str | None = None

    def __bool__(self) -> bool:
        return self != Near()


def near_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """The options that say what a house is like; a command is given them as ``near``."""

    @wraps(function)
    def command(
        *, storeys: int | None, garage: bool, heat: str | None, ventilation: str | None, nation: str | None,
        **others: Any,
    ) -> None:  # fmt: skip
        function(near=Near(storeys, garage, heat, ventilation, nation), **others)

    for option in reversed((
        click.option("--storeys", type=click.IntRange(1, 3), help="1, 2 or 3. Default: 2."),
        click.option("--garage", is_flag=True, help="With a garage at its side."),
        click.option("--heat", type=click.Choice(HEATS), help="What heats it. Default: gas-combination."),
        click.option("--ventilation", type=click.Choice(VENTILATIONS), help="Default: intermittent-extract."),
        click.option("--nation", type=click.Choice(NATIONS), help="Where it stands. Default: england."),
    )):  # fmt: skip
        command = option(command)
    return command


def starter(scaffold: str, near: Near) -> str:
    """The scaffold, with each choice laid over it: maps merge by key, null takes out."""
    file = ChangingFile(scaffold)
    places = _PLACES[near.storeys or 2]
    for name in _chosen(near):
        path = _STARTERS / f"{name}.yaml"
        if path.is_file():
            text = Template(path.read_text(encoding="utf-8")).substitute(
                {key: str(value) for key, value in places.items()}
            )
            _lay(file, (), yaml.safe_load(text))
    _only_what_there_is(file)
    return file.text


def _chosen(near: Near) -> Iterator[str]:
    nation = near.nation or NATIONS[0]
    yield f"storeys-{near.storeys or 2}"
    if near.garage:
        yield "garage"
    yield f"nation-{nation}"
    yield f"heat-{near.heat or _USUAL_HEAT.get(nation, HEATS[0])}"
    yield f"ventilation-{near.ventilation or VENTILATIONS[0]}"


def _lay(file: ChangingFile, path: tuple[str, ...], over: Mapping[str, Any]) -> None:
    for key, value in over.items():
        here = (*path, key)
        if value is None:
            if file.at(here) is None:
                continue
            file.take_out(here)
        elif isinstance(value, Mapping) and isinstance(file.at(here), Mapping):
            _lay(file, here, value)
        else:
            file.put(here, value)


def _only_what_there_is(file: ChangingFile) -> None:
    """Takes out what a choice says of rooms and windows that this house has not got."""
    rooms, pieces = file.at(("rooms",)) or {}, file.at(("equipment",)) or {}
    for path in (("zones", "whole-home", "emitters"), ("ventilation", "air_valves"), ("windows",)):
        for name, said in list((file.at(path) or {}).items()):
            room, by = said.get("room"), said.get("by")
            if room not in rooms or (by is not None and by not in pieces):
                file.take_out((*path, name))
