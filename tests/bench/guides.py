"""The guides of a portfolio as Markdown, for engines that know nothing of the builder."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from builder.guide.pages import BarEntry, Guide
from builder.preparing import prepare
from builder.shipped import layered
from builder.writers.site.pages import Pages


@dataclass(frozen=True)
class Written:
    """One guide: ``pages`` holds Markdown with front matter by its source file."""

    reference: str
    title: str
    builder: str
    pages: Mapping[str, str]
    bar: tuple[BarEntry, ...]


def written_guides(root: Path, references: Iterable[str], day: date) -> Iterator[Written]:
    """The guides of some plots, through the page templates that the builder uses.

    Raises:
        AssertionError: a plot has a mistake and so no guide.
    """
    asked = list(references)
    prepared = prepare(root, asked, day).plots
    assert set(asked) <= set(prepared), "plots with mistakes have no guide"
    pages = Pages(layered(root, "site_templates/pages"))
    for reference in asked:
        yield _written(prepared[reference].guide, pages)


def _written(guide: Guide, pages: Pages) -> Written:
    return Written(
        reference=guide.reference,
        title=guide.title,
        builder=guide.builder,
        pages={page.source: page.markdown for page in pages.of(guide)},
        bar=guide.bar,
    )


def front_and_body(markdown: str) -> tuple[str, str]:
    """The YAML of a page's front matter, and its Markdown."""
    _, front, body = markdown.split("---\n", 2)
    return front, body
