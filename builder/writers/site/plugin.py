"""The engine's plugin: gives MkDocs a guide's pages in place of files on disk.

``mkdocs serve`` on a workspace's ``mkdocs.yml`` previews the plot that the settings name; the
builder hands over a guide that it has composed already.
"""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from jinja2 import Environment, pass_context
from jinja2.runtime import Context
from markupsafe import escape
from mkdocs.config.base import Config
from mkdocs.config.config_options import Optional, Type
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin
from mkdocs.structure.files import File, Files
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page
from mkdocs.utils.templates import TemplateContext

from builder.errors import Findings, HandoverError
from builder.guide.pages import Guide, Photograph, Section
from builder.guide.prose import escaped
from builder.preparing import prepare
from builder.shipped import own_or_shipped
from builder.writers.site.asking import sources_of
from builder.writers.site.assets import shared_address
from builder.writers.site.markdown import PageTemplates, WrittenPage
from builder.writers.site.photographs import published_copy

if TYPE_CHECKING:
    from mkdocs.livereload import LiveReloadServer

WATCHED = ("housetypes", "developments", "content", "site_templates")


@dataclass(frozen=True, slots=True)
class Shown:
    """What a site shows: its pages and how they hang together."""

    title: str
    builder: str
    navigation: list[Any]
    pages: tuple[WrittenPage, ...]
    photographs: tuple[Photograph, ...]
    root: Path


class HandoverSettings(Config):  # type: ignore[no-untyped-call]
    """``plot``: the plot to preview, as <development>/<plot>; ``workspace``: its folder."""

    plot = Optional(Type(str))
    workspace = Optional(Type(str))


class HandoverPlugin(BasePlugin[HandoverSettings]):  # type: ignore[no-untyped-call]
    """Shows the guide of one run: given by the builder, or prepared from the settings."""

    def __init__(self) -> None:
        self.given: Shown | None = None
        self.shared: str | None = None
        self._shown: Shown | None = None
        self._serves = False

    def on_startup(self, *, command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
        self._serves = command == "serve"

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        self._shown = self.given or self._prepared(config)
        config.site_name = escape(self._shown.title)
        config.site_author = self._shown.builder
        config.nav = self._shown.navigation
        config.extra["preview"] = self._serves
        return config

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """The guide's own files; the articles of ``docs_dir`` are sources and no pages.

        Where guides share the theme's files (``shared``: their folder), none has them itself.
        """
        elsewhere = ("articles/", "triage/", *(["assets/"] if self.shared else []))
        kept = Files([file for file in files if not file.src_uri.startswith(elsewhere)])
        for page in self._shown.pages if self._shown else ():
            kept.append(File.generated(config, page.source, content=page.markdown))
        for photo in self._shown.photographs if self._shown else ():
            picture = published_copy(self._root(config) / photo.file)
            kept.append(File.generated(config, f"photos/{photo.name}", content=picture))
        return kept

    def on_page_markdown(
        self, markdown: str, *, page: Page, config: MkDocsConfig, files: Files
    ) -> str:
        """The theme prints titles as they stand, so they are made safe for HTML here."""
        page.title = escape(page.title or "")
        return markdown

    def on_env(self, env: Environment, *, config: MkDocsConfig, files: Files) -> Environment:
        """Guides that share the theme's files find them where those are."""
        if self.shared is not None:
            env.filters["url"] = pass_context(partial(_address, self.shared, env.filters["url"]))
        return env

    def on_page_context(
        self, context: TemplateContext, *, page: Page, config: MkDocsConfig, nav: Navigation
    ) -> TemplateContext:
        """A guide outlives its host: no page names the address that it was built for."""
        page.canonical_url = None
        return context

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

    def _prepared(self, config: MkDocsConfig) -> Shown:
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
            guide = next(iter(preparation.plots.values())).guide
            templates = PageTemplates(own_or_shipped(root, "site_templates/pages"))
            return shown(guide, templates, root)
        if not self._serves:
            raise PluginError("\n".join(map(str, preparation.findings.errors)))
        return _mistakes(preparation.findings, root)


def _address(shared: str, engine: Callable[..., str], context: Context, value: str) -> str:
    """The engine's way to a file, but for the theme's files that guides share."""
    if str(value).startswith("assets/"):
        return shared_address(str(value), context["base_url"], shared)
    return engine(context, value)


def shown(guide: Guide, templates: PageTemplates, root: Path, empty: Collection[str] = ()) -> Shown:
    """A guide as a site shows it; the pages with the ids ``empty`` are there and say nothing yet."""
    return Shown(
        title=guide.title,
        builder=guide.builder,
        navigation=navigation(guide),
        pages=templates.write(guide, empty),
        photographs=guide.photographs,
        root=root,
    )


def _mistakes(findings: Findings, root: Path) -> Shown:
    """One page that lists what is to be mended before the guide can be shown."""
    listed = "\n".join(
        f"- **{escaped(finding.place)}**: {escaped(finding.wrong)} {escaped(finding.right)}"
        for finding in findings.errors
    )
    page = WrittenPage("index.md", f"# To mend first\n\n{listed}\n")
    return Shown("To mend first", "", [{"To mend first": page.source}], (page,), (), root)


def navigation(guide: Guide) -> list[Any]:
    """The navigation as MkDocs reads it. A section with a page of its own begins with that page."""
    sources = sources_of(guide)
    listed = [section for section in guide.navigation if section.page or section.sections]
    return [_entry(section, sources) for section in listed]


def _entry(section: Section, sources: Mapping[str, str]) -> dict[str, Any]:
    inner = [_entry(each, sources) for each in section.sections]
    if section.page is None:
        return {escape(section.title): inner}
    page = sources[section.page]
    return {escape(section.title): [page, *inner] if inner else page}
