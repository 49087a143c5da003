"""What the scripts of a guide are given: whose home it is, the words of all its pages, and their own words
in another language.

The list of all words is small, because a telephone fetches it when its reader first looks for one. ``pages`` are
[address, title, summary, phrases that it is looked for by], and the language of one that is shown in
another than its list. ``words`` is one line a word, in
order: the word, and the steps from page to page that have it, counted from before the first. A step ends with
one digit in base 36; what is more stands before it in capital letters, in base 26.
"""

import json
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from io import BytesIO
from itertools import accumulate, pairwise
from sys import intern
from typing import Any, NamedTuple

from builder.languages.language import Language
from builder.writers.site.assets import Assets

HOME = "home.js"
"""The file that says whose home it is, beside the first page of a guide."""
SPOKEN = "spoken.js"
"""The file of words, in the folder of the language."""
_SAYS = {"say": None}
_WITHIN = {"parse_template_string": True}
"""Texts are said inside others too."""
_DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz"
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_STEP = re.compile(r"[A-Z]*[0-9a-z]")
_STEPS = 2_000
"""Steps that are kept as they are written: more than there are pages in a guide."""
_WORDS = 10_000
"""Ways from page to page that are kept as they are written: those of the words of some guides."""


def home_file(address: str) -> dict[str, bytes]:
    """What says whose home a guide is about, by the beginning of its address. Nothing else in a frame differs
    from home to home, so that homes that are alike have the very same pages."""
    return {HOME: f"window.handover?.belongsTo({json.dumps(address)});\n".encode()}


def texts_of_scripts(assets: Assets) -> tuple[str, ...]:
    """All texts that the scripts of a theme say, in the first language."""
    scripts = (assets.content(name) for name in sorted(assets.files) if name.endswith(".js"))
    return tuple(dict.fromkeys(text for each in scripts for text in _texts(each)))


def _texts(script: bytes) -> Iterator[str]:
    # Only guides in several languages need what finds texts.
    from babel.messages.extract import extract  # noqa: PLC0415

    for _, message, _, _ in extract("javascript", BytesIO(script), _SAYS, options=_WITHIN):
        yield message if isinstance(message, str) else message[0]


def spoken_names(languages: Iterable[Language]) -> Iterator[str]:
    """The paths in a guide of the words of its scripts, in its other languages."""
    return (f"{each.code}/{SPOKEN}" for each in languages)


def spoken_files(languages: Iterable[Language], texts: tuple[str, ...]) -> dict[str, bytes]:
    """The same with what they hold."""
    return {f"{each.code}/{SPOKEN}": spoken(each, texts) for each in languages}


def spoken(language: Language, texts: tuple[str, ...]) -> bytes:
    """The words of scripts in a language: texts by what they are in the first, months as they stand in
    days, and beginnings of words that are alike to who looks for one."""
    words = {each: language.text(each) for each in texts if language.knows(each)}
    said = {"words": words, "months": language.months, "alike": language.alike}
    return f"window.handoverSaid = {json.dumps(said, separators=(',', ':'))};\n".encode()


class WordRow(NamedTuple):
    """One page in the list: each of its ``words`` once, in order, and the phrases that it is ``called``.
    ``language``: the code of the one that it is shown in, where that is not the language of its list."""

    address: str
    title: str
    summary: str
    called: str
    words: tuple[str, ...]
    language: str = ""

    @property
    def listed(self) -> tuple[str, ...]:
        """What is listed of it beside its words."""
        always = (self.address, self.title, self.summary, self.called)
        return (*always, self.language) if self.language else always


def row_of(
    address: str, title: str, summary: str, words: str, called: Iterable[str] = (), language: str = ""
) -> WordRow:  # fmt: skip
    """A page in the list, by the words in it."""
    # The same words stand in many rows: each is kept in memory once.
    once = tuple(map(intern, sorted(set(words.split(" ")))))
    return WordRow(address, title, summary, "|".join(called), once, language)


def all_words(rows: Iterable[WordRow]) -> bytes:
    """The list of words of a whole guide, from its pages."""
    pages, found = list[tuple[str, ...]](), defaultdict[str, list[int]](list)
    for number, row in enumerate(rows, 1):
        pages.append(row.listed)
        for word in row.words:
            found[word].append(number)
    lines = [f"{word} {_steps(tuple(found[word]))}" for word in sorted(found)]
    listed = {"pages": pages, "words": "\n".join(lines)}
    return _as_json(listed)


def with_other_rows(
    content: bytes, pages: Sequence[str], others: Iterable[WordRow]
) -> bytes | None:
    """A written list in which some pages have other rows; nothing where it does not list the very pages
    with these addresses, in this order."""
    listed = json.loads(content)
    if [address for address, *_ in listed["pages"]] != [*pages]:
        return None
    rows = {pages.index(each.address): each for each in others}
    for index, row in rows.items():
        listed["pages"][index] = row.listed
    of_others = {index + 1: frozenset(row.words) for index, row in rows.items()}
    listed["words"] = "\n".join(_with_others(listed["words"], of_others))
    return _as_json(listed)


def _with_others(written: str, others: Mapping[int, frozenset[str]]) -> Iterator[str]:
    """The lines of words where the pages of some numbers have others."""
    lines = {line.partition(" ")[0]: line for line in written.split("\n")}
    new = frozenset[str]().union(*others.values())
    for word in sorted({*lines, *new}):
        line = lines.get(word, f"{word} ")
        numbers = _numbers(line.partition(" ")[2])
        if word not in new and others.keys().isdisjoint(numbers):
            yield line
            continue
        own = (number for number, words in others.items() if word in words)
        having = sorted((*(each for each in numbers if each not in others), *own))
        if having:
            yield f"{word} {_steps(tuple(having))}"


def _as_json(listed: Mapping[str, Any]) -> bytes:
    return json.dumps(listed, ensure_ascii=False, separators=(",", ":")).encode()


@lru_cache(maxsize=_WORDS)
def _numbers(steps: str) -> tuple[int, ...]:
    """The numbers that steps lead to, counted from before the first."""
    return tuple(accumulate(map(_read, _STEP.findall(steps))))


@lru_cache(maxsize=_WORDS)
def _steps(numbers: tuple[int, ...]) -> str:
    """The steps from each number to the next, counted from before the first."""
    return "".join([_written(later - earlier) for earlier, later in pairwise((0, *numbers))])


@lru_cache(maxsize=_STEPS)
def _written(step: int) -> str:
    more, last = divmod(step, len(_DIGITS))
    letters = ""
    while more:
        more, letter = divmod(more, len(_LETTERS))
        letters = f"{_LETTERS[letter]}{letters}"
    return f"{letters}{_DIGITS[last]}"


@lru_cache(maxsize=_STEPS)
def _read(step: str) -> int:
    more = 0
    for letter in step[:-1]:
        more = more * len(_LETTERS) + _LETTERS.index(letter)
    return more * len(_DIGITS) + _DIGITS.index(step[-1])
