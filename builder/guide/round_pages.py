"""Show me round: the walk round this home for its owner, stop by stop, without anybody beside them.

The stops and their order are those of the demonstration. What is private or the staff's stays there.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import chain

from builder.guide.about import About
from builder.guide.pages import Link, Page, looked_for
from builder.guide.pieces import Piece
from builder.guide.plan.drawing import Highlight
from builder.guide.plan.numbered import NumberLabel, labels
from builder.guide.values import Values
from builder.guide.walk.script import Script
from builder.guide.walk.stops import Item, Stop, Stops
from builder.guide.walk.things import Contents, Thing
from builder.guide.walk.walking import Walking
from builder.guide.wall.together import SharedWall, together
from builder.home.survey import Survey

ROUND = "page:round"
_EQUIPMENT = "equipment."
_LONG_WORD = re.compile(r"[a-z]{4,}")
_MOST = 0.5
"""The share of its longer words that makes a sentence said already."""
_WALKED = (
    "rooms", "room_kinds", "floors", "doors", "windows", "stairs", "equipment", "kinds", "systems", "zones",
    "ventilation", "stores", "communal", "parking", "lawns", "gates", "fences",
)  # fmt: skip
"""The sections of a home that a walk round it leads past."""


@dataclass(frozen=True, slots=True)
class RoundThing:
    """One thing at a stop: the number that it has on the drawings there, if it is on one, and where
    it is. ``page`` is the id of its own page, and ``piece`` its own id where it is equipment."""

    title: str
    place: str
    page: str
    piece: str
    number: int | None


@dataclass(frozen=True, slots=True)
class RoundItem:
    """Things of one sort at a stop, in the owner's words: what to take care of, what they do, what is
    good to know, and what to try. ``met``: the stop at which one like it was met before."""

    title: str
    things: tuple[RoundThing, ...]
    cautions: tuple[str, ...]
    does: str
    say: str
    tries: str
    read: Link | None
    met: Link | None


@dataclass(frozen=True, slots=True)
class FacedWall:
    """A wall as one stands before it, and what is told of there; without a wall, what is on none."""

    wall: SharedWall | None
    items: tuple[RoundItem, ...]


@dataclass(frozen=True, slots=True)
class Drawn:
    """What is drawn and said at a stop: the plan with numbers on it, wall by wall what is there, and
    what was met before."""

    plan: Highlight | None
    tags: tuple[NumberLabel, ...]
    views: tuple[FacedWall, ...]
    again: tuple[RoundItem, ...]


def round_pages(script: Script | None, about: About) -> tuple[Page, ...]:
    """The page that the walk begins on, and one for each of its stops; none where nothing is said."""
    stops = stops_of(script, about) if script else ()
    if not stops:
        return ()
    parts = (round_pages, stops, about.pieces, about.plans, about.walls, *about.by_title)
    return about.kept.made_from(parts, lambda: (_first_page(stops, about), *_pages(stops, about)))


def stops_of(script: Script, about: About) -> tuple[Stop, ...]:
    """The stops of the walk round a home, without what is private."""
    home, drawn = about.alike, about.as_drawn or about.home
    script = script.worded_for(about.home, about.kept, about.language)
    sections = [getattr(each, name) for each in (home, drawn) for name in _WALKED]
    own = about.kept.same(script.versions_in(about))
    parts = (stops_of, script, own, about.pieces, about.zones, *sections, *about.by_title)

    def made() -> tuple[Stop, ...]:
        contents = Contents(about, Survey(drawn, about.kept), {})
        return Stops(contents, script).stops()

    return about.kept.made_from(parts, made)


def stop_of(pages: tuple[Page, ...], piece: str) -> Page | None:
    """The page of the stop at which a piece is met."""
    return next((page for page in pages if piece in page.values.get("met_here", ())), None)


def _first_page(stops: tuple[Stop, ...], about: About) -> Page:
    return Page(
        id=ROUND,
        path="round",
        title=about.say("Show me round"),
        layout="round",
        summary=about.say(
            "A walk round this home, room by room: where things are, what they do, what to try."
        ),
        values={
            "stops": tuple(
                {"id": each.id, "link": _link(each), "floor": each.floor or "", "things": _names_of_items(each)}
                for each in stops
            )
        },
        called=looked_for(about.say("tour|walk round|show me round|demonstration")),
    )  # fmt: skip


_ROOM = "room_kinds"
"""The section of the script that is about rooms themselves."""


def _names_of_items(stop: Stop) -> tuple[str, ...]:
    """What is met at a stop for the first time, by its name. The room itself is what the stop is called."""
    here = f", {stop.title}"
    met = [each for each in stop.items if each.as_at is None and each.things[0].section != _ROOM]
    return tuple(each.name.removesuffix(here) for each in met)


def _pages(stops: tuple[Stop, ...], about: About) -> Iterator[Page]:
    for index, stop in enumerate(stops):
        before = stops[index - 1] if index else None
        after = stops[index + 1] if index + 1 < len(stops) else None
        yield _page(stop, index + 1, stops, (before, after), about)


def _page(
    stop: Stop,
    number: int,
    stops: tuple[Stop, ...],
    beside: tuple[Stop | None, Stop | None],
    about: About,
) -> Page:
    drawn = cache(lambda: _drawn_stop(stop, stops, about))
    shown = {_piece_id(each) for each in _things(stop)}
    pieces = tuple(each for each in about.pieces if each.id in shown)
    before, after = beside
    return Page(
        id=f"stop:{stop.id}",
        path=f"round/{stop.id}",
        title=about.say("Show me round, stop %(number)d: %(stop)s", number=number, stop=stop.title),
        layout="stop",
        summary=about.say(
            "Stop %(number)d of %(count)d on the walk round this home.",
            number=number,
            count=len(stops),
        ),
        values=Values(
            {
                "stop": stop.id,
                "name": stop.title,
                "number": number,
                "count": len(stops),
                "floor": stop.floor or "",
                "way": stop.way,
                "before": before and _link(before),
                "after": after and _link(after),
                "met_here": tuple(_piece_id(each) for each in _things(stop)),
            },
            (stop, _ways_on(stop, stops, about), *about.plans.shows(pieces)),
            plan=lambda: drawn().plan,
            tags=lambda: drawn().tags,
            views=lambda: drawn().views,
            again=lambda: drawn().again,
        ),
        repeats=True,
    )


def _ways_on(
    stop: Stop, stops: tuple[Stop, ...], about: About
) -> tuple[tuple[Link | None, Link | None], ...]:
    """For each of its things: where it was met before, and the article to read about it."""
    return tuple((_stop_shown_before(item, stops), _read(item, about)) for item in stop.items)


def _link(stop: Stop) -> Link:
    return Link(stop.title, f"stop:{stop.id}")


def _things(stop: Stop) -> Iterator[Thing]:
    return (thing for item in stop.items for thing in item.things)


def _piece_id(thing: Thing) -> str:
    return thing.id.removeprefix(_EQUIPMENT) if thing.id.startswith(_EQUIPMENT) else ""


def _drawn_stop(stop: Stop, stops: tuple[Stop, ...], about: About) -> Drawn:
    """Wall by wall, what is on it; then what is on none. Each thing has one number, on its wall or
    else on the plan."""
    pieces = {piece.id: piece for piece in about.pieces}
    standing = [
        [each for each in group if each.as_at is None] for group in _wall_by_wall(stop, about)
    ]
    again = [each for each in stop.items if each.as_at is not None]
    order = [thing for item in (*chain.from_iterable(standing), *again) for thing in item.things]
    shown = [pieces[name] for each in order if (name := _piece_id(each)) in pieces]
    placed = [each for each in shown if about.plans.spot(each) is not None]
    numbers = {piece.id: number for number, piece in enumerate(placed, 1)}
    equipment = about.alike.equipment
    walls = together(about.walls, [(numbers[each.id], equipment[each.id]) for each in placed])
    hung = {each.number: wall for wall in walls for each in wall.things}
    plan = _plan(stop, about)
    free = [each for each in placed if numbers[each.id] not in hung]
    found = _Found(numbers, pieces, stops, about)
    return Drawn(
        plan,
        _tags(free, numbers, plan, about) if plan else (),
        tuple(_views(standing, walls, hung, found)),
        tuple(_item(each, found) for each in again),
    )


def _wall_by_wall(stop: Stop, about: About) -> list[list[Item]]:
    """The items of a stop by the wall that the first thing of each is on; what is on none comes last."""
    groups: dict[object, list[Item]] = {}
    for item in stop.items:
        groups.setdefault(_wall_of(item, about), []).append(item)
    loose = groups.pop(None, [])
    return [*groups.values(), loose]


def _wall_of(item: Item, about: About) -> object:
    piece = about.alike.equipment.get(_piece_id(item.things[0]))
    view = about.walls.view(piece) if piece else None
    return view.wall if view else None


def _views(
    standing: list[list[Item]],
    walls: tuple[SharedWall, ...],
    hung: Mapping[int, SharedWall],
    found: "_Found",
) -> Iterator[FacedWall]:
    """Each wall with its things. A wall that only things met before are on is drawn all the same."""
    drawn: list[SharedWall] = []
    for group in standing:
        number = group and found.numbers.get(_piece_id(group[0].things[0]))
        wall = hung.get(number) if number else None
        drawn += [wall] if wall else []
        yield FacedWall(wall, tuple(_item(each, found) for each in group))
    yield from (FacedWall(each, ()) for each in walls if each not in drawn)


@dataclass(frozen=True, slots=True)
class _Found:
    """What an item is put into words with: the numbers and pieces by id, all stops, and the home."""

    numbers: Mapping[str, int]
    pieces: Mapping[str, Piece]
    stops: tuple[Stop, ...]
    about: About


def _plan(stop: Stop, about: About) -> Highlight | None:
    """The floor that one stands on with the room shaded; from outside, the front door in a ring."""
    plans = about.plans
    lit = plans.room(stop.id) if stop.id in about.home.rooms else None
    if lit or not plans.entrance:
        return lit
    door = Walking(plans.survey, ()).entrance
    return (plans.door(door) if door else None) or plans.bare(plans.entrance)


def _tags(
    free: list[Piece], numbers: Mapping[str, int], plan: Highlight, about: About
) -> tuple[NumberLabel, ...]:
    floor = plan.base.floor
    spots = [
        (numbers[each.id], *spot)
        for each in free
        if about.plans.floor_of(each) == floor and (spot := about.plans.spot(each))
    ]
    across = [x for _, x, _ in spots]
    left, right = min([plan.box.left, *across]), max([plan.box.right, *across])
    return labels(spots, about.plans.legible(floor), left, right)


def _item(item: Item, found: _Found) -> RoundItem:
    things = tuple(_thing(each, found) for each in item.things)
    does = {found.pieces[each.piece].what for each in things if each.piece in found.pieces}
    return RoundItem(
        title=item.name,
        things=things,
        cautions=item.cautions,
        does=_unsaid(does.pop(), item) if len(does) == 1 else "",
        say=item.owner_reads or "",
        tries=item.owner_tries or "",
        read=_read(item, found.about),
        met=_stop_shown_before(item, found.stops),
    )


def _read(item: Item, about: About) -> Link | None:
    """The article to read about an item."""
    found = (each for each in about.by_title if each.front.title == item.article)
    article = next(found, None)
    return Link(article.front.title, f"article:{article.id}") if article else None


def _unsaid(does: str, item: Item) -> str:
    """What a thing does, unless the words of the walk say most of it themselves."""
    words = set(_LONG_WORD.findall(does.lower()))
    said = words & set(_LONG_WORD.findall((item.owner_reads or "").lower()))
    return "" if words and len(said) >= len(words) * _MOST else does


def _thing(thing: Thing, found: _Found) -> RoundThing:
    piece = found.pieces.get(_piece_id(thing))
    return RoundThing(
        title=thing.title,
        place=thing.place,
        page=f"equipment:{piece.id}" if piece and piece.has_page else "",
        piece=piece.id if piece else "",
        number=found.numbers.get(piece.id) if piece else None,
    )


def _stop_shown_before(item: Item, stops: tuple[Stop, ...]) -> Link | None:
    """The stop at which one of the same sort was shown in full."""
    if item.as_at is None:
        return None
    full = (
        stop
        for stop in stops
        if stop.title == item.as_at and any(_sort(each) == _sort(item) for each in stop.items)
    )
    stop = next(full, None)
    return _link(stop) if stop else None


def _sort(item: Item) -> tuple[str, str]:
    """What an item is about, whether it is shown from below or at hand."""
    return item.things[0].section, item.things[0].key
