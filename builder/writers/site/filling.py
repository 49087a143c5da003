"""Texts with marks for late values, cut once and filled in many times. Knows no site engine."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from builder.model.late import IN_JSON, MARK


class InBytes(Protocol):
    """The late values of one plot."""

    def in_bytes(self, name: str) -> bytes:
        """What stands for the mark of this name, as in a file."""


class Values(InBytes, Protocol):
    """The late values of one plot, by the names of their marks, as text too."""

    def __getitem__(self, name: str) -> str:
        """The text for a mark."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A text cut at its marks: fixed bytes and names of late values by turns, fixed ones first."""

    parts: tuple[bytes, ...]
    names: tuple[str, ...]

    def filled(self, values: "InBytes") -> bytes:
        """The text with its values. All names must be there."""
        if not self.names:
            return self.parts[0]
        whole = [self.parts[0]]
        for name, part in zip(self.names, self.parts[1:], strict=True):
            whole += (values.in_bytes(name), part)
        return b"".join(whole)


def cut(text: str) -> Cut:
    """A text cut at its marks."""
    pieces = MARK.split(text)
    return Cut(tuple(each.encode() for each in pieces[::2]), tuple(pieces[1::2]))


def marks_in_json(text: str) -> str:
    """JSON that is all ASCII, with its marks as they stand elsewhere."""
    for written, character in IN_JSON.items():
        text = text.replace(written, character)
    return text


def joined(cuts: Iterable[Cut]) -> Cut:
    """Several texts, one after the other, as one."""
    parts, names = [b""], list[str]()
    for each in cuts:
        parts[-1] += each.parts[0]
        parts += each.parts[1:]
        names += each.names
    return Cut(tuple(parts), tuple(names))


def refilled(text: str, values: Mapping[str, str]) -> str:
    """A text with those marks filled in that there are values for."""
    return MARK.sub(lambda found: values.get(found[1], found[0]), text) if values else text
