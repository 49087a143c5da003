"""Electricity: consumer units and switches where people reach them, batteries where they are safe."""

import math
from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.model.equipment import Equipment
from builder.rules.measures import metres, over, under
from builder.rules.reference import Table
from builder.rules.routes import beyond, is_hall, name_of
from builder.rules.rule import HomeRule, Problem, rule, rule_by

_UNITS = ("consumer-unit", "garage-consumer-unit")
_SAYS_WHAT = ("grid-switch", "fused-spur", "isolator-switch", "appliance-valve", "isolating-valve")
_USED_DAILY = ("master-light-switch", "boost-switch", "entry-handset")
_SWITCHES = (*_SAYS_WHAT[:3], *_USED_DAILY, "heating-programmer", "room-thermostat", "data-point")
_NEEDS_SUPPLY = ("home-battery", "solar-inverter", "car-charger", "tumble-dryer", "washing-machine")
_BATTERY = "PAS 63100:2024, places where batteries are not put (from memory)"


@rule_by(
    "electricity", "consumer-unit-height-least", "consumer-unit-height-most",
    identifier="electricity.consumer-unit-height",
    says="The switches of the consumer unit are where everybody reaches them.",
)  # fmt: skip
def consumer_units_are_in_reach(home: Survey, table: Table) -> Iterator[Problem]:
    least = table.number("consumer-unit-height-least")
    most = table.number("consumer-unit-height-most")
    for name, piece in home.pieces("consumer-unit"):
        height = piece.height
        if height is not None and (under(height, least) or over(height, most)):
            yield Problem(
                ("equipment", name, "height"),
                f"The switches of '{name}' are {metres(height)} above the floor.",
                f"Place them between {metres(least)} and {metres(most)}; 'height' is that of the switches.",
            )


