"""Pages of one guide have titles that differ: search and bookmarks show nothing else of them."""

from collections.abc import Iterable, Iterator

from builder.errors import Finding, Place, Severity
from builder.guide.pages import Page
from builder.home.assemble import TracedHome
from builder.rules.rule import Rule
from builder.sources.workspace import Workspace

SAME_TITLE = Rule(
    "guide.same-title", "Pages of one guide have titles that differ.", Severity.WARNING,
    basis="house rule: search and bookmarks show titles alone",
)  # fmt: skip
TITLE_RULES = (SAME_TITLE,)
_SECTIONS = {"room": "rooms", "system": "systems", "equipment": "equipment"}
_TOLD_APART = ({"equipment"}, {"room"}, {"page", "system"})
"""Sorts of pages that may have one name: pieces and rooms say where each is, and the page of
emergencies leads to the system of that name."""


def titles_differ(
    traced: TracedHome, pages: Iterable[Page], workspace: Workspace
) -> Iterator[Finding]:
    """One finding for each page of a guide that has the title of a page before it."""
    seen: dict[str, Page] = {}
    for page in pages:
        first = seen.setdefault(page.title.casefold(), page)
        if first is not page and not _told_apart(first, page):
            yield Finding(
                SAME_TITLE.id,
                _place(page, traced, workspace),
                f"'{page.title}' is the title of two pages: {_name_of_page(first)} and {_name_of_page(page)}.",
                "Give one of them another title.",
                severity=SAME_TITLE.severity,
                basis=SAME_TITLE.basis,
                plots=(traced.reference,),
            )


def _told_apart(one: Page, other: Page) -> bool:
    return {_sort(one), _sort(other)} in _TOLD_APART


def _sort(page: Page) -> str:
    return page.id.partition(":")[0]


def _name_of_page(page: Page) -> str:
    sort, _, name = page.id.partition(":")
    return f"the {sort} '{name}'"


def _place(page: Page, traced: TracedHome, workspace: Workspace) -> Place:
    """Where the title of a page was written, or else the row of the plot."""
    sort, _, name = page.id.partition(":")
    if sort == "article" and name in workspace.articles:
        entry = workspace.articles[name].entry
        return (entry.child("title") or entry).place
    if sort in _SECTIONS:
        return traced.place(_SECTIONS[sort], name)
    return workspace.plots[traced.reference].row.place
