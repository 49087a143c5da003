"""Writes each page of a guide as Markdown, through the page templates. Knows no site engine."""

import json
import posixpath
import re
import traceback
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import (
    Environment,
    FileSystemLoader,
    StrictUndefined,
    TemplateError,
    TemplateSyntaxError,
)
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import escape

from builder.errors import HandoverError
from builder.guide.article_pages import LINK
from builder.guide.pages import Guide, Page, Section
from builder.guide.pieces import words
from builder.guide.plan.drawing import FloorPlan, Highlight
from builder.guide.plan.plans import SEEN
from builder.guide.plan.svg import full_svg, highlight_svg, shape_svg
from builder.guide.printing import PrintedAsFinalized
from builder.guide.prose import Markdown, dialled, escaped
from builder.guide.terms import spoken_day
from builder.model.late import ASKING, PRINTING, refuse_late
from builder.shipped import shipped


@dataclass(frozen=True, slots=True)
class WrittenPage:
    """One page for the engine: the path of its source, and its Markdown."""

    source: str
    markdown: str


class PageTemplates:
    """The page templates of one folder, ``<layout>.md`` each, compiled once for many guides."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        # Templates that came with the builder are its own code; a workspace's are kept in.
        ours = folder.resolve() == (shipped("site_templates") / "pages").resolve()
        kind = Environment if ours else ImmutableSandboxedEnvironment
        self._environment = kind(
            loader=FileSystemLoader(folder),
            undefined=StrictUndefined,
            finalize=escaped,
            autoescape=True,
            trim_blocks=True,
            lstrip_blocks=True,
            keep_trailing_newline=True,
            auto_reload=False,
        )
        self._environment.code_generator_class = PrintedAsFinalized
        self._environment.filters["words"] = words
        self._environment.filters["plan"] = _plan
        self._environment.filters["highlight"] = _highlight
        self._environment.filters["mark"] = _mark
        self._environment.filters["dial"] = dial
        self._environment.filters["telephone"] = dialled
        self._environment.filters["day"] = spoken_day
        self._environment.filters["moment"] = _moment
        self._environment.filters["dated"] = _dated
        self._environment.filters["capitalize_first"] = lambda text: text[:1].upper() + text[1:]
        refuse_late(self._environment.filters, PRINTING)
        refuse_late(self._environment.tests, ASKING)

    def write(self, guide: Guide) -> tuple[WrittenPage, ...]:
        """Every page of a guide."""
        return self.write_some(guide, guide.pages)

    def write_some(self, guide: Guide, pages: Iterable[Page]) -> tuple[WrittenPage, ...]:
        """Some pages of a guide."""
        sources = sources_of(guide)
        photographs = {photo.name.rpartition(".")[0]: photo for photo in guide.photographs}
        return tuple(
            WrittenPage(sources[page.id], self._page(page, guide, sources, photographs))
            for page in pages
        )

    def _page(
        self, page: Page, guide: Guide, sources: Mapping[str, str], photographs: Mapping[str, Any]
    ) -> str:
        def link(target: str, text: str) -> Markdown:
            if target not in sources:
                return Markdown(escaped(text))
            return Markdown(f"[{escaped(text)}]({_way(sources[page.id], sources[target])})")

        def photograph(name: str) -> Markdown:
            photo = photographs[name]
            file = _way(sources[page.id], f"photos/{photo.name}")
            return Markdown(f"![{escaped(photo.shows)}]({file})")

        text = self._rendered(
            page,
            guide=guide,
            link=link,
            photograph=photograph,
            body=Markdown(_linked(page, sources)),
        )
        return f"{_front_matter(page)}{_BLANK_LINES.sub(_TWO, text)}"

    def _rendered(self, page: Page, **values: Any) -> str:
        """A page through its template; a mistake in the template names its file and line."""
        file = f"{page.layout}.md"
        try:
            template = self._environment.get_template(file)
            return template.render(page=page, **values, **page.values)
        except TemplateSyntaxError as error:
            where = f"{self._folder / (error.name or file)}:{error.lineno}"
            raise HandoverError(f"{where}: The template cannot be read: {error.message}") from error
        except TemplateError as error:
            where = f"{self._folder / file}:{_line_in(error, self._folder)}"
            raise HandoverError(f"{where}: The template cannot be filled in: {error}") from error


def _line_in(error: TemplateError, folder: Path) -> int:
    """The last line of a template of this folder that the error passed through."""
    frames = traceback.extract_tb(error.__traceback__)
    lines = [frame.lineno or 1 for frame in frames if Path(frame.filename).parent == folder]
    return lines[-1] if lines else 1


_WAYS = 20_000
"""Ways kept in memory: pages of all homes lead to each other in much the same ways."""

_BLANK_LINES = re.compile(r"\n{3,}")
_TWO = "\n\n"


def sources_of(guide: Guide) -> dict[str, str]:
    """The source file of each page by its id.

    A page with others under it is the index of their folder: the theme then makes one entry of
    the page and its section.
    """
    heads = {section.page for section in _sections(guide.navigation) if section.sections}
    return {page.id: _source(page, head=page.id in heads) for page in guide.pages}


def _source(page: Page, *, head: bool) -> str:
    return posixpath.join(page.path, "index.md") if head or not page.path else f"{page.path}.md"


def _sections(sections: tuple[Section, ...]) -> Iterator[Section]:
    for section in sections:
        yield section
        yield from _sections(section.sections)


@lru_cache(maxsize=_WAYS)
def _way(start: str, target: str) -> str:
    """The way from one source file to another file."""
    return posixpath.relpath(target, posixpath.dirname(start) or ".")


def dial(telephone: str) -> Markdown:
    """A number to dial that stands for itself: large enough for a thumb."""
    return Markdown(f"{dialled(telephone)}{{ .handover-dial }}")


def _moment(day: date) -> Markdown:
    """A day in words, which machines can read too."""
    return Markdown(f'<time datetime="{day.isoformat()}">{spoken_day(day)}</time>')


def _dated(when: str, first: date | None) -> Markdown:
    """When something is due, as a sentence begins; machines can read its first day."""
    day = spoken_day(first) if first else ""
    before, found, behind = when.partition(day) if day else (when, "", "")
    text = escaped(before)
    if first and found:
        text = f"{text}{_moment(first)}{escaped(behind)}"
    return Markdown(text[:1].upper() + text[1:])


def _plan(plan: FloorPlan, identifier: str) -> Markdown:
    """A whole plan, which scrolls where it is wider than the page; by keyboard too."""
    return Markdown(
        f'<div class="handover-plan" tabindex="0" role="region" aria-labelledby="{identifier}-title">'
        f"{full_svg(plan, identifier)}</div>"
    )


def _highlight(plan: Highlight) -> Markdown:
    """A plan with one thing on it."""
    return Markdown(
        f'<figure class="handover-plan handover-plan--one">{highlight_svg(plan)}'
        f"<figcaption>{SEEN}</figcaption></figure>"
    )


def _mark(look: Mapping[str, Any]) -> Markdown:
    """The mark of a system, for the list that explains marks."""
    return Markdown(shape_svg(look["shape"], look["tone"], look["letter"]))


def _linked(page: Page, sources: Mapping[str, str]) -> str:
    """The body with page ids turned into ways to the pages."""
    return LINK.sub(
        lambda found: f"]({_way(sources[page.id], sources[found['target']])})", page.body
    )


def _front_matter(page: Page) -> str:
    """What the engine and its theme read of a page. JSON strings are YAML, whatever is in them."""
    title, summary = json.dumps(page.title), json.dumps(escape(page.summary))
    return f"---\ntitle: {title}\ndescription: {summary}\nlayout: {page.layout}\n---\n\n"
