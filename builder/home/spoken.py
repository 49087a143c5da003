"""The words of the home's nation, and of what puts out its fires, in place of those that the library is written in.

The library says *stopcock*; in some nation its people say something else, which stands under
``terms``. Every text that ships is brought into the nation's words here, and nowhere else: kinds and what
house types say of places, which homes of several nations share, as a home is assembled; articles, symptoms and the demonstration as they are chosen, bodies of articles as they are rendered.
"""

import re
from collections.abc import Mapping

from builder.layers.memo import Memo
from builder.model.home import Home
from builder.model.record import ById, Record

MIST: Mapping[str, str] = {
    "sprinkler valve": "mist valve",
    "sprinkler pump": "mist pump",
    "sprinkler tank": "mist tank",
    "sprinkler water": "mist water",
    "sprinkler engineer": "mist engineer",
    "sprinkler pipe": "mist pipe",
    "sprinkler head": "mist nozzle",
    "sprinkler": "mist nozzle",
    "chwistrellwyr": "ffroenellau niwl",
    "chwistrellwr": "ffroenell niwl",
}
"""What the library says of sprinklers, in both of the languages that ship, and what stands for it in a home
where a mist of water puts out fires."""
SAID: Mapping[str, str] = {
    "stopcock": "stopcock",
    "managing agent": "agent",
    "legal completion": "completion-day",
    "council tax": "local-tax",
}
"""What the library says, and the term of a nation that stands for it."""
_TERMS = {**{word: word.replace(" ", "-") for word in MIST}, **SAID}
"""The same, and of sprinklers the term of what puts out fires."""
OF_MIST: Mapping[str, str] = {_TERMS[word]: instead for word, instead in MIST.items()}
"""The terms of a home where a mist of water puts out fires."""
# An address, an id, a path and a name in a template are no words: what joins them is not let stand beside.
_WORD = re.compile(rf"(?<![\w:/#.{{-])({'|'.join(_TERMS)})(s?)(?![\w/}}-])", re.IGNORECASE)
_ID = re.compile(r"[a-z0-9-]+")
_SPOKEN: Mapping[str, tuple[str, ...]] = {
    "kinds": ("name", "several", "what", "caution", "without_mains", "mended_by"),
    "documents": ("name",),
    "equipment": ("name", "place", "serves", "note"),
    "keys": ("name", "opens"),
    "gates": ("place", "lock", "by_hand"),
    "lawns": ("place",),
    "parking": ("name", "place"),
    "stores": ("name", "place", "note"),
    "communal": ("name", "place", "note"),
    "utilities": ("note",),
}
"""The texts of each section of a home that are brought into the nation's words."""


def speaks_otherwise(terms: Mapping[str, str]) -> bool:
    """Whether a nation has another word for anything that the library says."""
    return any(terms.get(term, word) != word for word, term in _TERMS.items())


def spoken(text: str, terms: Mapping[str, str]) -> str:
    """A text of the library in the words of a nation; an id stays what it is."""
    if _ID.fullmatch(text):
        return text
    return _WORD.sub(lambda found: _instead(found, terms), text)


def _instead(found: re.Match[str], terms: Mapping[str, str]) -> str:
    said = found[1]
    word = terms.get(_TERMS[said.lower()], said)
    if word == said.lower():
        return found[0]
    word = word[:1].upper() + word[1:] if said[0].isupper() else word
    return _plural(word) if found[2] else word


def _plural(word: str) -> str:
    return f"{word[:-1]}ies" if word.endswith("y") else f"{word}s"


def in_own_words(home: Home, kept: Memo) -> Home:
    """The home in the words of its nation, and of what puts out its fires."""
    if home.sprinklers and home.sprinklers.kind == "mist":
        home = home.model_copy(update={"terms": kept.once(_with_mist, home.terms)})
    if not speaks_otherwise(home.terms):
        return home
    told = {
        section: kept.once(_section, getattr(home, section), home.terms, fields)
        for section, fields in _SPOKEN.items()
    }
    changed = {
        section: each for section, each in told.items() if each is not getattr(home, section)
    }
    return home.model_copy(update=changed) if changed else home


def _with_mist(terms: ById[str]) -> ById[str]:
    return type(terms)({**OF_MIST, **terms})  # type: ignore[call-arg]


def _section(
    records: ById[Record], terms: Mapping[str, str], fields: tuple[str, ...]
) -> ById[Record]:
    told = {name: _record(each, terms, fields) for name, each in records.items()}
    same = all(told[name] is each for name, each in records.items())
    return records if same else type(records)(told)  # type: ignore[call-arg]


def _record(record: Record, terms: Mapping[str, str], fields: tuple[str, ...]) -> Record:
    said = {name: text for name in fields if (text := getattr(record, name))}
    changed = {name: spoken(text, terms) for name, text in said.items()}
    return record.model_copy(update=changed) if changed != said else record
