"""The parts of a page as text, through the page templates. Knows no site engine."""

import json
import re
import traceback
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from jinja2 import (
    Environment,
    TemplateError,
    TemplateSyntaxError,
)
from markupsafe import Markup, escape

from builder.compiled import PrintedAsFinalized
from builder.errors import Place, PlacedError
from builder.guide.fence import filled_in, values_within
from builder.guide.find_pages import bar_entry_of
from builder.guide.pages import Page
from builder.guide.pieces import inner
from builder.guide.plan.drawing import FloorPlan, Gathered, Highlight, TouchPlan
from builder.guide.plan.numbered import NumberLabel
from builder.guide.plan.plans import SEEN
from builder.guide.plan.svg import full_svg, highlight_svg, shape_svg, touch_svg
from builder.guide.prose import Markdown, dialled, escaped
from builder.guide.schedule.entries import RepeatedTask
from builder.guide.template_files import template_files
from builder.guide.wall.svg import shared_wall_svg, wall_svg
from builder.guide.wall.view import WallView
from builder.guide.wall.words import stand
from builder.guide.wall.words import words as wall_words
from builder.languages.language import FIRST, Language
from builder.languages.templates import Values
from builder.model.drawing import Drawing
from builder.shipped import Layered

FOLDER = "site_templates/pages"


@dataclass(frozen=True, slots=True)
class PageHeading:
    """What a template may say of its page, besides the values of its part."""

    title: str
    summary: str


class PageTemplates:
    """The page templates, compiled once for many guides: those in HTML, ``.html``, and those in Markdown,
    ``.md``, for pages that are mostly prose."""

    def __init__(self, folder: Layered, language: Language = FIRST) -> None:
        self._folder = folder
        self._looks: dict[str, bool] = {}
        self._markdown = _environment(folder, finalize=escaped)
        self._markdown.code_generator_class = PrintedAsFinalized
        allowed = None if folder.ours else values_within
        self._markdown.globals["_"] = _said_in_markdown(language, allowed)
        self._html = _environment(folder, language)
        spoken = _in_language(language)
        for name, made in {
            **_IN_BOTH,
            **spoken.in_both,
            **_IN_MARKDOWN,
            **spoken.in_markdown,
        }.items():
            self._markdown.filters[name] = made
        for name, made in {**_IN_BOTH, **spoken.in_both, **_IN_HTML, **spoken.in_html}.items():
            self._html.filters[name] = made

    def looks_at_page(self, file: str) -> bool:
        """Whether a part may show where its page stands, or its title or summary, besides what it is given
        and told. One in finished HTML that names no page never does: pages may share it."""
        if file not in self._looks:
            self._looks[file] = file.endswith(".md") or self._names_page(file)
        return self._looks[file]

    def _names_page(self, file: str) -> bool:
        try:
            text = template_text(self._html, file)
        except TemplateError:
            return True
        return _OF_ITS_PAGE.search(text) is not None

    def text(self, file: str, page: PageHeading, values: Mapping[str, Any]) -> str:
        """A part of a page by its template's file; a mistake in it names its file and line."""
        environment = self._html if file.endswith(".html") else self._markdown
        try:
            text = filled_in(environment, file, page=page, **values)
        except TemplateSyntaxError as error:
            place = _place(error.name or file, error.lineno)
            raise PlacedError(place, f"The template cannot be read: {error.message}") from error
        except TemplateError as error:
            place = _place(file, _line_in(error, self._folder))
            raise PlacedError(place, f"The template cannot be filled in: {error}") from error
        return _BLANK_LINES.sub(_BETWEEN, text).strip("\n")


def _environment(folder: Layered, language: Language | None = None, **options: Any) -> Environment:
    return template_files(
        folder, language, keep_trailing_newline=True, auto_reload=False, **options
    )


def _place(file: str, line: int) -> Place:
    return Place(f"{FOLDER}/{file}", line)


