"""What moves air in a home, through which valves, and how much of it: litres a second."""

from collections.abc import Iterator
from itertools import chain

from builder.home.survey import Survey
from builder.model.equipment import Equipment
from builder.model.services import AirValve, Ventilation

CONTINUOUS = ("continuous-extract", "heat-recovery")
UNITS = {"continuous-extract": "continuous-extract-unit", "heat-recovery": "heat-recovery-unit"}
"""The kind of unit that each system that runs all the time has."""
MOVERS = ("extract-fan", "cooker-hood-extracting", *UNITS.values())
_STILL = ("cooker-hood-recirculating", "boost-switch")


def spoken(system: str) -> str:
    """A system as people say it."""
    return system.replace("-", " ")


def moves_air(home: Survey, piece: Equipment) -> bool:
    """Whether a piece moves air; a kind of ventilation that only its author knows is taken to."""
    does, kind = home.does(piece), home.home.kinds[piece.kind]
    unknown = kind.system == "ventilation" and not does & set(_STILL)
    return bool(does & set(MOVERS)) or unknown


def has_no_valves(ventilation: Ventilation) -> bool:
    """Whether the valves of a system that runs all the time are not recorded at all."""
    return ventilation.system in CONTINUOUS and not ventilation.air_valves


def valves(home: Survey, direction: str, room: str | None = None) -> Iterator[tuple[str, AirValve]]:
    """The air valves of a direction, in a room or in all; only heat recovery brings air in by them. One of which
    nobody said the direction counts as one that takes air out: that it says none is told by itself."""
    ventilation = home.home.ventilation
    for name, valve in ventilation.air_valves.items() if ventilation else ():
        supplies = ventilation and ventilation.system == "heat-recovery"
        way = (valve.direction if supplies else None) or "extract"
        if way == direction and room in (None, valve.room):
            yield name, valve


def fans(home: Survey, room: str) -> Iterator[tuple[str, Equipment]]:
    """The fans that take air out of the room they are in; a unit for the whole home does not."""
    ventilation = home.home.ventilation
    unit = ventilation.unit if ventilation else None
    for name, piece in home.home.equipment.items():
        central = home.does(piece) & set(UNITS.values()) and "rate" not in piece.facts
        if piece.room == room and name != unit and not central and moves_air(home, piece):
            yield name, piece


def extract(home: Survey, room: str, *, high: bool = False) -> float | None:
    """Litres a second taken out of a room, all fans together; none where one is not known."""
    ventilation = home.home.ventilation
    listed = ventilation.air_valves.values() if ventilation else ()
    named = {each.by for each in listed}
    own = (_rate_of(piece) for name, piece in fans(home, room) if name not in named)
    moving = [each for _, each in valves(home, "extract", room) if _is_moved(home, each)]
    rates = [_highest(each) if high else each.rate for each in moving]
    return _sum(chain(rates, own))


def total(home: Survey, direction: str) -> float | None:
    """Litres a second of all valves of a direction; none where the rate of one is not known."""
    found = [each for _, each in valves(home, direction)]
    return _sum(each.rate if _is_moved(home, each) else None for each in found)


def _sum(rates: Iterator[float | None]) -> float | None:
    found = list(rates)
    known = [rate for rate in found if rate is not None]
    return round(sum(known), 2) if known and len(known) == len(found) else None


def _is_moved(home: Survey, valve: AirValve) -> bool:
    return moves_air(home, home.home.equipment[valve.by])


def _highest(valve: AirValve) -> float | None:
    return max((rate for rate in (valve.rate, valve.boost_rate) if rate), default=None)


def _rate_of(fan: Equipment) -> float | None:
    rate = fan.facts.get("rate")
    return float(rate) if isinstance(rate, int | float) else None


def aired_through(home: Survey, room: str) -> tuple[str, ...]:
    """The rooms that people live in which an opening without a door joins to a room."""
    joined = {
        each
        for _, door in home.doors_of(room)
        if door.kind == "opening" and home.on_one_floor(*door.between)
        for each in door.between
    }
    return tuple(each for each in home.habitable if each in joined - {room})
