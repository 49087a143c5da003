"""Makes the pages of an edition with MkDocs held open: what a build per plot does again and again
(settings, theme, templates, Markdown that was converted before) is done once a process.

The same functions of the engine are called in the same order as in its own build, so that a guide
comes out byte for byte as MkDocs alone would build it. Where that cannot be promised, because the
settings name other plugins or hooks, ``usable`` is false and every plot is built by itself.
"""

import hashlib
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from importlib.metadata import version
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import mkdocs
from jinja2 import Environment
from markdown.extensions.toc import nest_toc_tokens
from mkdocs.commands.build import get_context
from mkdocs.structure.files import Files, set_exclusions
from mkdocs.structure.nav import Navigation, get_navigation
from mkdocs.structure.pages import Page
from mkdocs.structure.toc import AnchorLink, TableOfContents, get_toc
from mkdocs.utils import meta

from builder.writers.site.engine import configured, plugin_of
from builder.writers.site.filling import marks_in_json, refilled
from builder.writers.site.markdown import WrittenPage
from builder.writers.site.plugin import Shown
from builder.writers.site.sections import sections

SEARCH_INDEX = "search/search_index.json"
_OUR_PLUGIN = "handover"
_SEARCH = ("material/search", "search")
_KNOWN_EXTENSIONS = {"attr_list", "def_list", "md_in_html", "tables", "toc"}
_SEARCH_MARK = re.compile(r"\s?data-search-\w+=\"[^\"]+\"")
"""What the theme's search takes out of a page when it has read it."""


@dataclass(frozen=True, slots=True)
class PrintedPage:
    """One finished page: its file in the guide, its HTML, and its entries in the search index, as
    JSON with a comma between them."""

    file: str
    html: str
    entries: str


@dataclass(frozen=True, slots=True)
class _Converted:
    """Markdown as HTML, its headings, and its entries in the search index."""

    content: str
    toc: TableOfContents
    entries: str


class Press:
    """MkDocs with the settings and theme of one workspace, for many editions.

    ``shared`` is the folder of the theme's files in the published tree.
    """

    def __init__(self, root: Path, shared: str | None) -> None:
        self._empty = TemporaryDirectory()
        nowhere = Path(self._empty.name)
        (nowhere / "pages").mkdir()
        self.config = configured(root, nowhere / "pages", nowhere / "site", None)
        self.plugin = plugin_of(self.config)
        self.plugin.shared = shared
        self.search: Any = next((self.config.plugins[each] for each in _SEARCH if each in self.config.plugins), None)  # fmt: skip
        self._environment: Environment | None = None
        self._read: dict[str, tuple[str, Mapping[str, Any]]] = {}
        self._converted: dict[tuple[str, str, str], _Converted] = {}

    @property
    def usable(self) -> bool:
        """Whether pages come out as from the engine's own build."""
        known = set(self.config.plugins) <= {*_SEARCH, _OUR_PLUGIN}
        return known and not self.config.hooks and not self.config.extra_templates

    def edition(self, shown: Shown) -> "PressedEdition":
        """The pages of one guide, to be made one by one."""
        self.plugin.given = shown
        config = self.config.plugins.on_config(self.config)
        config.plugins.on_pre_build(config=config)
        files = config.plugins.on_files(Files([]), config=config)
        set_exclusions(files, config)
        found = get_navigation(files, config)
        navigation = config.plugins.on_nav(found, config=config, files=files)
        if self._environment is None:
            made = config.theme.get_env()
            self._environment = config.plugins.on_env(made, config=config, files=files)
        return PressedEdition(self, files, navigation, self._environment, shown)

    def read(self, page: Page, files: Files) -> None:
        """Give a page its Markdown and what stands before it."""
        text = page.file.content_string
        if text not in self._read:
            self._read[text] = meta.get_data(text)
        page.markdown, about = self._read[text]
        page.meta = dict(about)
        page.markdown = self.config.plugins.on_page_markdown(
            page.markdown, page=page, config=self.config, files=files
        )

    def convert(self, page: Page, text: str, files: Files) -> _Converted:
        """Markdown of a page as HTML, from memory where it was converted before."""
        key = (page.file.src_uri, str(page.meta.get("title")), text)
        if key not in self._converted:
            page.markdown = text
            page.render(self.config, files)
            self._converted[key] = _Converted(page.content or "", page.toc, self._entries(page))
        return self._converted[key]

    def convert_dated(self, page: Page, files: Files) -> _Converted:
        """The same for a page of dates: its sections from memory, with the days put back."""
        parts = sections(page.markdown or "")
        if parts is None or not set(self.config.markdown_extensions) <= _KNOWN_EXTENSIONS:
            return self.convert(page, page.markdown or "", files)
        whole = page.markdown or ""
        made = [self.convert(page, part.text, files) for part in parts]
        headings: list[Any] = [token for each in made for token in _tokens(each.toc)]
        if len({token["id"] for token in headings}) < len(headings):
            return self.convert(page, whole, files)
        both = list(zip(made, parts, strict=True))
        return _Converted(
            "\n".join(refilled(each.content, part.days) for each, part in both),
            get_toc(nest_toc_tokens(headings)),
            ",".join(refilled(each.entries, part.days) for each, part in both if each.entries),
        )

    def _entries(self, page: Page) -> str:
        """A page's entries in the search index, as JSON without the brackets."""
        if self.search is None:
            return ""
        index = self.search.search_index
        before = len(index.entries)
        index.add_entry_from_context(page)
        found = index.entries[before:]
        del index.entries[before:]
        return marks_in_json(json.dumps(found, separators=(",", ":"), default=str)[1:-1])

    def search_frame(self) -> tuple[str, str] | None:
        """What stands before and behind the entries of a search index; nothing without a search."""
        if self.search is None:
            return None
        self.search.search_index.entries.clear()
        empty = str(self.search.search_index.generate_search_index(None))
        return empty.removesuffix("]}"), "]}"

    @cached_property
    def digest(self) -> str:
        """Of all that shapes pages besides what they say: versions, settings, the theme's changes."""
        digest = hashlib.sha256()
        for said in (mkdocs.__version__, version("mkdocs-material"), str(self.plugin.shared)):
            digest.update(f"{said}\0".encode())
        digest.update(Path(self.config.config_file_path).read_bytes())
        own = Path(self.config.theme.custom_dir or self._empty.name)
        for path in sorted(own.rglob("*.html")):
            digest.update(path.read_bytes())
        return digest.hexdigest()


