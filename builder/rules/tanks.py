"""Tanks and bottles outside: how far they stand from the home, and what holds what leaks."""

import math
from collections.abc import Iterable, Iterator

from shapely import Point

from builder.home.survey import Survey
from builder.rules.measures import metres, under
from builder.rules.reference import Table
from builder.rules.rule import HomeRule, Problem, rule_by

Spot = tuple[float, float]

_OWN_SOURCES = ("borehole", "well", "spring")


def _from_the_home(
    home: Survey, *kinds: str, rooms: Iterable[str] | None = None
) -> Iterator[tuple[str, float]]:
    """The pieces outside whose place is drawn, with the metres to the nearest of the rooms, or of all inside."""
    wanted = (name for name, _ in home.inside()) if rooms is None else rooms
    walls = [home.outlines[name] for name in wanted if name in home.outlines]
    for name, piece in home.pieces(*kinds):
        if piece.at is not None and walls and not home.kind_of_room(piece.room).inside:
            yield name, min(each.distance(Point(piece.at)) for each in walls)


def _too_near(name: str, gap: float, least: float) -> Problem:
    return Problem(
        ("equipment", name, "at"),
        f"'{name}' is {metres(gap)} from the home; without a fire-resisting wall between"
        f" them it stands {metres(least)} away.",
        "Correct 'at', or set the rule aside by a waiver that names the wall.",
    )


@rule_by(
    "combustion", "oil-tank-from-building",
    identifier="oil.tank-near-the-home", says="An oil tank stands clear of the home.",
)  # fmt: skip
def oil_tanks_stand_clear(home: Survey, table: Table) -> Iterator[Problem]:
    for name, gap in _from_the_home(home, "oil-tank"):
        least = table.number("oil-tank-from-building")
        if under(gap, least):
            yield _too_near(name, gap, least)


@rule_by(
    "combustion", "oil-tank-bund-above",
    identifier="oil.tank-without-a-bund",
    says="An oil tank that is large for its nation has a second wall round it, which holds what leaks.",
)  # fmt: skip
def oil_tanks_have_a_second_wall(home: Survey, table: Table) -> Iterator[Problem]:
    most = table.number("oil-tank-bund-above")
    for name, tank in home.pieces("oil-tank"):
        capacity = tank.facts.get("capacity", 0)
        if capacity > most and tank.facts.get("bunded") is not True:
            yield Problem(
                ("equipment", name),
                f"'{name}' holds {capacity:g} litres, and nothing says that it has a second wall.",
                f"Above {most:g} litres it has one, for a tenth more than the tank: say 'bunded: true' of its 'facts'.",
            )


@rule_by(
    "combustion", "oil-tank-bund-size",
    identifier="oil.bund-too-small", says="The second wall of an oil tank holds all that may leak.",
)  # fmt: skip
def second_walls_hold_what_leaks(home: Survey, table: Table) -> Iterator[Problem]:
    share = table.number("oil-tank-bund-size")
    for name, tank in home.pieces("oil-tank"):
        holds, capacity = tank.facts.get("bund-holds"), tank.facts.get("capacity", 0)
        if holds is not None and holds * 100 < capacity * share:
            yield Problem(
                ("equipment", name, "facts", "bund-holds"),
                f"'{name}' holds {capacity:g} litres, and its second wall {holds:g} litres.",
                f"It holds {capacity * share / 100:g} litres or more: have it made larger, or correct the figure.",
            )


@rule_by(
    "combustion", "oil-tank-from-private-water", identifier="oil.tank-near-private-water",
    says="An oil tank near a borehole, a well or a spring has a second wall round it.",
)  # fmt: skip
def oil_is_kept_from_private_water(home: Survey, table: Table) -> Iterator[Problem]:
    water, near = home.home.water, table.number("oil-tank-from-private-water")
    for name, tank in home.pieces("oil-tank"):
        own = water is not None and water.source in _OWN_SOURCES
        if own and near > 0 and tank.facts.get("bunded") is not True:
            yield Problem(
                ("equipment", name),
                f"This home drinks from a source of its own, and nothing says that '{name}' has a second wall.",
                f"Within {metres(near)} of the source it has one: say 'bunded: true' of its 'facts'."
                " Where it stands further away, waive this and say how far.",
            )


