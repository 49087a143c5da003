"""What words in models mean: data tables, one a language, and what classes of the form say."""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from builder.errors import Findings, FindingsError
from builder.importers.models.own_words import own_words

_SHIPPED = Path(__file__).parent / "words"
_IN_COMPOUNDS = 3
"""Letters that a word needs at least to be heard at the end of a longer one."""
_PREPOSITIONS = re.compile(r"\b(under|below|of|for|beside|behind|to|in|with|and)\b")
_TOGETHER = (
    ({"kitchen", "living"}, "kitchen-living"),
    ({"kitchen", "dining"}, "kitchen-dining"),
    ({"living", "dining"}, "living"),
)
"""Rooms that are one open room where a name says both."""
BUILT_IN: Mapping[str, str] = {
    "bath": "bath",
    "basin": "basin",
    "sink": "sink",
    "worktop": "worktop",
}
"""Kinds of things that are drawn and are no equipment, by the symbol that they are drawn with."""
OPEN_AIR = ("balcony", "roof-terrace")
"""Kinds of rooms that are drawn as such, and lie outside a home."""
_LIVED_IN = ("kitchen", "living", "dining")
_DIGITS = re.compile(r"\d+")


@dataclass(frozen=True, slots=True)
class Heard:
    """What a text was taken for, and the word in it that says so."""

    kind: str
    word: str
    english: bool = True


@dataclass(frozen=True, slots=True)
class DrawingLanguage:
    """The words of one language. ``head`` says which of several words names the thing itself."""

    name: str
    rooms: Mapping[str, tuple[str, ...]]
    void: tuple[str, ...]
    homes: tuple[str, ...]
    openings: Mapping[str, tuple[str, ...]]
    things: Mapping[str, tuple[str, ...]]
    left_out: Mapping[str, tuple[str, ...]]
    drawn: Mapping[str, tuple[str, ...]]
    compounds: bool = False
    head: str = "first"


@dataclass(frozen=True, slots=True)
class ByClass:
    """What a class and predefined type say by themselves; no ``types``: whatever its type."""

    classes: tuple[str, ...]
    types: tuple[str, ...]
    kind: str


@dataclass(frozen=True)
class Vocabulary:
    """All tables. The language that most rooms of a model are named in is asked first."""

    languages: tuple[DrawingLanguage, ...]
    classes: tuple[ByClass, ...]
    _heard: dict[tuple[str, ...], Heard | None] = field(
        default_factory=dict, compare=False, repr=False
    )

    @classmethod
    def of(cls, root: Path | None) -> "Vocabulary":
        """The tables that ship, with those of a workspace laid over them; mistakes raise FindingsError."""
        findings = Findings()
        tables = {path.stem: _shipped(path) for path in sorted(_SHIPPED.glob("*.yaml"))}
        for name, own in own_words(root, tables, findings).items() if root else ():
            tables[name] = _merged_words(tables.get(name, {}), own)
        if findings.errors:
            raise FindingsError(findings.errors)
        languages = tuple(_language(each) for each in tables.values() if each.get("language"))
        rows = [row for each in tables.values() for row in each.get("classes") or ()]
        return cls(languages, tuple(_by_class(row) for row in rows))

    def speaking(self, rooms: Iterable[str], things: Iterable[str] = ()) -> "Vocabulary":
        """The same with the language first that most of these names are in, and English after it."""
        heard: Counter[str] = Counter()
        for text in rooms:
            heard.update(
                each.name for each in self.languages if _last_or_first(each.rooms, text, each)
            )
        for text in things:
            plain = _DIGITS.sub(" ", normal(text))
            heard.update(each.name for each in self.languages if _longest(each, plain))
        first = sorted(self.languages, key=lambda each: (-heard[each.name], each.name != "English"))
        then = sorted(first[1:], key=lambda each: each.name != "English")
        return Vocabulary((first[0], *then), self.classes)

    def room(self, texts: Iterable[str]) -> Heard | None:
        """The kind of room that names say, the first text that says one."""
        for text in texts:
            for language in self.languages:
                if heard := _room(language, text):
                    return heard
        return None

    def is_void(self, texts: Iterable[str]) -> Heard | None:
        """Whether names say that nobody can stand here: a shaft, or air above a lower room."""
        for text in texts:
            for language in self.languages:
                if heard := _last_or_first({"void": language.void}, text, language):
                    return heard
        return None

    def names_a_home(self, text: str) -> bool:
        """Whether a text has a word for a whole home in it."""
        return any(_last_or_first({"home": each.homes}, text, each) for each in self.languages)

    def opening(self, texts: Iterable[str]) -> tuple[Heard, ...]:
        """What names say of how a door or window is made."""
        found = [
            Heard(kind, word)
            for language in self.languages
            for kind, words in language.openings.items()
            for word in words
            if any(_place_of_word(word, normal(text), language) is not None for text in texts)
        ]
        return tuple(found)

    def drawn(self, text: str) -> str:
        """What a layer or block of a drawing shows, ``door`` or ``window``; nothing where no word says it."""
        for language in self.languages:
            if heard := _last_or_first(language.drawn, text, language):
                return heard.kind
        return ""

    def thing(self, classes: Iterable[str], type_: str, texts: Iterable[str]) -> Heard | None:
        """The kind of equipment that something is. A kind of ``""`` or ``-…`` is left out."""
        classes = tuple(classes)
        told = self._by_class(classes, type_, exact=True)
        return told or self._heard_by_words(texts) or self._by_class(classes, type_, exact=False)

    def _by_class(self, classes: tuple[str, ...], type_: str, *, exact: bool) -> Heard | None:
        for row in self.classes:
            fits = type_ in row.types if exact else not row.types
            if fits and not set(classes).isdisjoint(row.classes):
                said = next(each for each in classes if each in row.classes)
                return Heard(row.kind, f"{said} {type_}".strip())
        return None

    def _heard_by_words(self, texts: Iterable[str]) -> Heard | None:
        """The longest word in any of these texts, in the first language that has one."""
        plain = tuple(_DIGITS.sub(" ", normal(text)) for text in texts)
        if plain not in self._heard:
            self._heard[plain] = self._heard_in_any_language(plain)
        return self._heard[plain]

    def _heard_in_any_language(self, texts: tuple[str, ...]) -> Heard | None:
        for language in self.languages:
            found = [each for text in texts if (each := _longest(language, text))]
            if found:
                return max(found, key=lambda each: len(each.word))
        return None


