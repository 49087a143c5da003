"""The late values of plots: which they are, what a home looks like without them, and with them.

What differs from plot to plot and shapes no page is late: number, address and days of the plot, the
name of its development, telephone numbers, serial numbers. A text that would be escaped somewhere
(``can_be_late`` says which) is no late value: a plot that has one is an edition of its own.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any, TypeVar

from frozendict import frozendict

from builder.guide.plan.plans import north_mark
from builder.guide.schedule.entries import Call, Entry, Line, Schedule
from builder.guide.terms import after, spoken_day
from builder.layers.kept import Kept
from builder.layers.stack import Stack
from builder.model.home import Home
from builder.model.late import LateDay, LateNumber, LateText, Unprinted, can_be_late
from builder.model.people import Development, Plot
from builder.model.record import Record
from builder.sources.entry import Address, along

PLOT, DEVELOPMENT = ("number", "address", "postcode", "completion"), ("name", "address")
HOST = "base_url"
"""Shapes no page: a guide outlives its host."""
CONTACT, UTILITY = ("name", "telephone", "email"), ("supplier", "telephone")
EQUIPMENT = ("serial", "registered")
NUMBER = "front_faces"
"""The one number of a plot that is late: where the plan's north mark points."""
_NOT_DIALLED = re.compile(r"[^0-9+]")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
AnyRecord = TypeVar("AnyRecord", bound=Record)


def late_home(home: Home, kept: Kept) -> Home:
    """A home with a mark for each of its late values. Sections that differ in those alone are the
    very same with marks, so that what is made from them is made once."""
    return home.model_copy(
        update={
            "plot": kept.once(_with_number, _plot(home.plot, kept)),
            "development": kept.once(_without_host, _development(home.development, kept)),
            "contacts": kept.once(_all_marked, home.contacts, "contacts", CONTACT, kept),
            "equipment": kept.once(_all_marked, home.equipment, "equipment", EQUIPMENT, kept),
            "utilities": kept.once(_all_marked, home.utilities, "utilities", UTILITY, kept),
        }
    )


def _plot(plot: Plot, kept: Kept) -> Plot:
    """A plot with marks, and any number for its late one."""
    numbered = plot if plot.front_faces is None else plot.model_copy(update={NUMBER: 0.0})
    return kept.alike(_marked(numbered, "plot", PLOT))


def _with_number(plot: Plot) -> Plot:
    if plot.front_faces is None:
        return plot
    return plot.model_copy(update={NUMBER: LateNumber(f"plot.{NUMBER}")})


def _development(development: Development, kept: Kept) -> Development:
    hostless = development.model_copy(update={HOST: None})
    return kept.alike(_marked(hostless, "development", DEVELOPMENT))


def _without_host(development: Development) -> Development:
    return development.model_copy(update={HOST: Unprinted(f"development.{HOST}")})


def _all_marked(
    records: Mapping[str, AnyRecord], section: str, fields: tuple[str, ...], kept: Kept
) -> Mapping[str, AnyRecord]:
    marked = {name: _marked(each, f"{section}.{name}", fields) for name, each in records.items()}
    return kept.alike(frozendict(marked))


def _marked(record: AnyRecord, name: str, fields: tuple[str, ...]) -> AnyRecord:
    marks: dict[str, LateText | LateDay] = {}
    for field in fields:
        value = getattr(record, field)
        if isinstance(value, date):
            marks[field] = LateDay(f"{name}.{field}")
        elif isinstance(value, str) and can_be_late(value):
            marks[field] = LateText(f"{name}.{field}")
    return record.model_copy(update=marks) if marks else record


def dated_home(home: Home, values: "Values") -> Home:
    """A home with marks, whose days are those of one plot."""
    registered = {
        name: piece.model_copy(update={"registered": values.day(f"equipment.{name}.registered")})
        for name, piece in home.equipment.items()
        if isinstance(piece.registered, LateDay)
    }
    changed: dict[str, Any] = {}
    if isinstance(home.plot.completion, LateDay):
        day = values.day("plot.completion")
        changed["plot"] = home.plot.model_copy(update={"completion": day})
    if registered:
        changed["equipment"] = frozendict({**home.equipment, **registered})
    return home.model_copy(update=changed) if changed else home


