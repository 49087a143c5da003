"""What covers become when a home is sold on: some pass on, some end, and some ask to be told in time."""

from collections.abc import Iterator
from datetime import date, timedelta

from builder.guide.about import About
from builder.home.lengths import after
from builder.model.cover import Cover, LaterOwner

_ONE_DAY = timedelta(days=1)


def later_owners(about: About) -> tuple[tuple[str, LaterOwner], ...]:
    """Whoever bought the home later, by their ids, the first of them first."""
    return tuple(sorted(about.home.later_owners.items(), key=lambda each: each[1].since))


def owner_now(about: About) -> LaterOwner | None:
    """The owner of today, where that is not the first one."""
    owners = later_owners(about)
    return owners[-1][1] if owners else None


def last_of(cover: Cover, first: date, last: date | None, about: About) -> date | None:
    """The last day of a cover that begins and ends on these days, after all sales of the home.

    It lies before ``first`` where a sale took the cover away before it had begun.
    """
    name = _name_of(cover, about)
    for _, owner in later_owners(about):
        if last is not None and owner.since > last:
            break
        ends = _ends_with(name, cover, owner)
        if ends is not None:
            last = ends if last is None else min(last, ends)
    return last


def _ends_with(name: str, cover: Cover, owner: LaterOwner) -> date | None:
    """The day that a cover ends on for a new owner, unless it passes on."""
    if cover.next_owner == "not-covered":
        return owner.since - _ONE_DAY
    if cover.notice and name not in owner.notice_given:
        return after(owner.since, cover.notice)
    return None


def _name_of(cover: Cover, about: About) -> str:
    return next((name for name, each in about.home.covers.items() if each is cover), "")


def asking_notice(about: About) -> Iterator[tuple[str, Cover, date]]:
    """The covers that the owner of today has to tell, and the last day for that."""
    owner = owner_now(about)
    for name, cover in about.home.covers.items() if owner else ():
        asks = cover.asks_notice and about.applies(cover)
        if owner and asks and cover.notice and name not in owner.notice_given:
            yield name, cover, after(owner.since, cover.notice)
