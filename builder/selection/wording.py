"""Words of the home in texts that are data: ``{term:completion}``, ``{call:gas-emergency}``.

The body of an article is a template and asks for ``terms`` and ``contacts``. Its front matter and what
is said at a demonstration are data, in which no template runs: there these markers stand for the
words of the home's nation, and for whoever has a role: ``{telephone:ROLE}`` for the number alone,
``{call:ROLE}`` for name and number; without one of that role whoever the role names ``otherwise``, and
where it names nobody the emergency services.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from frozendict import frozendict
from pydantic import BaseModel

from builder.home.roles import Called, called_for, holder_of
from builder.home.spoken import speaks_otherwise, spoken
from builder.layers.memo import Memo
from builder.model.article import Article
from builder.model.condition import Role
from builder.model.home import Home
from builder.model.people import Contact
from builder.model.record import PLAIN, entries_of

T = TypeVar("T")
_NOTHING: frozenset[str] = frozenset()
MARKER = re.compile(r"\{(term|telephone|call):([a-z0-9-]+)\}")
NO_NUMBER = "the number on your emergency page"
"""What stands for the number of a contact that has none."""


def markers_in(value: Any) -> Iterator[tuple[str, str]]:
    """Every marker in the texts of a record, at any depth: its section and its name."""
    if isinstance(value, str):
        yield from MARKER.findall(value)
    if not isinstance(value, PLAIN):
        for each in _inside(value):
            yield from markers_in(each)


def worded(value: T, home: Home, kept: Memo | None = None, kinds: frozenset[str] = _NOTHING) -> T:
    """A record, or several of them, with the words of a home's nation in place of all markers. ``kinds``: of
    the things that it is about; whom these name of their own is called in place of whoever has the role."""
    kept = kept or Memo()
    calls = bool(kinds) and kept.once(_calls_in, value)
    own = kept.same(called_for(kinds, home) if calls else ())
    found: T = kept.once(_worded_by, value, home.terms, home.contacts, home.roles, own)
    return found


def worded_by_kind(showings: Mapping[str, T], home: Home, kept: Memo) -> Mapping[str, T]:
    """The same of records by the kind that each is about; the very same for homes alike."""
    found = [worded(each, home, kept, kept.same(frozenset({name}))) for name, each in showings.items()]  # fmt: skip
    names = kept.same(tuple(showings))
    return kept.made_from((frozendict, names, *found), lambda: frozendict(zip(names, found, strict=True)))  # fmt: skip


def _calls_in(value: Any) -> bool:
    """Whether a record names anybody to call."""
    return any(section != "term" for section, _ in markers_in(value))


def _worded_by(
    value: Any, terms: Mapping[str, str], contacts: Mapping[str, Contact], roles: Mapping[str, Role],
    own: tuple[Called, ...],
) -> Any:  # fmt: skip
    calls = dict(own)

    def marked(found: re.Match[str]) -> str:
        words = named(*found.groups()) or found[0]
        return words if found.start() else f"{words[0].upper()}{words[1:]}"

    def named(section: str, name: str) -> str | None:
        if section == "term":
            return terms.get(name)
        contact = contacts.get(holder_of(name, contacts) or name)
        if section == "call" and name in calls:
            return _each_with_things(calls[name], contacts)
        if section == "call":
            if contact is None and name in roles and (otherwise_called := roles[name].otherwise):
                return otherwise_called
            return _name_and_number(contact or contacts.get("emergency-services"))
        return NO_NUMBER if contact is None or contact.telephone is None else str(contact.telephone)

    otherwise = speaks_otherwise(terms)
    if not otherwise and not any(markers_in(value)):
        return value

    def said(text: str) -> str:
        filled = MARKER.sub(marked, text)
        return spoken(filled, terms) if otherwise else filled

    return _replaced(value, said)


def _each_with_things(
    named: tuple[tuple[str, tuple[str, ...]], ...], contacts: Mapping[str, Contact]
) -> str:
    """Whom things name, by name and number; each with its things where they name several."""
    told = {_name_and_number(contacts.get(each)): things for each, things in named}
    if len(told) == 1:
        return next(iter(told))
    return "; ".join(
        f"{each} ({', '.join(dict.fromkeys(things))})" for each, things in told.items()
    )


def _name_and_number(contact: Contact | None) -> str:
    """The name and the number of somebody to call."""
    if contact is None:
        return NO_NUMBER
    return f"{contact.name}, {contact.telephone}" if contact.telephone else str(contact.name)


def _replaced(value: Any, said: Callable[[str], str]) -> Any:
    if isinstance(value, PLAIN):
        return said(value) if isinstance(value, str) else value
    if isinstance(value, Article):
        return replace(value, front=_replaced(value.front, said))
    if isinstance(value, BaseModel):
        changed = {name: _replaced(each, said) for name, each in entries_of(value).items()}
        return value.model_copy(update=changed)
    if isinstance(value, Mapping):
        return type(value)({key: _replaced(each, said) for key, each in value.items()})  # type: ignore[call-arg]
    if isinstance(value, tuple):
        return tuple(_replaced(each, said) for each in value)
    return value


def _inside(value: Any) -> Iterator[Any]:
    if isinstance(value, Article):
        yield value.front
    elif isinstance(value, BaseModel):
        yield from entries_of(value).values()
    elif isinstance(value, Mapping):
        yield from value.values()
    elif isinstance(value, tuple):
        yield from value
