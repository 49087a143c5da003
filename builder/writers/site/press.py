"""Makes the pages of an edition with MkDocs held open: what a build per plot does again and again
(settings, theme, templates, Markdown that was converted before) is done once a process.

The same functions of the engine are called in the same order as in its own build, so that a guide
comes out byte for byte as MkDocs alone would build it. Where that cannot be promised, because the
settings name other plugins or hooks, ``usable`` is false and every plot is built by itself.
"""

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from jinja2 import Environment
from markdown import Markdown
from markdown.extensions.toc import nest_toc_tokens
from markdown.preprocessors import Preprocessor
from mkdocs.commands.build import get_context
from mkdocs.structure.files import Files, set_exclusions
from mkdocs.structure.nav import Navigation, get_navigation
from mkdocs.structure.pages import Page, _RelativePathTreeprocessor
from mkdocs.structure.toc import AnchorLink, TableOfContents, get_toc
from mkdocs.utils import meta

from builder.lately import Lately
from builder.model.late import CLOSES, OPENS
from builder.shipped import shipped
from builder.writers.site.assets import Assets, found_in
from builder.writers.site.engine import configured, plugin_of
from builder.writers.site.filling import Cut, cut, marks_in_json, refilled
from builder.writers.site.frames import Frame, Frames
from builder.writers.site.markdown import FULL_OF_DAYS, WrittenPage
from builder.writers.site.plugin import Shown
from builder.writers.site.refilling import gaps_of
from builder.writers.site.sections import sections
from builder.writers.site.shapes import Around, Shape, around_of, shape_of

SEARCH_INDEX = "search/search_index.json"
_OUR_PLUGIN = "handover"
_SEARCH = ("material/search", "search")
_KNOWN_EXTENSIONS = {"attr_list", "def_list", "fenced_code", "md_in_html", "tables", "toc"}
_KNOWN_FEATURES = {"navigation.indexes", "navigation.prune", "navigation.top"}
FRAMES, PRINTED, PAGES, SECTIONS = 300, 250, 350, 1_200
"""What a process keeps of each in memory: enough for the editions of one house type."""

_END_ID = "handover-end"
_END = f"\n## {OPENS}end{CLOSES} {{: #{_END_ID} }}"
_ENDED = f'<h2 id="{_END_ID}">{OPENS}end{CLOSES}</h2>'
_BEFORE_BLOCKS = 20
"""When the library looks for blocks of HTML, among all that it does with the lines of a page."""
_DRAWN = re.compile(r"<(?:path|line|rect|circle|polygon|polyline|use)\b[^<>]*/>")
"""The lines of drawings: they hold no words, and a search reads each of them."""
_SEARCH_MARK = re.compile(r"\s?data-search-\w+=\"[^\"]+\"")
"""What the theme's search takes out of a page when it has read it."""


@dataclass(frozen=True, slots=True)
class PrintedPage:
    """One finished page: its file in the guide, its HTML, and its entries in the search index, as
    JSON with a comma between them, both cut at their marks. ``pieces`` are what its HTML is made of,
    without the days in it; pages that have a piece in common have the same text object. ``gaps``: where
    the values stand in its HTML; empty for a page that is full of days."""

    file: str
    html: Cut
    entries: Cut
    pieces: tuple[str, ...]
    gaps: str


@dataclass(frozen=True, slots=True)
class _Converted:
    """Markdown as HTML, its headings, and its entries in the search index; ``pieces``: the HTML of
    its sections, without the days in them."""

    content: str
    toc: TableOfContents
    entries: str
    pieces: tuple[str, ...]


class _WhereMarkupIs(Preprocessor):
    """The search for blocks of HTML, which comes to nothing where there is none."""

    def __init__(self, blocks: Preprocessor) -> None:
        super().__init__()
        self._blocks = blocks

    def run(self, lines: list[str]) -> list[str]:
        markup = any("<" in line or "&" in line for line in lines)
        return self._blocks.run(lines) if markup else lines


