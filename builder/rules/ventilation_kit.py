"""Ventilation kit: the unit fits the system, and its owner can run and keep it."""

from collections.abc import Iterator

from builder.home.survey import Survey
from builder.rules.rule import HomeRule, Problem, rule
from builder.rules.ventilation import CONTINUOUS

_UNITS = {"continuous-extract": "continuous-extract-unit", "heat-recovery": "heat-recovery-unit"}
_FILTERS = ("continuous-extract-unit", "heat-recovery-unit", "cooker-hood-recirculating")
_KIT = "common practice: a home has one system of ventilation, and its guide describes that one"


@rule("ventilation.unit-missing", "Ventilation that runs all the time names its unit.", basis=_KIT)
def continuous_systems_name_their_unit(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    # Where each room has a fan of its own that never stops, the air valves name the fans.
    named = ventilation is not None and (ventilation.unit or ventilation.air_valves)
    if ventilation and ventilation.system in CONTINUOUS and not named:
        yield Problem(
            ("ventilation",),
            f"The ventilation is {ventilation.system.replace('-', ' ')}, and no unit is named.",
            f"Add 'unit:', a {_UNITS[ventilation.system]}, or the air valves of each room's fan.",
        )


@rule("ventilation.unit-of-another-system", "The unit is of the system's kind.", basis=_KIT)
def the_unit_fits_the_system(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    unit = ventilation.unit if ventilation else None
    if ventilation and unit:
        wanted, kind = _UNITS.get(ventilation.system), home.home.equipment[unit].kind
        if wanted not in home.does(kind):
            fits = f"it needs a {wanted}" if wanted else "it needs no unit"
            yield Problem(
                ("ventilation", "unit"),
                f"The ventilation is {ventilation.system.replace('-', ' ')}; '{unit}' is a {kind}, and {fits}.",
                "Correct the system or the unit.",
            )


@rule("ventilation.two-systems", "The home has the kit of one system of ventilation.", basis=_KIT)
def there_is_one_system(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    own = _UNITS.get(ventilation.system) if ventilation else None
    for name, piece in home.pieces(*_UNITS.values()):
        if ventilation and own not in home.does(piece) and name != ventilation.unit:
            yield Problem(
                ("equipment", name),
                f"'{name}' is a {piece.kind}, and the ventilation is {ventilation.system.replace('-', ' ')}.",
                "Take out the kit of the system that is not there.",
            )


@rule(
    "ventilation.boost-switch", "Ventilation that runs all the time has a boost switch.",
    basis="common practice: an owner who cooks or bathes makes the fans run faster",
)  # fmt: skip
def continuous_systems_have_a_boost_switch(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    if ventilation and ventilation.system in CONTINUOUS and not any(home.pieces("boost-switch")):
        yield Problem(
            ("ventilation",),
            f"The ventilation is {ventilation.system.replace('-', ' ')}, and nothing makes it run faster.",
            "Add a boost-switch, or give the control's kind 'counts_as: [boost-switch]'.",
        )


@rule(
    "ventilation.filter-interval", "Kit with filters says how often they are cleaned or changed.",
    basis="common practice: a blocked filter is the commonest fault of ventilation",
)  # fmt: skip
def filters_have_an_interval(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces(*_FILTERS):
        defines = home.home.kinds[piece.kind].facts.get("filter-every")
        if defines and not defines.required and "filter-every" not in piece.facts:
            yield Problem(
                ("equipment", name),
                f"'{name}' has filters, and nothing says how often they are cleaned or changed.",
                "Add 'filter-every' to its 'facts', from the maker's instructions.",
            )


@rule(
    "ventilation.no-opening-window", "Each habitable room has a window or outside door to open.",
    basis="Approved Document F, Volume 1, paragraph 1.26: purge ventilation of each habitable room",
)  # fmt: skip
def habitable_rooms_can_be_aired(home: Survey) -> Iterator[Problem]:
    opening = {each.room for each in home.home.windows.values() if each.kind != "fixed"}
    outside = {name for name in home.home.rooms if not home.kind_of_room(name).inside}
    doors = {
        room
        for each in home.home.doors.values()
        if set(each.between) & outside
        for room in each.between
    }
    for room in home.habitable:
        if room not in opening | doors:
            yield Problem(
                ("rooms", room),
                f"'{home.home.rooms[room].name}' has no window that opens and no outside door.",
                "Add the window to 'windows', or correct its 'kind: fixed'.",
            )


VENTILATION_KIT: tuple[HomeRule, ...] = (
    continuous_systems_name_their_unit,
    the_unit_fits_the_system,
    there_is_one_system,
    continuous_systems_have_a_boost_switch,
    filters_have_an_interval,
    habitable_rooms_can_be_aired,
)
