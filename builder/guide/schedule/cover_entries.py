"""The last days of covers, and the first days of those that follow, as entries of the schedule."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from builder.guide.about import About
from builder.guide.schedule.clock import covered_pieces, covers_of
from builder.guide.schedule.days import ONE_DAY, single
from builder.guide.schedule.entries import Entry
from builder.guide.schedule.wording import call_of
from builder.guide.terms import after, spoken_day, within
from builder.model.cover import Cover


def cover_entries(about: About) -> Iterator[Entry]:
    """What covers bring: from completion by their terms, from registration for each appliance."""
    for name, cover in covers_of(about).items():
        matters = _matters(cover, about)
        if not matters:
            continue
        if cover.anchor == "registration":
            yield from _of_appliances(name, cover, about)
        else:
            yield from _from_completion(name, cover, "; ".join(matters), about)


def _matters(cover: Cover, about: About) -> tuple[str, ...]:
    matters = (about.home.matters[name] for name in cover.matters)
    return tuple(each.name for each in matters if about.applies(each))


def _from_completion(name: str, cover: Cover, matters: str, about: About) -> Iterator[Entry]:
    completion = about.home.plot.completion
    if cover.starts:
        first = after(completion, cover.starts) + ONE_DAY if completion else None
        yield Entry(
            f"cover.{name}.starts",
            "opens",
            f"{cover.name}: the cover begins. {matters}.",
            _from(first, cover.starts, about.counted_from),
            spans=single(first) if first else (),
            **_shared(cover, about),
        )
    if cover.ends:
        yield Entry(
            f"cover.{name}.ends",
            "closes",
            f"{cover.name}: last day to report. {matters}.",
            within(cover.ends, completion, about.counted_from),
            spans=single(after(completion, cover.ends)) if completion else (),
            **_shared(cover, about),
        )


def _from(first: date | None, starts: str, counted_from: str) -> str:
    return f"from {spoken_day(first)}" if first else f"later than {starts} after {counted_from}"


def _shared(cover: Cover, about: About) -> dict[str, Any]:
    contact = about.home.contacts[cover.contact] if cover.contact in about.contacts else None
    return {"basis": cover.basis, "call": contact and call_of(contact)}


def _of_appliances(name: str, cover: Cover, about: About) -> Iterator[Entry]:
    """The last day of the maker's cover of each appliance that is registered."""
    for piece in covered_pieces(about):
        registered = about.home.equipment[piece.id].registered
        term = about.home.kinds[piece.kind].cover
        if registered and term:
            last = after(registered, term)
            yield Entry(
                f"cover.{name}.{piece.id}.ends",
                "closes",
                f"{cover.name}: last day to report. {piece.title}.",
                f"by {spoken_day(last)}",
                spans=single(last),
                target=f"equipment:{piece.id}",
                read=piece.title,
                **_shared(cover, about),
            )
