"""The garage, the loft and the garden: as drawn, and who owns the boundaries."""

from collections.abc import Iterator
from itertools import combinations

from shapely.ops import unary_union

from builder.errors import Severity
from builder.home.survey import WALL, Survey
from builder.rules.measures import listed, metres, over
from builder.rules.rule import HomeRule, Problem, rule

_GARAGE = "common practice: a garage is integral, attached or detached as it is drawn"
_BOUNDARIES = "common practice: a buyer is told which boundaries are theirs to keep"
_BUILT = ("integral", "attached", "detached")
_FOR_A_CAR = 1.8
"""Metres: a narrower door lets no car through. Common practice."""
_WASTE = ("refuse", "recycling")
_CARRY, _TO_THE_LORRY = 30, 25
"""Metres (Approved Document H, England, 2015 edition, H6, paragraph 1.8)."""
_WAYS = {"carry": "from the home to", "to_the_lorry": "to the lorry from"}


@rule("garage.room-missing", "A garage that is built has a room in the plan.", basis=_GARAGE)
def garages_have_a_room(home: Survey) -> Iterator[Problem]:
    garage = home.home.garage
    if garage is not None and garage.kind in _BUILT and garage.room is None:
        yield Problem(
            ("garage",),
            f"The garage is {garage.kind}, and no room is named for it.",
            "Add a room of the kind 'garage' to 'rooms', and name it in 'garage.room'.",
        )


@rule(
    "garage.stands-apart", "A garage that is integral or attached touches the home.", basis=_GARAGE
)  # fmt: skip
def joined_garages_touch_the_home(home: Survey) -> Iterator[Problem]:
    garage, between = home.home.garage, _from_the_home(home)
    if garage is None or between is None or garage.kind not in ("integral", "attached"):
        return
    if between > WALL:
        yield Problem(
            ("garage", "kind"),
            f"The garage is {garage.kind}, and stands {metres(between)} from the home.",
            "Make it 'detached', or correct its outline.",
        )


@rule("garage.touches-the-home", "A detached garage stands apart from the home.", basis=_GARAGE)
def detached_garages_stand_apart(home: Survey) -> Iterator[Problem]:
    garage, between = home.home.garage, _from_the_home(home)
    if garage is not None and garage.kind == "detached" and between == 0:
        yield Problem(
            ("garage", "kind"),
            "The garage is detached, and touches the home.",
            "Make it 'integral' or 'attached', or correct its outline.",
        )


def _from_the_home(home: Survey) -> float | None:
    """Metres on the plan from the garage to the rooms of the home; None where it is not drawn."""
    rooms = [home.outlines[name] for name, _ in home.living() if name in home.outlines]
    if home.garage is None or home.garage not in home.outlines or not rooms:
        return None
    return round(home.outlines[home.garage].distance(unary_union(rooms)), 3)


@rule(
    "loft.no-hatch", "There is a way into the loft.",
    basis="common practice: an owner is shown the hatch, and the caution before it",
)  # fmt: skip
def lofts_have_a_way_in(home: Survey) -> Iterator[Problem]:
    if home.home.form == "apartment":
        return  # That it has a loft at all is said by a rule of its own.
    for name, room in home.inside():
        stairs = any(True for _ in home.doors_of(name))
        if home.is_loft(name) and not stairs and not any(home.pieces("loft-hatch")):
            yield Problem(
                ("rooms", name),
                f"No hatch, no door and no stairs lead to '{room.name}'.",
                "Add the hatch to 'equipment', in the room below it: 'kind: loft-hatch'.",
            )


@rule(
    "garage.no-main-door", "A garage has a door that a car comes in by.",
    basis="common practice: a garage is for a car",
)  # fmt: skip
def garages_have_a_main_door(home: Survey) -> Iterator[Problem]:
    garage = home.home.garage
    if garage is None or garage.room is None or garage.kind not in _BUILT or not home.home.doors:
        return
    doors = [door for _, door in home.doors_of(garage.room)]
    if all(door.kind != "garage" and door.drawn_width < _FOR_A_CAR for door in doors):
        yield Problem(
            ("garage",),
            "No door of the garage lets a car in.",
            f"Add its main door to 'doors', between '{garage.room}' and outside: 'kind: garage'.",
        )


