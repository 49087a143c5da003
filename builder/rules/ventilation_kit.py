"""Ventilation kit: the unit fits the system, and its owner can run and keep it."""

from collections.abc import Iterator

from builder.home.survey import NEAR, Survey
from builder.model.services import Ventilation
from builder.rules.measures import metres, over, under
from builder.rules.moving_air import (
    CONTINUOUS,
    UNITS,
    aired_through,
    extract,
    has_no_valves,
    spoken,
)
from builder.rules.reference import Table
from builder.rules.rule import HomeRule, Problem, rule, rule_by

_FILTERS = (*UNITS.values(), "cooker-hood-recirculating")
_HOBS = ("gas-hob", "induction-hob", "ceramic-hob")
_AN_HOUR = 3600
_KIT = "common practice: a home has one system of ventilation, and its guide describes that one"


@rule("ventilation.unit-missing", "Ventilation that runs all the time names its unit.", basis=_KIT)
def continuous_systems_name_their_unit(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    # Where each room has a fan of its own that never stops, the air valves name the fans.
    named = ventilation is not None and (ventilation.unit or ventilation.air_valves)
    if ventilation and ventilation.system in CONTINUOUS and not named:
        yield Problem(
            ("ventilation",),
            f"The ventilation is {spoken(ventilation.system)}, and no unit is named.",
            f"Add 'unit:', a {UNITS[ventilation.system]}, or the air valves of each room's fan.",
        )


@rule("ventilation.valves-missing", "The air valves of a unit are recorded.", basis=_KIT)
def units_have_their_valves(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    if ventilation and ventilation.unit and has_no_valves(ventilation):
        yield Problem(
            ("ventilation",),
            f"No air valve of '{ventilation.unit}' is recorded, so that no rate can be told.",
            "Add 'air_valves:', each with its room and the rate that was measured.",
        )


@rule("ventilation.unit-of-another-system", "The unit is of the system's kind.", basis=_KIT)
def the_unit_fits_the_system(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    unit = ventilation.unit if ventilation else None
    if ventilation and unit:
        wanted, kind = UNITS.get(ventilation.system), home.home.equipment[unit].kind
        if wanted not in home.does(kind):
            fits = f"it needs a {wanted}" if wanted else "it needs no unit"
            yield Problem(
                ("ventilation", "unit"),
                f"The ventilation is {spoken(ventilation.system)}; '{unit}' is of kind {kind}, and {fits}.",
                "Correct the system or the unit, or give its kind 'counts_as'.",
            )


@rule("ventilation.two-systems", "The home has the kit of one system of ventilation.", basis=_KIT)
def there_is_one_system(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    for name, piece in home.pieces(*UNITS.values(), "extract-fan"):
        if ventilation and not _belongs(home, ventilation, name):
            yield Problem(
                ("equipment", name),
                f"'{name}' is of kind {piece.kind}, and the ventilation is {spoken(ventilation.system)}.",
                "Take out the kit of the system that is not there.",
            )


def _belongs(home: Survey, ventilation: Ventilation, name: str) -> bool:
    """Whether a unit or a fan is of the home's system; the unit that it names is another rule.

    Beside a unit a wet room has no fan of its own, unless continuous extract names it in a valve.
    """
    piece, system = home.home.equipment[name], ventilation.system
    does = home.does(piece)
    if UNITS.get(system) in does or name == ventilation.unit:
        return True
    if does & set(UNITS.values()):
        return False
    beside_a_unit = system in CONTINUOUS and ventilation.unit is not None
    named = name in {valve.by for valve in ventilation.air_valves.values()}
    in_place = named and system != "heat-recovery"
    return not beside_a_unit or in_place or piece.room not in dict(home.wet_rooms())


@rule(
    "ventilation.boost-switch", "Ventilation that runs all the time has a boost switch.",
    basis="common practice: an owner who cooks or bathes makes the fans run faster",
)  # fmt: skip
def continuous_systems_have_a_boost_switch(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    if ventilation and ventilation.system in CONTINUOUS and not any(home.pieces("boost-switch")):
        yield Problem(
            ("ventilation",),
            f"The ventilation is {spoken(ventilation.system)}, and nothing makes it run faster.",
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


@rule_by(
    "ventilation", "purge-in-habitable-rooms",
    identifier="ventilation.no-opening-window",
    says="Each habitable room has a window or outside door to open.",
)  # fmt: skip
def habitable_rooms_can_be_aired(home: Survey, _: Table) -> Iterator[Problem]:
    aired = _open_to_the_air(home)
    for room in home.habitable:
        if not aired & {room, *aired_through(home, room)}:
            yield Problem(
                ("rooms", room),
                f"'{home.home.rooms[room].name}' has no window that opens and no outside door.",
                "Add the window to 'windows', or correct its 'kind: fixed'.",
            )


def _open_to_the_air(home: Survey) -> set[str]:
    """The rooms with a window that opens or a door to the open air, which no corridor is."""
    kinds = {name: home.kind_of_room(name) for name in home.home.rooms}
    outside = {name for name, kind in kinds.items() if not kind.inside and not kind.shared}
    windows = {each.room for each in home.home.windows.values() if each.kind != "fixed"}
    doors = [set(each.between) for each in home.home.doors.values()]
    return windows.union(*(rooms for rooms in doors if rooms & outside))


@rule_by(
    "ventilation", "co2-monitor",
    identifier="ventilation.carbon-dioxide-monitor", says="A bedroom has a monitor of carbon dioxide.",
)  # fmt: skip
def a_bedroom_has_a_monitor(home: Survey, table: Table) -> Iterator[Problem]:
    watched = {piece.room for _, piece in home.pieces("carbon-dioxide-monitor")}
    if table.number("co2-monitor") > 0 and home.bedrooms and not watched & set(home.bedrooms):
        yield Problem(
            ("rooms", home.bedrooms[0]),
            "No bedroom has a monitor of carbon dioxide, which shows when it needs air.",
            "Add a carbon-dioxide-monitor in the main bedroom.",
        )


@rule_by(
    "ventilation", "hood-above-hob",
    identifier="ventilation.hood-height",
    says="A hood that takes the air outside hangs at its height over the hob.",
)  # fmt: skip
def hoods_hang_over_their_hob(home: Survey, table: Table) -> Iterator[Problem]:
    limits = table.row("hood-above-hob")
    for name, hood in home.pieces("cooker-hood-extracting"):
        for hob_name, hob in home.pieces(*_HOBS, room=hood.room):
            if hood.height is None or hob.height is None:
                continue
            gap = hood.height - hob.height
            if under(gap, limits["least"]) or over(gap, limits["most"]):
                yield Problem(
                    ("equipment", name, "height"),
                    f"'{name}' hangs {metres(gap)} above '{hob_name}'.",
                    f"Have it {limits['least']:g} to {limits['most']:g} m above, as its maker says, or correct 'height'.",
                )


@rule_by(
    "ventilation", "extract-in-an-inner-wet-room",
    identifier="ventilation.inner-wet-room",
    says="The fan of a wet room without an outside wall changes its air often enough.",
)  # fmt: skip
def inner_wet_rooms_are_cleared(home: Survey, table: Table) -> Iterator[Problem]:
    changes = table.number("extract-in-an-inner-wet-room")
    ventilation = home.home.ventilation
    if ventilation is None or ventilation.system in CONTINUOUS:
        return
    for room, _ in home.wet_rooms():
        moved, least = extract(home, room), changes * _litres(home, room) / _AN_HOUR
        if moved is not None and _is_inner(home, room) and round(moved, 1) < round(least, 1):
            yield Problem(
                ("rooms", room),
                f"'{home.home.rooms[room].name}' has no outside wall, and its fan moves {moved:g} l/s.",
                f"Its air is changed {changes:g} times an hour by {least:.1f} l/s.",
            )


def _litres(home: Survey, room: str) -> float:
    floor = home.storey_of(room)
    if floor is None or room not in home.outlines:
        return 0.0
    area = home.home.rooms[room].area or home.outlines[room].area
    return area * home.home.floors[floor].room_height * 1000


def _is_inner(home: Survey, room: str) -> bool:
    return room in home.outlines and home.outside_wall(room).length < NEAR


VENTILATION_KIT: tuple[HomeRule, ...] = (
    continuous_systems_name_their_unit,
    units_have_their_valves,
    the_unit_fits_the_system,
    there_is_one_system,
    continuous_systems_have_a_boost_switch,
    filters_have_an_interval,
    habitable_rooms_can_be_aired,
    a_bedroom_has_a_monitor,
    hoods_hang_over_their_hob,
    inner_wet_rooms_are_cleared,
)