def _longest(language: DrawingLanguage, text: str) -> Heard | None:
    hits = [
        Heard(kind, word)
        for kind, word in _thing_words(language)
        if word in text and _place_of_word(word, text, language) is not None
    ]
    return max(hits, key=lambda each: len(each.word)) if hits else None


def _thing_words(language: DrawingLanguage) -> Iterator[tuple[str, str]]:
    for kind, words in language.things.items():
        yield from ((kind, word) for word in words)
    for kind, words in language.left_out.items():
        yield from ((f"-{kind}", word) for word in words)


def _room(language: DrawingLanguage, text: str) -> Heard | None:
    heard = _last_or_first(language.rooms, text, language)
    if heard is None:
        return None
    said = {each.kind for each in _words_in(language.rooms, normal(text), language)}
    for together, kind in _TOGETHER:
        if together <= said and heard.kind in _LIVED_IN:
            return Heard(kind, text.strip(), heard.english)
    return heard


def _last_or_first(
    table: Mapping[str, tuple[str, ...]], text: str, language: DrawingLanguage
) -> Heard | None:
    """What a text names: English says it last, and before "under" or "of"; others say it first."""
    plain = normal(text)
    if language.head == "last":
        head = _PREPOSITIONS.split(plain, maxsplit=1)[0]
        found = list(_words_in(table, head, language)) or list(_words_in(table, plain, language))
        return found[-1] if found else None
    found = list(_words_in(table, plain, language))
    return found[0] if found else None


def _words_in(
    table: Mapping[str, tuple[str, ...]], text: str, language: DrawingLanguage
) -> Iterator[Heard]:
    """Every word that is in a text, in its order; of words inside each other the longest."""
    hits = [
        (where, where + len(word), kind, word)
        for kind, words in table.items()
        for word in words
        if (where := _place_of_word(word, text, language)) is not None
    ]
    for start, end, kind, word in sorted(hits):
        inside = any(a <= start and end <= b and (a, b) != (start, end) for a, b, _, _ in hits)
        if not inside:
            yield Heard(kind, word, language.name == "English")


def _place_of_word(word: str, text: str, language: DrawingLanguage) -> int | None:
    """Where a word stands in a text by itself, or at the end of a longer word."""
    start = 0
    while (at := text.find(word, start)) >= 0:
        end = at + len(word)
        closed = end == len(text) or not text[end].isalpha()
        opened = at == 0 or not text[at - 1].isalpha()
        compound = language.compounds and len(word) >= _IN_COMPOUNDS
        if closed and (opened or compound):
            return at
        start = at + 1
    return None


@cache
def normal(text: str) -> str:
    """A text as words are looked for in it: lower case, words and numbers apart, no signs."""
    text = unicodedata.normalize("NFC", text)
    text = re.sub(r"(?<=[a-zà-ÿ])(?=[A-ZÀ-Þ])|(?<=[^\W\d_])(?=\d)|(?<=\d)(?=[^\W\d_])", " ", text)
    return re.sub(r"[\W_]+", " ", text.replace("'", " ")).strip().casefold()


def _shipped(path: Path) -> dict[str, Any]:
    """A table that ships: every word is a text, and a fast reader is enough for what tests look at."""
    read = yaml.load(path.read_text(encoding="utf-8"), yaml.CBaseLoader)  # noqa: S506 - texts alone
    return dict(read)


def model_words_are_read(root: Path, findings: Findings) -> None:
    """What is wrong in the tables of a workspace, for who checks it without any model."""
    own_words(root, {path.stem: path for path in _SHIPPED.glob("*.yaml")}, findings)


def _merged_words(below: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    merged = dict(below)
    for key, value in own.items():
        both = isinstance(value, dict) and isinstance(merged.get(key), dict)
        merged[key] = {**merged[key], **value} if both else value
    return merged


def _language(table: Mapping[str, Any]) -> DrawingLanguage:
    return DrawingLanguage(
        name=str(table["language"]),
        rooms=_words(table.get("rooms")),
        void=tuple(map(normal, map(str, table.get("void") or ()))),
        homes=tuple(map(normal, map(str, table.get("homes") or ()))),
        openings=_words(table.get("openings")),
        things=_words(table.get("things")),
        left_out=_words(table.get("left_out")),
        drawn=_words(table.get("drawn")),
        compounds=str(table.get("compounds")).casefold() == "true",
        head=str(table.get("head") or "first"),
    )


def _words(section: Any) -> dict[str, tuple[str, ...]]:
    return {
        str(kind): tuple(normal(str(word)) for word in words or ())
        for kind, words in (section or {}).items()
    }


def _by_class(row: Mapping[str, Any]) -> ByClass:
    return ByClass(
        tuple(map(str, row["classes"])), tuple(map(str, row["types"] or ())), str(row["kind"])
    )
