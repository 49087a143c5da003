"""What the equipment of a home brings with it: registrations, services and filters to change."""

import re
from collections.abc import Iterator
from datetime import date

from builder.guide.about import About
from builder.guide.pieces import Piece
from builder.guide.schedule.days import rhythm_days, single
from builder.guide.schedule.entries import By, ScheduleEntry, Span
from builder.guide.schedule.wording import call_of, rhythm
from builder.guide.terms import within
from builder.home.lengths import after
from builder.home.roles import holder_of
from builder.languages.language import to_say
from builder.model.equipment import Kind
from builder.model.record import TERM

_DRAINS = "treatment-plant"
_EMPTIED = "emptied-every"
_RECORD = to_say("what this home's record says of it")


def appliance_entries(about: About) -> Iterator[ScheduleEntry]:
    """Registrations by their term, services and other rhythms piece by piece, and the drains."""
    yield from _registrations(about)
    for piece in about.pieces:
        yield from _service(piece, about)
        yield from _rhythms(piece, about)
    yield from _emptying(about)


def _emptying(about: About) -> Iterator[ScheduleEntry]:
    """When an owner's own tank or plant is emptied, where none among the equipment says it."""
    home, drains = about.home, about.home.foul_drainage
    told = any(_EMPTIED in piece.facts for piece in home.equipment.values())
    if drains is None or drains.emptied is None or told or not _empties(about):
        return
    spans = tuple(_days(drains.emptied, home.plot.completion))
    keeper = home.contacts.get(holder_of("drains-keeper", home.contacts) or "")
    article = next((each for each in about.selection.articles if each.id == _DRAINS), None)
    yield ScheduleEntry(
        "drains.emptied.rhythm",
        "rhythm",
        about.say("Have what holds your waste water emptied."),
        rhythm(drains.emptied, spans[0].first if spans else None, about.language),
        about.language.text(_RECORD),
        by="registered-person",
        every=drains.emptied,
        spans=spans,
        target=f"article:{article.id}" if article else None,
        read=article.front.title if article else "",
        call=call_of(keeper) if keeper else None,
    )


def _empties(about: About) -> bool:
    """Whether the owner has the tank or the plant emptied: where homes share one, whoever keeps it does."""
    return "own-drains" in about.true_names


def _registrations(about: About) -> Iterator[ScheduleEntry]:
    """One entry for all that is registered within the same term and is not registered yet."""
    home, completion = about.home, about.home.plot.completion
    wanted: dict[str, list[str]] = {}
    for piece in about.pieces:
        term = home.kinds[piece.kind].register_within
        if term and home.equipment[piece.id].registered is None:
            wanted.setdefault(term, []).append(piece.title)
    for term, titles in wanted.items():
        yield ScheduleEntry(
            f"register.{term.replace(' ', '-')}.closes",
            "closes",
            about.say(
                "Register with the makers: %(things)s.", things=about.language.listed(titles)
            ),
            within(term, completion, about.counted_from, about.language),
            about.say("common practice"),
            spans=single(after(completion, term)) if completion else (),
        )


def _service(piece: Piece, about: About) -> Iterator[ScheduleEntry]:
    """The service of a piece, where none of the articles of its kind asks for it already."""
    if piece.service_every and not _asked_for(piece, about):
        keeper = about.home.contacts.get(piece.served_by or "")
        what = about.say("Have this serviced: %(thing)s.", thing=piece.title)
        if keeper is not None:
            what = about.say(
                "%(name)s services this: %(thing)s. Let them in.",
                name=keeper.name, thing=piece.title,
            )  # fmt: skip
        by: By = "registered-person" if keeper is None else "keeper"
        yield _rhythm(f"service.{piece.id}", what, piece.service_every, piece, about, by)


def _asked_for(piece: Piece, about: About) -> bool:
    return any(
        task.by == "registered-person" and task.every == piece.service_every
        for article in about.selection.articles
        if article.id == piece.article or not set(piece.does).isdisjoint(article.front.serves)
        for task in article.front.tasks.values()
        if about.applies(task)
    )


def _rhythms(piece: Piece, about: About) -> Iterator[ScheduleEntry]:
    """The facts of a piece that are rhythms: "Clean or change filters every", "6 months"."""
    kind: Kind = about.home.kinds[piece.kind]
    facts = about.home.equipment[piece.id].facts
    for name, definition in kind.facts.items():
        term = str(facts.get(name, ""))
        theirs = name != _EMPTIED or _empties(about)
        if definition.rhythm and theirs and re.fullmatch(TERM, term):
            what = f"{piece.title}: {_inner(definition.name.removesuffix(' every'))}."
            yield _rhythm(f"fact.{piece.id}.{name}", what, term, piece, about)


def _inner(text: str) -> str:
    """A text as it goes on after a colon."""
    return f"{text[:1].lower()}{text[1:]}"


def _rhythm(
    name: str, what: str, term: str, piece: Piece, about: About, by: By = "you"
) -> ScheduleEntry:
    spans = tuple(_days(term, about.home.plot.completion))
    return ScheduleEntry(
        f"{name}.rhythm",
        "rhythm",
        what,
        rhythm(term, spans[0].first if spans else None, about.language),
        about.language.text(_RECORD),
        by=by,
        every=term,
        spans=spans,
        target=f"equipment:{piece.id}",
        read=piece.title,
    )


def _days(term: str, completion: date | None) -> Iterator[Span]:
    for day in rhythm_days(term, completion) if completion else ():
        yield Span(day, day)
