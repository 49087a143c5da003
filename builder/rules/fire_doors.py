"""Fire doors: to the garage, at the entrance of a flat, and round the stair of a tall house."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.model.building import Door
from builder.rules.measures import metres
from builder.rules.reference import Table
from builder.rules.routes import (
    beyond,
    doors_onto,
    halls_from,
    high_stairs,
    holds_back,
    is_flat,
    leads_out,
    name_of,
    rated,
    rating_at,
    rating_of,
    top_of_stairs,
)
from builder.rules.rule import HomeRule, Problem, rule, rule_by

FireDoor = tuple[str, Door, str]
"""A door that has to hold back fire: its id, the door, and what it joins, in words."""


@rule(
    "fire.rating-unreadable", "A door's fire rating is written as fire ratings are.",
    basis="BS 476-22 and BS EN 13501-2: the letters and minutes that doors are rated in (from memory)",
)  # fmt: skip
def ratings_can_be_read(home: Survey) -> Iterator[Problem]:
    for name, door in home.home.doors.items():
        if door.fire_rating is not None and rating_of(door) is None:
            yield Problem(
                ("doors", name, "fire_rating"),
                f"'{door.fire_rating}' is no fire rating.",
                "Write FD and the minutes, with an S where it holds back smoke: FD30S.",
            )


@rule(
    "fire.rating-of-an-opening", "Only a door has a fire rating or closes by itself.",
    severity=Severity.ERROR,
    basis="common practice: an opening has no leaf that could hold back fire",
)  # fmt: skip
def openings_are_not_rated(home: Survey) -> Iterator[Problem]:
    for name, door in home.home.doors.items():
        if door.kind == "opening" and (door.fire_rating is not None or door.self_closing):
            yield Problem(
                ("doors", name, "kind"),
                f"'{door.name}' is an opening, and is said to hold back fire or to close by itself.",
                "Correct its 'kind', or take out 'fire_rating' and 'self_closing'.",
            )


@rule_by(
    "fire", "garage-door-minutes",
    identifier="fire.garage-door",
    says="The door between a garage and the home holds back fire and smoke.",
)  # fmt: skip
def garage_doors_hold_back_fire(home: Survey, table: Table) -> Iterator[Problem]:
    yield from _letting_fire_through(_garage_doors(home), table.number("garage-door-minutes"))


@rule_by(
    "fire", "garage-door-minutes",
    identifier="fire.garage-door-closes",
    says="The door between a garage and the home closes by itself.",
)  # fmt: skip
def garage_doors_close(home: Survey, _: Table) -> Iterator[Problem]:
    yield from _staying_open(_garage_doors(home))


def _letting_fire_through(doors: Iterator[FireDoor], minutes: float) -> Iterator[Problem]:
    for name, door, joins in doors:
        if not holds_back(door, minutes, smoke=True):
            yield Problem(
                rating_at(name, door),
                f"'{door.name}' {joins}, and {rated(door)}.",
                f"Fit a fire door that holds back fire for {minutes:.0f} minutes, and smoke: FD{minutes:.0f}S.",
            )


def _staying_open(doors: Iterator[FireDoor]) -> Iterator[Problem]:
    for name, door, joins in doors:
        if door.kind != "opening" and not door.self_closing:
            yield Problem(
                ("doors", name),
                f"'{door.name}' {joins}, and does not close by itself.",
                "Fit a closer, and record 'self_closing: true'.",
            )


def _garage_doors(home: Survey) -> Iterator[FireDoor]:
    """The doors between a garage and the rest of the home."""
    for name, door in home.home.doors.items():
        for garage in door.between:
            room = beyond(door, garage)
            inside = home.kind_of_room(room).inside
            if home.is_garage(garage) and inside and not home.is_garage(room):
                yield name, door, f"joins the garage to '{name_of(home, room)}'"


@rule_by(
    "fire", "flat-door-minutes",
    identifier="fire.flat-entrance-door",
    says="The entrance door of a flat holds back fire and smoke.",
)  # fmt: skip
def flat_doors_hold_back_fire(home: Survey, table: Table) -> Iterator[Problem]:
    yield from _letting_fire_through(_flat_doors(home), table.number("flat-door-minutes"))


@rule_by(
    "fire", "flat-door-minutes",
    identifier="fire.flat-entrance-door-closes",
    says="The entrance door of a flat closes by itself.",
)  # fmt: skip
def flat_doors_close(home: Survey, _: Table) -> Iterator[Problem]:
    yield from _staying_open(_flat_doors(home))


def _flat_doors(home: Survey) -> Iterator[FireDoor]:
    """The doors between a flat and what it shares with others."""
    for name, door in home.home.doors.items():
        for room in door.between:
            place = beyond(door, room)
            inside = home.kind_of_room(room).inside
            if is_flat(home) and inside and home.kind_of_room(place).shared:
                yield name, door, f"leads to '{name_of(home, place)}', which is shared"


@rule_by(
    "fire", "protected-stair-above", "stair-door-minutes",
    identifier="fire.protected-stair",
    says="Fire doors part the stair to a high storey from the rooms in which a fire can start.",
)  # fmt: skip
def high_stairs_have_fire_doors(home: Survey, table: Table) -> Iterator[Problem]:
    above, minutes = table.number("protected-stair-above"), table.number("stair-door-minutes")
    ends = high_stairs(home, above)
    for name, door, hall, room in doors_onto(home, halls_from(home, ends, minutes)):
        if not holds_back(door, minutes):
            yield Problem(
                rating_at(name, door),
                f"The stair goes up to {metres(top_of_stairs(home))} above the ground, and '{door.name}'"
                f" between '{name_of(home, hall)}' and '{name_of(home, room)}' {rated(door)}.",
                f"Above {metres(above)}, fit a fire door of {minutes:.0f} minutes or more: FD{minutes:.0f}.",
            )


@rule_by(
    "fire", "protected-stair-above", "stair-door-minutes",
    identifier="fire.stair-leads-out",
    says="The stair of a high storey comes down to a hall with a door out of the home.",
)  # fmt: skip
def high_stairs_lead_out(home: Survey, table: Table) -> Iterator[Problem]:
    above, minutes = table.number("protected-stair-above"), table.number("stair-door-minutes")
    halls = halls_from(home, high_stairs(home, above), minutes)
    if halls and not leads_out(home, halls):
        lowest = min(halls, key=home.height_above_ground)
        yield Problem(
            ("rooms", lowest),
            f"The stair goes up to {metres(top_of_stairs(home))} above the ground, and no hall that it"
            " comes down to has a door out of the home.",
            f"Above {metres(above)}, people go down the stair and straight out: draw that door.",
        )


FIRE_DOORS: tuple[HomeRule, ...] = (
    ratings_can_be_read,
    openings_are_not_rated,
    garage_doors_hold_back_fire,
    garage_doors_close,
    flat_doors_hold_back_fire,
    flat_doors_close,
    high_stairs_have_fire_doors,
    high_stairs_lead_out,
)
