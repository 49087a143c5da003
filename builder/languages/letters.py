"""What a language does with letters: the order in which it lists words, and how words may begin.

Letters with marks stand with those without, as in the root order of the Unicode Collation Algorithm; what a
language has of its own stands in ``letters.yaml``.
"""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

import yaml

_LAST = "\uffff"
"""A letter that stands behind all that begin as it does."""


@dataclass(frozen=True, slots=True)
class Letters:
    """``letters``: those that are written with several, by them, each with the letter that it follows;
    ``alike``: beginnings of one word that stand for each other."""

    letters: Mapping[str, str] = field(default_factory=dict)
    alike: tuple[tuple[str, ...], ...] = ()

    def order(self, text: str) -> tuple[str, str]:
        """What a text is sorted by in lists that people read."""
        parts = unicodedata.normalize("NFD", text.casefold())
        plain = "".join(each for each in parts if not unicodedata.combining(each))
        if self.letters:
            several = "|".join(map(re.escape, sorted(self.letters, key=len, reverse=True)))
            plain = re.sub(several, lambda found: f"{self.letters[found[0]]}{_LAST}", plain)
        return plain, text


@cache
def letters_of(code: str) -> Letters:
    """The letters of a language by its code; nothing of its own where no data says so."""
    said = _letters_by_language().get(code.partition("-")[0], {})
    return Letters(said.get("letters", {}), tuple(map(tuple, said.get("alike", ()))))


@cache
def _letters_by_language() -> Mapping[str, Mapping[str, dict[str, str]]]:
    text = (files("builder") / "languages" / "letters.yaml").read_text(encoding="utf-8")
    return dict(yaml.safe_load(text))
