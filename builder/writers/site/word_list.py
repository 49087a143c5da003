"""The words of a guide's pages, for the script that finds pages by them: small, because a telephone fetches
them when its reader first looks for a word.

``pages`` are [address, title, summary, phrases that it is looked for by]. ``words`` is one line a word, in
order: the word, and the steps from page to page that have it, counted from before the first, in base 36.
"""

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import lru_cache

_DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz"
_BASE = 36
ROWS = 3_000
"""Rows that a process keeps as they were read."""


def all_words(rows: Iterable[str]) -> bytes:
    """The list of words of a whole guide, from its pages' rows as ``converting.row_of`` makes them."""
    read = [_read(row) for row in rows]
    steps = defaultdict[str, list[str]](list)
    last: dict[str, int] = {}
    for number, (_, words) in enumerate(read, 1):
        for word in words:
            steps[word].append(_written(number - last.get(word, 0)))
            last[word] = number
    listed = {
        "pages": [page for page, _ in read],
        "words": "\n".join(f"{word} {' '.join(steps[word])}" for word in sorted(steps)),
    }
    return json.dumps(listed, ensure_ascii=False, separators=(",", ":")).encode()


def rows_in(content: bytes) -> Mapping[str, str]:
    """The rows of pages by their addresses, read from such a list."""
    listed = json.loads(content)
    known: list[list[str]] = [[] for _ in listed["pages"]]
    for line in listed["words"].split("\n"):
        word, *steps = line.split(" ")
        number = 0
        for step in steps:
            number += int(step, _BASE)
            known[number - 1].append(word)
    return {
        address: json.dumps(
            [address, title, summary, " ".join(words), called],
            ensure_ascii=False,
            separators=(",", ":"),
        )
        for (address, title, summary, called), words in zip(listed["pages"], known, strict=True)
    }


@lru_cache(maxsize=ROWS)
def _read(row: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is said of a page, and its words; homes of a type share most of their rows."""
    address, title, summary, words, called = json.loads(row)
    return (address, title, summary, called), tuple(words.split(" "))


def _written(number: int) -> str:
    """A number in base 36; most steps have one digit."""
    if number < _BASE:
        return _DIGITS[number]
    return _written(number // _BASE) + _DIGITS[number % _BASE]
