"""Gas: what burns it has a supply, and a supply has something that burns it."""

import math
from collections.abc import Iterator

from builder.home.survey import Survey
from builder.rules.measures import metres, over, quoted
from builder.rules.rule import HomeRule, Problem, rule
from builder.rules.supplies import fuel_of

_BESIDE = 1.0
"""Metres within which a valve stands beside its meter, so that one look finds both."""
_BASIS = "common practice: a guide that speaks of gas is for a home that has gas"


@rule("gas.appliance-without-supply", "What burns gas has a gas meter.", basis=_BASIS)
def gas_appliances_have_a_supply(home: Survey) -> Iterator[Problem]:
    burning = [
        name
        for name, piece in home.home.equipment.items()
        if home.home.kinds[piece.kind].burns_fuel and fuel_of(home, piece) == "natural-gas"
    ]
    if burning and not any(home.pieces("gas-meter")):
        verb = "burns" if len(burning) == 1 else "burn"
        yield Problem(
            ("equipment", burning[0]),
            f"{quoted(burning)} {verb} gas, and the home has no gas meter.",
            "Add a gas-meter and a gas-emergency-valve, or take the appliance out.",
        )


@rule("gas.supply-without-appliance", "A gas meter has something that burns gas.", basis=_BASIS)
def gas_supplies_are_used(home: Survey) -> Iterator[Problem]:
    kinds = home.home.kinds
    burns = any(kinds[piece.kind].burns_fuel for piece in home.home.equipment.values())
    for name, _ in home.pieces("gas-meter"):
        if not burns:
            yield Problem(
                ("equipment", name),
                f"'{name}' is in the record, and nothing in this home burns gas.",
                "Take out the meter and its valve, or add the appliance.",
            )


@rule(
    "gas.valve-beside-meter", "A gas emergency valve stands beside the gas meter.",
    basis="common practice: people look for the valve at the meter; one in another room is a further one",
)  # fmt: skip
def valves_stand_beside_the_meter(home: Survey) -> Iterator[Problem]:
    for meter, piece in home.pieces("gas-meter"):
        valves = {
            name: math.dist(valve.at, piece.at)
            for name, valve in home.pieces("gas-emergency-valve", room=piece.room)
            if valve.at and piece.at
        }
        nearest = min(valves, key=lambda name: valves[name], default=None)
        if nearest and over(valves[nearest], _BESIDE):
            yield Problem(
                ("equipment", nearest, "at"),
                f"'{nearest}' is {metres(valves[nearest])} from '{meter}'.",
                f"Correct where each is: the valve is within {metres(_BESIDE)} of the meter.",
            )


GAS: tuple[HomeRule, ...] = (
    gas_appliances_have_a_supply,
    gas_supplies_are_used,
    valves_stand_beside_the_meter,
)
