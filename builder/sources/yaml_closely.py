"""Reads YAML that is not plain: says all that is wrong with it, and goes on with the rest.

What cannot be read in one place is left out there. A key that stands twice keeps its first value, an
alias leaves out its key, and a value with a type tag is read as text.
"""

from collections.abc import Callable, Iterator
from typing import Any

import yaml

from builder.errors import Finding, Findings, Place, printable
from builder.sources.entry import Address, Entry
from builder.sources.yaml_plain import DEEPEST, FAST_LOADER, scalar_entry

_CORE = "tag:yaml.org,2002:"
_TEXT_TAGS = (None, "!", f"{_CORE}str")
_OPENS = (yaml.MappingStartEvent, yaml.SequenceStartEvent)
_CLOSES = (yaml.MappingEndEvent, yaml.SequenceEndEvent)


class TooDeepError(Exception):
    """Nothing after this place can be read."""


class Closely:
    """One text, event by event. ``lost`` holds the addresses of what was left out."""

    def __init__(self, text: str, place: Callable[[Any], Place], findings: Findings) -> None:
        self._events: Iterator[Any] = iter(yaml.parse(text, Loader=FAST_LOADER))
        self._place, self._findings = place, findings
        self._path: list[str | int] = []
        self._aliased: set[str] = set()
        self.lost: list[Address] = []

    def document(self) -> Entry | None:
        """The entries of the only document, or nothing where the text holds none."""
        next(self._events)
        if isinstance(next(self._events), yaml.StreamEndEvent):
            return None
        entry = self._entry(next(self._events), None, 0)
        next(self._events)
        if not isinstance(more := next(self._events), yaml.StreamEndEvent):
            self._refuse(
                "yaml.two-documents",
                more,
                "A second document begins here.",
                "Delete the line '---', or move what follows into a file of its own.",
            )
        return entry

    def _entry(self, event: Any, key_place: Place | None, depth: int) -> Entry | None:
        place = self._place(event.start_mark)
        if depth > DEEPEST:
            self._too_deep(event)
        if isinstance(event, yaml.AliasEvent):
            self._alias(event)
            return None
        self._tag(event)
        if isinstance(event, yaml.MappingStartEvent):
            return Entry(self._mapping(depth + 1), place, key_place)
        if isinstance(event, yaml.SequenceStartEvent):
            return Entry(tuple(self._items(depth + 1)), place, key_place)
        return scalar_entry(event, place, key_place)

    def _mapping(self, depth: int) -> dict[str, Entry]:
        entries: dict[str, Entry] = {}
        while not isinstance(key := next(self._events), yaml.MappingEndEvent):
            self._path.append(key.value if isinstance(key, yaml.ScalarEvent) else "?")
            self._pair(key, entries, depth)
            self._path.pop()
        return entries

    def _pair(self, key: Any, entries: dict[str, Entry], depth: int) -> None:
        """One key and its value, into the entries that stand before it."""
        if not isinstance(key, yaml.ScalarEvent):
            self._no_key(key, depth)
            return
        first = entries.get(key.value)
        entry = self._entry(next(self._events), self._place(key.start_mark), depth)
        if first is not None:
            self._twice(key, first)
        elif entry is not None:
            entries[key.value] = entry

    def _items(self, depth: int) -> Iterator[Entry]:
        number = 0
        while not isinstance(event := next(self._events), yaml.SequenceEndEvent):
            self._path.append(number)
            entry = self._entry(event, None, depth)
            self._path.pop()
            number += 1
            if entry is not None:
                yield entry

    def _no_key(self, key: Any, depth: int) -> None:
        """A mapping, list or alias where a key is wanted: it and its value are left out."""
        self._refuse("yaml.key", key, "This key is not plain text.", "Write 'key: value'.")
        self.lost.append(tuple(self._path[:-1]))
        self._skip(key, depth)
        self._skip(next(self._events), depth)

    def _skip(self, event: Any, depth: int) -> None:
        """Everything to the end of what an event begins."""
        inside = 0
        while True:
            inside += isinstance(event, _OPENS)
            inside -= isinstance(event, _CLOSES)
            if depth + inside > DEEPEST:
                self._too_deep(event)
            if not inside:
                return
            event = next(self._events)

    def _too_deep(self, event: Any) -> None:
        self._refuse(
            "yaml.too-deep",
            event,
            f"Values are nested more than {DEEPEST} deep here.",
            "Check the brackets and the indentation.",
        )
        raise TooDeepError

    def _twice(self, key: Any, first: Entry) -> None:
        self.lost.append(tuple(self._path))
        self._refuse(
            "yaml.duplicate-key",
            key,
            f"'{printable(key.value)}' stands here twice; the first is on line {first.named_at.line}.",
            "Keep one of them.",
        )

    def _alias(self, event: yaml.AliasEvent) -> None:
        """One finding for each anchor that aliases name, at the first of them."""
        self.lost.append(tuple(self._path))
        name = str(event.anchor)
        if name not in self._aliased:
            self._aliased.add(name)
            self._refuse(
                "yaml.alias",
                event,
                f"'*{printable(name)}' is an alias, and aliases are not read.",
                "Write the value out; what repeats belongs in a lower layer.",
            )

    def _tag(self, event: Any) -> None:
        if event.tag not in _TEXT_TAGS:
            self.lost.append(tuple(self._path))
            self._refuse(
                "yaml.tag",
                event,
                f"'{printable(event.tag.replace(_CORE, '!!'))}' is a type tag, and tags are not read.",
                "Write the value without it.",
            )

    def _refuse(self, code: str, event: Any, wrong: str, right: str) -> None:
        self._findings.add(Finding(code, self._place(event.start_mark), wrong, right))
