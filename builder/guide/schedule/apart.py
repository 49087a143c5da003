"""Takes the days out of a page of dates: plots whose pages say the same on other days share the rest.

Each day becomes a mark that can be printed and asked nothing, and the same day the same mark. What
hangs on which day it is, such as an order or a month of the year, was worked out before and stands in
the page's values.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date
from functools import cache, lru_cache
from typing import Any

from builder.guide.pages import Page
from builder.guide.schedule.entries import Entry, Span
from builder.guide.terms import SPOKEN_DAY, spoken_day
from builder.model.late import CLOSES, OPENS, LateDay, LateValueError

_SPOKEN = re.compile(rf"\b{SPOKEN_DAY}\b")
_DAYS = 10_000
"""Days kept in words: those of all plots of some years."""


def days_apart(page: Page) -> "tuple[Page, Days]":
    """A page with marks for its days, and what stands for each mark."""
    apart = _Apart()
    values = {name: apart.without(value) for name, value in page.values.items()}
    return replace(page, values=values), Days(apart.texts, apart.entries)


class Days:
    """What stands for the marks of one page, by the marks' names."""

    def __init__(self, texts: Mapping[str, str], entries: Mapping[str, Entry]) -> None:
        self._texts, self._entries = dict(texts), entries

    def get(self, name: str) -> str | None:
        """The text for a mark; nothing where the mark is none of this page's days."""
        known = self._texts.get(name)
        if known is None and name in self._entries:
            known = self._texts[name] = self._entries[name].written_spans
        return known


class MarkedSpans:
    """The spans of an entry, of which a page may ask whether there are any, and for the last."""

    def __init__(self, last: "MarkedSpan") -> None:
        self._last = last

    def __getitem__(self, index: int) -> "MarkedSpan":
        if index != -1:
            self._refuse()
        return self._last

    def __repr__(self) -> str:
        return f"MarkedSpans({self._last})"

    def _refuse(self, *_: object) -> Any:
        raise LateValueError(
            "The spans of an entry are filled in late: a page can ask for the last."
        )

    def __bool__(self) -> bool:
        return True

    __iter__ = __len__ = __contains__ = __eq__ = _refuse
    __hash__ = None  # type: ignore[assignment]


@dataclass(frozen=True, slots=True)
class MarkedSpan:
    """A span with marks for its days."""

    first: LateDay
    last: LateDay


@dataclass(frozen=True, slots=True)
class MarkedEntry:
    """An entry of a schedule with marks for its days: see ``Entry``."""

    id: str
    kind: str
    what: str
    when: str
    basis: str
    by: str
    every: str | None
    months: tuple[str, ...]
    spans: MarkedSpans | tuple[()]
    first: LateDay | None
    written_spans: str
    target: str | None
    read: str
    call: object
    note: str | None


class _Apart:
    """The marks of one page, numbered as they come. ``entries``: whose spans a mark stands for."""

    def __init__(self) -> None:
        self.texts: dict[str, str] = {}
        self.entries: dict[str, Entry] = {}
        self._days: dict[str, LateDay] = {}
        self._marked_entries: dict[int, MarkedEntry] = {}

    def without(self, value: Any) -> Any:
        """A value with marks for the days in it, at any depth."""
        if isinstance(value, str):
            return self._said(value)
        if type(value) is tuple:  # Not a span, which stays what it is.
            return tuple(map(self.without, value))
        if isinstance(value, Entry):
            return self._entry(value)
        names = _fields(value.__class__)
        if names:
            return type(value)(*(self.without(getattr(value, name)) for name in names))
        if isinstance(value, Mapping):
            return {name: self.without(each) for name, each in value.items()}
        return self._day(value) if isinstance(value, date) else value

    def _said(self, text: str) -> str:
        """A text with marks for the days that it speaks of."""
        if type(text) is not str or "20" not in text:
            return text
        return _SPOKEN.sub(lambda found: self._marked(found[0]).spoken, text)

    def _day(self, day: date) -> LateDay:
        mark = self._marked(_spoken(day))
        self.texts[mark.name] = day.isoformat()
        return mark

    def _marked(self, spoken: str) -> LateDay:
        if spoken not in self._days:
            self._days[spoken] = mark = LateDay(f"day{len(self._days) + 1}")
            self.texts[f"{mark.name}:spoken"] = spoken
        return self._days[spoken]

    def _entry(self, entry: Entry) -> MarkedEntry:
        if id(entry) not in self._marked_entries:
            self._marked_entries[id(entry)] = self._new_entry(entry)
        return self._marked_entries[id(entry)]

    def _new_entry(self, entry: Entry) -> MarkedEntry:
        first = None if entry.first is None else self._day(entry.first)
        return MarkedEntry(
            entry.id, entry.kind, entry.what, self._said(entry.when), entry.basis, entry.by,
            entry.every, entry.months, self._spans(entry.spans), first, self._written(entry),
            entry.target, entry.read, entry.call, entry.note and self._said(entry.note),
        )  # fmt: skip

    def _spans(self, spans: tuple[Span, ...]) -> MarkedSpans | tuple[()]:
        if not spans:
            return ()
        last = spans[-1]
        return MarkedSpans(MarkedSpan(self._day(last.first), self._day(last.last)))

    def _written(self, entry: Entry) -> str:
        """One mark for all spans in a line, as pages hold them for scripts."""
        if not entry.spans:
            return ""
        name = f"spans{len(self.entries) + 1}"
        self.entries[name] = entry
        return f"{OPENS}{name}{CLOSES}"


@cache
def _fields(kind: type) -> tuple[str, ...]:
    """The fields of a record, in order; none of what is no record."""
    return tuple(each.name for each in fields(kind)) if is_dataclass(kind) else ()


_spoken = lru_cache(maxsize=_DAYS)(spoken_day)
