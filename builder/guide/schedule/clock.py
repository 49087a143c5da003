"""The cover clock: who puts each matter right, today and later.

Of several covers that run on one day, the one that ends first answers; of two that end on the same
day, the one that stands first in the data. A cover without an end therefore answers when no other
does. A cover lasts to the end of its last day, and one that follows it begins on the day after.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from builder.guide.about import About
from builder.guide.pieces import Piece
from builder.guide.schedule.days import ONE_DAY
from builder.guide.schedule.entries import Call, CoverLine, Period
from builder.guide.schedule.sold import last_of
from builder.guide.schedule.wording import call_of
from builder.home.lengths import after
from builder.model.cover import Cover

_ANY_DAY = date(2001, 1, 1)
"""While completion is not known, terms are compared from one and the same day."""


@dataclass(frozen=True, slots=True)
class _Term:
    """A cover with the days that it runs on, and the terms that those come from."""

    cover: Cover
    first: date
    last: date | None

    def runs_on(self, day: date) -> bool:
        return self.first <= day and (self.last is None or day <= self.last)


@dataclass(frozen=True, slots=True)
class _Turn:
    """The days on which one cover answers for a matter."""

    cover: Cover
    first: date
    last: date | None


def clock(about: About) -> tuple[CoverLine, ...]:
    """A line for each matter of this home that anybody puts right, and for each appliance."""
    return tuple(line for name in about.home.matters for line in _lines(name, about))


def covers_of(about: About) -> dict[str, Cover]:
    """The covers that apply to this home, by id."""
    return {name: each for name, each in about.home.covers.items() if about.applies(each)}


def covered_pieces(about: About) -> tuple[Piece, ...]:
    """The pieces whose makers answer for them from the day of registration."""
    return tuple(piece for piece in about.pieces if about.home.kinds[piece.kind].cover)


def _lines(name: str, about: About) -> Iterator[CoverLine]:
    matter = about.home.matters[name]
    covers = [each for each in covers_of(about).values() if name in each.matters]
    if not covers or not about.applies(matter):
        return
    makers = [each for each in covers if each.anchor == "registration"]
    others = [each for each in covers if each.anchor == "completion"]
    if makers:
        yield from _appliances(name, makers[0], others, about)
    else:
        yield CoverLine(
            name, matter.name, matter.includes, tuple(_periods_of_matter(others, about))
        )


def _appliances(name: str, maker: Cover, others: list[Cover], about: About) -> Iterator[CoverLine]:
    """A line for each appliance that is registered, and one for the others of each term."""
    matter, waiting = about.home.matters[name], dict[str, list[str]]()
    for piece in covered_pieces(about):
        term = about.home.kinds[piece.kind].cover or ""
        registered = about.home.equipment[piece.id].registered
        if registered is None:
            waiting.setdefault(term, []).append(piece.title)
        else:
            last = after(registered, term)
            periods = tuple(_registered(registered, last, maker, others, about))
            yield CoverLine(f"{name}.{piece.id}", piece.title, matter.includes, periods)
    for term, titles in waiting.items():
        periods = tuple(_unregistered(term, maker, others, about))
        yield CoverLine(
            f"{name}.{term.replace(' ', '-')}", matter.name, about.language.listed(titles), periods
        )


def _periods_of_matter(covers: list[Cover], about: About) -> Iterator[Period]:
    completion = about.home.plot.completion
    anchor = completion or _ANY_DAY
    terms = [_from_completion(each, anchor, about) for each in covers]
    for turn in _turns(terms, anchor):
        if completion:
            yield _dated(turn, about)
        else:
            yield _period(turn.cover, _turn_in_terms(turn, covers, anchor, about), about)


def _from_completion(cover: Cover, anchor: date, about: About) -> _Term:
    first = after(anchor, cover.starts) + ONE_DAY if cover.starts else anchor
    last = after(anchor, cover.ends) if cover.ends else None
    return _Term(cover, first, last_of(cover, first, last, about))


def _turns(terms: list[_Term], first: date) -> Iterator[_Turn]:
    """The covers that answer one after the other, from a day on."""
    terms = [each for each in terms if each.last is None or each.first <= each.last]
    cuts = {each.first for each in terms} | {each.last + ONE_DAY for each in terms if each.last}
    begins = sorted({first} | {cut for cut in cuts if cut > first})
    turns: list[_Turn] = []
    for begin, following in zip(begins, [*begins[1:], None], strict=True):
        running = [each for each in terms if each.runs_on(begin)]
        if not running:
            continue
        cover = min(running, key=lambda each: each.last or date.max).cover
        goes_on = bool(turns) and turns[-1].cover is cover and turns[-1].last == begin - ONE_DAY
        first_day = turns.pop().first if goes_on else begin
        turns.append(_Turn(cover, first_day, following and following - ONE_DAY))
    yield from turns


def _dated(turn: _Turn, about: About) -> Period:
    say, day = about.say, about.language.day
    when = say("from %(day)s", day=day(turn.first))
    if turn.last:
        when = say("from %(day)s to %(last)s", day=day(turn.first), last=day(turn.last))
    period = _period(turn.cover, when, about)
    return replace(period, first=turn.first, last=turn.last)


def _period(cover: Cover, when: str, about: About) -> Period:
    yours = cover.contact is None and cover.anchor == "completion"
    return Period(cover.name, _call(cover, about), None, None, when, cover.basis, yours)


def _call(cover: Cover, about: About) -> Call | None:
    """Whom to call, where the contact of a cover concerns this home."""
    if cover.contact is None or cover.contact not in about.contacts:
        return None
    return call_of(about.home.contacts[cover.contact])


def _turn_in_terms(turn: _Turn, covers: list[Cover], anchor: date, about: About) -> str:
    """When a turn is, in terms from completion: "from 2 years to 10 years after your completion"."""
    terms = {
        after(anchor, term): term for each in covers for term in (each.ends, each.starts) if term
    }
    begins = terms.get(turn.first - ONE_DAY)
    ends = terms.get(turn.last) if turn.last else None
    say, term, day = about.say, about.language.term, about.counted_from
    if begins and ends:
        first, last = term(begins), term(ends)
        return say("from %(first)s to %(last)s after %(day)s", first=first, last=last, day=day)
    if begins:
        return say("later than %(term)s after %(day)s", term=term(begins), day=day)
    if ends:
        return say("for %(term)s from %(day)s", term=term(ends), day=day)
    return say("from %(day)s", day=day)


def _registered(
    first: date, last: date, maker: Cover, others: list[Cover], about: About
) -> Iterator[Period]:
    """The maker's cover from the day of registration, then whoever answers after it."""
    anchor = about.home.plot.completion or first
    until = last_of(maker, first, last, about)
    terms = [
        _Term(maker, first, until),
        *(_from_completion(each, anchor, about) for each in others),
    ]
    for turn in _turns(terms, first):
        yield _dated(turn, about)


def _unregistered(term: str, maker: Cover, others: list[Cover], about: About) -> Iterator[Period]:
    """The same in words: the day that it counts from is still to come."""
    when = about.say(
        "for %(term)s from the day that you register it", term=about.language.term(term)
    )
    yield _period(maker, when, about)
    for cover in others:
        if cover.ends is None:
            yield _period(cover, about.say("after that"), about)
