"""The last days of covers, and the first days of those that follow, as entries of the schedule."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from builder.guide.about import About
from builder.guide.schedule.clock import covered_pieces, covers_of
from builder.guide.schedule.days import ONE_DAY, single
from builder.guide.schedule.entries import ScheduleEntry
from builder.guide.schedule.sold import asking_notice, last_of
from builder.guide.schedule.wording import call_of
from builder.guide.terms import within
from builder.home.lengths import after
from builder.model.cover import Cover


def cover_entries(about: About) -> Iterator[ScheduleEntry]:
    """What covers bring: from completion by their terms, from registration for each appliance."""
    yield from _notices(about)
    for name, cover in covers_of(about).items():
        matters = _matters(cover, about)
        if not matters:
            continue
        if cover.anchor == "registration":
            yield from _entries_of_appliances(name, cover, about)
        else:
            yield from _from_completion(name, cover, "; ".join(matters), about)


def _matters(cover: Cover, about: About) -> tuple[str, ...]:
    matters = (about.home.matters[name] for name in cover.matters)
    return tuple(each.name for each in matters if about.applies(each))


def _from_completion(
    name: str, cover: Cover, matters: str, about: About
) -> Iterator[ScheduleEntry]:
    completion = about.home.plot.completion
    if cover.starts:
        first = after(completion, cover.starts) + ONE_DAY if completion else None
        yield ScheduleEntry(
            f"cover.{name}.starts",
            "opens",
            about.say(
                "%(cover)s: the cover begins. %(matters)s.", cover=cover.name, matters=matters
            ),
            _from_when(first, cover.starts, about),
            spans=single(first) if first else (),
            **_shared_values(cover, about),
        )
    if cover.ends:
        last = _end_of_cover(cover, completion, about) if completion else None
        yield ScheduleEntry(
            f"cover.{name}.ends",
            "closes",
            _last_day(cover, matters, about),
            _by_when(last, about)
            if last
            else within(cover.ends, None, about.counted_from, about.language),
            spans=single(last) if last else (),
            **_shared_values(cover, about),
        )


def _end_of_cover(cover: Cover, completion: date, about: About) -> date:
    """The last day of a cover that ends, after all sales of the home."""
    first = after(completion, cover.starts) if cover.starts else completion
    ends = after(completion, cover.ends or "")
    return last_of(cover, first, ends, about) or ends


def _notices(about: About) -> Iterator[ScheduleEntry]:
    """Whom a later owner tells that the home is theirs, and by when."""
    for name, cover, last in asking_notice(about):
        yield ScheduleEntry(
            f"cover.{name}.notice",
            "closes",
            about.say(
                "%(cover)s: tell them that the home is yours, or the cover ends.", cover=cover.name
            ),
            _by_when(last, about),
            spans=single(last),
            **_shared_values(cover, about),
        )


def _from_when(first: date | None, starts: str, about: About) -> str:
    if first:
        return about.say("from %(day)s", day=about.language.day(first))
    term = about.language.term(starts)
    return about.say("later than %(term)s after %(day)s", term=term, day=about.counted_from)


def _by_when(last: date, about: About) -> str:
    return about.say("by %(day)s", day=about.language.day(last))


def _last_day(cover: Cover, matters: str, about: About) -> str:
    return about.say(
        "%(cover)s: last day to report. %(matters)s.", cover=cover.name, matters=matters
    )


def _shared_values(cover: Cover, about: About) -> dict[str, Any]:
    contact = about.home.contacts[cover.contact] if cover.contact in about.contacts else None
    return {"basis": cover.basis, "call": contact and call_of(contact)}


def _entries_of_appliances(name: str, cover: Cover, about: About) -> Iterator[ScheduleEntry]:
    """The last day of the maker's cover of each appliance that is registered."""
    for piece in covered_pieces(about):
        registered = about.home.equipment[piece.id].registered
        term = about.home.kinds[piece.kind].cover
        if registered and term:
            ends = after(registered, term)
            last = last_of(cover, registered, ends, about) or ends
            yield ScheduleEntry(
                f"cover.{name}.{piece.id}.ends",
                "closes",
                _last_day(cover, piece.title, about),
                _by_when(last, about),
                spans=single(last),
                target=f"equipment:{piece.id}",
                read=piece.title,
                **_shared_values(cover, about),
            )
