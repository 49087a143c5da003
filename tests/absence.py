"""Homes with something taken away, and all that is said of them: pages, dates, calendar, stickers, papers."""

import html
import json
import re
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from functools import cache
from typing import Any

from builder.craft.typesetting import set_files
from builder.demonstration.sheet import run_sheet
from builder.errors import Findings
from builder.guide.about import About
from builder.guide.bodies import body_of
from builder.guide.changes import without_changes
from builder.guide.chosen import Library
from builder.guide.compose import compose
from builder.guide.prose import Renderer
from builder.guide.sticker_pages import StickerRecord, sticker_page
from builder.guide.symptom_pages import ShownStep, symptom_pages
from builder.guide.walk.script import Script
from builder.model.article import Article
from builder.model.building import Floor
from builder.model.equipment import Equipment
from builder.model.home import Home
from builder.model.record import entries_of
from builder.model.supplies import OwnElectricity
from builder.model.symptom import Symptom
from builder.preparing import Preparation, Prepared, library_of
from builder.proof.absence import said
from builder.selection.choosing import choose
from builder.selection.conditions import work_of
from builder.selection.others import words_of_others
from builder.shipped import layered
from builder.writers.calendar.writing import Edition, calendar
from builder.writers.demonstration.text import text_of
from builder.writers.paper.emergency import emergency_card
from builder.writers.paper.guide_text import Printable
from builder.writers.paper.schedules import finishes_schedule, keys_schedule
from builder.writers.paper.setting import FOLDER, VALUES, Press
from builder.writers.site.pages import Pages
from tests.conftest import PROJECT
from tests.demonstrations import demo_script, prepared_demo
from tests.generated_homes import assembled, generated

