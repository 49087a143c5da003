"""What stands behind a sticker: the piece as it is today, and what has changed since it was stuck."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Literal

from builder.guide.about import About
from builder.guide.equipment_pages import actions_of, articles_for
from builder.guide.pages import Guide, Link, Photograph
from builder.guide.photographs import by_name
from builder.guide.pieces import Piece
from builder.guide.plan.drawing import Highlight
from builder.guide.round_pages import stop_of
from builder.guide.urgent import urgent_contacts
from builder.guide.wall.view import WallView
from builder.guide.whom import CARE, own_contact
from builder.home.roles import MADE_UP, builder_name

State = Literal["here", "gone", "void"]


@dataclass(frozen=True, slots=True)
class StickerRecord:
    """A sticker as it was issued, and the id of what it is for today, if that is in the home."""

    code: str
    kind: str
    room: str
    make: str
    equipment: str | None
    void: bool


@dataclass(frozen=True, slots=True)
class StickerCall:
    """Somebody to call, from the sticker itself."""

    name: str
    telephone: str
    call_for: str


@dataclass(frozen=True, slots=True)
class StickerPage:
    """One sticker's page, before any writer sees it. ``links`` name pages of the guide by id."""

    code: str
    state: State
    home: str
    title: str
    what: str
    where: str
    changes: tuple[str, ...]
    actions: tuple[str, ...]
    caution: str | None
    calls: tuple[StickerCall, ...]
    links: tuple[Link, ...]
    plan: Highlight | None = None
    wall: WallView | None = None
    photographs: tuple[Photograph, ...] = ()


def sticker_page(about: About, guide: Guide, record: StickerRecord) -> StickerPage:
    """The page of one sticker, for the home as it is today."""
    piece = next((each for each in about.pieces if each.id == record.equipment), None)
    if record.void:
        return _void(about, record)
    return (
        _page_of_gone(about, guide, record)
        if piece is None
        else _page_of_piece(about, guide, record, piece)
    )


def _void(about: About, record: StickerRecord) -> StickerPage:
    return StickerPage(
        code=record.code,
        state="void",
        home=builder_name(about.home, about.language),
        title=about.say("This sticker is no longer valid"),
        what=about.say("Please take it off. In an emergency, call one of these numbers."),
        where="",
        changes=(),
        actions=(),
        caution=None,
        calls=_calls(about, whole=True),
        links=(),
    )


def _page_of_gone(about: About, guide: Guide, record: StickerRecord) -> StickerPage:
    kind = about.home.kinds.get(record.kind)
    name = kind.name if kind else about.say("What this sticker was for")
    return StickerPage(
        code=record.code,
        state="gone",
        home=_home(about),
        title=about.say("%(name)s: no longer in this home", name=name),
        what=about.say(
            "It was taken out after this sticker was made. Please take the sticker off."
        ),
        where="",
        changes=(),
        actions=(),
        caution=None,
        calls=_calls(about, whole=True),
        links=tuple(_links_there(guide, [Link(about.say("In an emergency"), "page:emergency"), Link(about.say("Your guide"), "page:home")])),
    )  # fmt: skip


def _page_of_piece(about: About, guide: Guide, record: StickerRecord, piece: Piece) -> StickerPage:
    articles = tuple(articles_for(piece, about))
    photographs = by_name(guide.photographs)
    stop = stop_of(guide.pages, piece.id)
    wanted = [
        Link(about.say("In an emergency"), "page:emergency"),
        Link(about.say("More about it: %(thing)s", thing=piece.name), f"equipment:{piece.id}"),
        *(Link(each.front.title, f"article:{each.id}") for each in articles),
        Link(
            about.say("Everything in this room: %(room)s", room=piece.room), f"room:{piece.room_id}"
        ),
        *(
            [
                Link(
                    about.say("Show me round from here: %(stop)s", stop=stop.values["name"]),
                    stop.id,
                )
            ]
            if stop
            else []
        ),
        Link(about.say("Report a fault with it"), f"page:report#thing-{piece.id}"),
        Link(about.say("Your guide"), "page:home"),
    ]
    return StickerPage(
        code=record.code,
        state="here",
        home=_home(about),
        title=piece.name,
        what=piece.what,
        where=piece.where,
        changes=tuple(_changes(about, record, piece)),
        actions=actions_of(piece, about),
        caution=piece.caution,
        calls=tuple(_calls_for(about, piece)),
        links=tuple(_links_there(guide, wanted)),
        plan=next(iter(about.plans.highlights((piece,))), None),
        wall=about.walls.view(about.home.equipment[piece.id]),
        photographs=tuple(photographs[name] for name in piece.photos if name in photographs),
    )


def _home(about: About) -> str:
    """Whose home it is, and that it is made up where it is."""
    address = about.home.plot.address
    return (
        f"{address} ({about.language.text(MADE_UP)})"
        if about.home.development.invented
        else address
    )


def _changes(about: About, record: StickerRecord, piece: Piece) -> Iterator[str]:
    """What differs from the day that the sticker was made, in the words of the home."""
    if record.kind and record.kind != piece.kind:
        kind = about.home.kinds.get(record.kind)
        before = (
            about.say("a %(kind)s", kind=kind.name.lower()) if kind else about.say("something else")
        )
        yield about.say(
            "When this sticker was made, this was %(before)s. Now it is: %(now)s.",
            before=before, now=piece.kind_name.lower(),
        )  # fmt: skip
    if record.room and record.room != piece.room_id:
        room = about.home.rooms.get(record.room)
        moved = about.say("It has moved.")
        if room is None:
            yield moved
        else:
            before = about.say("Before, it was here: %(room)s.", room=room.name.lower())
            yield f"{moved} {before}"
    if record.make and record.make != (piece.make or ""):
        replaced = about.say("It was replaced. Before, it was a %(make)s.", make=record.make)
        now = piece.make and about.say("It is now a %(make)s.", make=piece.make)
        yield f"{replaced} {now}" if now else replaced


def _calls(about: About, *, whole: bool) -> tuple[StickerCall, ...]:
    """The emergency numbers, and then who mends faults."""
    care = about.contact(CARE)
    contacts = [*(urgent_contacts(about) if whole else ()), *([care] if care else [])]
    return tuple(_calls_of(contacts))


def _calls_for(about: About, piece: Piece) -> Iterator[StickerCall]:
    """Whom to call about one piece, in the order in which somebody who stands before it needs them."""
    fuel = about.home.fuels.get(piece.fuel or "")
    danger = piece.caution is not None or piece.turns_off is not None
    at_once = "emergency-services" if piece.system == "fire-safety" and danger else None
    supply = about.home.water.contact if about.home.water and piece.turns_off == "water" else None
    network = "power-cut" if piece.turns_off == "electricity" else None
    last = "emergency-services" if danger else None
    mends = (
        (piece.call,) if own_contact(piece, about.contacts) else (piece.call, CARE, "out-of-hours")
    )
    roles = (at_once, fuel.emergency if fuel else None, *mends, supply)
    found = (about.contact(role) for role in (*roles, network, last))
    yield from _calls_of({each["id"]: each for each in found if each}.values())


def _calls_of(contacts: Iterable[dict[str, Any]]) -> Iterator[StickerCall]:
    for each in contacts:
        if each["telephone"]:
            yield StickerCall(each["name"], each["telephone"], each["call_for"])


def _links_there(guide: Guide, links: list[Link]) -> Iterator[Link]:
    for link in links:
        page = guide.page(link.target.partition("#")[0])
        if page is not None:
            yield link
