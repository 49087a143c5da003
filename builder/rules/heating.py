"""What makes the heat and the hot water, and what belongs to it."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.rules.measures import quoted
from builder.rules.reference import Table
from builder.rules.rule import HomeRule, Problem, rule, rule_by

_FOSSIL = ("natural-gas", "lpg", "oil")
_PARTS = "common practice: what belongs to the kit stands in the record, because owners are told where it is"
_BOILERS = ("gas-combination-boiler", "gas-system-boiler")
_HEAT_PUMPS = ("air-source-heat-pump", "ground-source-heat-pump", "exhaust-air-heat-pump")
_SOURCES = (*_BOILERS, "electric-boiler", *_HEAT_PUMPS, "heat-interface-unit")
_HEATERS = (*_SOURCES, "wood-boiler", "panel-heater")
_GIVE_NO_HEAT = (
    "hot-water-cylinder", "immersion-switch", "filling-loop", "expansion-vessel", "pressure-gauge",
    "room-thermostat", "heating-programmer", "zone-valve", "radiator", "towel-rail",
    "underfloor-loop", "underfloor-manifold", "flue", "condensate-pipe", "cold-condensate-pipe",
    "pellet-store", "thermal-store", "solar-water-heater",
)  # fmt: skip
_WET = ("radiator", "towel-rail", "underfloor-loop")


@rule("heating.source-missing", "Something heats the water of the radiators.", basis=_PARTS)
def wet_heating_has_a_source(home: Survey) -> Iterator[Problem]:
    wet = _wet_emitters(home)
    if wet and (home.home.heating is None or home.home.heating.source is None):
        yield Problem(
            ("heating",) if home.home.heating else ("zones",),
            f"{len(wet)} of the emitters are heated by water, and nothing is named that heats it.",
            "Add 'source:' under 'heating', the boiler, heat pump or heat interface unit.",
        )


@rule(
    "heating.source-of-no-heat", "The source of heat is equipment that makes heat.", basis=_PARTS,
    severity=Severity.ERROR,
)  # fmt: skip
def the_source_makes_heat(home: Survey) -> Iterator[Problem]:
    source = home.home.heating.source if home.home.heating else None
    if source and not _may_heat(home, source):
        kind = home.home.equipment[source].kind
        yield Problem(
            ("heating", "source"),
            f"'{source}' is of kind {kind}, which heats no home.",
            f"Name one of these kinds: {', '.join(_HEATERS)}; or give its kind 'counts_as'.",
        )


def _may_heat(home: Survey, name: str) -> bool:
    """Whether a piece can heat a home; a kind of heating that only its author knows is taken to."""
    piece = home.home.equipment[name]
    does, kind = home.does(piece), home.home.kinds[piece.kind]
    unknown = kind.system == "heating" and not does & set(_GIVE_NO_HEAT)
    return bool(does & set(_HEATERS)) or unknown


@rule_by(
    "energy", "direct-emission-heating",
    identifier="heating.direct-emissions",
    says="Nothing that is burnt in the home heats it, where its nation no longer allows that.",
)  # fmt: skip
def heat_comes_without_burning(home: Survey, table: Table) -> Iterator[Problem]:
    forbidden = table.number("direct-emission-heating") == 0
    for name, piece in home.home.equipment.items():
        kind = home.home.kinds[piece.kind]
        fossil = (piece.fuel or kind.fuel) in _FOSSIL
        if forbidden and fossil and kind.burns_fuel and kind.system == "heating":
            yield Problem(
                ("equipment", name),
                f"'{name}' burns fuel to heat the home, which a new home may no longer do.",
                "Name what heats the home without burning, or the day of an earlier warrant.",
            )


@rule("heating.two-sources", "One piece of equipment heats the home.", basis=_PARTS)
def one_source_heats_the_home(home: Survey) -> Iterator[Problem]:
    found = [name for name, _ in home.pieces(*_SOURCES)]
    if len(found) > 1:
        yield Problem(
            ("equipment", found[1]),
            f"{quoted(found)} each heat a home, and this is one.",
            "Take out the one that is not there; an option that adds one removes the other.",
        )


@rule("heating.hot-water-missing", "The home says what heats its hot water.", basis=_PARTS)
def something_heats_the_hot_water(home: Survey) -> Iterator[Problem]:
    heating = home.home.heating
    if heating is not None and heating.hot_water is None and any(home.wet_rooms()):
        yield Problem(
            ("heating",),
            "Nothing is named that heats the hot water.",
            "Add 'hot_water:' under 'heating', the boiler, cylinder or heat interface unit.",
        )


@rule("heating.no-time-control", "Heating has a programmer for its times.", basis=_PARTS)
def heating_has_a_programmer(home: Survey) -> Iterator[Problem]:
    source = home.home.heating.source if home.home.heating else None
    if source is not None and not any(home.pieces("heating-programmer")):
        yield Problem(
            ("heating",),
            "Nothing sets the times of the heating.",
            "Add a heating-programmer, or give the thermostat's kind 'counts_as: [heating-programmer]'.",
        )


@rule(
    "heating.cylinder-without-immersion-switch", "A hot water cylinder has an immersion switch.",
    basis=_PARTS,
)  # fmt: skip
def cylinders_have_an_immersion_switch(home: Survey) -> Iterator[Problem]:
    for name, _ in home.pieces("hot-water-cylinder"):
        if not any(home.pieces("immersion-switch")):
            yield Problem(
                ("equipment", name),
                f"'{name}' has no immersion switch: the owner cannot heat water when the source fails.",
                "Add an immersion-switch, and say where it is.",
            )


@rule("heating.flue", "What burns fuel for heat has a flue.", basis=_PARTS)
def what_burns_has_a_flue(home: Survey) -> Iterator[Problem]:
    kinds = home.home.kinds
    burning = [
        name
        for name, piece in home.home.equipment.items()
        if kinds[piece.kind].burns_fuel and not kinds[piece.kind].cooks
    ]
    because = "its gases leave by it, and its outlet is kept clear"
    yield from _missing_part(home, burning, "flue", ("flue",), because)


@rule("heating.condensate", "Each boiler has a condensate pipe.", basis=_PARTS)
def boilers_have_a_condensate_pipe(home: Survey) -> Iterator[Problem]:
    kinds = ("condensate-pipe", "cold-condensate-pipe")
    boilers = [name for name, _ in home.pieces(*_BOILERS)]
    because = "it freezes where frost can reach it"
    yield from _missing_part(home, boilers, "condensate pipe", kinds, because)


@rule(
    "heating.heat-pump-warms-nothing", "A heat pump warms rooms, or is one for hot water alone.",
    basis=_PARTS,
)  # fmt: skip
def heat_pumps_warm_rooms(home: Survey) -> Iterator[Problem]:
    if (home.home.heating and home.home.heating.source) or _wet_emitters(home):
        return
    for name, _ in home.pieces(*_HEAT_PUMPS):
        yield Problem(
            ("equipment", name, "kind"),
            f"Nothing is warmed by '{name}', and its guide would say that it warms the rooms.",
            "Name it under 'heating' as 'source', or make it of kind hot-water-heat-pump.",
        )


def _missing_part(
    home: Survey, owners: list[str], part: str, kinds: tuple[str, ...], because: str
) -> Iterator[Problem]:
    if owners and not any(home.pieces(*kinds)):
        yield Problem(
            ("equipment", owners[0]),
            f"'{owners[0]}' has no {part} in the record: {because}.",
            f"Add one of kind {' or '.join(kinds)}, and say where it is.",
        )


@rule("heating.pressure-gauge", "A sealed heating system has a pressure gauge.", basis=_PARTS)
def sealed_systems_have_a_gauge(home: Survey) -> Iterator[Problem]:
    yield from _sealed_without(home, "pressure-gauge", "the owner cannot see that water is lost")


@rule("heating.filling-loop", "A sealed heating system has a filling loop.", basis=_PARTS)
def sealed_systems_have_a_filling_loop(home: Survey) -> Iterator[Problem]:
    yield from _sealed_without(home, "filling-loop", "water that is lost cannot be filled up")


def _sealed_without(home: Survey, kind: str, because: str) -> Iterator[Problem]:
    """A boiler or heat pump seals its own water; an interface unit has the building's."""
    sources = [name for name, _ in home.pieces(*_BOILERS, *_HEAT_PUMPS)]
    if sources and _wet_emitters(home) and not any(home.pieces(kind)):
        thing = kind.replace("-", " ")
        yield Problem(
            ("equipment", sources[0]),
            f"'{sources[0]}' heats a sealed system with no {thing}: {because}.",
            f"Add a {kind}, or give the kind that has it built in 'counts_as: [{kind}]'.",
        )


