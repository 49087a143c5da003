"""The engine's plugin: gives MkDocs a guide's pages in place of files on disk.

``mkdocs serve`` on a workspace's ``mkdocs.yml`` previews the plot that the settings name; the
builder hands over a guide that it has composed already.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, cast

from markupsafe import escape
from mkdocs.config.base import Config
from mkdocs.config.config_options import Optional, Type
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page

from builder.errors import Findings, HandoverError
from builder.guide.find_pages import FIND
from builder.guide.pages import BarEntry, Guide, GuideLook, Photograph
from builder.guide.pages import Page as GuidePage
from builder.guide.prose import escaped
from builder.guide.report_pages import REPORT
from builder.guide.translating import in_all_languages
from builder.languages.language import FIRST, Language
from builder.preparing import prepare
from builder.shipped import layered
from builder.writers.site.assets import STYLE, found_in, icon_style
from builder.writers.site.context import source_of
from builder.writers.site.converting import WORDS, words_of
from builder.writers.site.pages import Pages
from builder.writers.site.pictures import Copies, look_files, shown_in_frame
from builder.writers.site.script_data import (
    WordRow,
    all_words,
    home_file,
    row_of,
    spoken_files,
    texts_of_scripts,
)

if TYPE_CHECKING:
    from mkdocs.livereload import LiveReloadServer

WATCHED = ("housetypes", "developments", "content", "site_templates")


@dataclass(frozen=True, slots=True)
class SourcePage:
    """One page for the engine: its id, the path of its source, its Markdown, what it is about, what it
    is looked for by, whether it repeats what others say, and its language if it is not that of its site."""

    id: str
    source: str
    markdown: str
    summary: str
    called: tuple[str, ...] = ()
    repeats: bool = False
    language: str = ""


@dataclass(frozen=True, slots=True)
class ShownSite:
    """All that the site of one guide shows."""

    title: str
    builder: str
    bar: tuple[BarEntry, ...]
    pages: tuple[SourcePage, ...]
    photographs: tuple[Photograph, ...]
    root: Path
    builder_name: str = ""
    address: str = ""
    look: GuideLook | None = None
    language: Language = FIRST
    others: "tuple[ShownSite, ...]" = ()

    @property
    def spoken(self) -> "tuple[ShownSite, ...]":
        """The same in each of its languages."""
        return (self, *self.others)

    @property
    def every_page(self) -> tuple[SourcePage, ...]:
        """The pages in all languages."""
        return tuple(page for each in self.spoken for page in each.pages)


Beside = Callable[[Guide], Mapping[str, bytes]]
"""Makes what lies beside the pages of a guide: files by their names."""


class HandoverSettings(Config):  # type: ignore[no-untyped-call]
    """``plot``: the plot to preview, as <development>/<plot>; ``workspace``: its folder. ``beside``:
    what makes the files that lie beside the pages of a guide, by their names."""

    plot = Optional(Type(str))
    workspace = Optional(Type(str))
    beside = Optional(Type(object))


class HandoverPlugin(BasePlugin[HandoverSettings]):  # type: ignore[no-untyped-call]
    """Shows the guide of one run: given by the builder, or prepared from the settings."""

    def __init__(self) -> None:
        self.given: ShownSite | None = None
        self.shared: str | None = None
        self._shown: ShownSite | None = None
        self._rows: dict[str, list[WordRow]] = {}
        self._serves = False
        self._beside: Mapping[str, bytes] = {}

    def on_startup(self, *, command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
        self._serves = command == "serve"

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        self._shown = self.given or self._prepared(config)
        self._rows = {each.language.code: [] for each in self._shown.spoken}
        config.nav = [page.source for page in self._shown.every_page]
        config.extra["preview"] = self._serves
        self.tell(self._shown, config)
        return config

    def tell(self, guide: "ShownSite | Guide", config: MkDocsConfig) -> None:
        """Put what the frame shows of a guide into the settings."""
        config.site_author = guide.builder
        config.extra["look"] = shown_in_frame(guide.builder_name, guide.look)
        if self.shared is not None:
            config.extra["assets"] = f"../../{self.shared}"
        config.extra.update(_in_frame(guide, config))
        config.extra["spoken"] = {
            each.language.code: _in_frame(each, config) for each in guide.others
        }

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """The guide's own files; the articles of ``docs_dir`` are sources and no pages.

        Where guides share the theme's files (``shared``: their folder), none has them itself.
        """
        elsewhere = ("articles/", "triage/", *(["assets/"] if self.shared else []))
        own = (file for file in files if not file.src_uri.startswith(elsewhere))
        kept = Files([_with_icons(file, config) for file in own])
        for page in self._shown.every_page if self._shown else ():
            kept.append(File.generated(config, page.source, content=page.markdown))
        for name, content in {**self._pictures(config), **self._beside}.items():
            kept.append(File.generated(config, name, content=content))
        return kept

    def _pictures(self, config: MkDocsConfig) -> Mapping[str, bytes]:
        """The files of a guide's photographs and of its look, and the words of its scripts."""
        if self._shown is None:
            return {}
        root = self._root(config)
        pictures = Copies(root).files(self._shown.photographs)
        look, told = look_files(self._shown.look, root), home_file(self._shown.address)
        return {**pictures, **look, **told, **self._spoken(config)}

    def _spoken(self, config: MkDocsConfig) -> Mapping[str, bytes]:
        """The words of scripts in the other languages of the guide."""
        languages = tuple(each.language for each in self._shown.others) if self._shown else ()
        if not languages:
            return {}
        scripts = found_in([Path(folder) for folder in config.theme.dirs], {})
        return spoken_files(languages, texts_of_scripts(scripts))

    def on_page_markdown(
        self, markdown: str, *, page: Page, config: MkDocsConfig, files: Files
    ) -> str:
        """The theme prints titles as they stand, so they are made safe for HTML here."""
        page.title = escape(page.title or "")
        return markdown

    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:
        """The words of each page are listed, but for the page that finds the others."""
        known = {each.source: each for each in self._shown.every_page} if self._shown else {}
        shown = known.get(page.file.src_uri)
        if shown is not None and shown.id != FIND and (not shown.repeats or shown.called):
            title = str(page.meta.get("title", ""))
            words = words_of(title if shown.repeats else page.content or "")
            language = str(page.meta.get("language", FIRST.code))
            self._rows[language].append(
                row_of(page.url or "./", title, shown.summary, words, shown.called, shown.language)
            )
        return output

    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """Write the list of all words, which a page asks for when its reader looks for some."""
        for code, rows in self._rows.items():
            place = Path(config.site_dir) / ("" if code == FIRST.code else code) / WORDS
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(all_words(rows))

    def on_serve(
        self, server: "LiveReloadServer", *, config: MkDocsConfig, builder: Any
    ) -> "LiveReloadServer":
        for name in WATCHED:
            if (self._root(config) / name).is_dir():
                server.watch(str(self._root(config) / name))
        return server

    def _root(self, config: MkDocsConfig) -> Path:
        if self.given is not None:
            return self.given.root
        return Path(self.config.workspace or Path(config.config_file_path).parent)

    def _prepared(self, config: MkDocsConfig) -> ShownSite:
        """The plot of the settings; while it has mistakes, a preview shows those instead."""
        root = self._root(config)
        try:
            # A preview is for today's eyes: the clock only tells which waivers hold.
            preparation = prepare(
                root, [self.config.plot] if self.config.plot else [], date.today()
            )
        except HandoverError as error:
            raise PluginError(str(error)) from error
        if preparation.plots:
            plot = next(iter(preparation.plots.values()))
            guide = in_all_languages(plot.guide, [each.guide for each in plot.others])
            beside = cast("Beside | None", self.config.beside)
            self._beside = beside(guide) if beside else {}
            return shown(guide, Pages(layered(root, "site_templates/pages")), root)
        if not self._serves:
            raise PluginError("\n".join(map(str, preparation.findings.errors)))
        return _mistakes(preparation.findings, root)


