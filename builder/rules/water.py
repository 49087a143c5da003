"""Water: what turns it off, where a person can reach it, and how hot it is."""

from collections.abc import Iterator, Mapping, Sequence

from builder.errors import Severity
from builder.home.survey import Survey
from builder.model.equipment import Equipment
from builder.rules.measures import metres, over, quoted
from builder.rules.reference import Table
from builder.rules.routes import name_of
from builder.rules.rule import HomeRule, Problem, rule, rule_by


def unmatched(wanted: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """The things that stay without a partner when as many as possible have one (Kuhn, 1955).

    ``wanted`` names for each thing the partners that could serve it, the likeliest first.
    """
    partner_of: dict[str, str] = {}

    def served(thing: str, tried: set[str]) -> bool:
        for each in wanted[thing]:
            if each not in tried:
                tried.add(each)
                if each not in partner_of or served(partner_of[each], tried):
                    partner_of[each] = thing
                    return True
        return False

    return tuple(thing for thing in wanted if not served(thing, set()))


_SHUT = "common practice: each fitting can be shut off by itself"
_IN_REACH = 1.8
"""Metres above the floor that a person reaches without a ladder (common practice)."""
_FAR = 15.0
"""Metres that a person walks to the stopcock while water runs (common practice)."""
_MACHINES = ("dishwasher", "washing-machine", "washer-dryer")


@rule(
    "water.outside-tap-valve", "Each outside tap has a valve inside the home.",
    basis="common practice: an outside tap is shut off inside and drained before frost",
)  # fmt: skip
def outside_taps_have_a_valve(home: Survey) -> Iterator[Problem]:
    taps = [name for name, _ in home.pieces("outside-tap")]
    valves = [
        name
        for name, piece in home.pieces("outside-tap-valve")
        if home.kind_of_room(piece.room).inside
    ]
    for tap in unmatched(_likeliest(taps, valves)):
        yield Problem(
            ("equipment", tap),
            f"'{tap}' has no valve inside the home: outside taps {len(taps)}, valves {len(valves)}.",
            "Add an outside-tap-valve in the room where its pipe leaves the home.",
        )


def _likeliest(taps: list[str], valves: list[str]) -> dict[str, list[str]]:
    """For each tap every valve, the one that is named for it first; taps with such a valve first."""
    own = {tap: [valve for valve in valves if valve.startswith(f"{tap}-")] for tap in taps}
    ordered = sorted(taps, key=lambda tap: not own[tap])
    return {tap: own[tap] + valves for tap in ordered}


@rule(
    "water.appliance-valve", "Each machine that fills with water has a valve of its own near it.",
    basis=_SHUT,
)  # fmt: skip
def machines_have_a_valve(home: Survey) -> Iterator[Problem]:
    machines = dict(home.pieces(*_MACHINES))
    wanted = _valves_near(home, machines)
    for name in unmatched(wanted):
        near = wanted[name]
        rivals = [each for each in machines if set(wanted[each]) & set(near)]
        alone = f"'{name}' has no appliance valve in '{name_of(home, machines[name].room)}' or beside it."
        yield Problem(
            ("equipment", name),
            f"{quoted(rivals)} have only {quoted(near)} near them." if near else alone,
            "Add an appliance valve for each machine, and say what it serves.",
        )


def _valves_near(home: Survey, machines: dict[str, Equipment]) -> dict[str, list[str]]:
    """For each machine the valves of its room, then those of rooms beside; own rooms first."""
    valves = dict(home.pieces("appliance-valve"))
    rooms = {valve.room for valve in valves.values()}
    ordered = sorted(machines, key=lambda name: machines[name].room not in rooms)
    return {name: _valves_in_reach(home, machines[name], valves) for name in ordered}


def _valves_in_reach(home: Survey, piece: Equipment, valves: dict[str, Equipment]) -> list[str]:
    """The valves in the room of a piece, then those in rooms beside it."""
    own = [name for name, valve in valves.items() if valve.room == piece.room]
    beside = [name for name, valve in valves.items() if _beside(home, piece.room, valve.room)]
    return own + beside


def _beside(home: Survey, one: str, other: str) -> bool:
    """Whether two rooms of one floor have a wall or a door between them."""
    if one == other or not home.on_one_floor(one, other):
        return False
    wall = home.shared_wall(one, other)
    doors = any({one, other} == set(door.between) for door in home.home.doors.values())
    return doors or (wall is not None and wall.length > 0)


@rule("water.toilet-valve", "Each toilet can be shut off by itself, where it stands.", basis=_SHUT)
def toilets_have_a_valve(home: Survey) -> Iterator[Problem]:
    valves = dict(home.pieces("isolating-valve"))
    for name, piece in home.pieces("toilet"):
        rooms = {valve.room for valve in valves.values()}
        cupboards = {room for room in rooms if _beside(home, piece.room, room) and _is_cupboard(home, room)}  # fmt: skip
        if piece.room not in rooms and not cupboards:
            yield Problem(
                ("equipment", name),
                f"'{name}' has no isolating valve in '{name_of(home, piece.room)}', or in a cupboard beside it.",
                "Add the isolating valve on its pipe, and say what it serves.",
            )


def _is_cupboard(home: Survey, room: str) -> bool:
    kind = home.kind_of_room(room)
    lived_in = kind.habitable or kind.circulation or kind.extract is not None
    return kind.inside and kind.floor_area and not lived_in


@rule(
    "water.boiling-tap-valve", "A boiling water tap can be shut off by itself, where it stands.",
    basis=_SHUT,
)  # fmt: skip
def boiling_taps_have_a_valve(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces("boiling-tap"):
        if not any(home.pieces("isolating-valve", room=piece.room)):
            yield Problem(
                ("equipment", name),
                f"'{name}' has no isolating valve in '{name_of(home, piece.room)}'.",
                "Add the isolating valve on the pipe into its tank.",
            )


@rule(
    "water.room-without-isolation",
    "From each room with water a person can shut it off: there, or at a stopcock that is walked to inside.",
    basis="common practice: a leak is stopped before it does harm",
)  # fmt: skip
def wet_rooms_can_be_shut_off(home: Survey) -> Iterator[Problem]:
    shut = frozenset(name for name in home.home.rooms if not home.kind_of_room(name).inside)
    stopcocks = {piece.room for _, piece in home.pieces("stopcock")}
    if not any(
        home.home.kinds[piece.kind].turns_off == "water" for piece in home.home.equipment.values()
    ):
        return
    for room, _ in home.wet_rooms():
        valves = any(home.pieces("isolating-valve", room=room))
        if not valves and not stopcocks & home.ways.reached(room, shut=shut):
            yield Problem(
                ("rooms", room),
                f"In '{name_of(home, room)}' nothing shuts off the water, and no stopcock is reached from it inside the home.",
                "Add an isolating valve there, or the doors on the way to the stopcock.",
            )


@rule(
    "water.stopcock-out-of-reach", "A person reaches the stopcock without a ladder.",
    basis="common practice: it is turned in a hurry, and by anybody",
)  # fmt: skip
def stopcocks_are_in_reach(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces("stopcock"):
        room = f"'{name_of(home, piece.room)}'"
        if home.is_loft(piece.room):
            wrong = f"'{name}' is in {room}: it is reached by a ladder."
            yield Problem(("equipment", name, "room"), wrong, "Move it to where people live.")
        elif piece.height is not None and over(piece.height, _IN_REACH):
            wrong = f"'{name}' is {metres(piece.height)} above the floor of {room}."
            right = f"Move it to {metres(_IN_REACH)} or lower."
            yield Problem(("equipment", name, "height"), wrong, right)


@rule(
    "water.stopcock-far", "The stopcock is a short walk from every room of its floor.",
    severity=Severity.NOTE, basis="common practice: water runs while a person walks",
)  # fmt: skip
def stopcocks_are_near(home: Survey) -> Iterator[Problem]:
    stopcocks = dict(home.pieces("stopcock"))
    for name, piece in stopcocks.items():
        length, room = _longest_walk(home, piece)
        if len(stopcocks) == 1 and over(length, _FAR):
            yield Problem(
                ("equipment", name, "at"),
                f"From '{name}' it is {metres(length)} on foot to the far corner of '{name_of(home, room)}'.",
                f"Over {metres(_FAR)}, consider a second one, and show both to the buyer.",
            )


def _longest_walk(home: Survey, piece: Equipment) -> tuple[float, str]:
    """Metres to the corner of the piece's floor that is farthest on foot, and the room of it."""
    lengths = [
        (home.ways.farthest((piece.room, piece.at), room), room)
        for room, _ in home.living(home.storey_of(piece.room))
        if piece.at is not None and room in home.outlines
    ]
    return max((each for each in lengths if each[0] < float("inf")), default=(0.0, ""))


@rule_by(
    "water", "bath-hottest",
    identifier="water.bath-too-hot", says="The water at a bath cannot scald.",
)  # fmt: skip
def baths_cannot_scald(home: Survey, table: Table) -> Iterator[Problem]:
    most = table.number("bath-hottest")
    for name, piece in home.pieces("blending-valve"):
        set_at = _number_of(piece, "set-at")
        if set_at is not None and over(set_at, most):
            yield Problem(
                ("equipment", name, "facts", "set-at"),
                f"'{name}' is set at {set_at:g} °C.",
                f"Have it set at {most:g} °C or less.",
            )


def _number_of(piece: Equipment, fact: str) -> float | None:
    """A fact that is a number; none where it is not stated, or is of another type."""
    value = piece.facts.get(fact)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


@rule_by(
    "water", "blending-valve-preset",
    identifier="water.blending-valve-not-set",
    says="What a blending valve is set at is measured and recorded.",
    severity=Severity.NOTE,
)  # fmt: skip
def blending_valves_are_set(home: Survey, table: Table) -> Iterator[Problem]:
    for name, piece in home.pieces("blending-valve"):
        if _number_of(piece, "set-at") is None and "set-at" in home.home.kinds[piece.kind].facts:
            yield Problem(
                ("equipment", name),
                f"'{name}' does not say what it is set at.",
                f"Measure the water at the tap, and add 'set-at' to its 'facts': {table.number('blending-valve-preset'):g} is usual.",
            )


@rule_by(
    "water", "bath-limited",
    identifier="water.bath-without-blending",
    says="A bath has a blending valve.",
)  # fmt: skip
def baths_have_a_blending_valve(home: Survey, _: Table) -> Iterator[Problem]:
    """A bathroom with no shower has a bath, unless what is drawn in it says otherwise; with a shower,
    nothing tells whether it has one."""
    for room, row in home.wet_rooms():
        tempered = any(home.pieces("blending-valve", "shower", room=room))
        if row == "bathroom" and not tempered and _may_have_a_bath(home, room):
            yield Problem(
                ("rooms", room),
                f"'{name_of(home, room)}' has no shower, so it has a bath, and no blending valve is recorded.",
                "Add the blending valve of the bath, or the shower.",
            )


def _may_have_a_bath(home: Survey, room: str) -> bool:
    """Whether a bath is drawn in a room, or neither a tray nor the kind of room speaks of a shower."""
    drawn = {each.drawn for each in home.home.fittings.values() if each.room == room}
    shower = "shower-tray" in drawn or home.home.rooms[room].kind == "shower-room"
    return "bath" in drawn or not shower


@rule_by(
    "water", "stored-at-least",
    identifier="water.stored-too-cool",
    says="Hot water is stored hot enough, or heated so once a week, to kill bacteria.",
)  # fmt: skip
def stored_water_is_hot(home: Survey, table: Table) -> Iterator[Problem]:
    least = table.number("stored-at-least")
    for name, piece in home.pieces("hot-water-cylinder"):
        stored, weekly = _number_of(piece, "stored-at"), _number_of(piece, "weekly-at")
        if stored is not None and max(stored, weekly or stored) < least:
            also = f", heated to {weekly:g} °C once a week" if weekly is not None else ""
            yield Problem(
                ("equipment", name, "facts", "stored-at" if weekly is None else "weekly-at"),
                f"'{name}' keeps water at {stored:g} °C{also}.",
                f"Store it at {least:g} °C or more, or heat it to that once a week and add 'weekly-at'.",
            )


@rule(
    "water.two-stopcocks-named-alike", "Two stopcocks have names that tell them apart.",
    severity=Severity.NOTE, basis="common practice: a person on the telephone must find the right one",
)  # fmt: skip
def stopcocks_have_names(home: Survey) -> Iterator[Problem]:
    seen: dict[str, str] = {}
    for name, piece in home.pieces("stopcock", "external-stop-tap"):
        called = piece.name or home.home.kinds[piece.kind].name
        if called in seen:
            yield Problem(
                ("equipment", name),
                f"{quoted((seen[called], name))} are both called '{called}'.",
                "Give each a 'name' that says what it shuts off: Stopcock for the annexe.",
            )
        seen.setdefault(called, name)


WATER: tuple[HomeRule, ...] = (
    outside_taps_have_a_valve,
    machines_have_a_valve,
    toilets_have_a_valve,
    boiling_taps_have_a_valve,
    wet_rooms_can_be_shut_off,
    stopcocks_are_in_reach,
    stopcocks_are_near,
    baths_cannot_scald,
    blending_valves_are_set,
    baths_have_a_blending_valve,
    stored_water_is_hot,
    stopcocks_have_names,
)
