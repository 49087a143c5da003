"""Of which parts the pages of each layout are made. A part is made from nothing but the values that it is
given here, the title and the summary of its page, and what it is told of the guide.

What differs from plot to plot stands in parts of its own, so that plots share all others.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from builder.guide.pages import Layout, Page

_OTHERS = "*"
"""Stands for all values of a page that are named for no part of it."""


@dataclass(frozen=True, slots=True)
class PagePart:
    """One part of a page: the file of its template, and the names of the values that it shows."""

    template: str
    names: tuple[str, ...] = (_OTHERS,)


PARTS: Mapping[Layout, tuple[PagePart, ...]] = {
    "home": (
        PagePart("home-top.html", ("address", "postcode")),
        PagePart("home-off.html", ("off", "wrong")),
        PagePart("home-now.html", ("deadlines", "completed", "entries", "who", "settled")),
        PagePart("home-ways.html"),
        PagePart("home-facts.html", ("plot", "house_type", "house_type_summary", "development", "builder",
                                 "options", "completion", "completion_day")),
    ),
    "emergency": (PagePart("emergency-top.html", ("address", "postcode", "way_in", "by_text")), PagePart("emergency.md")),
    "first-weeks": (PagePart("first-weeks-top.html", ("tasks",)), PagePart("first-weeks.md")),
    "article": (
        PagePart("article-top.html"),
        PagePart("article.md", ()),
        PagePart("article-when.html", ("tasks",)),
        PagePart("sources.html", ("sources", "reviewed")),
    ),
    "system": (
        PagePart("system-things.html", ("pieces", "plans", "marks")),
        PagePart("north.html", ("north",)),
        PagePart("system.html"),
    ),
    "dates": (PagePart("dates-top.html", (_OTHERS, "day")), PagePart("dates.md", ("day",))),
    "care": (PagePart("care.html"),),
    "contacts": (
        PagePart("contacts-urgent.html", ("urgent",)),
        PagePart("contacts-now.html", ("clock",)),
        PagePart("contacts.html", ("others",)),
    ),
    "plan": (PagePart("plan.html"), PagePart("north.html", ("north",))),
    "find": (PagePart("find.html"),),
    "equipment": (PagePart("equipment.html"),),
    "room": (PagePart("room.html"),),
    "changes": (PagePart("changes.html"),),
    "wrong": (PagePart("wrong.html", ("groups",)),),
    "symptom": (
        PagePart("symptom.html", ("steps", "matters")),
        PagePart("symptom-whom.html", ("whom",)),
        PagePart("sources.html", ("sources", "reviewed")),
    ),
    "report": (PagePart("report.html", ("spoken_home", "postcode", "danger", "gas", "who", "others", "photographs", "rooms", "writes", "writes_until")),),
    "next-owner": (PagePart("next-owner.html"),),
    "keep": (PagePart("keep.html", ()),),
    "round": (PagePart("round.html", ("stops",)),),
    "stop": (PagePart("stop.html", ("stop", "name", "number", "count", "floor", "way", "before", "after",
                                "plan", "tags", "views", "again")),),
}  # fmt: skip
"""The layouts of several parts. Every other page is one part, ``<layout>.md``."""


def parts_of(page: Page) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """The template of each part of a page, and the values that it is given."""
    parts = PARTS.get(page.layout, (PagePart(f"{page.layout}.md"),))
    named = {name for part in parts for name in part.names}
    others = [name for name in page.values if name not in named]
    for part in parts:
        given = [*(others if _OTHERS in part.names else ()), *part.names]
        yield part.template, {name: page.values[name] for name in given if name != _OTHERS}


def body_in(template: str, page: Page) -> str:
    """The body of a page, for the part that shows it: the one that bears the name of its layout."""
    return page.body if template == f"{page.layout}.md" else ""


def layouts_through(template: str) -> frozenset[str]:
    """The layouts of the pages that a template's file writes a part of."""
    several = {name for name, parts in PARTS.items() if any(template == each.template for each in parts)}  # fmt: skip
    name, _, form = template.rpartition(".")
    own = {name} if form == "md" and name not in PARTS else set()
    return frozenset(several | own)