@rule(
    "electricity.consumer-unit-in-wet-room", "No consumer unit is in a room with a bath or shower.",
    basis="BS 7671:2018, section 701 (from memory)",
)  # fmt: skip
def consumer_units_are_dry(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces(*_UNITS):
        if home.kind_of_room(piece.room).extract == "bathroom":
            yield Problem(
                ("equipment", name, "room"),
                f"'{name}' is in '{name_of(home, piece.room)}', beside a bath or shower.",
                "Move it to a dry room.",
            )


@rule(
    "electricity.consumer-unit-out-of-reach", "No consumer unit is in a loft.",
    basis="common practice: it is reached in the dark, and without a ladder",
)  # fmt: skip
def consumer_units_are_below_the_loft(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces("consumer-unit"):
        if home.is_loft(piece.room):
            yield Problem(
                ("equipment", name, "room"),
                f"'{name}' is in '{name_of(home, piece.room)}': it is reached by a ladder.",
                "Move it to where people live.",
            )


@rule(
    "electricity.switch-serves-nothing", "A switch or valve for one thing says what it is for.",
    basis="common practice: BS 7671:2018, section 514, has every switch labelled (from memory)",
)  # fmt: skip
def switches_say_what_they_serve(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces(*_SAYS_WHAT):
        if piece.serves is None:
            called = home.home.kinds[piece.kind].name.lower()
            yield Problem(
                ("equipment", name),
                f"'{name}' ({called}) does not say what it serves.",
                "Add 'serves:', such as 'serves: The dishwasher'.",
            )


@rule_by(
    "electricity", "switch-height-least", "switch-height-most",
    "switch-height-wheelchair-least", "switch-height-wheelchair-most",
    identifier="electricity.switch-height",
    says="Switches that are used each day are where a person in a chair reaches them.",
    severity=Severity.NOTE,
)  # fmt: skip
def switches_are_in_reach(home: Survey, table: Table) -> Iterator[Problem]:
    built_for = "-wheelchair" if "wheelchair" in home.home.built_for else ""
    least = table.number(f"switch-height{built_for}-least")
    most = table.number(f"switch-height{built_for}-most")
    for name, piece in home.pieces(*_USED_DAILY):
        if piece.height is not None and (under(piece.height, least) or over(piece.height, most)):
            yield Problem(
                ("equipment", name, "height"),
                f"'{name}' is {metres(piece.height)} above the floor.",
                f"Place its middle between {metres(least)} and {metres(most)}.",
            )


@rule(
    "electricity.solar-isolator", "A solar inverter can be cut off where it is.",
    basis="BS 7671:2018, section 712 (from memory)",
)  # fmt: skip
def inverters_can_be_cut_off(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces("solar-inverter"):
        if not any(home.pieces("solar-isolator", room=piece.room)):
            yield Problem(
                ("equipment", name),
                f"'{name}' has no solar isolator in '{name_of(home, piece.room)}'.",
                "Add the isolator beside it.",
            )


@rule(
    "electricity.solar-and-meter", "A home with solar panels has an electricity meter recorded.",
    basis="common practice: what is sent to the network is read at the meter",
)  # fmt: skip
def solar_homes_have_a_meter(home: Survey) -> Iterator[Problem]:
    for name, _ in home.pieces("solar-inverter"):
        if home.home.own_electricity is None and not any(home.pieces("electric-meter")):
            yield Problem(
                ("equipment", name),
                f"'{name}' sends power to the network, and no electricity meter is recorded.",
                "Add the meter to 'equipment'.",
            )


@rule(
    "electricity.battery-place", "A home battery is away from where people sleep and escape.",
    basis=_BATTERY,
)  # fmt: skip
def batteries_are_in_safe_places(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces("home-battery"):
        if why := _unsafe(home, piece.room):
            yield Problem(
                ("equipment", name, "room"),
                f"'{name}' is in '{name_of(home, piece.room)}', {why}.",
                "Move it outside, or to a garage or utility room.",
            )


def _unsafe(home: Survey, room: str) -> str:
    """Why a battery is not put in a room, in words; nothing where it may stand there."""
    kind = home.kind_of_room(room)
    if kind.sleeping:
        return "where people sleep"
    if home.is_loft(room):
        return "where nobody sees a fire begin"
    if is_hall(home, room):
        return "on the way out"
    onto = [beyond(door, room) for _, door in home.doors_of(room)]
    if kind.inside and any(home.kind_of_room(each).sleeping for each in onto):
        return "which opens into a room where people sleep"
    return ""


@rule(
    "electricity.charger-place", "A car charger is outside or in a garage.",
    basis="common practice: the cable does not lead through the home",
)  # fmt: skip
def chargers_are_where_cars_are(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces("car-charger"):
        if home.kind_of_room(piece.room).inside and not home.is_garage(piece.room):
            yield Problem(
                ("equipment", name, "room"),
                f"'{name}' is in '{name_of(home, piece.room)}'.",
                "Move it outside, beside the parking space, or to the garage.",
            )


@rule_by(
    "electricity", "car-charger-power",
    identifier="electricity.charger-power", says="A car charger gives as much power as a new home's has.",
)  # fmt: skip
def chargers_are_strong_enough(home: Survey, table: Table) -> Iterator[Problem]:
    least = table.number("car-charger-power")
    for name, piece in home.pieces("car-charger"):
        power = piece.facts.get("power")
        if isinstance(power, int | float) and power < least:
            yield Problem(
                ("equipment", name, "facts", "power"),
                f"'{name}' gives {power:g} kW.",
                f"A new home's charger gives {least:g} kW or more: fit one, or correct 'power'.",
            )


@rule(
    "electricity.garage-unit", "A detached garage with power has a switch for it there.",
    severity=Severity.NOTE,
    basis="common practice: BS 7671:2018, section 537, on cutting off a building (from memory)",
)  # fmt: skip
def detached_garages_have_a_switch(home: Survey) -> Iterator[Problem]:
    garage = home.home.garage
    if garage is None or garage.room is None or garage.kind != "detached":
        return
    powered = [name for name, _ in home.pieces(*_NEEDS_SUPPLY, room=garage.room)]
    if powered and not any(
        home.pieces("garage-consumer-unit", "isolator-switch", room=garage.room)
    ):
        yield Problem(
            ("equipment", powered[0]),
            f"'{powered[0]}' is in the detached garage, and nothing there turns off its electricity.",
            "Add the garage's consumer unit or switch.",
        )


@rule_by(
    "electricity", "bath-zone",
    identifier="electricity.near-bath",
    says="No switch or socket is within reach of a bath or shower.",
)  # fmt: skip
def switches_are_away_from_baths(home: Survey, table: Table) -> Iterator[Problem]:
    most = table.number("bath-zone")
    for name, piece in home.pieces(*_SWITCHES):
        for wet, gap in _baths_beside(home, piece):
            if under(gap, most):
                yield Problem(
                    ("equipment", name, "at"),
                    f"'{name}' is {metres(gap)} from '{wet}'.",
                    f"Move it {metres(most)} away or farther; outside the room is better.",
                )


def _baths_beside(home: Survey, piece: Equipment) -> Iterator[tuple[str, float]]:
    """The shower and bath fittings of the room of a piece, with the metres between."""
    for name, other in home.pieces("shower", "blending-valve", room=piece.room):
        if piece.at is not None and other.at is not None:
            yield name, math.dist(piece.at, other.at)


@rule_by(
    "electricity", "sockets-in-a-room", "sockets-in-a-kitchen", "sockets-in-a-hall",
    identifier="electricity.sockets", says="Living rooms, bedrooms, kitchens and halls have the sockets that their nation asks for.",
)  # fmt: skip
def rooms_have_their_sockets(home: Survey, table: Table) -> Iterator[Problem]:
    in_a_room, in_a_kitchen, in_a_hall = (
        table.number(f"sockets-in-a-{place}") for place in ("room", "kitchen", "hall")
    )
    for room, each in home.living():
        kind = home.kind_of_room(room)
        least = in_a_room * kind.habitable + in_a_kitchen * (kind.extract == "kitchen")
        least += in_a_hall * kind.circulation
        if each.sockets is not None and each.sockets < least:
            yield Problem(
                ("rooms", room, "sockets"),
                f"'{each.name}' has sockets for {each.sockets} plugs.",
                f"It has them for {least:g} at least; a double socket counts as two.",
            )


@rule_by(
    "electricity", "sockets-in-a-room", "sockets-in-a-kitchen", "sockets-beyond",
    identifier="electricity.further-sockets", says="A home has the sockets beyond those of its rooms that its nation asks for.",
)  # fmt: skip
def homes_have_further_sockets(home: Survey, table: Table) -> Iterator[Problem]:
    in_a_room, in_a_kitchen = (
        table.number("sockets-in-a-room"),
        table.number("sockets-in-a-kitchen"),
    )
    kinds = {room: home.kind_of_room(room) for room, _ in home.living()}
    counted = {room: each.sockets for room, each in home.living() if each.sockets is not None}
    asked = {
        room: in_a_room * kind.habitable + in_a_kitchen * (kind.extract == "kitchen")
        for room, kind in kinds.items()
    }
    told = all(room in counted for room, kind in kinds.items() if asked[room] or kind.circulation)
    beyond = sum(counted.values()) - sum(asked.values())
    if told and beyond < table.number("sockets-beyond"):
        yield Problem(
            ("rooms",),
            f"Beside those that its rooms and its kitchen need, this home has sockets for {max(beyond, 0):g} plugs.",
            f"It has {table.number('sockets-beyond'):g} more anywhere, those in halls and landings among them.",
        )


ELECTRICITY: tuple[HomeRule, ...] = (
    consumer_units_are_in_reach,
    consumer_units_are_dry,
    consumer_units_are_below_the_loft,
    switches_say_what_they_serve,
    switches_are_in_reach,
    inverters_can_be_cut_off,
    solar_homes_have_a_meter,
    batteries_are_in_safe_places,
    chargers_are_where_cars_are,
    chargers_are_strong_enough,
    detached_garages_have_a_switch,
    switches_are_away_from_baths,
    rooms_have_their_sockets,
    homes_have_further_sockets,
)
