"""Which way air goes at the valves of a home, where only one way is possible."""

from builder.layers.memo import Memo
from builder.model.home import Home
from builder.model.services import Ventilation


def with_directions(home: Home, kept: Memo) -> Home:
    """The home in which air leaves at every valve that says nothing else, unless its system brings air in, too."""
    air = kept.once(_leaving, home.ventilation)
    return home if air is home.ventilation else home.model_copy(update={"ventilation": air})


def _leaving(air: Ventilation | None) -> Ventilation | None:
    if air is None or air.system == "heat-recovery":
        return air
    unsaid = {name for name, each in air.air_valves.items() if each.direction is None}
    valves = {
        name: each.model_copy(update={"direction": "extract"}) if name in unsaid else each
        for name, each in air.air_valves.items()
    }
    told = type(air.air_valves)(valves)  # type: ignore[call-arg]
    return air.model_copy(update={"air_valves": told}) if unsaid else air
