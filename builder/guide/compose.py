"""Composes the guide of one home: its pages, navigation and photographs, as plain values."""

import re
from dataclasses import dataclass, fields
from pathlib import PurePosixPath

from builder.errors import Findings
from builder.guide.about import About
from builder.guide.article_pages import article_pages, dead_links, without_missing_links
from builder.guide.changes import changes_page
from builder.guide.chosen import EMPTY, Library
from builder.guide.date_pages import care_page, dates_page
from builder.guide.equipment_pages import (
    articles_of_system,
    equipment_pages,
    room_pages,
    system_pages,
)
from builder.guide.find_pages import bar_of, find_page
from builder.guide.front_pages import emergency_page, first_weeks_page, home_page, owner_page
from builder.guide.pages import Guide, GuideLook, Link, Page, Photograph, Section
from builder.guide.photographs import photographs_of
from builder.guide.plan_pages import plan_page
from builder.guide.prose import Renderer
from builder.guide.record_pages import record_pages
from builder.guide.report_pages import REPORT, report_page
from builder.guide.round_pages import ROUND, round_pages
from builder.guide.schedule.entries import Schedule
from builder.guide.schedule.making import schedule_of
from builder.guide.symptom_pages import symptom_pages
from builder.home.palette import tones_of
from builder.home.roles import builder_name
from builder.model.people import Builder, Logo
from builder.selection.choosing import Selection


@dataclass(frozen=True, slots=True)
class _Chapters:
    """The pages of a guide by what they are about, in their order. ``wrong`` and ``walk`` each begin with the page
    that leads to their others."""

    front: tuple[Page, ...]
    wrong: tuple[Page, ...]
    walk: tuple[Page, ...]
    systems: tuple[Page, ...]
    rooms: tuple[Page, ...]
    equipment: tuple[Page, ...]
    articles: tuple[Page, ...]
    records: tuple[Page, ...]

    @property
    def pages(self) -> tuple[Page, ...]:
        """All of them."""
        return tuple(page for each in fields(self) for page in getattr(self, each.name))


def compose(
    reference: str,
    about: About,
    renderer: Renderer,
    findings: Findings,
    library: Library = EMPTY,
) -> Guide:
    """The guide of a home. Articles that cannot be filled in go to ``findings``."""
    home, selection, schedule = about.home, about.selection, schedule_of(about)
    chapters = _chapters(about, renderer, findings, library, schedule)
    listed = chapters.pages
    navigation = _navigation(about, chapters)
    pages = (*listed, find_page(navigation, listed, about.language))
    pages = without_missing_links(pages, selection.articles, about.kept)
    findings.extend(dead_links(selection.articles, pages, _elsewhere(selection), about.kept))
    return Guide(
        reference=reference,
        title=_title(about),
        builder=builder_name(home, about.language),
        pages=pages,
        navigation=navigation,
        photographs=tuple(photographs_of(home, library.size_of)),
        schedule=schedule,
        bar=bar_of(pages, about.language),
        builder_name=home.builder.name,
        address=_named_by(home.plot.address),
        look=_look(home.builder),
        language=about.language,
    )


def _chapters(
    about: About, renderer: Renderer, findings: Findings, library: Library, schedule: Schedule
) -> _Chapters:
    systems, rooms = system_pages(about), room_pages(about)
    articles = article_pages(about, renderer, findings)
    walk = round_pages(library.script, about)
    front = (
        home_page(about, _links(systems), _links(rooms), schedule, stops=len(walk[1:])),
        emergency_page(about),
        owner_page(about) or first_weeks_page(about),
        dates_page(schedule),
        care_page(schedule, _title(about)),
        *filter(None, (plan_page(about),)),
        report_page(about, schedule),
    )
    wrong = symptom_pages(library.symptoms, about, schedule)
    records = (*record_pages(about, schedule), changes_page((), about.language))
    equipment = equipment_pages(about, library.drawings)
    return _Chapters(front, wrong, walk, systems, rooms, equipment, articles, records)


def _title(about: About) -> str:
    plot = about.home.plot
    return about.say("Plot %(number)s, %(address)s", number=plot.number, address=plot.address)


def _named_by(address: str) -> str:
    """The beginning of an address that names a home: of a flat with the name of its building."""
    first, *rest = address.split(", ")
    return ", ".join((first, *rest[:1])) if _IN_A_BUILDING.fullmatch(first) else first


_IN_A_BUILDING = re.compile(r"\D+ (?:\d\w*|\w)")
"""Such as 'Flat 3': a number without a street."""


def _look(builder: Builder) -> GuideLook | None:
    """How the builder's guides look, where it says so."""
    look = builder.look
    if look is None:
        return None
    return GuideLook(tones_of(look, "light"), tones_of(look, "dark"), _logo(look.logo))


def _logo(logo: Logo | None) -> Photograph | None:
    if logo is None:
        return None
    return Photograph(logo.file, f"logo{PurePosixPath(logo.file).suffix.lower()}", logo.shows)


def _elsewhere(selection: Selection) -> frozenset[str]:
    return frozenset(choice.article.id for choice in selection.choices if not choice.chosen)


def _links(pages: tuple[Page, ...]) -> tuple[Link, ...]:
    return tuple(Link(page.title, page.id, page.summary) for page in pages)


def _navigation(about: About, chapters: _Chapters) -> tuple[Section, ...]:
    titles, say = {page.id: page.title for page in chapters.pages}, about.say
    urgent = [f"article:{each.id}" for each in about.selection.articles if each.front.urgent]
    return (
        Section(say("This home"), "page:home"),
        Section(say("In an emergency"), "page:emergency", _sections(urgent, titles)),
        *(
            Section(
                page.title,
                page.id,
                tuple(Section(each.title, each.id) for each in chapters.wrong[1:]),
            )
            for page in chapters.wrong[:1]
        ),
        *_sections(["page:first-weeks"], titles),
        Section(
            say("Dates and cover"), "page:dates", (Section(say("Your care record"), "page:care"),)
        ),
        *_sections(["page:plan", ROUND, REPORT], titles),
        Section(
            say("By system"),
            None,
            tuple(_system_section(page, about, titles) for page in chapters.systems),
        ),
        Section(
            say("By room"), None, tuple(Section(page.title, page.id) for page in chapters.rooms)
        ),
        Section(
            say("Keep for later"),
            None,
            tuple(Section(page.title, page.id) for page in chapters.records),
        ),
    )


def _system_section(page: Page, about: About, titles: dict[str, str]) -> Section:
    name = page.id.removeprefix("system:")
    articles = [f"article:{article.id}" for article in articles_of_system(name, about)]
    pieces = [
        f"equipment:{piece.id}" for piece in about.pieces if piece.system == name and piece.has_page
    ]
    return Section(page.title, page.id, _sections(articles + pieces, titles))


def _sections(pages: list[str], titles: dict[str, str]) -> tuple[Section, ...]:
    return tuple(Section(titles[page], page) for page in pages if page in titles)
