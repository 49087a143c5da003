"""Writes each page of a guide as Markdown, through the page templates. Knows no site engine."""

import json
import re
import traceback
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
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

from builder.compiled import keep_compiled
from builder.errors import HandoverError
from builder.guide.pages import Guide, Page
from builder.guide.pieces import words
from builder.guide.plan.drawing import FloorPlan, Highlight
from builder.guide.plan.plans import SEEN
from builder.guide.plan.svg import full_svg, highlight_svg, shape_svg
from builder.guide.printing import PrintedAsFinalized
from builder.guide.prose import Markdown, dialled, escaped
from builder.guide.terms import spoken_day
from builder.guide.wall.svg import wall_svg
from builder.guide.wall.view import WallView
from builder.guide.wall.words import words as wall_words
from builder.lately import Lately
from builder.model.late import ASKING, PRINTING, Day, refuse_late
from builder.shipped import shipped
from builder.writers.site.asking import Around, Asking, Digests, Question, sources_of


@dataclass(frozen=True, slots=True)
class WrittenPage:
    """One page for the engine: the path of its source, and its Markdown."""

    source: str
    markdown: str


_Kept = tuple[str, Mapping[Question, object]]
"""A page's Markdown, and what its template heard of the guide around it."""

FULL_OF_DAYS = "dates"
"""The layout of pages that hardly two plots have the same, days aside: they are not kept whole."""

TEXTS, OTHERS = 500, 7
"""Pages whose Markdown a process keeps in memory, and how many of those that say the same in guides
that answer otherwise."""


class PageTemplates:
    """The page templates of one folder, ``<layout>.md`` each, compiled once for many guides."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._digests = Digests()
        self._kept: Lately[tuple[str, str], tuple[_Kept, ...]] = Lately(TEXTS)
        # Templates that came with the builder are its own code; a workspace's are kept in.
        self.ours = folder.resolve() == (shipped("site_templates") / "pages").resolve()
        kind = Environment if self.ours else ImmutableSandboxedEnvironment
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
        keep_compiled(self._environment)
        self._environment.filters["words"] = words
        self._environment.filters["plan"] = _plan
        self._environment.filters["highlight"] = _highlight
        self._environment.filters["on_the_wall"] = _on_the_wall
        self._environment.filters["mark"] = _mark
        self._environment.filters["dial"] = dial
        self._environment.filters["telephone"] = dialled
        self._environment.filters["day"] = spoken_day
        self._environment.filters["moment"] = _moment
        self._environment.filters["dated"] = _dated
        self._environment.filters["capitalize_first"] = lambda text: text[:1].upper() + text[1:]
        refuse_late(self._environment.filters, PRINTING)
        refuse_late(self._environment.tests, ASKING)

    def write(self, guide: Guide, empty: Collection[str] = ()) -> tuple[WrittenPage, ...]:
        """Every page of a guide; of those with the ids ``empty`` what stands before them alone."""
        sources = sources_of(guide)
        written = self.write_some(guide, [page for page in guide.pages if page.id not in empty])
        heads = (
            WrittenPage(sources[page.id], _front_matter(page))
            for page in guide.pages
            if page.id in empty
        )
        known = {each.source: each for each in (*written, *heads)}
        return tuple(known[sources[page.id]] for page in guide.pages)

    def write_some(self, guide: Guide, pages: Iterable[Page]) -> tuple[WrittenPage, ...]:
        """Some pages of a guide."""
        around = Around(guide, sources_of(guide), self._digests)
        return tuple(
            WrittenPage(around.sources[page.id], self._page(page, around)) for page in pages
        )

    def _page(self, page: Page, around: Around) -> str:
        """A page's Markdown; as it was written before, where it shows the same in a guide that
        answers what it asked then in the same way."""
        said = None if page.layout == FULL_OF_DAYS else around.said(page)
        key = None if said is None else (around.sources[page.id], said)
        kept = (self._kept.get(key) or ()) if key else ()
        asking = Asking(page, around)
        for text, answers in kept:
            if asking.would_hear(answers):
                return text
        text = self._written(page, asking)
        if key:
            self._kept.keep(key, ((text, asking.answers), *kept[:OTHERS]))
        return text

    def _written(self, page: Page, asking: Asking) -> str:
        text = self._rendered(
            page,
            guide=asking.guide,
            link=asking.link,
            photograph=asking.photograph,
            body=Markdown(asking.linked(page.body)),
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


_BLANK_LINES = re.compile(r"\n{3,}")
_TWO = "\n\n"


def dial(telephone: str) -> Markdown:
    """A number to dial that stands for itself: large enough for a thumb."""
    return Markdown(f"{dialled(telephone)}{{ .handover-dial }}")


def _moment(day: Day) -> Markdown:
    """A day in words, which machines can read too."""
    return Markdown(f'<time datetime="{day}">{spoken_day(day)}</time>')


def _dated(when: str, first: Day | None) -> Markdown:
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


def _on_the_wall(view: WallView) -> Markdown:
    """The wall that a thing is on, as one stands before it, and the same in words."""
    return Markdown(
        f'<figure class="handover-plan handover-plan--one handover-wall">{wall_svg(view)}'
        f"<figcaption>{escaped(wall_words(view))}</figcaption></figure>"
    )


def _mark(look: Mapping[str, Any]) -> Markdown:
    """The mark of a system, for the list that explains marks."""
    return Markdown(shape_svg(look["shape"], look["tone"], look["letter"]))


def _front_matter(page: Page) -> str:
    """What the engine and its theme read of a page. JSON strings are YAML, whatever is in them."""
    title, summary = json.dumps(page.title), json.dumps(escape(page.summary))
    return f"---\ntitle: {title}\ndescription: {summary}\nlayout: {page.layout}\n---\n\n"