def _line_in(error: TemplateError, folder: Layered) -> int:
    """The last line of a template that the error passed through."""
    frames = traceback.extract_tb((error.__cause__ or error).__traceback__)
    lines = [frame.lineno or 1 for frame in frames if Path(frame.filename).parent in folder.folders]
    return lines[-1] if lines else 1


def template_text(environment: Environment, file: str) -> str:
    """What stands in a template's file. TemplateError: there is none."""
    loader = environment.loader
    return loader.get_source(environment, file)[0] if loader else ""


_OF_ITS_PAGE = re.compile(r"\bpage\b(?!:)|\b(?:include|extends|self|context|caller)\b")
"""What a template has in it that looks at its page, or lets another do so."""
_BLANK_LINES = re.compile(r"\n{3,}")
_BETWEEN = "\n\n"
"""A blank line: it stands between the parts of a page too."""


def dial(telephone: str) -> Markdown:
    """A number to dial that stands for itself: large enough for a thumb."""
    return Markdown(f"{dialled(telephone)}{{ .handover-dial }}")


def _said_in_markdown(
    language: Language, allowed: Callable[[str, Values], Values] | None
) -> Callable[..., Markdown]:
    """What says a text of ours in a language, as Markdown: its own marks stand, its values are escaped."""

    def said(message: str, /, **values: Any) -> Markdown:
        shown = allowed(language.text(message), values) if allowed else values
        return Markdown(
            language.say(message, **{name: escaped(each) for name, each in shown.items()})
        )

    return said


@dataclass(frozen=True, slots=True)
class _Spoken:
    """Filters that speak a language: those of all templates, of Markdown and of HTML."""

    in_both: Mapping[str, Any]
    in_markdown: Mapping[str, Any]
    in_html: Mapping[str, Any]


def _in_language(language: Language) -> _Spoken:
    def moment(day: date) -> str:
        return f'<time datetime="{day}">{language.day(day)}</time>'

    def dated(when: str, first: date | None, safe: Callable[[str], str]) -> str:
        """When something is due, as a sentence begins; machines can read its first day."""
        day = language.day(first) if first else ""
        before, found, behind = when.partition(day) if day else (when, "", "")
        text = str(safe(before))
        if first and found:
            text = f"{text}{moment(first)}{safe(behind)}"
        return text[:1].upper() + text[1:]

    return _Spoken(
        {"words": language.listed, "day": language.day, "month": language.month},
        {
            "moment": lambda day: Markdown(moment(day)),
            "dated": lambda when, first: Markdown(dated(when, first, escaped)),
        },
        {
            "moment": lambda day: Markup(moment(day)),  # noqa: S704 - a day alone
            "dated": lambda when, first: Markup(dated(when, first, escape)),  # noqa: S704 - escaped
            "highlight": partial(_highlight, language=language),
            "on_the_wall": partial(_on_the_wall, language=language),
            "shared_wall": partial(shared_wall_svg, language=language),
            "stand": partial(stand, language=language),
            "touch": partial(_touch, language=language),
        },
    )


def _plan(plan: FloorPlan, identifier: str) -> Markup:
    """A whole plan, which scrolls where it is wider than the page; by keyboard too."""
    return Markup(  # noqa: S704 - our own drawing, its words escaped
        f'<div class="handover-plan" tabindex="0" role="region" aria-labelledby="{identifier}-title">'
        f"{full_svg(plan, identifier)}</div>"
    )


def _highlight(plan: Highlight, language: Language) -> Markup:
    """A plan with one thing on it."""
    return Markup(  # noqa: S704 - our own drawing, its words escaped
        f'<figure class="handover-plan handover-plan--one">{highlight_svg(plan)}'
        f"<figcaption>{escape(language.text(SEEN))}</figcaption></figure>"
    )


