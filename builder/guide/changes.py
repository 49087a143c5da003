"""What changed in a guide since it was first published: a log by days, and the page that shows it."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from builder.guide.pages import ChangedDay, ChangedPage, Guide, Page, Section
from builder.languages.language import FIRST, Language

CHANGES = "page:changes"
KEPT = 20
"""Days that the log goes back."""
How = Literal["new", "changed", "gone"]
_TOGETHER: Mapping[tuple[str, str], How | None] = {
    ("new", "changed"): "new",
    ("new", "gone"): None,
    ("changed", "gone"): "gone",
    ("gone", "new"): "changed",
}
"""What two changes of one page on one day come to; all others come to the later one."""
_LINK = re.compile(rf"\[([^\]]*)\]\({CHANGES}\)")


@dataclass(frozen=True, slots=True)
class Content:
    """What a page says, for comparing: a digest of it, and the page's title."""

    digest: str
    title: str


def changes_page(changes: tuple[ChangedDay, ...], language: Language = FIRST) -> Page:
    """The page that lists what changed, newest first."""
    return Page(
        id=CHANGES,
        path="changes",
        title=language.say("What changed in your guide"),
        layout="changes",
        summary=language.say("The pages that changed since your guide was first published."),
        values={"changes": changes},
    )


def logged(guide: Guide, changes: tuple[ChangedDay, ...]) -> Guide:
    """A guide with that log in it."""
    own = changes_page(changes, guide.language)
    pages = tuple(
        replace(own, path=page.path) if page.id == CHANGES else page for page in guide.pages
    )
    return replace(guide, pages=pages, changes=changes)


def without_changes(guide: Guide) -> Guide:
    """A guide for paper, which is printed once: no log, and nothing that leads to it."""
    pages = (
        replace(page, body=_LINK.sub(r"\1", page.body)) if CHANGES in page.body else page
        for page in guide.pages
        if page.id != CHANGES
    )
    navigation = _without_page(guide.navigation)
    return replace(guide, pages=tuple(pages), navigation=navigation, changes=())


def _without_page(sections: tuple[Section, ...]) -> tuple[Section, ...]:
    return tuple(
        replace(each, sections=_without_page(each.sections))
        for each in sections
        if each.page != CHANGES
    )


def compared(before: Mapping[str, Content], now: Mapping[str, Content]) -> tuple[ChangedPage, ...]:
    """What differs between two editions of a guide, by the ids of their pages; in their order."""
    both = {**now, **{page: each for page, each in before.items() if page not in now}}
    found = (
        (page, each, _how_it_changed(before.get(page), now.get(page)))
        for page, each in both.items()
    )
    return tuple(ChangedPage(page, each.title, how) for page, each, how in found if how)


def _how_it_changed(before: Content | None, now: Content | None) -> How | None:
    if before is None:
        return "new"
    if now is None:
        return "gone"
    return None if before.digest == now.digest else "changed"


def with_day(
    changes: Iterable[ChangedDay], day: date, pages: tuple[ChangedPage, ...]
) -> tuple[ChangedDay, ...]:
    """A log with what changed on a day, which may be in it already; newest first."""
    if not pages:
        return tuple(changes)
    days = {each.day: each.pages for each in changes}
    days[day] = _one_day(days.get(day, ()), pages)
    newest = sorted((each for each in days if days[each]), reverse=True)
    return tuple(ChangedDay(each, days[each]) for each in newest[:KEPT])


def _one_day(
    earlier: tuple[ChangedPage, ...], later: tuple[ChangedPage, ...]
) -> tuple[ChangedPage, ...]:
    found: dict[str, ChangedPage | None] = {each.page: each for each in earlier}
    for each in later:
        known = found.get(each.page)
        how = _TOGETHER.get((known.how, each.how), each.how) if known else each.how
        found[each.page] = replace(each, how=how) if how else None
    return tuple(each for each in found.values() if each is not None)
