"""The frame of guides: what our theme puts around every page, rendered by the engine.

It is the same on all pages of all guides of a builder with the same bar, but for the title, the content,
the entry that is marked, and the way back to the first page. So it is rendered once for each of the last two, and cut
where the first two go.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from types import SimpleNamespace
from typing import Any, cast

from jinja2 import Template, TemplateError
from mkdocs.commands.build import get_context
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import Files
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page as EnginePage

from builder.digests import of_texts
from builder.errors import Place, PlacedError
from builder.guide.find_pages import bar_entry_of
from builder.guide.pages import Page
from builder.languages.language import Language
from builder.recent import RecentResults
from builder.writers.site.converting import HtmlPart, joined
from builder.writers.site.templates import languages_of

FRAMES = 200
"""Frames that a process keeps: some of each guide that it is writing."""
_TITLE, _CONTENT = "\0title\0", "\0content\0"


@dataclass(frozen=True)
class Frame:
    """One frame: what stands before the title, between it and the content, and behind that."""

    before: str
    between: str
    behind: str

    @cached_property
    def digest(self) -> str:
        """A digest of all of it."""
        return of_texts(self.before, self.between, self.behind)

    def around(self, title: str, bodies: tuple[HtmlPart, ...]) -> tuple[str, ...]:
        """A whole page as its pieces: its title, safe for HTML, and its parts among them."""
        return (self.before, title, self.between, *joined(bodies), self.behind)


class Frames:
    """Renders the frames of guides by the theme's template."""

    def __init__(self, template: Template, config: MkDocsConfig) -> None:
        self._template, self._config = template, config
        self._known: RecentResults[tuple[object, ...], Frame] = RecentResults(FRAMES)
        self._guide: tuple[str, ...] = ()

    def show(self) -> None:
        """See of which guide the settings speak now."""
        told, extra = self._config, self._config.extra
        bar = (each["id"] for each in extra["bar"])
        self._guide = (str(told.site_author), repr(extra["look"]), extra["report"], *bar)  # fmt: skip

    def frame(self, page: Page, language: Language) -> Frame:
        """The frame of a page, in the guide that the settings speak of now."""
        depth = f"{page.path}/".count("/") if page.path else 0
        meta = {"entry": bar_entry_of(page), **languages_of(page, language)}
        key = (self._guide, depth, *meta.values())
        return self._known.get(key) or self._known.keep(key, self._rendered(depth, meta))

    def _rendered(self, depth: int, meta: Mapping[str, str]) -> Frame:
        page = SimpleNamespace(title=_TITLE, content=_CONTENT, meta=meta, url="x/" * depth)
        try:
            whole = self._template.render(self._context(page))
        except TemplateError as error:
            place = Place(f"site_templates/theme/{self._template.name}")
            raise PlacedError(place, f"The theme cannot be filled in: {error}.") from error
        before, _, rest = whole.partition(_TITLE)
        between, _, behind = rest.partition(_CONTENT)
        return Frame(before, between, behind)

    def _context(self, page: SimpleNamespace) -> Any:
        return get_context(Navigation([], []), Files([]), self._config, cast("EnginePage", page))
