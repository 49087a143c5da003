"""Writes sticker pages: one small file each, whole in itself, that works without script."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from jinja2 import Environment, TemplateError
from markupsafe import Markup

from builder.errors import HandoverError
from builder.guide.fence import filled_in
from builder.guide.pages import Guide
from builder.guide.plan.svg import highlight_svg
from builder.guide.sticker_pages import StickerPage
from builder.guide.template_files import template_files
from builder.guide.wall.svg import wall_svg
from builder.guide.wall.words import words
from builder.languages.foreign import marked
from builder.languages.language import FIRST, Language
from builder.shipped import Layered

_NOT_DIALLED = re.compile(r"[^0-9+]")


@dataclass(frozen=True, slots=True)
class Address:
    """A link of a sticker page: its words, and where it leads from the page's own folder."""

    text: str
    address: str


@dataclass(frozen=True, slots=True)
class StickerPageText:
    """A sticker page in the language of a guide. ``links`` of it lead into that guide."""

    page: StickerPage
    guide: Guide


@dataclass(frozen=True, slots=True)
class LanguagePart:
    """All that a sticker page says in a further language, as HTML."""

    language: Language
    text: Markup


class StickerPages:
    """Writes the sticker pages of many plots through one template for each language."""

    def __init__(self, templates: Layered) -> None:
        self._templates = templates
        self._environments: dict[str, Environment] = {}

    @property
    def style(self) -> str:
        """The style sheet that each page holds; a host's policy names it by its hash."""
        return self._templates.path("page.css").read_text(encoding="utf-8").replace("\n", "")

    def write(
        self, first: StickerPageText, others: Iterable[StickerPageText], guide_code: str
    ) -> str:
        """The HTML of one page, which says the same in each language. It lies two folders deep in the
        published tree."""
        return self._filled_in(
            "page.html",
            first,
            guide_code,
            style=Markup(self.style),  # noqa: S704 - our own file, checked by the proof
            others=tuple(self._part(each, guide_code) for each in others),
        )

    def _part(self, told: StickerPageText, guide_code: str) -> LanguagePart:
        html = self._filled_in("part.html", told, guide_code)
        guide = told.guide
        text = marked(html, guide.language, guide.unsaid.__contains__) if guide.unsaid else html
        return LanguagePart(guide.language, Markup(text))  # noqa: S704 - our own template has escaped it

    def _filled_in(
        self, file: str, told: StickerPageText, guide_code: str, **values: object
    ) -> str:
        language = told.guide.language
        try:
            return filled_in(
                self._environment(language),
                file,
                page=told.page,
                links=tuple(_addresses(told.page, told.guide, guide_code)),
                photographs=f"../../g/{guide_code}/photos/",
                ending="" if language is FIRST else f"-{language.code}",
                **values,
            )
        except (TemplateError, OSError) as error:
            raise HandoverError(
                f"'{self._templates.path(file)}' cannot be used: {error}"
            ) from error

    def _environment(self, language: Language) -> Environment:
        key = language.digest
        if key not in self._environments:
            self._environments[key] = _speaking(self._templates, language)
        return self._environments[key]


def _speaking(templates: Layered, language: Language) -> Environment:
    """The templates in a language."""
    environment = template_files(templates, language)
    environment.filters["drawn"] = partial(highlight_svg, built_in=False)
    environment.filters["on_the_wall"] = wall_svg
    environment.filters["wall_words"] = partial(words, language=language)
    environment.filters["dialled"] = _dialled
    return environment


def _dialled(number: str) -> str:
    return _NOT_DIALLED.sub("", number)


def _addresses(page: StickerPage, guide: Guide, guide_code: str) -> Iterable[Address]:
    paths = {each.id: each.path for each in guide.pages}
    for link in page.links:
        target, mark, place = link.target.partition("#")
        folder = f"{paths[target]}/" if paths[target] else ""
        yield Address(link.text, f"../../g/{guide_code}/{folder}{mark}{place}")
