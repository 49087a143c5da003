"""Writes sticker pages: one small file each, whole in itself, that works without script."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from jinja2 import FileSystemLoader, StrictUndefined, TemplateError
from markupsafe import Markup

from builder.compiled import keep_compiled
from builder.errors import HandoverError
from builder.guide.fence import environment_for, filled_in
from builder.guide.pages import Guide
from builder.guide.plan.svg import highlight_svg
from builder.guide.sticker_pages import StickerPage
from builder.guide.wall.svg import wall_svg
from builder.guide.wall.words import words
from builder.shipped import Layered

_NOT_DIALLED = re.compile(r"[^0-9+]")


@dataclass(frozen=True, slots=True)
class Address:
    """A link of a sticker page: its words, and where it leads from the page's own folder."""

    text: str
    address: str


class StickerPages:
    """Writes the sticker pages of many plots through one template."""

    def __init__(self, templates: Layered) -> None:
        self._templates = templates
        self._environment = environment_for(
            ours=templates.ours,
            loader=FileSystemLoader(templates.folders),
            undefined=StrictUndefined,
            autoescape=True,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        keep_compiled(self._environment)
        self._environment.filters["drawn"] = partial(highlight_svg, built_in=False)
        self._environment.filters["on_the_wall"] = wall_svg
        self._environment.filters["wall_words"] = words
        self._environment.filters["dialled"] = _dialled

    @property
    def style(self) -> str:
        """The style sheet that each page holds; a host's policy names it by its hash."""
        return self._templates.path("page.css").read_text(encoding="utf-8").replace("\n", "")

    def write(self, page: StickerPage, guide: Guide, guide_code: str) -> str:
        """The HTML of one page. It lies two folders deep in the published tree."""
        try:
            return filled_in(
                self._environment,
                "page.html",
                page=page,
                style=Markup(self.style),  # noqa: S704 - our own file, checked by the proof
                links=tuple(_addresses(page, guide, guide_code)),
                photographs=f"../../g/{guide_code}/photos/",
            )
        except (TemplateError, OSError) as error:
            raise HandoverError(
                f"'{self._templates.path('page.html')}' cannot be used: {error}"
            ) from error


def _dialled(number: str) -> str:
    return _NOT_DIALLED.sub("", number)


def _addresses(page: StickerPage, guide: Guide, guide_code: str) -> Iterable[Address]:
    paths = {each.id: each.path for each in guide.pages}
    for link in page.links:
        target, mark, place = link.target.partition("#")
        folder = f"{paths[target]}/" if paths[target] else ""
        yield Address(link.text, f"../../g/{guide_code}/{folder}{mark}{place}")
