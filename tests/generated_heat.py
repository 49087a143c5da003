"""Heating for generated homes: what makes the heat, its zones, and what warns of its gases.

Two zones at least from 150 m² up (Approved Document L, Volume 1, England, 2021 edition, paragraph
5.14). A carbon monoxide alarm 1 to 3 m from each appliance that burns fuel, on a wall 0.15 m below
the ceiling or on it 0.3 m from every wall (Approved Document J, England, 2022, paragraph 2.36).
"""

import math
from dataclasses import dataclass

from tests.generated_fitting import Fitting, clear
from tests.generated_plans import Corner, Data
from tests.generated_rooms import HABITABLE

TWO_ZONES_FROM = 150
NEAREST, FARTHEST, BELOW_CEILING, FROM_WALLS = 1.0, 3.0, 0.15, 0.3
HOTTEST_AT_A_BATH, STORED_AT_LEAST = 48, 60
UNHEATED = ("cupboard", "garage", "store")


@dataclass(frozen=True)
class Source:
    """A way of heating: what makes the heat and the hot water, what gives it off, and whether by gas."""

    heat: str | None
    water: str
    emitter: str
    gas: bool = False


COMBINATION = Source("boiler", "boiler", "radiator", gas=True)
SYSTEM = Source("boiler", "cylinder", "radiator", gas=True)
PUMP = Source("heat-pump", "cylinder", "radiator")
PUMP_AND_FLOORS = Source("heat-pump", "cylinder", "underfloor-loop")
PANELS = Source(None, "cylinder", "panel-heater")
INTERFACE = Source("heat-interface-unit", "heat-interface-unit", "radiator")


def heat(fitting: Fitting) -> None:
    """Source, hot water, zones and controls; gas and its alarm where the source burns it."""
    flat = fitting.home.form in ("apartment", "maisonette")
    choices = (PANELS, INTERFACE, PUMP, COMBINATION) if flat else (
        COMBINATION, COMBINATION, SYSTEM, PUMP, PUMP_AND_FLOORS, PANELS,
    )  # fmt: skip
    source = fitting.rng.choice(choices)
    _source(fitting, source)
    fitting.data["heating"] = {"hot_water": source.water} | (
        {"source": source.heat} if source.heat else {}
    )
    _zones(fitting, source)
    if fitting.chance(0.3) and source.gas:
        kitchen = fitting.kitchen
        fitting.piece("hob", "gas-hob", kitchen, "on the worktop")
    else:
        kind = fitting.rng.choice(("induction-hob", "ceramic-hob"))
        fitting.piece("hob", kind, fitting.kitchen, "on the worktop")
    if source.gas:
        _gas(fitting)


# What makes the heat --------------------------------------------------------------------------


def _source(fitting: Fitting, source: Source) -> None:
    if source.gas:
        _boiler(fitting, "gas-combination-boiler" if source is COMBINATION else "gas-system-boiler")
    elif source.heat == "heat-pump":
        fitting.piece("heat-pump", "air-source-heat-pump", "outside", "behind the home")
        _pressure(fitting, fitting.machines)
        if source is PUMP_AND_FLOORS:
            fitting.piece("manifold", "underfloor-manifold", fitting.hall, "low down", height=0.4)
    elif source.heat:
        room = next(iter(fitting.home.of_kind("cupboard")), fitting.hall)
        fitting.piece("heat-interface-unit", "heat-interface-unit", room, "on the wall", height=1.4)
        fitting.data["heat_network"] = {
            "operator": "managing-agent", "billed_by": "managing-agent", "may_touch": "the dial",
        }  # fmt: skip
    if source.water == "cylinder":
        _cylinder(fitting)
    fitting.piece(
        "programmer", "heating-programmer", fitting.hall, "beside the front door", height=1.2
    )


def _boiler(fitting: Fitting, kind: str) -> None:
    """The boiler in the utility room, the kitchen or the garage, and what belongs to it."""
    rooms = [fitting.machines, fitting.kitchen, *fitting.home.of_kind("garage")]
    room = fitting.rng.choice(rooms)
    at, alarm = _boiler_and_alarm(fitting, room)
    fitting.piece("boiler", kind, room, "on the outside wall", at=at, height=1.4)
    high = fitting.ceiling(room) - (0.0 if _clear(fitting, room, alarm) else BELOW_CEILING)
    fitting.piece(
        "carbon-monoxide-alarm", "carbon-monoxide-alarm", room, "across from the boiler", at=alarm,
        height=round(high, 2),
    )  # fmt: skip
    fitting.piece("flue", "flue", "outside", "on the wall behind the boiler")
    fitting.piece("condensate", "condensate-pipe", room, "below the boiler")
    _pressure(fitting, room)


def _clear(fitting: Fitting, room: str, at: Corner) -> bool:
    return clear(fitting.home.plan.outlines[room], at) >= FROM_WALLS