class PressedEdition:
    """One guide whose pages are made one by one, in any number and order."""

    def __init__(
        self, press: Press, files: Files, navigation: Navigation, environment: Environment,
        shown: Shown,
    ) -> None:  # fmt: skip
        self._press, self._files, self._navigation = press, files, navigation
        self._environment = environment
        self._pages = {file.src_uri: file.page for file in files.documentation_pages() if file.page}
        for page in self._pages.values():
            press.read(page, files)
        self._frames: dict[tuple[Any, ...], tuple[str, str]] = {}
        self.digest = _digest(shown)
        """Of all that each page shows of the others: their titles and their order."""

    def page(self, written: WrittenPage) -> PrintedPage:
        """One page of the guide."""
        page = self._pages[written.source]
        converted = self._press.convert(page, page.markdown or "", self._files)
        return PrintedPage(page.file.dest_uri, self._framed(page, converted), converted.entries)

    def own(self, written: WrittenPage) -> PrintedPage:
        """A page as one plot has it: ``written`` has its days. The frame is made once."""
        page = self._pages[written.source]
        page.markdown = meta.get_data(written.markdown)[0]
        converted = self._press.convert_dated(page, self._files)
        key = (written.source, tuple((each["id"], each["name"]) for each in _tokens(converted.toc)))
        frame = self._frames.get(key)
        if frame is not None:
            html = _without_search_marks(converted.content).join(frame)
        else:
            html = self._framed(page, converted)
            content = _without_search_marks(converted.content)
            before, found, behind = html.partition(content)
            if found and content not in behind:
                self._frames[key] = before, behind
        return PrintedPage(page.file.dest_uri, html, converted.entries)

    def _framed(self, page: Page, converted: _Converted) -> str:
        """A page in the theme's frame."""
        config = self._press.config
        page.content, page.toc = _without_search_marks(converted.content), converted.toc
        page.active = True
        context = get_context(self._navigation, self._files, config, page)
        template = self._environment.get_template(page.meta.get("template", "main.html"))
        # The search's own part of this event is to index the page, which was done above.
        context = self._press.plugin.on_page_context(
            context, page=page, config=config, nav=self._navigation
        )
        html = template.render(context)
        page.active = False
        return html


def _tokens(toc: TableOfContents) -> Iterator[dict[str, Any]]:
    """The headings of a page, one after the other, as the engine's Markdown gives them."""

    def flat(items: list[AnchorLink]) -> Iterator[dict[str, Any]]:
        for item in items:
            yield {"level": item.level, "id": item.id, "name": item.title}
            yield from flat(item.children)

    return flat(list(toc))


def _without_search_marks(content: str) -> str:
    return _SEARCH_MARK.sub("", content) if "data-search-" in content else content


def _digest(shown: Shown) -> str:
    told = (shown.title, shown.builder, shown.navigation)
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()
