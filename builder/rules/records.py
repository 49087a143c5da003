"""What is recorded beside the plan: who to call, meters, keys, finishes, and layers that say something."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

from builder.errors import Severity
from builder.home.assemble import TracedHome
from builder.home.survey import Survey
from builder.layers.merge import Merged, leaves
from builder.rules.measures import quoted
from builder.rules.rule import HomeRule, Problem, rule, rule_of_layers

_LAYERS = "house rule: a layer says only what differs from the layers below it"
_CALLS = "common practice: a buyer is told whom to call, day and night"
_TOLD_APART = "common practice: a guide tells things apart by their names and places"
_METERED = ("water", "gas", "electricity")


@rule_of_layers("options.change-nothing", "An option changes something.", basis=_LAYERS)
def options_change_something(traced: TracedHome) -> Iterator[Problem]:
    changing: set[str] = set()
    for name, section in (traced.merged.children or {}).items():
        if name != "options":
            changing |= traced.kept.once(_options_that_change, section)
    for name, option in traced.home.options.items():
        if f"option {name}" not in changing:
            yield Problem(
                ("options", name),
                f"The option '{option.name}' changes nothing in this home.",
                "Take it off the plot, or write in its file what it changes.",
            )


def _options_that_change(section: Merged) -> frozenset[str]:
    """The layers of options that say something new in a section."""
    return frozenset(
        said.layer
        for _, leaf in leaves(section)
        for said in leaf.sayings
        if said.layer.startswith("option ") and _changes(leaf, said.layer)
    )


def _changes(leaf: Merged, layer: str) -> bool:
    """Whether a layer said in one place what no lower layer had said.

    What it said inside of a record that a later layer took away is not kept, and counts as change.
    """
    taken_away = leaf.removed and any(each.layer == layer for each in leaf.sayings[:-1])
    first = bool(leaf.sayings) and leaf.sayings[0].layer == layer
    return (
        first
        or taken_away
        or any(
            said.layer == layer and said.value != below.value
            for below, said in pairwise(leaf.sayings)
        )
    )


@rule_of_layers(
    "departures.repeat-their-layer", "A departure says only what differs from its layers.",
    basis=_LAYERS,
)  # fmt: skip
def departures_differ(traced: TracedHome) -> Iterator[Problem]:
    for name, section in (traced.merged.children or {}).items():
        yield from traced.kept.once(_repeated_values, section, name)


def _repeated_values(section: Merged, name: str) -> tuple[Problem, ...]:
    return tuple(
        Problem(
            address,
            f"The {said.layer} says what the {below.layer} says already: {_as_written(said.value)}.",
            "Take this line out, or write what was built.",
        )
        for address, leaf in leaves(section, (name,))
        for below, said in pairwise(leaf.sayings[-2:])
        if said.layer.startswith("departure ") and said.value == below.value
    )


def _as_written(value: object) -> str:
    """A value as its author wrote it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return f"[{', '.join(map(str, value))}]"
    return str(value)


@rule("contacts.no-emergency", "Somebody is named to call in an emergency.", basis=_CALLS)
def somebody_is_called_in_an_emergency(home: Survey) -> Iterator[Problem]:
    if not any(contact.emergency for contact in home.home.contacts.values()):
        yield Problem(
            ("contacts",),
            "No contact is for emergencies.",
            "Add one to 'contacts' with 'emergency: true' and its telephone number.",
        )


@rule("contacts.emergency-without-telephone", "An emergency contact has a telephone.", basis=_CALLS)
def emergency_contacts_have_a_telephone(home: Survey) -> Iterator[Problem]:
    for name, contact in home.home.contacts.items():
        if contact.emergency and contact.telephone is None:
            yield Problem(
                ("contacts", name),
                f"'{contact.name}' is for emergencies, and has no telephone number.",
                "Add 'telephone:', or take out 'emergency'.",
            )


@rule("contacts.no-customer-care", "A buyer is told who mends faults.", basis=_CALLS)
def somebody_mends_faults(home: Survey) -> Iterator[Problem]:
    if "customer-care" not in home.home.contacts:
        yield Problem(
            ("contacts",),
            "No contact 'customer-care' says who mends faults in this home.",
            "Add it to 'contacts' of the builder standard.",
        )


@rule(
    "utilities.without-meter", "Water, gas and electricity that are supplied have a meter.",
    basis="common practice: the meters are read on handover day",
)  # fmt: skip
def supplies_have_a_meter(home: Survey) -> Iterator[Problem]:
    for name, utility in home.home.utilities.items():
        unmetered = name == "water" and home.home.water and home.home.water.metered is False
        if name in _METERED and utility.meter is None and utility.when is None and not unmetered:
            yield Problem(
                ("utilities", name),
                f"No meter is recorded for {name}.",
                "Name the equipment that counts it in 'meter'.",
            )


@rule(
    "keys.none", "The keys that are handed over are recorded.",
    basis="common practice: keys are counted on handover day",
)  # fmt: skip
def keys_are_recorded(home: Survey) -> Iterator[Problem]:
    if not home.home.keys:
        yield Problem(
            ("house_type",),
            "No keys of this home are recorded.",
            "Add each sort to 'keys', with its count and what it opens.",
        )


@rule(
    "finishes.none", "The finishes are recorded.",
    basis="common practice: an owner asks for the paint and the tiles years later",
    severity=Severity.NOTE,
)  # fmt: skip
def finishes_are_recorded(home: Survey) -> Iterator[Problem]:
    if not home.home.finishes:
        yield Problem(
            ("house_type",),
            "No finishes of this home are recorded.",
            "Add paint, tiles, floors and worktops to 'finishes', room by room.",
        )


@rule("names.twice", "Each room of a home has a name of its own.", basis=_TOLD_APART)
def rooms_have_names_of_their_own(home: Survey) -> Iterator[Problem]:
    called: dict[str, list[str]] = defaultdict(list)
    for name, room in home.home.rooms.items():
        called[room.name.casefold()].append(name)
    for first, *others in called.values():
        for name in others:
            yield Problem(
                ("rooms", name, "name"),
                f"The rooms {quoted([first, name])} are both called '{home.home.rooms[name].name}'.",
                "Give each a name of its own.",
            )


@rule(
    "names.equipment-twice", "Two pieces of one kind in a room are told apart.", basis=_TOLD_APART
)
def equipment_is_told_apart(home: Survey) -> Iterator[Problem]:
    first: dict[tuple[str, ...], str] = {}
    for name, piece in home.home.equipment.items():
        called = piece.name or home.home.kinds[piece.kind].name
        said = (piece.kind, piece.room, called.casefold(), piece.place.casefold())
        if said in first:
            yield Problem(
                ("equipment", name, "place"),
                f"{quoted([first[said], name])} have one name and one place: '{piece.place}'.",
                "Say in 'place' or 'name' which is which.",
            )
        first.setdefault(said, name)


RECORDS: tuple[HomeRule, ...] = (
    options_change_something,
    departures_differ,
    somebody_is_called_in_an_emergency,
    emergency_contacts_have_a_telephone,
    somebody_mends_faults,
    supplies_have_a_meter,
    keys_are_recorded,
    finishes_are_recorded,
    rooms_have_names_of_their_own,
    equipment_is_told_apart,
)
