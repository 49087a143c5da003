"""Who does what: contacts by the role that a text, a kind or a rule asks for, and the builder's name."""

from collections.abc import Iterator, Mapping, Set

from builder.languages.language import FIRST, Language, to_say
from builder.layers.memo import Memo
from builder.model.equipment import Equipment, Kind
from builder.model.home import Home
from builder.model.people import Contact
from builder.model.record import ById

MADE_UP = to_say("made up: this home, its names and its builder's numbers are not real")
"""What every page and paper of an invented development says, beside the name of its builder."""

NETWORK = "power-cut"
"""Whom a nation names for a power cut: the network, which answers for no home that makes its own electricity."""

DANGER_FIRST = ("emergency-services", "gas-emergency", "lpg-emergency", NETWORK)
"""Roles that are called before all others, in this order (common practice: danger to life first)."""


def holder_of(role: str, contacts: Mapping[str, Contact]) -> str | None:
    """The id of the contact that has a role: that of its own id, or one under its ``roles``."""
    if role in contacts:
        return role
    return next((name for name, each in contacts.items() if role in each.roles), None)


def with_supplies(home: Home, kept: Memo) -> Home:
    """The home in which whoever a supply names has the role of that supply, and whoever a piece names that of
    whoever serves its kind, if nobody has it yet."""
    named = kept.same((*_named_by_supplies(home), *_named_by_pieces(home)))
    contacts = kept.once(_contacts_with_roles, home.contacts, named)
    return home if contacts is home.contacts else home.model_copy(update={"contacts": contacts})


def _named_by_supplies(home: Home) -> Iterator[tuple[str, str]]:
    """The role and the contact of each supply that names one."""
    if home.water and home.water.contact:
        mains = home.water.source == "mains"
        yield "water-company" if mains else "private-water", home.water.contact
    if home.foul_drainage and home.foul_drainage.contact:
        sewer = home.foul_drainage.to == "sewer"
        yield "sewer-company" if sewer else "drains-keeper", home.foul_drainage.contact
    if home.own_electricity:
        yield NETWORK, home.own_electricity.contact
    if home.sprinklers and home.sprinklers.contact:
        yield "sprinkler-engineer", home.sprinklers.contact
    if home.heat_network:
        yield "heat-operator", home.heat_network.operator


def _named_by_pieces(home: Home) -> Iterator[tuple[str, str]]:
    """For each piece that names whom to call, where its kind calls whoever serves it: that role, and that
    contact. A company whose pipe or cable only ends at a piece is not meant."""
    for each in home.equipment.values():
        kind = home.kinds.get(each.kind)
        if each.call and kind and kind.call and kind.call == kind.served_by:
            yield kind.call, each.call


def _contacts_with_roles(
    contacts: ById[Contact], named: tuple[tuple[str, str], ...]
) -> ById[Contact]:
    changed = dict(contacts)
    for role, name in named:
        if role == NETWORK and name in changed and name != NETWORK:
            changed.pop(NETWORK, None)
        if name in changed and holder_of(role, changed) is None:
            roles = (*changed[name].roles, role)
            changed[name] = changed[name].model_copy(update={"roles": roles})
    return type(contacts)(changed) if changed != dict(contacts) else contacts  # type: ignore[call-arg]


Called = tuple[str, tuple[tuple[str, tuple[str, ...]], ...]]
"""A role, and whom the pieces of a thing name for it: each contact's id with what its pieces are called."""


def called_for(kinds: Set[str], home: Home) -> tuple[Called, ...]:
    """For each role of these kinds whom the home's pieces of them name, where one names somebody of its own.
    A role that danger calls first is never another's."""
    found: dict[str, dict[str, list[str]]] = {}
    own = set[str]()
    for piece in home.equipment.values():
        kind = home.kinds[piece.kind]
        if kinds.isdisjoint((piece.kind, *kind.counts_as)):
            continue
        for role, named in _own_of(piece, kind):
            name = named or holder_of(role, home.contacts)
            own.update([role] if named else [])
            if name is not None:
                found.setdefault(role, {}).setdefault(name, []).append(piece.name or kind.name)
    told = ((role, tuple((name, tuple(things)) for name, things in each.items())) for role, each in found.items())  # fmt: skip
    return tuple((role, names) for role, names in told if role in own)


def _own_of(piece: Equipment, kind: Kind) -> Iterator[tuple[str, str | None]]:
    """Each role of a kind, with whom one piece of it names for that role, if anybody."""
    for role in dict.fromkeys(filter(None, (kind.call, kind.served_by))):
        if role not in DANGER_FIRST:
            own = piece.call if role == kind.call else None
            yield role, own or (piece.served_by if role == kind.served_by else None)


def builder_name(home: Home, language: Language = FIRST) -> str:
    """The builder of a home, with a word of warning where all about it is invented."""
    name = home.builder.name
    return f"{name} ({language.text(MADE_UP)})" if home.development.invented else name
