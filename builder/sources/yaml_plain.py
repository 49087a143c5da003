"""Reads plain YAML in one pass: mappings, lists and scalars, straight from the parser's events.

Almost every file is plain. One that is not, by a mistake or by an alias, a tag or nesting without
end, is given back unread: ``yaml_reader`` looks at it closely and says what is wrong.
"""

import re
from collections.abc import Callable, Iterator
from math import isfinite
from typing import Any

import yaml

from builder.errors import Place
from builder.sources.entry import Entry, Scalar

DEEPEST = 40
"""Levels of nesting. The deepest path that the model knows has eight."""
LONGEST_INTEGER = 18
"""Digits. A longer number is a serial or an order number, and stays text."""
INTEGER = re.compile(r"[-+]?(0|[1-9][0-9]*)")
NUMBER = re.compile(r"[-+]?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][-+]?[0-9]+)?")
LONGEST_NUMBER = 40
"""Characters of a number with a fraction."""
WORDS: dict[str, Scalar] = {"true": True, "false": False, "null": None, "~": None, "": None}
NUMERIC = frozenset("-+0123456789")
"""What numbers begin with."""
FAST_LOADER: type[yaml.SafeLoader] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


def shipped_values(text: str) -> Any:
    """A file that ships with the builder as ordinary dictionaries, lists and scalars."""
    return yaml.load(text, Loader=FAST_LOADER)  # noqa: S506 - a safe one


_NODES = frozenset({yaml.ScalarEvent, yaml.MappingStartEvent, yaml.SequenceStartEvent})


class NotPlainError(Exception):
    """This text has to be looked at closely."""


def plain_entries(text: str, place: Callable[[Any], Place]) -> Entry:
    """The entries of a plain text; ``place`` tells where a mark of the parser is.

    Raises ``NotPlainError`` for any other text, and what the parser raises.
    """
    events = iter(yaml.parse(text, Loader=FAST_LOADER))
    for _ in ("stream", "document"):
        next(events)
    entry = _Building(events, place).entry(next(events, None), None, 0)
    if not entry.children or not _ends(events):
        raise NotPlainError
    return entry


def _ends(events: Iterator[yaml.Event]) -> bool:
    """Whether nothing follows but the ends of the document and of the stream."""
    return [type(each) for each in events] == [yaml.DocumentEndEvent, yaml.StreamEndEvent]


class _Building:
    """One text on its way to entries."""

    def __init__(self, events: Iterator[yaml.Event], place: Callable[[Any], Place]) -> None:
        self._events = events
        self._place = place

    def entry(self, event: Any, key_place: Place | None, depth: int) -> Entry:
        """The entry that begins with an event of the parser."""
        kind = type(event)
        if depth > DEEPEST or kind not in _NODES or event.anchor or event.tag:
            raise NotPlainError
        place = self._place(event.start_mark)
        if kind is yaml.ScalarEvent:
            return scalar_entry(event, place, key_place)
        if kind is yaml.MappingStartEvent:
            return Entry(self._mapping(depth + 1), place, key_place)
        return Entry(tuple(self._items(depth + 1)), place, key_place)

    def _mapping(self, depth: int) -> dict[str, Entry]:
        entries: dict[str, Entry] = {}
        for event in self._events:
            if type(event) is yaml.MappingEndEvent:
                break
            if type(event) is not yaml.ScalarEvent or event.anchor or event.tag:
                raise NotPlainError
            key = event.value
            if key in entries:
                raise NotPlainError
            entries[key] = self.entry(next(self._events), self._place(event.start_mark), depth)
        return entries

    def _items(self, depth: int) -> Iterator[Entry]:
        for event in self._events:
            if type(event) is yaml.SequenceEndEvent:
                return
            yield self.entry(event, None, depth)


def scalar_entry(event: Any, place: Place, key_place: Place | None) -> Entry:
    """The entry of a scalar event; one in quotes is text."""
    text: str = event.value
    if not event.implicit[0]:
        return Entry(text, place, key_place)
    value = scalar(text)
    printed_otherwise = isinstance(value, int | float) and str(value) != text
    return Entry(value, place, key_place, text if printed_otherwise else "")


def scalar(text: str) -> Scalar:
    """A scalar without quotes, by the core schema. What is too large to count with stays text."""
    if text in WORDS:
        return WORDS[text]
    if text[0] not in NUMERIC or len(text) > LONGEST_NUMBER:
        return text
    if INTEGER.fullmatch(text):
        return int(text) if len(text) <= LONGEST_INTEGER else text
    if not NUMBER.fullmatch(text):
        return text
    number = float(text)
    return number + 0.0 if isfinite(number) else text  # no minus before a nought