class Press:
    """MkDocs with the settings and theme of one workspace, for many editions. ``assets`` are the
    theme's own files, which guides share."""

    def __init__(self, root: Path, *, own_code: bool = False) -> None:
        with TemporaryDirectory() as empty:  # The settings ask for a folder of pages; none is read.
            self._nowhere = Path(empty)
            (self._nowhere / "pages").mkdir()
            self.config = configured(
                root, self._nowhere / "pages", self._nowhere / "site", None, own_code=own_code
            )
        self.plugin = plugin_of(self.config)
        self.assets: Assets = found_in([Path(folder) for folder in self.config.theme.dirs])
        self.plugin.shared = self.assets.folder
        self.search: Any = next((self.config.plugins[each] for each in _SEARCH if each in self.config.plugins), None)  # fmt: skip
        self._environment: Environment | None = None
        self.frames: Lately[tuple[Any, ...], Frame] = Lately(FRAMES)
        self.framing = Frames()
        self.printed: Lately[tuple[Any, ...], PrintedPage] = Lately(PRINTED)
        self.arounds: Lately[tuple[Any, ...], Around] = Lately(PAGES)
        self.shapes: Lately[tuple[Any, ...], Shape] = Lately(PAGES)
        self._read: Lately[str, tuple[str, Mapping[str, Any]]] = Lately(PAGES)
        self._converted: Lately[tuple[str, ...], _Converted] = Lately(SECTIONS)
        self._whole: Lately[tuple[str, ...], _Converted] = Lately(PAGES)

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
        return PressedEdition(self, files, navigation, self._environment)

    def read(self, page: Page, files: Files) -> None:
        """Give a page its Markdown and what stands before it."""
        page.markdown, about = self.parted(page.file.content_string)
        page.meta = dict(about)
        page.markdown = self.config.plugins.on_page_markdown(
            page.markdown, page=page, config=self.config, files=files
        )

    def parted(self, text: str) -> tuple[str, Mapping[str, Any]]:
        """The Markdown of a page, and what stands before it."""
        return self._read.get(text) or self._read.keep(text, meta.get_data(text))

    def convert(self, page: Page, files: Files) -> _Converted:
        """A page's Markdown as HTML: its sections from memory, with the days put back."""
        whole = page.markdown or ""
        key = (page.file.src_uri, str(page.meta.get("title")), whole)
        if is_full_of_days(page):
            return self._by_sections(page, whole, files)
        return self._whole.get(key) or self._whole.keep(key, self._by_sections(page, whole, files))

    def _by_sections(self, page: Page, whole: str, files: Files) -> _Converted:
        parts = sections(whole)
        if parts is None or not set(self.config.markdown_extensions) <= _KNOWN_EXTENSIONS:
            return self._once(page, whole, files)
        # A heading ends each section, as the next one's does: the lines between them are the same.
        made = [self._once(page, part.text, files, ends=_END) for part in parts[:-1]]
        made.append(self._once(page, parts[-1].text, files))
        found = (token for each in made for token in _tokens(each.toc))
        headings: list[Any] = [token for token in found if token["id"] != _END_ID]
        if len({token["id"] for token in headings}) < len(headings):
            return self._once(page, whole, files)
        both = list(zip(made, parts, strict=True))
        return _Converted(
            "".join(refilled(each.content, part.days) for each, part in both),
            get_toc(nest_toc_tokens(headings)),
            ",".join(refilled(each.entries, part.days) for each, part in both if each.entries),
            tuple(each.content for each in made),
        )

    def _once(self, page: Page, text: str, files: Files, ends: str = "") -> _Converted:
        """Markdown of a page as HTML, from memory where it was converted before."""
        key = (page.file.src_uri, str(page.meta.get("title")), text, ends)
        found = self._converted.get(key)
        if found is None:
            self._render(page, text + ends, files)
            page.content = content = (page.content or "").removesuffix(_ENDED)
            entries = self._entries(page, text.startswith("## "))
            found = self._converted.keep(key, _Converted(content, page.toc, entries, (content,)))
        return found

    def _render(self, page: Page, text: str, files: Files) -> None:
        """What ``Page.render`` does, with one converter for all pages in place of one for each, and
        without gathering the places in a page: our own proof knows them."""
        converter = self._converter
        converter.reset()
        relative = _RelativePathTreeprocessor(page.file, files, self.config)
        relative._register(converter)  # noqa: SLF001 - as the engine does
        page.content = converter.convert(text)
        page.toc = get_toc(getattr(converter, "toc_tokens", []))

    @cached_property
    def _converter(self) -> Markdown:
        made = Markdown(
            extensions=self.config.markdown_extensions,
            extension_configs=self.config.mdx_configs or {},
        )
        blocks = made.preprocessors["html_block"]
        made.preprocessors.register(_WhereMarkupIs(blocks), "html_block", _BEFORE_BLOCKS)
        return made

    def _entries(self, page: Page, opened: bool) -> str:  # noqa: FBT001
        """A page's entries in the search index, as JSON without the brackets. Where a section has
        ``opened`` before, the search puts an empty one before it, which the page has not."""
        if self.search is None:
            return ""
        index = self.search.search_index
        page.content = _DRAWN.sub("", page.content or "")
        before = len(index.entries)
        index.add_entry_from_context(page)
        found = index.entries[before + opened :]
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
    def frames_are_shared(self) -> bool:
        """Whether we know all that the theme shows around a page: it is the theme that ships with
        the builder, with no other features than those that ship."""
        theme = self.config.theme
        ours = shipped("site_templates") / "theme"
        own = Path(theme.custom_dir or self._nowhere)
        return set(theme.get("features", ())) == _KNOWN_FEATURES and (
            own.resolve() == ours.resolve() or _templates(own) == _templates(ours)
        )


