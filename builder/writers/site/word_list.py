"""The words of a guide's pages, for the script that finds pages by them: small, because a telephone fetches
them when its reader first looks for a word.

``pages`` are [address, title, summary, phrases that it is looked for by], and the language of one that is shown in
another than its list. ``words`` is one line a word, in
order: the word, and the steps from page to page that have it, counted from before the first. A step ends with
one digit in base 36; what is more stands before it in capital letters, in base 26.
"""

import json
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

_DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz"
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_STEP = re.compile(r"[A-Z]*[0-9a-z]")
_STEPS = 2_000
"""Steps that are kept as they are written: more than there are pages in a guide."""
_WORDS = 10_000
"""Ways from page to page that are kept as they are written: those of the words of some guides."""


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
    once = tuple(sorted(set(words.split(" "))))
    return WordRow(address, title, summary, "|".join(called), once, language)


def all_words(rows: Iterable[WordRow]) -> bytes:
    """The list of words of a whole guide, from its pages."""
    pages, found = list[tuple[str, ...]](), defaultdict[str, list[int]](lambda: [0])
    for number, row in enumerate(rows, 1):
        pages.append(row.listed)
        for word in row.words:
            found[word].append(number)
    lines = [f"{word} {_steps(tuple(found[word]))}" for word in sorted(found)]
    listed = {"pages": pages, "words": "\n".join(lines)}
    return json.dumps(listed, ensure_ascii=False, separators=(",", ":")).encode()


def rows_in(content: bytes) -> Mapping[str, WordRow]:
    """The rows of pages by their addresses, read from such a list."""
    listed = json.loads(content)
    known: list[list[str]] = [[] for _ in listed["pages"]]
    for line in listed["words"].split("\n"):
        word, _, steps = line.partition(" ")
        number = 0
        for step in _STEP.findall(steps):
            number += _read(step)
            known[number - 1].append(word)
    return {
        address: WordRow(address, title, summary, called, tuple(words), *language)
        for (address, title, summary, called, *language), words in zip(
            listed["pages"], known, strict=True
        )
    }


@lru_cache(maxsize=_WORDS)
def _steps(numbers: tuple[int, ...]) -> str:
    """The steps from each number to the next."""
    return "".join([_written(later - earlier) for earlier, later in pairwise(numbers)])


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
