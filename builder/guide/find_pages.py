"""How a reader finds the way: the bar on every page, and the page that lists all others."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from builder.guide.pages import BarEntry, Link, Page, Section
from builder.languages.language import Language, to_say

FIND = "page:find"
_BAR = (
    BarEntry("home", to_say("Home"), "page:home"),
    BarEntry("urgent", to_say("Urgent"), "page:emergency"),
    BarEntry("find", to_say("Find"), FIND),
    BarEntry("plan", to_say("Plan"), "page:plan"),
    BarEntry("dates", to_say("Dates"), "page:dates"),
    BarEntry("call", to_say("Call"), "page:contacts"),
)
_UNDER: Mapping[str, str] = {
    "page:care": "dates",
    "page:first-weeks": "dates",
    "page:wrong": "urgent",
}
"""Pages that belong to an entry of the bar besides the one that it leads to."""


def bar_of(pages: Iterable[Page], language: Language) -> tuple[BarEntry, ...]:
    """The entries of the bar whose pages a guide has: six at most."""
    known = {page.id for page in pages}
    return tuple(
        replace(entry, title=language.text(entry.title)) for entry in _BAR if entry.page in known
    )


def bar_entry_of(page: Page) -> str:
    """The entry of the bar that is marked on a page, by its id: what is found by looking is "find"."""
    own = next((entry.id for entry in _BAR if entry.page == page.id), None)
    urgent = "urgent" if page.values.get("urgent") is True else "find"
    return own or _UNDER.get(page.id, urgent)


def find_page(navigation: Iterable[Section], pages: Iterable[Page], language: Language) -> Page:
    """The page that lists all others, under the headings of the navigation."""
    known = frozenset(page.id for page in pages if page.listed)
    return Page(
        id=FIND,
        path="find",
        title=language.say("Find"),
        layout="find",
        summary=language.say("Every page of your guide, by subject and by room."),
        values={"groups": tuple(_groups(navigation, known, language))},
    )


def _groups(
    navigation: Iterable[Section], known: frozenset[str], language: Language
) -> Iterator[tuple[str, tuple[Link, ...]]]:
    """Headings, and the links under each. What has no pages under it stands under the first."""
    alone = [each for each in navigation if each.page and not each.sections]
    yield language.say("Start here"), _links(alone, known)
    for section in navigation:
        nested = [each for each in section.sections if each.sections]
        flat = [each for each in section.sections if not each.sections]
        own = [Section(section.title, section.page)] if section.page and section.sections else []
        if own or flat:
            yield section.title, _links((*own, *flat), known)
        for each in nested:
            yield each.title, _links((Section(each.title, each.page), *each.sections), known)


def _links(sections: Iterable[Section], known: frozenset[str]) -> tuple[Link, ...]:
    return tuple(Link(each.title, each.page) for each in sections if each.page in known)