def late_value(text: object) -> str | date | float | None:
    """What a leaf gives a plot that is filled in late; nothing where the text shapes the page."""
    if isinstance(text, int | float) and not isinstance(text, bool):
        return float(text)
    if not isinstance(text, str):
        return None
    text = text.strip()
    if _DAY.fullmatch(text):
        try:
            return date.fromisoformat(text)
        except ValueError:
            return None
    return text if can_be_late(text) else None


class Values:
    """The late values of one plot, and what stands in its pages for each mark."""

    def __init__(self, stack: Stack) -> None:
        self._stack = stack
        self._found: dict[str, str | date | float] = {}
        self._printed: dict[str, str] = {}
        self._bytes: dict[str, bytes] = {}

    def also(self, given: Mapping[str, str]) -> None:
        """Values that no layer says, such as the code of the guide, by the names of their marks."""
        self._printed.update(given)
        for name in given:
            self._bytes.pop(name, None)

    def day(self, leaf: str) -> date:
        """The day at a leaf of the home."""
        found = self._value(leaf)
        if not isinstance(found, date):
            raise KeyError(leaf)
        return found

    def said(self, path: str) -> str:
        """What the layers of the plot say at a path that is no late value."""
        return str(_said(self._stack, tuple(path.split("."))))

    def __getitem__(self, name: str) -> str:
        if name not in self._printed:
            self._printed[name] = self._print(name)
        return self._printed[name]

    def in_bytes(self, name: str) -> bytes:
        """The text for a mark, as it stands in files."""
        if name not in self._bytes:
            self._bytes[name] = self[name].encode()
        return self._bytes[name]

    def _print(self, name: str) -> str:
        expression, _, form = name.partition(":")
        leaf, *terms = expression.split("+")
        value = self._value(leaf)
        if isinstance(value, date):
            for term in terms:
                value = after(value, term)
            return spoken_day(value) if form == "spoken" else value.isoformat()
        if isinstance(value, float):
            return north_mark(value)
        return _NOT_DIALLED.sub("", value) if form == "dialled" else value

    def _value(self, leaf: str) -> str | date | float:
        if leaf not in self._found:
            said = _said(self._stack, tuple(leaf.split(".")))
            value = late_value(said)
            if value is None:
                raise KeyError(leaf)
            self._found[leaf] = value
        return self._found[leaf]


def _said(stack: Stack, address: Address) -> object:
    """What the highest layer says that says anything at an address."""
    for layer in reversed(stack.layers):
        met = list(along(layer.entry, address))
        if len(met) == len(address):
            return met[-1][1].value
    return None


def filled_schedule(schedule: Schedule, values: Values, fill: Callable[[str], str]) -> Schedule:
    """A schedule with marks for telephone numbers, as one plot has it."""
    return replace(
        schedule,
        entries=tuple(_filled_entry(each, values, fill) for each in schedule.entries),
        clock=tuple(_filled_line(each, values) for each in schedule.clock),
    )


def _filled_entry(entry: Entry, values: Values, fill: Callable[[str], str]) -> Entry:
    note = entry.note and fill(entry.note)
    return replace(
        entry, what=fill(entry.what), when=fill(entry.when), note=note, read=fill(entry.read),
        call=_filled_call(entry.call, values),
    )  # fmt: skip


def _filled_line(line: Line, values: Values) -> Line:
    periods = tuple(replace(each, call=_filled_call(each.call, values)) for each in line.periods)
    return replace(line, periods=periods)


def _filled_call(call: Call | None, values: Values) -> Call | None:
    if call is None:
        return None
    name, telephone = (
        values[each.name] if isinstance(each, LateText) else each
        for each in (call.name, call.telephone)
    )
    return Call(name or "", telephone)