@rule("heating.manifold", "Floor heating has a manifold.", basis=_PARTS)
def floor_heating_has_a_manifold(home: Survey) -> Iterator[Problem]:
    loops = [each for each in _wet_emitters(home) if "underfloor-loop" in home.does(each)]
    if loops and not any(home.pieces("underfloor-manifold")):
        yield Problem(
            ("zones",),
            f"The home has {len(loops)} loops of floor heating and no manifold.",
            "Add an underfloor-manifold, and say where it is.",
        )


def _wet_emitters(home: Survey) -> list[str]:
    """The kinds of all emitters that are heated by water."""
    emitters = [each for zone in home.home.zones.values() for each in zone.emitters.values()]
    return [
        each.kind
        for each in emitters
        if home.does(each.kind) & set(_WET) and each.control != "own-thermostat"
    ]


HEATING: tuple[HomeRule, ...] = (
    wet_heating_has_a_source,
    the_source_makes_heat,
    heat_comes_without_burning,
    one_source_heats_the_home,
    something_heats_the_hot_water,
    heating_has_a_programmer,
    cylinders_have_an_immersion_switch,
    what_burns_has_a_flue,
    heat_pumps_warm_rooms,
    boilers_have_a_condensate_pipe,
    sealed_systems_have_a_gauge,
    sealed_systems_have_a_filling_loop,
    floor_heating_has_a_manifold,
)