def _boiler_and_alarm(fitting: Fitting, room: str) -> tuple[Corner, Corner]:
    """Two spots 1 to 3 m apart: at the limits in some homes."""
    for _ in range(400):
        at, alarm = fitting.spot(room), fitting.spot(room, 0.1)
        assert at
        assert alarm
        limit = fitting.rng.choice((NEAREST, FARTHEST, None))
        if limit is not None:
            alarm = (at[0] + limit * fitting.rng.choice((-1, 1)), at[1])
            alarm = (round(alarm[0], 2), alarm[1])
        inside = clear(fitting.home.plan.outlines[room], alarm) >= 0.1
        if (
            inside
            and fitting.free(room, alarm)
            and NEAREST <= round(math.dist(at, alarm), 3) <= FARTHEST
        ):
            return at, alarm
    raise AssertionError(f"no place for a boiler in {room}")


def _pressure(fitting: Fitting, room: str) -> None:
    fitting.piece("filling-loop", "filling-loop", room, "below the pipes", height=1.0)
    fitting.piece("pressure-gauge", "pressure-gauge", room, "beside the filling loop", height=1.0)


def _cylinder(fitting: Fitting) -> None:
    room = next(iter(fitting.home.of_kind("cupboard", "utility")), fitting.hall)
    stored = fitting.rng.choice((STORED_AT_LEAST, STORED_AT_LEAST, 62, 65))
    facts = {"capacity": 180, "stored-at": stored}
    fitting.piece("cylinder", "hot-water-cylinder", room, "in the corner", height=0.2, facts=facts)
    fitting.piece(
        "immersion-switch", "immersion-switch", room, "beside the cylinder", height=1.2,
        serves="The cylinder",
    )  # fmt: skip


def _gas(fitting: Fitting) -> None:
    fitting.piece("gas-meter", "gas-meter", "outside", "in the box on the front wall")
    fitting.piece("gas-valve", "gas-emergency-valve", "outside", "in the box on the front wall")
    fitting.data["utilities"]["gas"] = {
        "name": "Gas", "supplier": "Marram Energy", "meter": "gas-meter",
    }  # fmt: skip


# Zones ----------------------------------------------------------------------------------------


def _zones(fitting: Fitting, source: Source) -> None:
    """Every heated room in one zone, each zone with a thermostat in one of its rooms."""
    for name, rooms in _parted(fitting).items():
        room = _for_thermostat(fitting, rooms)
        thermostat = f"{name}-thermostat"
        fitting.piece(
            thermostat, "room-thermostat", room, "on the inside wall", height=1.2,
            serves=f"Zone {name}",
        )  # fmt: skip
        fitting.data["zones"][name] = {
            "name": f"Zone {name}", "rooms": rooms, "thermostat": thermostat,
            "emitters": {each: _emitter(fitting, source, each, each == room) for each in rooms},
        }  # fmt: skip


def _parted(fitting: Fitting) -> dict[str, list[str]]:
    """The heated rooms in zones: all in one, by storey, or where people sleep by itself."""
    home = fitting.home
    heated = [room for room in home.plan.wants if home.kind(room) not in UNHEATED]
    sleeping = [room for room in heated if home.kind(room) == "bedroom"]
    if len(home.plan.storeys) > 1 and home.form != "coach-house" and fitting.chance(0.7):
        return {
            storey.id: [room for room in heated if home.plan.storey_of(room) is storey]
            for storey in home.plan.storeys
        }
    if sleeping and (home.area >= TWO_ZONES_FROM or fitting.chance(0.5)):
        day = [room for room in heated if room not in sleeping]
        return {"day": day, "night": sleeping}
    return {"whole": heated} if home.area < TWO_ZONES_FROM else _halves(heated)


def _halves(rooms: list[str]) -> dict[str, list[str]]:
    middle = len(rooms) // 2
    return {"one": rooms[:middle], "other": rooms[middle:]}


def _for_thermostat(fitting: Fitting, rooms: list[str]) -> str:
    """The hall or landing of a zone, or a room that people live in."""
    kinds = ("hall", "landing", *(kind for kind in HABITABLE if kind != "kitchen-dining"))
    fit = [room for room in rooms if fitting.home.kind(room) in kinds]
    return fitting.rng.choice(fit[:2])


def _emitter(fitting: Fitting, source: Source, room: str, has_thermostat: bool) -> Data:
    """What warms a room; with the zone's thermostat beside it, it has no valve of its own."""
    kind, control = source.emitter, "thermostatic-valve"
    wet = fitting.home.kind(room) in ("bathroom", "shower-room")
    if kind == "panel-heater":
        kind, control = ("electric-towel-rail" if wet else kind), "own-thermostat"
    elif kind == "radiator" and wet:
        kind = "towel-rail"
    elif kind == "underfloor-loop":
        control = "zone-thermostat"
    if has_thermostat:
        control = "none" if kind in ("radiator", "towel-rail") else "zone-thermostat"
    return {"kind": kind, "room": room, "control": control}
