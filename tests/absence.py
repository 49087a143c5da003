"""Homes with something taken away, and all that is said of them: pages, dates, stickers, run sheet."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from builder.demonstration.sheet import run_sheet
from builder.errors import Findings
from builder.guide.about import About
from builder.guide.compose import compose
from builder.guide.prose import Renderer
from builder.guide.sticker_pages import StickerRecord, sticker_page
from builder.guide.walk.script import Script
from builder.model.home import Home
from builder.model.record import entries_of
from builder.preparing import Preparation, Prepared
from builder.selection.choosing import choose
from builder.selection.conditions import work_of
from builder.writers.demonstration.text import text_of

PARTS: Mapping[str, Any] = {
    "tenure": None, "building": None, "built_for": (), "fabric": None, "parts": {}, "water": None,
    "reused_water": None, "foul_drainage": None, "sprinklers": None, "heat_network": None,
    "alarms": None, "gates": {}, "lawns": {}, "fences": {}, "communal": {}, "stores": {},
}  # fmt: skip
"""Each part of a home that it may have or not, and what stands there when it has not."""


def kinds_of(home: Home) -> tuple[str, ...]:
    """The kinds of a home that say which words are for homes with one alone."""
    own = dict.fromkeys(piece.kind for piece in home.equipment.values())
    return tuple(kind for kind in own if home.kinds[kind].words)


def without_kind(home: Home, kind: str) -> Home:
    """A home without any piece or emitter that does the work of a kind."""
    gone = {name for name, piece in home.equipment.items() if kind in work_of(piece.kind, home)}
    kept = {name: piece for name, piece in home.equipment.items() if name not in gone}
    changes: dict[str, Any] = {"equipment": kept}
    if home.ventilation:
        valves = {n: v for n, v in home.ventilation.air_valves.items() if v.by not in gone}
        unit = None if home.ventilation.unit in gone else home.ventilation.unit
        changes["ventilation"] = home.ventilation.model_copy(
            update={"air_valves": valves, "unit": unit}
        )
    if home.heating:
        lost = {name: None for name, of in entries_of(home.heating).items() if of in gone}
        changes["heating"] = home.heating.model_copy(update=lost)
    changes["zones"] = {
        name: zone.model_copy(update={
            "emitters": {n: e for n, e in zone.emitters.items() if e.kind != kind},
            "thermostat": None if zone.thermostat in gone else zone.thermostat,
        })
        for name, zone in home.zones.items()
    }  # fmt: skip
    changes["utilities"] = {
        name: each.model_copy(update={"meter": None if each.meter in gone else each.meter})
        for name, each in home.utilities.items()
    }
    return home.model_copy(update=changes)


def without_part(home: Home, part: str) -> Home:
    return home.model_copy(update={part: PARTS[part]})


@cache
def _renderer() -> Renderer:
    return Renderer()


def remade(preparation: Preparation, prepared: Prepared, home: Home) -> Prepared:
    """A plot as it is prepared with another home in its place."""
    articles = (source.article for source in preparation.workspace.articles.values())
    about = About(home, choose(articles, home))
    guide = compose(prepared.guide.reference, about, _renderer(), Findings())
    traced = replace(prepared.traced, home=home, drawn=home)
    return replace(prepared, traced=traced, about=about, guide=guide)


def texts_of(prepared: Prepared, script: Script) -> Iterator[tuple[str, str]]:
    """All that a plot's owner reads or hears, by what it is: pages, dates, stickers and run sheet."""
    for page in prepared.guide.pages:
        values = "\n".join(_texts(page.values)) if page.layout == "article" else ""
        yield page.id, "\n".join((page.title, page.summary, page.body, values))
    for entry in prepared.guide.schedule.entries:
        yield f"date:{entry.id}", f"{entry.what}\n{entry.basis}"
    for piece in prepared.about.pieces:
        record = StickerRecord(
            "CODE", piece.kind, piece.room_id, piece.make or "", piece.id, void=False
        )
        told = sticker_page(prepared.about, prepared.guide, record)
        yield (
            f"sticker:{piece.id}",
            "\n".join((told.title, told.what, *told.actions, *_texts(told.calls))),
        )
    yield "run sheet", text_of(run_sheet(prepared, script))


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for name, each in value.items():
            if name not in ("plans", "pieces"):
                yield from _texts(each)
    elif isinstance(value, tuple | list):
        for each in value:
            yield from _texts(each)
    elif hasattr(value, "__dataclass_fields__"):
        for name in value.__dataclass_fields__:
            yield from _texts(getattr(value, name))
