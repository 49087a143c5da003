"""Words of another nation in texts that a workspace wrote: what they are, and what this nation says."""

import re
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Annotated, Any, NamedTuple

from pydantic import BaseModel, Field

from builder.layers.memo import Memo
from builder.model.article import Source
from builder.model.home import Home
from builder.model.nation import Nation, NationId
from builder.model.record import Record, Text, empty
from builder.model.shape import allowed_values
from builder.read_once import read_once
from builder.sources.entry import Address
from builder.sources.yaml_plain import shipped_values

_FILE = Path(__file__).with_suffix(".yaml")


class NationWords(Record):
    """Words of some nations. ``term`` names the word of the home's own nation in its layer."""

    words: tuple[Text, ...]
    of: Annotated[tuple[NationId, ...], Field(min_length=1)]
    instead: Mapping[NationId, Text] = Field(default_factory=empty)
    term: Text | None = None
    name: bool = False


class Foreign(NamedTuple):
    """A word of another nation: as it is written, where it begins, and what this nation says, if known."""

    word: str
    start: int
    instead: str | None
    number: bool = False


@cache
def nation_words() -> Mapping[str, NationWords]:
    """All that ship, by their ids; they never change while the builder runs."""
    return read_once("nation words", [_FILE], _read)


def _read() -> dict[str, NationWords]:
    read = shipped_values(_FILE.read_text(encoding="utf-8"))
    return {name: NationWords.model_validate(each) for name, each in read.items()}


class NationVocabulary(NamedTuple):
    """What the texts of a home's nation are looked through for: its own words by those of others, the
    names among these, and numbers that nobody answers."""

    pattern: re.Pattern[str]
    instead: Mapping[str, str | None]
    names: frozenset[str]
    numbers: tuple[tuple[re.Pattern[str], str], ...]

    def found_in(self, text: str) -> Iterator[Foreign]:
        """Every word of another nation in a text, without those that are a part of some longer name or
        stand in quotation marks."""
        for found in self.pattern.finditer(text):
            said = " ".join(found[1].lower().split())
            if said in self.instead and not _of_longer_name(text, found, name=said in self.names):
                yield Foreign(found[0], found.start(), self.instead[said])
        for pattern, number in self.numbers:
            for found in pattern.finditer(text):
                yield Foreign(found["number"], found.start("number"), number, number=True)


def vocabulary_of(home: Home, kept: Memo) -> NationVocabulary | None:
    """The vocabulary of a home's nation; nothing where its development names none."""
    nation = home.development.nation
    return None if nation is None else kept.once(_vocabulary, nation, home.terms, home.nation)


def _vocabulary(nation: NationId, terms: Mapping[str, str], told: Nation) -> NationVocabulary:
    """What the texts of homes in a nation are looked through for."""
    every = {word.lower(): each for each in nation_words().values() for word in each.words}
    foreign = {
        word: terms.get(each.term or "") or each.instead.get(nation)
        for word, each in every.items()
        if nation not in each.of
    }
    names = frozenset(word for word, each in every.items() if each.name)
    numbers = tuple((_number(each.telephone), each.instead) for each in told.not_here.values())
    return NationVocabulary(_any_of(tuple(every)), foreign, names, numbers)


@cache
def _any_of(words: tuple[str, ...]) -> re.Pattern[str]:
    """Finds any of these words, the longest first, over line ends, one or several of them."""
    longest = sorted(words, key=len, reverse=True)
    listed = "|".join(re.escape(each).replace(r"\ ", r"\s+") for each in longest)
    return re.compile(rf"(?<![\w:/#.-])({listed})s?(?![\w/-])", re.IGNORECASE)


SHORT = 4
"""Digits of a number that is told from any other only by what stands before it."""


@cache
def _number(telephone: str) -> re.Pattern[str]:
    """Finds a telephone number; a short one where a text says to call it."""
    digits = [each for each in telephone if each.isdigit()]
    number = r"[\s-]?".join(digits)
    if len(digits) > SHORT:
        return re.compile(rf"(?<![\d-])(?P<number>{number})(?![\d-])")
    return re.compile(
        rf"\b(?:call|calls|ring|dial|phone|telephone|number|text)\b[^.\n]{{0,30}}?(?<![\w.,-])(?P<number>{number})(?![\w%-]|[.,]\d)",
        re.IGNORECASE,
    )


_QUOTES = ("“", "\u2018", '"')
_GOES_ON = re.compile(r"\s+\(?[A-Z]")
_BEGUN = re.compile(r"(?P<begins>^|[.!?:|]\s+|\n\s*|\s)\(?[A-Z][\w\u2019'-]*\s+$")


def _of_longer_name(text: str, found: re.Match[str], *, name: bool) -> bool:
    """Whether a word is a part of some longer name, such as the title of a law, or is quoted."""
    before, after = text[: found.start()], text[found.end() :]
    if not name and before.endswith(_QUOTES):
        return True
    if not found[0][:1].isupper():
        return False
    begun = _BEGUN.search(before)
    if (
        name
    ):  # A body or a law is a name already: only a word within the sentence makes a longer one.
        return begun is not None and begun["begins"].isspace() and "\n" not in begun["begins"]
    return begun is not None or _GOES_ON.match(after) is not None


def _always(_: Any) -> bool:
    return True


Applies = Callable[[Any], bool]


def texts_in(
    value: Any, applies: Applies = _always, address: Address = ()
) -> Iterator[tuple[Address, str]]:
    """Every text in a record that somebody reads, with its address: not what people type who look for it,
    and nothing of a record that does not apply."""
    if isinstance(value, str):
        yield address, value
    elif isinstance(value, BaseModel):
        for name, written in read_fields(type(value)) if _is_shown(value, applies) else ():
            yield from texts_in(getattr(value, name), applies, (*address, written))
    elif isinstance(value, Mapping):
        for key, each in value.items():
            yield from texts_in(each, applies, (*address, key))
    elif isinstance(value, tuple):
        for index, each in enumerate(value):
            yield from texts_in(each, applies, (*address, index))


def _is_shown(record: BaseModel, applies: Applies) -> bool:
    """Whether a record applies; a source from memory is never shown."""
    if isinstance(record, Source):
        return record.basis != "from memory" and applies(record)
    return getattr(record, "when", None) is None or applies(record)


@cache
def read_fields(record: type[BaseModel]) -> tuple[tuple[str, str], ...]:
    """The fields of a record in which words may stand, each with the name that authors write; a choice
    among a few is none."""
    return tuple(
        (name, info.alias or name)
        for name, info in record.model_fields.items()
        if name not in UNREAD and not allowed_values(info.rebuild_annotation())
    )


UNREAD = frozenset({"when", "words", "also_called", "telephone", "email", "id", "file"})
"""Fields of records that no reader is shown as words."""