@rule_by(
    "combustion", "lpg-tank-from-building", "large-lpg-tank-from-building", "large-lpg-tank-above",
    identifier="lpg.tank-near-the-home", says="An LPG tank stands clear of the home, a large one further.",
)  # fmt: skip
def lpg_tanks_stand_clear(home: Survey, table: Table) -> Iterator[Problem]:
    for name, gap in _from_the_home(home, "lpg-tank"):
        holds = home.home.equipment[name].facts.get("capacity", 0)
        large = holds > table.number("large-lpg-tank-above")
        least = table.number("large-lpg-tank-from-building" if large else "lpg-tank-from-building")
        if under(gap, least):
            yield _too_near(name, gap, least)


@rule_by(
    "combustion", "lpg-cylinder-from-opening", identifier="lpg.bottles-near-an-opening",
    says="LPG bottles stand clear of doors and windows.",
)  # fmt: skip
def bottles_stand_clear_of_openings(home: Survey, table: Table) -> Iterator[Problem]:
    least = table.number("lpg-cylinder-from-opening")
    for name, at in _outside(home, "lpg-bottles"):
        for opening, gap in _openings(home, at):
            if under(gap, least):
                yield Problem(
                    ("equipment", name, "at"),
                    f"'{name}' stand {metres(gap)} from '{opening}'.",
                    f"Have them {metres(least)} away or more, measured along the ground, or correct 'at'.",
                )


def _outside(home: Survey, kind: str) -> Iterator[tuple[str, Spot]]:
    for name, piece in home.pieces(kind):
        if piece.at is not None and not home.kind_of_room(piece.room).inside:
            yield name, piece.at


def _openings(home: Survey, at: Spot) -> Iterator[tuple[str, float]]:
    """Each window, and each door to the outside, on the ground floor, with the metres to its nearest edge."""
    ground = [name for name, each in home.home.floors.items() if each.level == 0]
    for window in home.home.windows.values():
        if window.at is not None and home.home.rooms[window.room].floor in ground:
            yield window.name, max(math.dist(window.at, at) - window.drawn_width / 2, 0)
    for door in home.home.doors.values():
        out = any(not home.kind_of_room(room).inside for room in door.between)
        on_ground = any(home.home.rooms[room].floor in ground for room in door.between)
        if door.at is not None and out and on_ground:
            yield door.name, max(math.dist(door.at, at) - door.drawn_width / 2, 0)


@rule_by(
    "combustion", "lpg-cylinder-from-drain", identifier="lpg.bottles-near-a-drain",
    says="LPG bottles stand clear of drains, into which their gas sinks.",
)  # fmt: skip
def bottles_stand_clear_of_drains(home: Survey, table: Table) -> Iterator[Problem]:
    least = table.number("lpg-cylinder-from-drain")
    for name, at in _outside(home, "lpg-bottles"):
        for drain, cover in _outside(home, "drain-chamber"):
            gap = math.dist(at, cover)
            if under(gap, least):
                yield Problem(
                    ("equipment", name, "at"),
                    f"'{name}' stand {metres(gap)} from '{drain}', and their gas is heavier than air.",
                    f"Have them {metres(least)} away or more, or set the rule aside by a waiver that names"
                    " the trap, the seal or the wall between.",
                )


@rule_by(
    "water", "waste-tank-from-rooms", identifier="drains.tank-near-the-home",
    says="A septic tank and a cesspool lie clear of the rooms that people live in.",
)  # fmt: skip
def waste_tanks_lie_clear(home: Survey, table: Table) -> Iterator[Problem]:
    least = table.number("waste-tank-from-rooms")
    for name, gap in _from_the_home(home, "septic-tank", "cesspool", rooms=home.habitable):
        if under(gap, least):
            yield Problem(
                ("equipment", name, "at"),
                f"'{name}' lies {metres(gap)} from a room that people live in.",
                f"Have it {metres(least)} away or more, or correct 'at'.",
            )


TANKS: tuple[HomeRule, ...] = (
    oil_tanks_stand_clear,
    oil_tanks_have_a_second_wall,
    second_walls_hold_what_leaks,
    oil_is_kept_from_private_water,
    lpg_tanks_stand_clear,
    bottles_stand_clear_of_openings,
    bottles_stand_clear_of_drains,
    waste_tanks_lie_clear,
)