def _touch(
    plan: TouchPlan,
    floor: str,
    says: Mapping[str, str],
    numbers: Mapping[str, int],
    href: Callable[[str], str | None],
    language: Language,
) -> Markup:
    """A plan whose marks lead to their pages; one that stands for several leads to its room's list."""

    def address(mark: Gathered) -> str:
        alone = href(f"equipment:{mark.members[0].piece}") if len(mark.members) == 1 else None
        return alone or f"#at-{floor}-{mark.room}"

    return touch_svg(plan, f"plan-{floor}", address, says, numbers, language)


def _look(look: Mapping[str, Any]) -> Markup:
    """The mark of a system, for the list that explains marks, as HTML."""
    return shape_svg(look["shape"], look["tone"], look["letter"])


def _on_the_wall(view: WallView, language: Language) -> Markup:
    """The wall that a thing is on, as one stands before it, and the same in words."""
    return Markup(  # noqa: S704 - our own drawing, its words escaped
        f'<figure class="handover-plan handover-plan--one handover-wall">{wall_svg(view)}'
        f"<figcaption>{escape(wall_words(view, language))}</figcaption></figure>"
    )


def _lit(plan: Highlight, tags: tuple[NumberLabel, ...]) -> Markup:
    """A plan with a room shaded and numbers on it, light enough for many of them, as HTML."""
    return highlight_svg(plan, built_in=False, tags=tags)


def _tasks(tasks: tuple[RepeatedTask, ...]) -> Markup:
    """What comes back, as lines that a script makes boxes to tick."""
    lines = "".join(
        f'<li data-tick="{escape(each.id)}"'
        + (f' data-every="{escape(each.every)}"' if each.every else "")
        + f"><span>{escape(each.do)}</span> <small>{escape(_capitalized(each.when))}</small></li>"
        for each in tasks
    )
    return Markup(f'<ul class="ticks">{lines}</ul>')  # noqa: S704 - its words are escaped


def _drawing(drawing: Drawing) -> Markup:
    """A line drawing with its caption, and in words for those who do not see it."""
    says = escape(drawing.describes)
    return Markup(  # noqa: S704 - our own drawing, its words escaped
        f'<figure class="handover-drawing"><svg class="line-drawing" role="img" aria-label="{says}" viewBox="{drawing.view}">'
        f"{drawing.lines}</svg><figcaption>{escape(drawing.title)}</figcaption></figure>"
    )


def _dialled_link(telephone: str) -> Markup:
    """A telephone number that dials when it is touched, as HTML."""
    return Markup('<a href="tel:{}">{}</a>').format(_NOT_DIALLED.sub("", telephone), telephone)


def _capitalized(text: str) -> str:
    return text[:1].upper() + text[1:]


_NOT_DIALLED = re.compile(r"[^0-9+]")
_IN_BOTH: Mapping[str, Any] = {
    "capitalize_first": _capitalized,
    "inner": inner,
}
_IN_MARKDOWN: Mapping[str, Any] = {
    "dial": dial, "telephone": dialled,
}  # fmt: skip
_IN_HTML: Mapping[str, Any] = {
    "plan": _plan, "drawing": _drawing, "tasks": _tasks,
    "lit": _lit, "whole": full_svg, "look": _look, "drawn_small": partial(highlight_svg, built_in=False),
    "telephone": _dialled_link,
}  # fmt: skip


def front_matter(page: Page, language: Language = FIRST) -> str:
    """What the engine and the frame read of a page. JSON strings are YAML, whatever is in them."""
    entry = f"title: {json.dumps(page.title)}\nentry: {bar_entry_of(page)}\n"
    spoken = "".join(f"{name}: {code}\n" for name, code in languages_of(page, language).items())
    return f"---\n{entry}{spoken}---\n\n"


def languages_of(page: Page, language: Language) -> Mapping[str, str]:
    """What the frame of a page is told of languages: nothing in the first one, else the code of the
    guide's, and that of the page's own (``spoken``) where it is another."""
    if language is FIRST:
        return {}
    own = {"spoken": page.language} if page.language else {}
    return {"language": language.code, **own}
