"""Show me round on paper: a booklet with one stop of the walk on each panel, half a sheet of A4."""

from collections.abc import Iterator, Mapping
from typing import Any

from builder.guide.pages import Page
from builder.guide.plan.svg import highlight_svg
from builder.guide.round_pages import FacedWall, RoundItem, RoundThing
from builder.guide.wall.svg import shared_wall_svg
from builder.guide.wall.words import stand
from builder.languages.language import Language, to_say
from builder.writers.paper.drawings import Drawings
from builder.writers.paper.guide_text import Printable
from builder.writers.paper.schedules import heading
from builder.writers.paper.setting import Press

NO_WALK = to_say(
    "Nothing is said of the things in this home yet, so that there is no walk to print."
)


def walk_booklet(press: Press, printable: Printable) -> bytes:
    """The walk as a PDF. A home of which nothing is said gets a panel that says so."""
    drawings = press.drawings()
    stops = [page for page in printable.guide.pages if page.layout == "stop"]
    say, language = printable.say, printable.guide.language
    web = printable.web("page:round") if stops else None
    values = {
        **heading(printable, say("Show me round")),
        "none": "" if stops else say(NO_WALK),
        "web": web or "",
        "symbol": drawings.add_symbol(web) if web else None,
        "stops": [_stop(page, drawings, language) for page in stops],
    }
    return press.paper("walk", values, printable, drawings)


def _stop(page: Page, drawings: Drawings, language: Language) -> dict[str, Any]:
    values = page.values
    plan = values["plan"]
    floor = f"{values['floor']}." if values["floor"] else ""
    return {
        "name": values["name"],
        "number": values["number"],
        "count": values["count"],
        "way": " ".join(filter(None, (floor, values["way"]))),
        "plan": _drawing(highlight_svg(plan, tags=values["tags"]), drawings) if plan else None,
        "views": [_view(each, drawings, language) for each in values["views"]],
        "again": [line for item in values["again"] for line in _again(item, language)],
    }


def _drawing(svg: str, drawings: Drawings) -> Mapping[str, Any]:
    drawing = drawings.add(str(svg))
    return {"file": drawing.name, "alt": drawing.alternative, "ratio": drawing.ratio}


def _view(view: FacedWall, drawings: Drawings, language: Language) -> dict[str, Any]:
    wall = view.wall
    return {
        "wall": _drawing(shared_wall_svg(wall, language), drawings) if wall else None,
        "stand": stand(wall.view, language) if wall else "",
        "items": [_item(each) for each in view.items],
    }


def _item(item: RoundItem) -> dict[str, Any]:
    alone = len(item.things) == 1
    return {
        "title": item.things[0].title if alone else item.title,
        "number": str(item.things[0].number or "") if alone else "",
        "place": _as_sentence(item.things[0].place) if alone else "",
        "things": [] if alone else [_thing(each) for each in item.things],
        "cautions": list(item.cautions),
        "say": " ".join(filter(None, (item.does, item.say))),
        "try": item.tries,
    }


def _thing(thing: RoundThing) -> dict[str, str]:
    place = f": {thing.place}" if thing.place else ""
    return {"number": str(thing.number or ""), "text": f"{thing.title}{place}"}


def _again(item: RoundItem, language: Language) -> Iterator[dict[str, str]]:
    met = language.say("As in: %(stop)s.", stop=item.met.text) if item.met else ""
    for each in item.things:
        thing = _thing(each)
        yield {**thing, "text": f"{thing['text']}. {met}".rstrip()}


def _as_sentence(place: str) -> str:
    return f"{place[:1].upper()}{place[1:]}." if place else ""
