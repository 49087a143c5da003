"""Who does what: contacts by the role that a text, a kind or a rule asks for, and the builder's name."""

from collections.abc import Iterator, Mapping

from builder.languages.language import FIRST, Language, to_say
from builder.layers.memo import Memo
from builder.model.home import Home
from builder.model.people import Contact
from builder.model.record import ById

MADE_UP = to_say("made up: this home, its names and its builder's numbers are not real")
"""What every page and paper of an invented development says, beside the name of its builder."""


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
        if name in changed and holder_of(role, changed) is None:
            roles = (*changed[name].roles, role)
            changed[name] = changed[name].model_copy(update={"roles": roles})
    return type(contacts)(changed) if changed != dict(contacts) else contacts  # type: ignore[call-arg]


def builder_name(home: Home, language: Language = FIRST) -> str:
    """The builder of a home, with a word of warning where all about it is invented."""
    name = home.builder.name
    return f"{name} ({language.text(MADE_UP)})" if home.development.invented else name
