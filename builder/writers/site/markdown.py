"""Writes each page of a guide as Markdown, through the page templates. Knows no site engine."""

import posixpath
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from jinja2 import FileSystemLoader, StrictUndefined
from jinja2.sandbox import ImmutableSandboxedEnvironment

from builder.guide.article_pages import LINK
from builder.guide.pages import Guide, Page
from builder.guide.pieces import words
from builder.guide.prose import Markdown, dialled, escaped
from builder.guide.terms import spoken_day


@dataclass(frozen=True, slots=True)
class WrittenPage:
    """One page for the engine: the path of its source, and its Markdown."""

    source: str
    markdown: str


class PageTemplates:
    """The page templates of one folder, ``<layout>.md`` each, compiled once for many guides."""

    def __init__(self, folder: Path) -> None:
        self._environment = ImmutableSandboxedEnvironment(
            loader=FileSystemLoader(folder),
            undefined=StrictUndefined,
            finalize=escaped,
            autoescape=True,
            trim_blocks=True,
            lstrip_blocks=True,
            keep_trailing_newline=True,
        )
        self._environment.filters["words"] = words
        self._environment.filters["dial"] = dial
        self._environment.filters["day"] = spoken_day
        self._environment.filters["capitalize_first"] = lambda text: text[:1].upper() + text[1:]

    def write(self, guide: Guide) -> tuple[WrittenPage, ...]:
        """Every page of a guide."""
        paths = {page.id: page.path for page in guide.pages}
        photographs = {photo.name.rpartition(".")[0]: photo for photo in guide.photographs}
        return tuple(
            WrittenPage(source_of(page.path), self._page(page, guide, paths, photographs))
            for page in guide.pages
        )

    def _page(
        self, page: Page, guide: Guide, paths: Mapping[str, str], photographs: Mapping[str, Any]
    ) -> str:
        def link(target: str, text: str) -> Markdown:
            if target not in paths:
                return Markdown(escaped(text))
            return Markdown(f"[{escaped(text)}]({relative(page.path, paths[target])})")

        def photograph(name: str) -> Markdown:
            photo = photographs[name]
            file = posixpath.relpath(f"photos/{photo.name}", page.path or ".")
            return Markdown(f"![{escaped(photo.shows)}]({file})")

        template = self._environment.get_template(f"{page.layout}.md")
        text = template.render(
            page=page,
            guide=guide,
            link=link,
            photograph=photograph,
            body=Markdown(_linked(page, paths)),
            **page.values,
        )
        return f"{_front_matter(page)}{_BLANK_LINES.sub(_TWO, text)}"


_BLANK_LINES = re.compile(r"\n{3,}")
_TWO = "\n\n"


def source_of(path: str) -> str:
    """The source file of a page: each page is the index of its own folder."""
    return posixpath.join(path, "index.md")


def relative(start: str, target: str) -> str:
    """The way from one page's folder to another page's source."""
    return posixpath.relpath(source_of(target), start or ".")


def dial(telephone: str) -> Markdown:
    """A number to dial that stands for itself: large enough for a thumb."""
    return Markdown(f"{dialled(telephone)}{{ .handover-dial }}")


def _linked(page: Page, paths: Mapping[str, str]) -> str:
    """The body with page ids turned into ways to the pages."""
    return LINK.sub(lambda found: f"]({relative(page.path, paths[found['target']])})", page.body)


def _front_matter(page: Page) -> str:
    """What the engine and its theme read of a page; quoted, so that any title is safe."""
    title = page.title.replace("\\", "\\\\").replace('"', '\\"')
    summary = page.summary.replace("\\", "\\\\").replace('"', '\\"')
    return f'---\ntitle: "{title}"\ndescription: "{summary}"\nlayout: {page.layout}\n---\n\n'
