"""The home of a plot in words and on the plan, each value with where it comes from."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from builder.board.looking import Looked
from builder.desk.answers import FileAnswer, PageAnswer
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.forms.fields import spoken, title_of
from builder.desk.room import DeskRoom, page
from builder.desk.rooms.plots import PLOT, looked_at, plot_page
from builder.guide.plan.svg import full_svg
from builder.layers.merge import REMOVED
from builder.layers.stack import leaves_below, told
from builder.model.home import Home
from builder.preparing import Prepared
from builder.selection.conditions import values_at
from builder.shipped import shipped

FIRST = "equipment"
PLAN_STYLE = "site_templates/paper/plan.css"


@dataclass(frozen=True, slots=True)
class LayerSaying:
    """What one layer says of a value, and where."""

    layer: str
    value: str
    place: str


@dataclass(frozen=True, slots=True)
class Value:
    """One value of a home: its path, what it is in this home, and what each layer says, the one that
    holds last."""

    path: str
    label: str
    value: str
    said: tuple[LayerSaying, ...]


@dataclass(frozen=True, slots=True)
class ValueGroup:
    """The values of one thing."""

    id: str
    title: str
    values: tuple[Value, ...]


def show(desk: Desk, asked: Asked) -> PageAnswer:
    """The plan, and one section of the home."""
    looked = looked_at(desk, asked)
    prepared = looked.prepared
    sections = _sections(prepared) if prepared is not None else {}
    named = asked.query.get("section", FIRST)
    section = named if named in sections else next(iter(sections), "")
    words = asked.query.get("find", "").strip().lower()
    values = {
        "sections": sections,
        "section": section,
        "words": words,
        "groups": [each for each in groups(prepared, section) if _has(each, words)] if prepared is not None else [],
        "plans": _plans(looked),
    }  # fmt: skip
    return plot_page("home.html", looked, "home", values)


def _sections(prepared: Prepared) -> Mapping[str, str]:
    """The sections of a home that say something, by their names."""
    merged = prepared.traced.merged
    return {str(name): spoken(str(name)) for name in Home.model_fields if name in (merged.children or {})}  # fmt: skip


def groups(prepared: Prepared, section: str) -> Iterator[ValueGroup]:
    """All values of a section, thing by thing."""
    found: dict[str, list[Value]] = {}
    for address in leaves_below(prepared.traced.merged, (section,)):
        name = str(address[1]) if len(address) > 2 else ""  # noqa: PLR2004
        found.setdefault(name, []).append(_value(prepared, address, 2 if name else 1))
    home = prepared.traced.home
    entries = getattr(home, section, {})
    for name, values in found.items():
        entry = entries.get(name) if isinstance(entries, Mapping) else None
        title = title_of(home, name, entry) if entry is not None else spoken(name or section)
        yield ValueGroup(name, title, tuple(values))


def _value(prepared: Prepared, address: tuple[str | int, ...], skip: int) -> Value:
    path = ".".join(map(str, address))
    sayings = told(prepared.stack, address)
    turned = [each for _, each in values_at(prepared.traced.home, path)]
    now = turned[0] if turned else sayings[-1].value
    said = tuple(
        LayerSaying(each.layer, _value_in_words(each.value), str(each.place)) for each in sayings
    )
    return Value(
        path, " → ".join(spoken(str(each)) for each in address[skip:]), _value_in_words(now), said
    )


def _value_in_words(value: Any) -> str:
    if value is REMOVED:
        return "taken away"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, default=str)


def _has(group: ValueGroup, words: str) -> bool:
    text = " ".join((group.id, group.title, *(f"{each.path} {each.value}" for each in group.values)))  # fmt: skip
    return all(word in text.lower() for word in words.split())


def _plans(looked: Looked) -> tuple[tuple[str, Markup], ...]:
    """The plan of each floor, in the hand of the plot."""
    if looked.prepared is None:
        return ()
    plans = looked.prepared.about.plans
    return tuple((base.title, Markup(full_svg(plans.full(floor), f"plan-{floor}"))) for floor, base in plans.bases.items())  # fmt: skip  # noqa: S704 - drawn by the builder, with every text escaped


def plan_style(_: Desk, __: Asked) -> FileAnswer:
    """How plans look, as on paper."""
    return FileAnswer(shipped(PLAN_STYLE).read_bytes(), "text/css; charset=utf-8")


ROOM = DeskRoom("home", "", "", (page(f"{PLOT}/home", show), page("/plan.css", plan_style)))
