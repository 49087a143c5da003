"""The words of the home's nation, in place of those that the library is written in.

The library says *stopcock*; in some nation its people say something else, which stands under
``terms``. Every text that ships is brought into the nation's words here, and nowhere else: kinds as a home
is assembled, articles, symptoms and the demonstration as they are chosen, bodies of articles as they are rendered.
"""

import re
from collections.abc import Mapping

from builder.layers.memo import Memo
from builder.model.equipment import Kind
from builder.model.home import Home
from builder.model.record import ById

SAID: Mapping[str, str] = {
    "stopcock": "stopcock",
    "managing agent": "agent",
    "legal completion": "completion-day",
    "council tax": "local-tax",
}
"""What the library says, and the term of a nation that stands for it."""
# An address, an id, a path and a name in a template are no words: what joins them is not let stand beside.
_WORD = re.compile(rf"(?<![\w:/#.{{-])({'|'.join(SAID)})(s?)(?![\w/}}-])", re.IGNORECASE)
_ID = re.compile(r"[a-z0-9-]+")
_SPOKEN_OF_KINDS = ("name", "what", "caution", "without_mains")


def speaks_otherwise(terms: Mapping[str, str]) -> bool:
    """Whether a nation has another word for anything that the library says."""
    return any(terms.get(term, word) != word for word, term in SAID.items())


def spoken(text: str, terms: Mapping[str, str]) -> str:
    """A text of the library in the words of a nation; an id stays what it is."""
    if _ID.fullmatch(text):
        return text
    return _WORD.sub(lambda found: _instead(found, terms), text)


def _instead(found: re.Match[str], terms: Mapping[str, str]) -> str:
    said = found[1]
    word = terms.get(SAID[said.lower()], said)
    if word == said.lower():
        return found[0]
    word = word[:1].upper() + word[1:] if said[0].isupper() else word
    return _plural(word) if found[2] else word


def _plural(word: str) -> str:
    return f"{word[:-1]}ies" if word.endswith("y") else f"{word}s"


def in_own_words(home: Home, kept: Memo) -> Home:
    """The home with its kinds in the words of its nation."""
    kinds = kept.once(_kinds, home.kinds, home.terms)
    return home if kinds is home.kinds else home.model_copy(update={"kinds": kinds})


def _kinds(kinds: ById[Kind], terms: Mapping[str, str]) -> ById[Kind]:
    if not speaks_otherwise(terms):
        return kinds
    return type(kinds)({name: _kind(each, terms) for name, each in kinds.items()})  # type: ignore[call-arg]


def _kind(kind: Kind, terms: Mapping[str, str]) -> Kind:
    said = {name: text for name in _SPOKEN_OF_KINDS if (text := getattr(kind, name))}
    changed = {name: spoken(text, terms) for name, text in said.items()}
    return kind.model_copy(update=changed) if changed != said else kind
