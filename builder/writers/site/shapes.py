"""What pages are made from, as digests: a page that is made from the same again comes out the same.

Knows no site engine.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Protocol

from builder.model.late import MARK
from builder.writers.site.markdown import WrittenPage

DIGITS = 16
"""Hexadecimal digits of the digest of a page's shape: enough to tell its editions apart."""


@dataclass(frozen=True, slots=True)
class Shape:
    """All that a page is made from, as a digest, and the late values that it shows, by the names of
    their marks."""

    digest: str
    names: tuple[str, ...]

    def filled(self, values: "Named", known: dict[tuple[str, ...], str]) -> str:
        """A digest of all that one plot's page is made from: that of its shape first, and one of its
        values behind a point. ``known`` are those of the same plot's values, by their names."""
        if self.names not in known:
            said = "\0".join(values[name] for name in self.names)
            known[self.names] = hashlib.sha256(said.encode()).hexdigest()[:DIGITS]
        return f"{self.digest}.{known[self.names]}"


def shape_in(made: str) -> str:
    """The digest of the shape, of what ``Shape.filled`` said."""
    return made.partition(".")[0]


class Named(Protocol):
    """Late values by the names of their marks."""

    def __getitem__(self, name: str) -> str: ...


@dataclass(frozen=True, slots=True)
class Around:
    """All that the theme shows around a page, as a digest, and the late values in it, by the names of
    their marks."""

    digest: str
    names: tuple[str, ...]


def around_of(seen: tuple[Any, ...]) -> Around:
    """What is seen around a page, by all that is in nested tuples."""
    text = "\0".join(_flat(seen))
    return Around(hashlib.sha256(text.encode()).hexdigest(), tuple(MARK.findall(text)))


def shape_of(written: WrittenPage, around: Around) -> Shape:
    """The shape of a page, by its Markdown and all that the theme shows around it."""
    text = "\0".join((written.source, written.markdown, around.digest))
    digest = hashlib.sha256(text.encode()).hexdigest()[:DIGITS]
    names = (*MARK.findall(written.markdown), *around.names)
    return Shape(digest, tuple(dict.fromkeys(names)))


def _flat(value: Any) -> Iterator[str]:
    """All that is in nested tuples, with its brackets."""
    if not isinstance(value, tuple):
        yield value if isinstance(value, str) else repr(value)
        return
    yield "("
    for each in value:
        yield from _flat(each)
    yield ")"