PARTS: Mapping[str, Any] = {
    "tenure": None, "part_bought": None, "building": None, "premises": {}, "built_for": (),
    "fabric": None, "parts": {}, "water": None,
    "reused_water": None, "own_electricity": None, "foul_drainage": None, "sprinklers": None, "heat_network": None,
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


def optional(home: Home) -> tuple[str, ...]:
    """What a home has that it may have or not: kinds with words of their own, and parts."""
    return (*kinds_of(home), *(part for part in PARTS if getattr(home, part)))


def without(home: Home, what: str) -> Home:
    return without_part(home, what) if what in PARTS else without_kind(home, what)


@cache
def beyond_the_demo() -> Home:
    """A house of the demo with a piece of every kind that no home of the demo has, with electricity of its own
    and a floor below the ground: what is said of these is read of no home of the demo."""
    homes = [each.traced.home for each in prepared_demo().homes.values()]
    had = {kind for home in homes for kind in named_kinds(home)}
    house = homes[0]
    pieces = {
        kind: Equipment(kind=kind, room="outside", place="behind the home")
        for kind in house.kinds
        if kind not in had
    }
    below = Floor(name="Basement", level=-1, above_ground=-2.6)
    cellar = house.rooms["living"].model_copy(update={"floor": "below"})
    changes = {
        "equipment": house.equipment | pieces,
        "floors": house.floors | {"below": below},
        "rooms": house.rooms | {"below": cellar},
        "own_electricity": OwnElectricity(made_by="the sun", contact="customer-care"),
    }
    return house.model_copy(update={
        name: type(getattr(house, name))(each) if isinstance(each, Mapping) else each
        for name, each in changes.items()
    })  # fmt: skip


def named_kinds(home: Home) -> set[str]:
    """Every kind that a home has, and those that these count as."""
    kinds = {each.kind for each in home.equipment.values()}
    kinds |= {each.kind for zone in home.zones.values() for each in zone.emitters.values()}
    return {each for kind in kinds for each in work_of(kind, home)}


_MARKS = re.compile(
    r"^---\n.*?^---$|<svg\b.*?</svg>|<[^>]*>|(?<=\])\([^)\s]*\)|\{ ?[:.][^}]*\}",
    re.DOTALL | re.MULTILINE,
)
"""Front matter, drawings, marks of HTML, addresses of links, and classes of paragraphs."""


@cache
def _renderer() -> Renderer:
    return Renderer()


_LIBRARIES: dict[int, Library] = {}


def _library(preparation: Preparation) -> Library:
    """The symptoms, drawings and words of a workspace, read once."""
    key = id(preparation)
    if key not in _LIBRARIES:
        _LIBRARIES[key] = library_of(preparation.workspace)
    return _LIBRARIES[key]


def remade(preparation: Preparation, prepared: Prepared, home: Home) -> Prepared:
    """A plot as it is prepared with another home in its place."""
    articles = (source.article for source in preparation.workspace.articles.values())
    about = About(home, choose(articles, home))
    guide = compose(prepared.guide.reference, about, _renderer(), Findings(), _library(preparation))
    traced = replace(prepared.traced, home=home, drawn=home)
    return replace(prepared, traced=traced, about=about, guide=guide)


def texts_of(prepared: Prepared, script: Script) -> Iterator[tuple[str, str]]:
    """All that a plot's owner reads or hears, by what it is: pages, dates, stickers and run sheet."""
    yield from pages_of(prepared)
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
        told = (piece.title, piece.room, piece.where, piece.caution)
        yield f"label:{piece.id}", "\n".join(filter(None, told))
    yield "run sheet", text_of(run_sheet(prepared, script))
    edition = Edition(date(2026, 3, 1), 1)
    ical = calendar(prepared.guide, "CODE", edition).decode("utf-8")
    yield "calendar", ical.replace("\r\n ", "").replace("\\", "")
    yield from _papers(prepared)


def pages_of(prepared: Prepared) -> Iterator[tuple[str, str]]:
    """What each page of a guide says, without its marks and without the addresses that it links to."""
    for each in _pages().of(without_changes(prepared.guide)):
        shown = html.unescape(_MARKS.sub(" ", each.markdown))
        yield each.page.id, f"{each.page.title}\n{each.page.summary}\n{shown}"


@cache
def _pages() -> Pages:
    return Pages(layered(PROJECT, "site_templates/pages"))


def _papers(prepared: Prepared) -> Iterator[tuple[str, str]]:
    """What goes into the papers beside the book, whose words are those of the pages."""
    press = _Reading(layered(PROJECT, FOLDER))
    home = prepared.traced.home
    printable = Printable(
        prepared.guide, {}, {}, {}, None, date(2026, 3, 1), home.plot.number, home.development.name,
        home.house_type.name, home.plot.address, home.plot.postcode,
    )  # fmt: skip
    for name, paper in (
        ("emergency card", emergency_card),
        ("finishes", finishes_schedule),
        ("keys", keys_schedule),
    ):
        paper(press, printable, prepared.about)
        yield f"paper:{name}", press.given


class _Reading(Press):
    """A press that keeps what it is given to set, and sets an empty page."""

    given = ""

    def _set_paper(self, files: Mapping[str, bytes], named: str, own: str) -> bytes:
        self.given = "\n".join(_texts(json.loads(files[VALUES])))
        return _empty_page()


@cache
def _empty_page() -> bytes:
    return set_files({"main": b"#set document(title: [Empty])\nEmpty"}, "An empty page")


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


def least_home(home: Home, gets: Callable[[Home], bool]) -> Home:
    """A home that still gets something, with all else taken away that it may have or not."""
    kinds = dict.fromkeys(piece.kind for piece in home.equipment.values())
    for what in (*kinds, *optional(home)):
        other = without(home, what)
        if gets(other):
            home = other
    return home


def of_symptom(name: str, symptom: Symptom, prepared: Prepared, home: Home) -> str:
    """What the page of a symptom says in a home."""
    articles = (source.article for source in prepared_demo().workspace.articles.values())
    about = About(home, choose(articles, home))
    page = symptom_pages({name: symptom}, about, prepared.guide.schedule)[-1]
    steps = (each for each in page.values["steps"] if isinstance(each, ShownStep))
    told = ((each.ask, each.caution, *each.do, *dict(each.answers)) for each in steps)
    return "\n".join((page.title, *(text for each in told for text in each if text)))


def of_article(article: Article, home: Home) -> str:
    """What an article says in a home: its body, and what is done and minded."""
    articles = (source.article for source in prepared_demo().workspace.articles.values())
    about = About(home, choose(articles, home))
    own = next(each for each in about.selection.articles if each.id == article.id)
    front = own.front
    told = [front.summary, *front.actions]
    told += [each.do for each in front.tasks.values() if about.applies(each)]
    told += [
        f"{each.danger} {each.stop}" for each in front.cautions.values() if about.applies(each)
    ]
    body = body_of(own, about, _renderer())
    return "\n".join((*told, _MARKS.sub(" ", body.text or "")))


def foreign_in(home: Home, texts: Iterable[tuple[str, str]]) -> list[str]:
    """Each word of others that is said of a home, and where."""
    words = words_of_others(home)
    return [
        f"{where}: '{word}' is for homes with this: {words[word]}"
        for where, text in texts
        for word in said(text, words)
    ]


def read_generated(first: int, last: int) -> Iterator[str]:
    """What is said of others in generated homes, as drawn and with each thing taken away in turn."""
    preparation, script = prepared_demo(), demo_script()
    frame = preparation.homes["mill-lane/01"]
    for seed in range(first, last):
        home = assembled(generated(seed)).home
        for what in ("nothing", *optional(home)):
            other = home if what == "nothing" else without(home, what)
            told_of_it = texts_of(remade(preparation, frame, other), script)
            for told in foreign_in(other, told_of_it):
                yield f"seed {seed}, a {home.form} without {what}: {told}"


if __name__ == "__main__":
    for line in read_generated(int(sys.argv[1]), int(sys.argv[2])):
        sys.stdout.write(f"{line}\n")
