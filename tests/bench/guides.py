"""The guides of a portfolio as Markdown, for engines that know nothing of the builder."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from builder.guide.pages import Guide, Section
from builder.preparing import prepare
from builder.shipped import own_or_shipped
from builder.writers.site.markdown import PageTemplates, sources_of


@dataclass(frozen=True)
class Entry:
    """One entry of a guide's navigation: its title, the source of its page, and those under it."""

    title: str
    source: str | None
    entries: "tuple[Entry, ...]" = ()


@dataclass(frozen=True)
class Written:
    """One guide: ``pages`` holds Markdown with front matter by its source file."""

    reference: str
    title: str
    builder: str
    pages: Mapping[str, str]
    navigation: tuple[Entry, ...]


def written_guides(root: Path, references: Iterable[str], day: date) -> Iterator[Written]:
    """The guides of some plots, through the page templates that the builder uses.

    Raises:
        AssertionError: a plot has a mistake and so no guide.
    """
    asked = list(references)
    prepared = prepare(root, asked, day).plots
    assert set(asked) <= set(prepared), "plots with mistakes have no guide"
    templates = PageTemplates(own_or_shipped(root, "site_templates") / "pages")
    for reference in asked:
        yield _written(prepared[reference].guide, templates)


def _written(guide: Guide, templates: PageTemplates) -> Written:
    sources = sources_of(guide)
    listed = [each for each in guide.navigation if each.page or each.sections]
    return Written(
        reference=guide.reference,
        title=guide.title,
        builder=guide.builder,
        pages={page.source: page.markdown for page in templates.write(guide)},
        navigation=tuple(_entry(each, sources) for each in listed),
    )


def _entry(section: Section, sources: Mapping[str, str]) -> Entry:
    return Entry(
        section.title,
        sources[section.page] if section.page else None,
        tuple(_entry(each, sources) for each in section.sections),
    )


def front_and_body(markdown: str) -> tuple[str, str]:
    """The YAML of a page's front matter, and its Markdown."""
    _, front, body = markdown.split("---\n", 2)
    return front, body


def as_engine_lists(entries: Iterable[Entry]) -> list[Any]:
    """The navigation as MkDocs reads it: a section with a page of its own begins with it."""
    return [_listed(entry) for entry in entries]


def _listed(entry: Entry) -> dict[str, Any]:
    inner = as_engine_lists(entry.entries)
    if entry.source is None:
        return {entry.title: inner}
    return {entry.title: [entry.source, *inner] if inner else entry.source}