class PressedEdition:
    """One guide whose pages are made one by one, in any number and order."""

    def __init__(
        self, press: Press, files: Files, navigation: Navigation, environment: Environment
    ) -> None:
        self._press, self._files, self._navigation = press, files, navigation
        self._environment = environment
        self._pages = {file.src_uri: file.page for file in files.documentation_pages() if file.page}
        for page in self._pages.values():
            press.read(page, files)
        self._arounds: dict[str, Around] = {}
        # What the entries of the navigation show on pages that are in none of them.
        self._closed = tuple(map(_seen, navigation.items))

    def page(self, written: WrittenPage) -> PrintedPage:
        """One page of the guide, as it was made before, if all is the same in it and around it.

        ``written`` may hold what only one plot has.
        """
        page, around = self._pages[written.source], self._around(written.source)
        if around is None or is_full_of_days(page):
            return self._made(page, written.markdown, around)
        key = (written.markdown, around)
        return self._press.printed.get(key) or self._press.printed.keep(
            key, self._made(page, written.markdown, around)
        )

    def file(self, source: str) -> str:
        """The file of a page in the guide, by that of its Markdown."""
        return str(self._pages[source].file.dest_uri)

    def shape(self, written: WrittenPage) -> Shape | None:
        """All that a page is made from; nothing where the theme is one that we do not know."""
        around = self._around(written.source)
        if around is None:
            return None
        key = (written.markdown, around)
        shapes = self._press.shapes
        return shapes.get(key) or shapes.keep(key, shape_of(written, around))

    def _made(self, page: Page, markdown: str, around: Around | None) -> PrintedPage:
        page.markdown = self._press.parted(markdown)[0]
        converted = self._press.convert(page, self._files)
        content = _without_search_marks(converted.content)
        frame = self._frame(page, content, converted.toc, around)
        pieces = (*frame.before, *converted.pieces, frame.behind)
        html = cut("".join((*frame.before, content, frame.behind)))
        gaps = "" if is_full_of_days(page) else gaps_of(html)
        return PrintedPage(page.file.dest_uri, html, cut(converted.entries), pieces, gaps)

    def _frame(
        self, page: Page, content: str, toc: TableOfContents, around: Around | None
    ) -> Frame:
        """What the theme puts before and behind a page's content; the same for all pages that look
        the same around it."""
        headings = tuple((each["level"], each["id"], each["name"]) for each in _tokens(toc))
        shown = (headings, "<h1" in content)
        if around is None:
            return self._framed(page, content, toc, None)
        frames, key = self._press.frames, (around, *shown)
        return frames.get(key) or frames.keep(
            key, self._framed(page, content, toc, (*self._beside(page), *shown))
        )

    def _around(self, source: str) -> Around | None:
        """All that the theme shows around a page, but for its own headings; nothing where the theme
        has features that we do not know of."""
        if not self._press.frames_are_shared:
            return None
        if source not in self._arounds:
            page = self._pages[source]
            page.active = True
            seen = self._seen_around(page)
            known = self._press.arounds
            self._arounds[source] = known.get(seen) or known.keep(seen, around_of(seen))
            page.active = False
        return self._arounds[source]

    def _seen_around(self, page: Page) -> tuple[Any, ...]:
        items = zip(self._navigation.items, self._closed, strict=True)
        seen = tuple(_seen(item) if item.active else closed for item, closed in items)
        return (*self._beside(page), seen)

    def _beside(self, page: Page) -> tuple[Any, ...]:
        """What the theme shows around a page besides the navigation and the page's headings."""
        config, home = self._press.config, self._navigation.homepage
        near = (page.previous_page, page.next_page)
        return (
            config.site_name, config.site_author, page.url, page.title, page.is_homepage,
            home and home.url, tuple(map(str, page.meta.items())),
            tuple(each and (each.url, each.title) for each in near),
        )  # fmt: skip

    def _framed(
        self, page: Page, content: str, toc: TableOfContents, beside: tuple[Any, ...] | None
    ) -> Frame:
        """The theme's frame of a page."""
        config = self._press.config
        page.content, page.toc, page.active = content, toc, True
        context = get_context(self._navigation, self._files, config, page)
        template = self._environment.get_template(page.meta.get("template", "main.html"))
        # The search's own part of this event is to index the page, which was done above.
        context = self._press.plugin.on_page_context(
            context, page=page, config=config, nav=self._navigation
        )
        framed = self._press.framing.frame(template, context, content, beside)
        page.active = False
        return framed


