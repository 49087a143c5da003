"""Ventilation rates: the whole home, each wet room, and what comes in against what goes out."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.rules.measures import quoted, under
from builder.rules.moving_air import (
    CONTINUOUS,
    MOVERS,
    extract,
    fans,
    has_no_valves,
    moves_air,
    spoken,
    total,
    valves,
)
from builder.rules.reference import Table
from builder.rules.rule import HomeRule, Problem, rule, rule_by

_LITRES_A_SECOND = 3.6
"""Cubic metres an hour that one litre a second is."""
_RATES = "common practice: the rates of a home are those of its commissioning sheet"
_BALANCE = 0.15


@rule("ventilation.missing", "A home with wet rooms says how it is ventilated.", basis=_RATES)
def wet_homes_are_ventilated(home: Survey) -> Iterator[Problem]:
    wet = [home.home.rooms[room].name for room, _ in home.wet_rooms()]
    if wet and home.home.ventilation is None:
        yield Problem(
            ("house_type",),
            f"Nothing says how {quoted(wet)} are ventilated.",
            "Add 'ventilation:' with its system, and the rate of each fan.",
        )


@rule_by(
    "ventilation", "whole-home-by-bedrooms", "whole-home-further-bedroom", "whole-home-by-area",
    "whole-home-one-habitable-room",
    identifier="ventilation.whole-home-rate",
    says="The whole-home rate is enough for the bedrooms and for the floor area.",
)  # fmt: skip
def the_whole_home_rate_is_enough(home: Survey, table: Table) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    rate = ventilation.whole_home_rate if ventilation else None
    bedrooms, area = (
        _rate_by_bedrooms(home, table),
        round(home.floor_area * table.number("whole-home-by-area"), 1),
    )
    needed = max(bedrooms, area)
    if rate is not None and home.floor_area and under(rate, needed):
        rooms = "the one room governs" if len(home.habitable) == 1 else "the bedrooms govern"
        governs = "the area governs" if area > bedrooms else rooms
        yield Problem(
            ("ventilation", "whole_home_rate"),
            f"The whole-home rate is {rate:g} l/s. {_bedrooms_need(home)} {bedrooms:g} l/s and "
            f"{home.floor_area:.1f} m² {area:g} l/s: {governs}.",
            f"Have it set to {needed:g} l/s or more, and write what was measured.",
        )


def _rate_by_bedrooms(home: Survey, table: Table) -> float:
    """Litres a second by the number of bedrooms; a home with one habitable room is a row of its own."""
    if len(home.habitable) == 1:
        return table.number("whole-home-one-habitable-room")
    rates = {int(count): rate for count, rate in table.row("whole-home-by-bedrooms").items()}
    count, most = max(len(home.bedrooms), 1), max(rates)
    further = max(count - most, 0) * table.number("whole-home-further-bedroom")
    return rates[min(count, most)] + further


def _bedrooms_need(home: Survey) -> str:
    count = len(home.bedrooms)
    if len(home.habitable) == 1:
        return "One habitable room needs"
    return f"{count} bedroom{' needs' if count == 1 else 's need'}"


@rule_by(
    "ventilation", "whole-home-air-changes",
    identifier="ventilation.air-changes",
    says="Ventilation that runs all the time changes the air of the whole home often enough.",
)  # fmt: skip
def the_air_is_changed(home: Survey, table: Table) -> Iterator[Problem]:
    ventilation, changes = home.home.ventilation, table.number("whole-home-air-changes")
    rate = ventilation.whole_home_rate if ventilation else None
    least = changes * _volume(home) / _LITRES_A_SECOND
    if rate is not None and under(rate, round(least, 1)):
        yield Problem(
            ("ventilation", "whole_home_rate"),
            f"The whole-home rate is {rate:g} l/s; {changes:g} air changes an hour of {_volume(home):.0f} m³"
            f" are {least:.1f} l/s.",
            f"Have the unit set to {least:.1f} l/s or more, or write the rate that was measured.",
        )


def _volume(home: Survey) -> float:
    """Cubic metres of the rooms that count towards the floor area."""
    rooms = [(name, room.floor) for name, room in home.living() if name in home.outlines]
    return sum(
        home.outlines[name].area * home.home.floors[floor].room_height
        for name, floor in rooms
        if floor
    )


@rule(
    "ventilation.whole-home-rate-missing",
    "Ventilation that runs all the time states its whole-home rate.", basis=_RATES,
)  # fmt: skip
def continuous_systems_state_their_rate(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    if ventilation and ventilation.system in CONTINUOUS and ventilation.whole_home_rate is None:
        yield Problem(
            ("ventilation",),
            f"The ventilation is {spoken(ventilation.system)}, and its whole-home rate is not stated.",
            "Add 'whole_home_rate:' in litres a second, as commissioned.",
        )


@rule_by(
    "ventilation", "extract-intermittent",
    identifier="ventilation.extract-intermittent",
    says="Each wet room's fans that run now and then move enough air.",
)  # fmt: skip
def fans_move_enough(home: Survey, table: Table) -> Iterator[Problem]:
    if home.home.ventilation is None or home.home.ventilation.system in CONTINUOUS:
        return
    needed = table.row("extract-intermittent")
    for room, row in home.wet_rooms():
        hood = row == "kitchen" and any(home.pieces("cooker-hood-extracting", room=room))
        least, rate = needed["kitchen-with-hood" if hood else row], extract(home, room)
        if rate is not None and under(rate, least):
            because = f": {_why(home, room)}" if row == "kitchen" and not hood else ""
            yield _too_little(home, room, rate, least, because)


def _why(home: Survey, room: str) -> str:
    recirculates = any(home.pieces("cooker-hood-recirculating", room=room))
    return "the hood recirculates" if recirculates else "no hood takes the air outside"


@rule_by(
    "ventilation", "extract-continuous",
    identifier="ventilation.extract-continuous",
    says="Each wet room's extract that runs all the time moves enough air at its high rate.",
)  # fmt: skip
def continuous_extract_moves_enough(home: Survey, table: Table) -> Iterator[Problem]:
    if home.home.ventilation is None or home.home.ventilation.system not in CONTINUOUS:
        return
    for room, row in home.wet_rooms():
        rate, least = extract(home, room, high=True), table.row("extract-continuous")[row]
        if rate is not None and under(rate, least):
            yield _too_little(home, room, rate, least, " at its high rate")


def _too_little(home: Survey, room: str, rate: float, least: float, because: str) -> Problem:
    valve = next((name for name, _ in valves(home, "extract", room)), None)
    fan = next((name for name, _ in fans(home, room)), None)
    return Problem(
        ("ventilation", "air_valves", valve) if valve else ("equipment", str(fan)),
        f"'{home.home.rooms[room].name}' {rate:g} l/s, needs {least:g}{because}.",
        f"Fit what moves {least:g} l/s or more, or write the rate that was measured.",
    )


@rule_by(
    "ventilation", "extract-in-wet-rooms",
    identifier="ventilation.wet-room-without-extract",
    says="Each wet room has extract.",
)  # fmt: skip
def wet_rooms_have_extract(home: Survey, _table: Table) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    if ventilation is None or has_no_valves(ventilation):
        return
    for room, _ in home.wet_rooms():
        if not any(fans(home, room)) and not any(valves(home, "extract", room)):
            yield Problem(
                ("rooms", room),
                f"Nothing takes damp air out of '{home.home.rooms[room].name}'.",
                "Add a fan in the room, or an air valve of the unit.",
            )


@rule(
    "ventilation.moved-by", "What works an air valve moves air.", basis=_RATES,
    severity=Severity.ERROR,
)  # fmt: skip
def valves_are_worked_by_fans(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    for name, valve in ventilation.air_valves.items() if ventilation else ():
        piece = home.home.equipment[valve.by]
        hood = "cooker-hood-recirculating" in home.does(piece)
        if not hood and not moves_air(home, piece):
            yield Problem(
                ("ventilation", "air_valves", name, "by"),
                f"'{valve.by}' is of kind {piece.kind}, which moves no air.",
                f"Name a fan or unit, of kind {', '.join(MOVERS)}; or give its kind 'counts_as'.",
            )


@rule_by(
    "ventilation", "recirculating-hood-is-extract",
    identifier="ventilation.recirculating-hood-counted",
    says="A hood that recirculates is not counted as extract.",
)  # fmt: skip
def recirculating_hoods_are_not_extract(home: Survey, _table: Table) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    for name, valve in ventilation.air_valves.items() if ventilation else ():
        does = home.does(home.home.equipment[valve.by])
        if "cooker-hood-recirculating" in does and not does & set(MOVERS):
            yield Problem(
                ("ventilation", "air_valves", name, "by"),
                f"'{valve.by}' recirculates: it cleans the air and takes none out of the room.",
                "Name the fan that takes the air outside, or take the air valve out.",
            )


@rule_by(
    "ventilation", "supply-to-habitable-rooms",
    identifier="ventilation.supply-missing",
    says="Heat recovery brings fresh air to each habitable room.",
)  # fmt: skip
def habitable_rooms_are_supplied(home: Survey, _: Table) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    if ventilation and ventilation.system == "heat-recovery" and not has_no_valves(ventilation):
        for room in _not_supplied(home):
            yield Problem(
                ("rooms", room),
                f"No air valve brings fresh air into '{home.home.rooms[room].name}'.",
                "Add one with 'direction: supply'.",
            )


def _not_supplied(home: Survey) -> list[str]:
    """The rooms that people live in, other than kitchens, into which no valve brings air."""
    supplied = {valve.room for _, valve in valves(home, "supply")}
    wet = {room for room, _ in home.wet_rooms()}
    return [room for room in home.habitable if room not in supplied | wet]


@rule(
    "ventilation.supply-direction", "Only heat recovery brings air in by valves.", basis=_RATES,
)  # fmt: skip
def only_heat_recovery_supplies(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    for name, valve in ventilation.air_valves.items() if ventilation else ():
        if ventilation and ventilation.system != "heat-recovery" and valve.direction == "supply":
            yield Problem(
                ("ventilation", "air_valves", name, "direction"),
                f"This valve brings air in, and the ventilation is {spoken(ventilation.system)}.",
                "Write 'direction: extract', or correct the system.",
            )


@rule(
    "ventilation.direction-unsaid", "Heat recovery says at each valve whether air enters or leaves.",
    basis="house rule: a guide says nothing that nobody said",
)  # fmt: skip
def heat_recovery_says_which_way(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    for name, valve in ventilation.air_valves.items() if ventilation else ():
        if ventilation and ventilation.system == "heat-recovery" and valve.direction is None:
            yield Problem(
                ("ventilation", "air_valves", name),
                f"Nothing says whether air enters or leaves '{home.home.rooms[valve.room].name}' here.",
                "Add 'direction: extract' where it leaves, or 'direction: supply' where it enters.",
            )


@rule(
    "ventilation.out-of-balance", "What heat recovery brings in and takes out are about equal.",
    basis="common practice: within 15 parts in a hundred",
)  # fmt: skip
def heat_recovery_is_balanced(home: Survey) -> Iterator[Problem]:
    supply, out = total(home, "supply"), total(home, "extract")
    if supply is None or out is None or _not_supplied(home):
        return
    if abs(supply - out) > _BALANCE * max(supply, out):
        yield Problem(
            ("ventilation", "air_valves"),
            f"The valves bring in {supply:g} l/s and take out {out:g} l/s.",
            "Have the two balanced, and write the rates that were measured.",
        )


@rule(
    "ventilation.total-below-whole-home", "The valves together take out the whole-home rate.",
    basis=_RATES,
)  # fmt: skip
def valves_add_up(home: Survey) -> Iterator[Problem]:
    ventilation, out = home.home.ventilation, total(home, "extract")
    rate = ventilation.whole_home_rate if ventilation else None
    if rate and out and ventilation and ventilation.system in CONTINUOUS and under(out, rate):
        yield Problem(
            ("ventilation", "whole_home_rate"),
            f"The whole-home rate is {rate:g} l/s, and the extract valves add up to {out:g} l/s.",
            "Correct the one that is wrong, from the commissioning sheet.",
        )


@rule("ventilation.boost-below-normal", "A boost rate is more than the normal rate.", basis=_RATES)
def boost_is_more(home: Survey) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    for name, valve in ventilation.air_valves.items() if ventilation else ():
        if valve.rate and valve.boost_rate and valve.boost_rate < valve.rate:
            yield Problem(
                ("ventilation", "air_valves", name, "boost_rate"),
                f"The boost rate is {valve.boost_rate:g} l/s and the normal rate {valve.rate:g} l/s.",
                "Correct the one that is wrong.",
            )


@rule_by(
    "ventilation", "boost-over-normal",
    identifier="ventilation.boost-share",
    says="The boost of a continuous system is as much over its normal rate as its nation asks.",
)  # fmt: skip
def boost_is_in_proportion(home: Survey, table: Table) -> Iterator[Problem]:
    asked, ventilation = table.row("boost-over-normal"), home.home.ventilation
    out = [each for _, each in valves(home, "extract")]
    normal = sum(each.rate or 0 for each in out)
    boost = sum(each.boost_rate or 0 for each in out)
    if ventilation is None or ventilation.system not in CONTINUOUS or not (normal and boost):
        return
    share = round((boost / normal - 1) * 100)
    if asked["most"] > 0 and not asked["least"] <= share <= asked["most"]:
        yield Problem(
            ("ventilation", "air_valves"),
            f"On boost the valves take out {boost:g} l/s, {share} % over the normal {normal:g} l/s.",
            f"Here boost is {asked['least']:g} to {asked['most']:g} % over it: have the unit set, and write what was measured.",
        )


VENTILATION: tuple[HomeRule, ...] = (
    wet_homes_are_ventilated,
    the_whole_home_rate_is_enough,
    the_air_is_changed,
    continuous_systems_state_their_rate,
    fans_move_enough,
    continuous_extract_moves_enough,
    wet_rooms_have_extract,
    valves_are_worked_by_fans,
    recirculating_hoods_are_not_extract,
    habitable_rooms_are_supplied,
    only_heat_recovery_supplies,
    heat_recovery_says_which_way,
    heat_recovery_is_balanced,
    valves_add_up,
    boost_is_more,
    boost_is_in_proportion,
)
