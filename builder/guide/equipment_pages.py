"""The pages by system, by room and by piece of equipment: each thing, and where it is."""

from collections.abc import Iterator, Mapping
from typing import Any

from builder.guide.about import About
from builder.guide.front_pages import article_link, task_time
from builder.guide.pages import Link, Page
from builder.guide.pieces import EmitterPiece, Piece, floor_name
from builder.guide.plan.marks import North
from builder.guide.schedule.entries import RepeatedTask
from builder.guide.schedule.tasks import done_by, task_entry
from builder.guide.schedule.wording import BY
from builder.guide.terms import every
from builder.guide.values import Values
from builder.languages.language import to_say
from builder.model.article import Article
from builder.model.condition import Condition
from builder.model.drawing import Drawing
from builder.model.equipment import System

_CONTROLS = {
    "thermostatic-valve": to_say("its own valve sets how warm it gets"),
    "own-thermostat": to_say("its own thermostat sets how warm it gets"),
    "zone-thermostat": to_say("the room thermostat of its zone turns it on and off"),
    "none": to_say(
        "it has no valve of its own: the room thermostat of its zone turns it on and off"
    ),
}


def system_pages(about: About) -> tuple[Page, ...]:
    """One page for each system of which this home has something, in the standard's order."""
    return tuple(
        page for name in about.home.systems if (page := _system_page(name, about)) is not None
    )


def _system_page(name: str, about: About) -> Page | None:
    system = about.kept.alike(about.home.systems[name])
    articles = articles_of_system(name, about)
    pieces = tuple(piece for piece in about.pieces if piece.system == name)
    if not articles and not pieces:
        return None
    sections = (about.section("doors"), about.section("fences"))
    drawn = (about.plans.built, about.plans.placed, about.kept.same(pieces))
    parts = (_system_page, about.kept.same((name,)), system, about.zones, *drawn, *sections, *articles)  # fmt: skip
    shared = about.kept.made_from(parts, lambda: _values_of_system(name, pieces, articles, about))
    north = about.kept.alike(about.north) if pieces and about.plans.drawn else None
    return about.kept.once(_page_of_system, name, system, shared, north)


def _page_of_system(name: str, system: System, shared: Values, north: North | None) -> Page:
    return Page(
        id=f"system:{name}",
        path=f"systems/{name}",
        title=system.name,
        layout="system",
        summary=system.summary,
        values=shared.beside(north=north),
    )


def _values_of_system(
    name: str, pieces: tuple[Piece, ...], articles: tuple[Article, ...], about: About
) -> Values:
    """What homes share that are drawn alike, wherever north is."""
    plans = about.plans
    return Values(
        {
            "pieces": pieces,
            "articles": tuple(article_link(article) for article in articles),
            "zones": about.zones if name == "heating" else (),
            "emitters": _controls((each for zone in about.zones for each in zone.emitters), about)
            if name == "heating"
            else (),
            "doors": _fire_doors(about) if name == "fire-safety" else (),
            "fences": tuple(about.home.fences.values()) if name == "outside" else (),
        },
        (name, plans.built, plans.placed),
        plans=lambda: plans.of_system(name),
        marks=lambda: {each.id: plans.marks[each.id] for each in pieces if each.id in plans.marks},
    )


def articles_of_system(name: str, about: About) -> tuple[Article, ...]:
    """The articles of a system that are not for emergencies, by title."""
    return tuple(
        article
        for article in about.by_title
        if article.front.system == name and not article.front.urgent
    )


def room_pages(about: About) -> tuple[Page, ...]:
    """One page for each room that has something to say, floor by floor."""
    home = about.home
    level = {name: floor.level for name, floor in home.floors.items()}
    ordered = sorted(home.rooms, key=lambda name: level.get(home.rooms[name].floor or "", 99))
    return tuple(page for name in ordered if (page := _room_page(name, about)) is not None)


def _room_page(name: str, about: About) -> Page | None:
    sections = map(about.section, ("rooms", "zones", "windows", "doors", "finishes"))
    pieces = about.kept.same(tuple(piece for piece in about.pieces if piece.room_id == name))
    asked = about.kept.same((name, _climbs(about)))
    parts = (_room_page, asked, about.plans.built, about.zones, pieces, *sections)
    return about.kept.made_from(parts, lambda: _page_of_room(name, pieces, about))


def _page_of_room(name: str, pieces: tuple[Piece, ...], about: About) -> Page | None:
    home, plans = about.home, about.plans
    values: dict[str, Any] = {
        "pieces": pieces,
        "emitters": _controls(
            (each for zone in about.zones for each in zone.emitters if each.room_id == name), about
        ),
        "zone": next((each.name for each in home.zones.values() if name in each.rooms), None),
        "windows": tuple(each for each in home.windows.values() if each.room == name),
        "doors": tuple(each for each in home.doors.values() if name in each.between),
        "finishes": tuple(each for each in home.finishes.values() if each.room == name),
        "photograph_of": home.rooms[name].photo,
    }
    if not any(values.values()):
        return None
    floor = floor_name(name, home)
    return Page(
        id=f"room:{name}",
        path=f"rooms/{name}",
        title=home.rooms[name].name,
        layout="room",
        summary=floor or "",
        values=Values(
            {**values, "floor": floor, "climbs": _climbs(about)},
            (plans.built,),
            plan=lambda: plans.room(name),
        ),
    )


