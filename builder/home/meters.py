"""Which equipment of a home has a number that is written down: meters, fans, what is serviced."""

from collections.abc import Mapping

from builder.model.equipment import Equipment
from builder.model.home import Home

RATE = "rate"
"""The fact in which a fan states the air that it moves, in litres a second."""


def counts_as(home: Home, piece: Equipment, *kinds: str) -> bool:
    """Whether a piece is of one of these kinds, or does the work of one."""
    return piece.kind in kinds or any(each in kinds for each in home.kinds[piece.kind].counts_as)


def meters(home: Home) -> dict[str, Equipment]:
    """Every meter by its id: the meters of supplies, and equipment of a kind that is one."""
    supplies = {supply.meter for supply in home.utilities.values()}
    return {
        name: piece
        for name, piece in home.equipment.items()
        if name in supplies or _is_meter(home, piece)
    }


def _is_meter(home: Home, piece: Equipment) -> bool:
    kinds = (piece.kind, *home.kinds[piece.kind].counts_as)
    return any(home.kinds[kind].meter for kind in kinds if kind in home.kinds)


def design_rates(home: Home) -> dict[str, float | None]:
    """Litres a second by design, of each air valve, and of each fan that no air valve names."""
    valves = home.ventilation.air_valves if home.ventilation else {}
    rates: dict[str, float | None] = {name: valve.rate for name, valve in valves.items()}
    named = {valve.by for valve in valves.values()}
    for name, piece in home.equipment.items():
        if name not in named and RATE in home.kinds[piece.kind].facts:
            rates[name] = _number(piece.facts)
    return rates


def boost_rates(home: Home) -> dict[str, float]:
    """Litres a second by design on boost, of each air valve that states it."""
    valves = home.ventilation.air_valves if home.ventilation else {}
    return {
        name: valve.boost_rate for name, valve in valves.items() if valve.boost_rate is not None
    }


def _number(facts: Mapping[str, object]) -> float | None:
    value = facts.get(RATE)
    return float(value) if isinstance(value, int | float) else None