def _with_icons(file: File, config: MkDocsConfig) -> File:
    """A file of the theme; the style sheet draws the icons that the settings name."""
    icons = config.extra.get("from_material")
    if not icons or file.src_uri != f"assets/{STYLE}":
        return file
    content = file.content_bytes + icon_style(icons)
    return File.generated(config, file.src_uri, content=content)


def _in_frame(guide: "ShownSite | Guide", config: MkDocsConfig) -> dict[str, Any]:
    """What the frame shows of a guide in one language, and the words of that."""
    paths = {page.id: page for page in guide.pages}
    return {
        "words": guide.language.texts,
        "language": guide.language.code,
        "direction": guide.language.direction,
        "author": guide.builder,
        "shows": guide.look.logo.shows if guide.look and guide.look.logo else "",
        "home": _address(guide.pages[0]),
        "report": _address(paths[REPORT]) if REPORT in paths else "",
        "bar": [
            {
                "id": entry.id,
                "title": entry.title,
                "address": _address(paths[entry.page]),
            }
            for entry in guide.bar
        ],
    }


def _address(page: "SourcePage | GuidePage") -> str:
    path = page.source if isinstance(page, SourcePage) else source_of(page)
    name = path.removesuffix(".md").removesuffix("index")
    return f"{name}/" if name else ""


def shown(guide: Guide, pages: Pages, root: Path) -> ShownSite:
    """A guide as a site shows it, in all its languages."""
    return ShownSite(
        language=guide.language,
        others=tuple(shown(each, pages, root) for each in guide.others if guide.language is FIRST),
        title=guide.title,
        builder=guide.builder,
        bar=guide.bar,
        pages=tuple(
            SourcePage(
                each.page.id,
                each.source,
                each.markdown,
                each.page.summary,
                each.page.called,
                each.page.repeats,
                each.page.language,
            )
            for each in pages.of(guide)
        ),
        photographs=guide.photographs,
        root=root,
        builder_name=guide.builder_name,
        address=guide.address,
        look=guide.look,
    )


def _mistakes(findings: Findings, root: Path) -> ShownSite:
    """One page that lists what is to be mended before the guide can be shown."""
    listed = "\n".join(
        f"- **{escaped(str(finding.place))}**: {escaped(finding.wrong)} {escaped(finding.right)}"
        for finding in findings.errors
    )
    page = SourcePage("page:home", "index.md", f"# To mend first\n\n{listed}\n", "")
    return ShownSite("To mend first", "", (), (page,), (), root)
