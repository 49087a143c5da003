"""The engine's plugin: gives MkDocs a guide's pages in place of files on disk.

``mkdocs serve`` on a workspace's ``mkdocs.yml`` previews the plot that the settings name; the
builder hands over a guide that it has composed already.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from mkdocs.config.base import Config
from mkdocs.config.config_options import Optional, Type
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.livereload import LiveReloadServer
from mkdocs.plugins import BasePlugin
from mkdocs.structure.files import File, Files
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page
from mkdocs.utils.templates import TemplateContext

from builder.errors import HandoverError
from builder.guide.pages import Guide, Section
from builder.preparing import prepare
from builder.shipped import own_or_shipped
from builder.writers.site.markdown import PageTemplates, WrittenPage, source_of
from builder.writers.site.photographs import published_copy

WATCHED = ("housetypes", "developments", "content", "site_templates")


class HandoverSettings(Config):  # type: ignore[no-untyped-call]
    """``plot``: the plot to preview, as <development>/<plot>."""

    plot = Optional(Type(str))
    workspace = Optional(Type(str))


class HandoverPlugin(BasePlugin[HandoverSettings]):  # type: ignore[no-untyped-call]
    """Holds the guide of one run: given by the builder, or prepared from the settings."""

    def __init__(self) -> None:
        self.given: tuple[Guide, Path, tuple[WrittenPage, ...]] | None = None
        self._guide: Guide | None = None
        self._root = Path()
        self._pages: tuple[WrittenPage, ...] = ()

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        self._guide, self._root, self._pages = self.given or self._prepared(config)
        config.site_name = self._guide.title
        config.site_author = self._guide.builder
        config.nav = navigation(self._guide)
        return config

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """The guide's own files; the articles of ``docs_dir`` are sources and no pages."""
        kept = Files(
            [file for file in files if not file.src_uri.startswith(("articles/", "triage/"))]
        )
        for page in self._pages:
            kept.append(File.generated(config, page.source, content=page.markdown))
        for photo in self._guide.photographs if self._guide else ():
            picture = published_copy(self._root / photo.file)
            kept.append(File.generated(config, f"photos/{photo.name}", content=picture))
        return kept

    def on_page_context(
        self, context: TemplateContext, *, page: Page, config: MkDocsConfig, nav: Navigation
    ) -> TemplateContext:
        """A guide outlives its host: no page names the address that it was built for."""
        page.canonical_url = None
        return context

    def on_serve(
        self, server: LiveReloadServer, *, config: MkDocsConfig, builder: Any
    ) -> LiveReloadServer:
        for name in WATCHED:
            if (self._root / name).is_dir():
                server.watch(str(self._root / name))
        return server

    def _prepared(self, config: MkDocsConfig) -> tuple[Guide, Path, tuple[WrittenPage, ...]]:
        root = Path(self.config.workspace or Path(config.config_file_path).parent)
        try:
            preparation = prepare(root, [self.config.plot] if self.config.plot else [])
        except HandoverError as error:
            raise PluginError(str(error)) from error
        if not preparation.plots:
            raise PluginError(
                "\n".join(map(str, preparation.findings.errors)) or "There is no plot."
            )
        guide = next(iter(preparation.plots.values())).guide
        templates = PageTemplates(own_or_shipped(root, "site_templates") / "pages")
        return guide, root, templates.write(guide)


def navigation(guide: Guide) -> list[Any]:
    """The navigation as MkDocs reads it. A section with a page of its own begins with that page."""
    paths = {page.id: source_of(page.path) for page in guide.pages}
    return [
        _entry(section, paths) for section in guide.navigation if section.page or section.sections
    ]


def _entry(section: Section, paths: Mapping[str, str]) -> dict[str, Any]:
    inner = [_entry(each, paths) for each in section.sections]
    if section.page is None:
        return {section.title: inner}
    page = paths[section.page]
    return {section.title: [page, *inner]} if inner else {section.title: page}
