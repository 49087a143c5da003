"""Words that only other homes may read: those of kinds, fuels and conditions that a home has not."""

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from builder.layers.memo import Memo
from builder.model.home import Home
from builder.model.record import entries_of
from builder.selection.conditions import Judge, fuels_in, kinds_in, work_of

Words = Mapping[str, str]
"""Words in small letters, each with the name of what a home has of which they may be read."""

_GENERAL = frozenset({
    "kinds", "fuels", "conditions", "roles", "systems", "room_kinds", "matters", "covers", "contacts",
    "terms", "documents", "nation", "waivers", "positions", "keys",
})  # fmt: skip
"""Sections that say nothing of this one home: what stands there was written for many."""


def words_of_others(home: Home, kept: Memo | None = None) -> Words:
    """The words that this home may not read, each with whose they are.

    A word of which one owner is here may be read; so may one that its own data says.
    """
    here = {kind for name, _ in kinds_in(home) for kind in work_of(name, home)}
    kept = kept or Memo()
    fuels, judge = {fuel for fuel, _ in fuels_in(home)}, Judge(home, kept)
    owned = [
        *((kind.words, kind.name, name in here) for name, kind in home.kinds.items()),
        *((fuel.words, fuel.name, name in fuels) for name, fuel in home.fuels.items()),
        *((each.words, each.says, judge.is_so(name)) for name, each in judge.named.items()),
    ]
    allowed = {word.lower() for words, _, present in owned if present for word in words}
    others = {
        word.lower(): owner for words, owner, present in owned if not present for word in words
    }
    said = _own_words(home, kept)
    return {
        word: owner
        for word, owner in sorted(others.items())
        if word not in allowed and word not in said
    }


def _own_words(home: Home, kept: Memo) -> str:
    """All that is written of this home itself, in small letters. A contact without a condition is one of
    its own: whoever mends the lift inside a house is called for "the lift"."""
    sections = [getattr(home, name) for name in Home.model_fields if name not in _GENERAL]
    callable_here = [each for each in home.contacts.values() if each.when is None]
    return "\n".join(kept.once(_words_in, each) for each in (*sections, *callable_here))


def _words_in(section: Any) -> str:
    """All that is written in a section of a home, in small letters."""
    return "\n".join(text.lower() for text in _texts(section))


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, BaseModel):
        yield from _texts(tuple(entries_of(value).values()))
    elif isinstance(value, Mapping):
        yield from _texts(tuple(value.values()))
    elif isinstance(value, tuple):
        for each in value:
            yield from _texts(each)