@rule(
    "fences.none", "A home with a garden says who owns its boundaries.", basis=_BOUNDARIES,
    severity=Severity.NOTE,
)  # fmt: skip
def gardens_have_boundaries(home: Survey) -> Iterator[Problem]:
    if home.home.lawns and home.home.form != "apartment" and not home.home.fences:
        yield Problem(
            ("lawns",),
            "This home has a garden, and nothing says who owns its boundaries.",
            "Add each side to 'fences', with its owner as the plan of the title marks it.",
        )


@rule(
    "fences.side-unsaid", "Each side of a garden says whose boundary it is.", basis=_BOUNDARIES,
    severity=Severity.NOTE,
)  # fmt: skip
def each_side_has_an_owner(home: Survey) -> Iterator[Problem]:
    said = {each.side for each in home.home.fences.values()}
    lacking = [side for side in ("left", "right", "back") if side not in said]
    if home.home.lawns and home.home.form != "apartment" and said and lacking:
        yield Problem(
            ("fences",),
            f"Nothing says who owns the boundary at the {listed(lacking)}.",
            "Add it to 'fences', with its owner as the plan of the title marks it.",
        )


@rule("fences.side-twice", "Two boundaries on one side say which part is whose.", basis=_BOUNDARIES)
def boundaries_are_told_apart(home: Survey) -> Iterator[Problem]:
    for (first, one), (name, other) in combinations(home.home.fences.items(), 2):
        if one.side == other.side and (one.note is None or other.note is None):
            yield Problem(
                ("fences", name),
                f"'{first}' and '{name}' both stand at the {one.side}.",
                "Take one out, or say in 'note' of each which part it is.",
            )


@rule(
    "gates.way-in-unsaid", "Where a gate stands in the way of help, the way in is said.",
    basis="common practice: who calls for help says how it gets through the gate",
)  # fmt: skip
def the_way_through_a_gate_is_said(home: Survey) -> Iterator[Problem]:
    building = home.home.building
    said = building.help_gets_in if building else None
    for name, gate in home.home.gates.items():
        if gate.on_the_way_in and said is None:
            yield Problem(
                ("gates", name),
                f"Whoever comes to help must pass the gate '{name}', and nothing says how.",
                "Add 'building: {help_gets_in: …}': the way from the road, and how the gate opens.",
            )


@rule(
    "gates.by-hand-unsaid", "A gate with a motor says how it opens by hand.",
    basis="common practice: a power cut shuts nobody in",
)  # fmt: skip
def powered_gates_open_by_hand(home: Survey) -> Iterator[Problem]:
    for name, gate in home.home.gates.items():
        if gate.powered and gate.by_hand is None:
            yield Problem(
                ("gates", name),
                f"A motor opens the gate '{name}', and nothing says how it opens in a power cut.",
                "Add 'by_hand:', in words: turn the key in the box on the post and push.",
            )


@rule(
    "outside.bins-far", "Rubbish is carried no great way, and bins no great way to the lorry.",
    basis="Approved Document H (England, 2015 edition), H6, paragraph 1.8; common practice elsewhere",
)  # fmt: skip
def bins_are_near(home: Survey) -> Iterator[Problem]:
    for name, store in home.home.stores.items():
        ways = (("carry", store.carry, _CARRY), ("to_the_lorry", store.to_the_lorry, _TO_THE_LORRY))
        for field, way, most in ways:
            if store.kind in _WASTE and way is not None and over(way, most):
                yield Problem(
                    ("stores", name, field),
                    f"It is {metres(way)} {_WAYS[field]} '{store.name}'; {most} m is the most.",
                    "Keep the bins nearer, or correct the figure.",
                )


OUTSIDE: tuple[HomeRule, ...] = (
    garages_have_a_room,
    joined_garages_touch_the_home,
    detached_garages_stand_apart,
    lofts_have_a_way_in,
    garages_have_a_main_door,
    gardens_have_boundaries,
    each_side_has_an_owner,
    boundaries_are_told_apart,
    the_way_through_a_gate_is_said,
    powered_gates_open_by_hand,
    bins_are_near,
)