def _climbs(about: About) -> bool:
    """Whether whoever lives there can climb out of a window."""
    return "hard-walking" not in about.true_names


def _controls(emitters: Iterator[EmitterPiece], about: About) -> tuple[dict[str, Any], ...]:
    text = about.language.text
    return tuple({"emitter": each, "control": text(_CONTROLS[each.control])} for each in emitters)


def _fire_doors(about: About) -> tuple[Any, ...]:
    return tuple(door for door in about.home.doors.values() if door.fire_rating)


def equipment_pages(about: About, drawings: Mapping[str, Drawing]) -> tuple[Page, ...]:
    """One page for each piece whose kind has pages."""
    return tuple(
        _equipment_page(piece, about, drawings) for piece in about.pieces if piece.has_page
    )


def _equipment_page(piece: Piece, about: About, drawings: Mapping[str, Drawing]) -> Page:
    articles = tuple(articles_for(piece, about))
    actions = about.kept.same(actions_of(piece, about))
    shown = about.kept.same(tuple(drawings[each] for each in piece.drawings if each in drawings))
    tasks = about.kept.same(tuple(_tasks(articles[0], piece, about)) if articles else ())
    contact = about.contacts.get(piece.served_by or "")
    keeper = about.kept.same((contact["name"],) if contact else ())
    parts = (
        _equipment_page,
        piece,
        *about.plans.shows((piece,)),
        about.section("systems"),
        actions,
        tasks,
        shown,
        keeper,
        *articles,
    )
    return about.kept.made_from(
        parts, lambda: _page_of_piece(piece, articles, actions, tasks, shown, keeper, about)
    )


def _tasks(article: Article, piece: Piece, about: About) -> Iterator[RepeatedTask]:
    """What comes back, of a piece's own article: it needs no days, which differ from plot to plot."""
    for name, task in article.front.tasks.items():
        bounded = task.opens or task.closes
        of_it = about.applies(task) and _is_of(task.when, piece)
        if (task.every or task.months) and not bounded and of_it:
            when = f"{task_time(task, about)}. {about.language.text(BY[done_by(article.front, task, about)])}"
            yield RepeatedTask(task_entry(article.id, name, task), task.do, when, task.every)


def _page_of_piece(
    piece: Piece,
    articles: tuple[Article, ...],
    actions: tuple[str, ...],
    tasks: tuple[RepeatedTask, ...],
    drawings: tuple[Drawing, ...],
    keeper: tuple[str, ...],
    about: About,
) -> Page:
    plans, walls, equipment = about.plans, about.walls, about.alike.equipment[piece.id]
    return Page(
        id=f"equipment:{piece.id}",
        path=f"equipment/{piece.id}",
        title=piece.title,
        layout="equipment",
        summary=piece.what,
        values=Values(
            {
                "piece": piece,
                "drawings": drawings,
                "service": every(piece.service_every, about.language)
                if piece.service_every
                else None,
                "keeper": keeper[0] if keeper else None,
                "articles": tuple(article_link(article) for article in articles),
                "actions": actions,
                "tasks": tasks,
                "room": Link(piece.room, f"room:{piece.room_id}"),
                "system": Link(about.home.systems[piece.system].name, f"system:{piece.system}"),
            },
            plans.shows((piece,)),
            plans=lambda: plans.highlights((piece,)),
            wall=lambda: walls.view(equipment),
        ),
        called=about.home.kinds[piece.kind].looked_for,
    )


def actions_of(piece: Piece, about: About) -> tuple[str, ...]:
    """What people scan the sticker of a piece for: its kind says, else the article to read first, where
    that is about this kind of thing."""
    if piece.actions:
        return piece.actions
    first = next(articles_for(piece, about), None)
    if first is None or set(piece.does).isdisjoint(first.front.serves):
        return ()
    others = first.front.other_actions.values()
    found = (each.do for each in others if about.applies(each) and _is_of(each.when, piece))
    return next(found, first.front.actions)


def _is_of(when: Condition | None, piece: Piece) -> bool:
    """Whether what stands under a condition is of this thing, and not of another that the condition names."""
    for each in (when, *((when and when.all) or ())):
        if each and each.kind and set(piece.does).isdisjoint(each.kind):
            return False
    return True


def articles_for(piece: Piece, about: About) -> Iterator[Article]:
    """The articles about a piece in this home: its kind's own first, then the others by title."""
    own = next((each for each in about.by_title if each.id == piece.article), None)
    if own is not None:
        yield own
    yield from (each for each in about.serving(piece.does) if each.id != piece.article)
