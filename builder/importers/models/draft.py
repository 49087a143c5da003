"""A house type on its way from a model to a file: every value with where it came from."""

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from builder.importers.models.drawn import ModelOrigin
from builder.model.record import LONGEST_ID, is_identifier

Address = tuple[str, ...]
_MARKUP = re.compile(r"[<>{}]")


@dataclass(frozen=True, slots=True)
class DraftedValue:
    """One value. ``attribute`` of ``origin`` says it; ``guess`` says why where nothing says it outright.

    ``note``: what else a person would want to know of it.
    """

    value: Any
    origin: ModelOrigin | None = None
    attribute: str = ""
    guess: str = ""
    note: str = ""

    @property
    def comment(self) -> str:
        """What stands beside the value in the file."""
        came = self.origin.attribute(self.attribute) if self.origin else ""
        guessed = f"guessed: {self.guess}" if self.guess else ""
        return "; ".join(part for part in (came, self.note, guessed) if part)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Something in the model that the file does not have, and why."""

    what: str
    why: str
    count: int = 1


@dataclass(frozen=True, slots=True)
class Needed:
    """What a guide still needs and no model says. ``example``: lines to add."""

    what: str
    why: str
    example: str = ""


Entry = dict[str, DraftedValue]


@dataclass
class HouseTypeDraft:
    """The house type as far as the model says it. Sections hold entries by id, entries fields."""

    sections: dict[str, dict[str, Entry]] = field(default_factory=dict)
    single: dict[str, Entry | DraftedValue] = field(default_factory=dict)
    left_out: list[LeftOut] = field(default_factory=list)
    needed: list[Needed] = field(default_factory=list)
    noticed: list[str] = field(default_factory=list)

    def add(self, section: str, identifier: str, entry: Entry) -> str:
        """An entry under an id that nothing in its section has yet; the id that it got."""
        entries = self.sections.setdefault(section, {})
        free, number = identifier, 2
        while free in entries:
            free, number = f"{identifier}-{number}", number + 1
        entries[free] = entry
        return free

    def entries(self, section: str) -> Mapping[str, Entry]:
        """The entries of a section."""
        return self.sections.get(section, {})

    def values(self) -> Iterator[tuple[Address, DraftedValue]]:
        """Every value with its address in the file."""
        for name, single in self.single.items():
            if isinstance(single, DraftedValue):
                yield (name,), single
            else:
                yield from (((name, key), said) for key, said in single.items())
        for section, entries in self.sections.items():
            for identifier, entry in entries.items():
                yield from (((section, identifier, key), said) for key, said in entry.items())


_WRITTEN = {
    "ä": "ae",
    "ö": "oe",
    "ü": "ue",
    "æ": "ae",
    "œ": "oe",
    "ø": "o",
    "ł": "l",
    "đ": "d",
    "ð": "d",
    "þ": "th",
}
"""Letters that are written as others where there are plain ones only; all else loses its accents."""


def identifier(text: str, otherwise: str) -> str:
    """A text as an id: lower-case words joined by hyphens. One that no id can be gets a number."""
    folded = text.casefold()
    for letter, written in _WRITTEN.items():
        folded = folded.replace(letter, written)
    folded = "".join(each for each in unicodedata.normalize("NFKD", folded) if not unicodedata.combining(each))  # fmt: skip
    joined = re.sub(r"[^a-z0-9]+", "-", folded).strip("-") or otherwise
    return joined if is_identifier(joined) else f"{joined[: LONGEST_ID - 2].strip('-')}-1"


def plain(text: str, longest: int = 80) -> str:
    """A text of a model as data may hold it: one line, without markup and what cannot be seen."""
    return " ".join(one_line(_MARKUP.sub(" ", text)).split())[:longest].strip()


def one_line(text: str) -> str:
    """A text of a model where a line is written: nothing in it ends the line, or turns its letters round."""
    return "".join(each if each.isprintable() else " " for each in text)