def is_full_of_days(page: Page) -> bool:
    """Whether hardly another plot has this page, even with other days in it."""
    return bool(page.meta.get("layout") == FULL_OF_DAYS)


def _seen(item: Any) -> Any:
    """What a page shows of an entry of the navigation: of one that is closed, where it leads."""
    if not item.children:
        return item.title, item.url, item.active
    if item.active:
        return item.title, True, tuple(map(_seen, item.children))
    first = item
    while first.children:
        first = first.children[0]
    # The theme looks at each child of a closed entry too, and leaves blank lines behind.
    return (
        item.title,
        False,
        first.url,
        tuple(each.is_page and each.is_index for each in item.children),
    )


def _tokens(toc: TableOfContents) -> Iterator[dict[str, Any]]:
    """The headings of a page, one after the other, as the engine's Markdown gives them."""

    def flat(items: list[AnchorLink]) -> Iterator[dict[str, Any]]:
        for item in items:
            yield {"level": item.level, "id": item.id, "name": item.title}
            yield from flat(item.children)

    return flat(list(toc))


def _without_search_marks(content: str) -> str:
    return _SEARCH_MARK.sub("", content) if "data-search-" in content else content


def _templates(folder: Path) -> dict[str, bytes]:
    found = sorted(folder.rglob("*.html"))
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}
