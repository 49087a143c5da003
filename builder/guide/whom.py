"""Whom to call for a thing: answered here for articles, stickers, symptoms and reports of faults."""

from collections.abc import Iterable, Mapping
from functools import reduce
from typing import Any, Protocol

from builder.errors import suggestion
from builder.guide.prose import Markdown, escaped
from builder.guide.view import MissingValueError
from builder.home.roles import DANGER_FIRST, NETWORK
from builder.languages.language import Language

CARE = "customer-care"
"""The role of whoever is called for what names nobody of its own."""


class CalledFor(Protocol):
    """A piece or an emitter: ``call`` is the id of the contact that it, or its kind, names."""

    @property
    def title(self) -> str: ...
    @property
    def call(self) -> str | None: ...


class Named(CalledFor, Protocol):
    """A piece; ``own_call``: it names whom to call by itself, and not by its kind."""

    @property
    def own_call(self) -> bool: ...


def own_contact(
    thing: CalledFor, contacts: Mapping[str, Mapping[str, Any]]
) -> Mapping[str, Any] | None:
    """Whom the home says to call for a thing, of its contacts by their ids. Nobody where that is somebody
    for emergencies, whom a danger names first, or where there is no number."""
    found = contacts.get(thing.call or "")
    return found if found and found["telephone"] and not found["emergency"] else None


def firm_for(
    thing: CalledFor, contacts: Mapping[str, Mapping[str, Any]]
) -> Mapping[str, Any] | None:
    """The same for an article, which names no danger beside: a firm that answers day and night is called,
    and nobody for a thing whose kind names a number for danger to life, such as a gas meter's."""
    found = contacts.get(thing.call or "")
    return (
        found
        if found and found["telephone"] and (_mends(found) or need(found) == len(DANGER_FIRST))
        else None
    )


def named_contact(
    piece: Named, contacts: Mapping[str, Mapping[str, Any]]
) -> Mapping[str, Any] | None:
    """The same for a symptom: also a firm that answers day and night, where the piece itself names it,
    as the firm of a pump or a stair lift."""
    return own_contact(piece, contacts) or (firm_for(piece, contacts) if piece.own_call else None)


def _mends(contact: Mapping[str, Any]) -> bool:
    """Whether somebody who is called when the power is off is no network, but keeps what makes it here."""
    return NETWORK in contact["roles"] and contact["id"] != NETWORK


def need(contact: Mapping[str, Any]) -> int:
    """How early somebody is called in danger: the place of the first role; behind all of them without one."""
    roles = (contact["id"], *contact["roles"])
    return next((at for at, role in enumerate(DANGER_FIRST) if role in roles), len(DANGER_FIRST))


def whom_to_call(
    things: Iterable[CalledFor], contacts: Mapping[str, Mapping[str, Any]], language: Language
) -> Markdown:
    """Name and number of whom to call for some things, as in "Call …": customer care where they name nobody
    of their own. Where they differ, each is followed by its things. ``contacts``: by ids and by roles, their
    numbers ready to be dialled.

    MissingValueError: it is customer care, and this home has none.
    """
    named: dict[str, list[str]] = {}
    for each in things:
        contact = firm_for(each, contacts) or _care(contacts)
        named.setdefault(contact["id"], []).append(each.title)
    if not named:
        named[_care(contacts)["id"]] = []
    told = [
        _told(contacts[name], titles if len(named) > 1 else [], language)
        for name, titles in named.items()
    ]
    return reduce(
        lambda one, two: Markdown(language.say("%(one)s, or %(two)s", one=one, two=two)), told
    )


def _told(contact: Mapping[str, Any], titles: list[str], language: Language) -> Markdown:
    name, number = escaped(contact["name"]), contact["telephone"]
    told = language.say("%(name)s on %(number)s", name=name, number=number) if number else name
    return Markdown(f"{told} ({escaped(language.listed(titles))})" if titles else told)


def _care(contacts: Mapping[str, Mapping[str, Any]]) -> Mapping[str, Any]:
    if CARE not in contacts:
        raise MissingValueError(
            f"'contacts' has no '{CARE}'.\n{suggestion(CARE, tuple(contacts), 'It has')}"
        )
    return contacts[CARE]
