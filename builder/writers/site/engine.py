"""MkDocs: builds a guide as it is, one at a time, or is held open for what many guides need of it."""

import io
import json
import logging
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from types import BuiltinMethodType
from typing import Any

from jinja2 import Environment
from jinja2.exceptions import SecurityError
from jinja2.runtime import BlockReference, LoopContext, Macro
from jinja2.sandbox import ImmutableSandboxedEnvironment
from jinja2.utils import Cycler, Joiner, Namespace
from markupsafe import Markup
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import MkDocsException
from mkdocs.theme import Theme

from builder.compiled import keep_compiled
from builder.disk import true_place
from builder.errors import Finding, HandoverError, Place
from builder.guide.pages import Guide
from builder.shipped import layered, own_or_shipped, shipped
from builder.sources.own_templates import THEME, templates_of_its_own
from builder.sources.site_settings import SETTINGS, site_settings
from builder.writers.site.assets import Assets, found_in
from builder.writers.site.converting import MarkdownConverter
from builder.writers.site.frame import Frames
from builder.writers.site.offline import ServiceWorkers, write_worker
from builder.writers.site.pages import Pages
from builder.writers.site.plugin import HandoverPlugin, shown

FRAME = "main.html"
OURS = "handover"


class SiteWriter:
    """Writes guides as static sites, each by itself, with the settings and templates of one
    workspace. ``assets`` are the theme's files, where guides share them."""

    def __init__(self, root: Path, assets: Assets | None = None, *, own_code: bool = False) -> None:
        self._own_code = own_code
        self.root = root
        self.assets = assets
        self.pages = Pages(layered(root, "site_templates/pages"))

    def write(self, guide: Guide, folder: Path, address: str) -> tuple[Finding, ...]:
        """Write a guide's site into a folder, for the web address that it will have.

        The findings are what the engine warned of, such as a link to a page that is not there.
        """
        with TemporaryDirectory() as empty, warnings() as warned:
            try:
                config = self._config(guide, folder, Path(empty), address)
                build(config)
                write_worker(guide, folder, workers_of(self.root, self.assets, config))
            except MkDocsException as error:
                raise HandoverError(
                    f"The site of {guide.reference} cannot be built: {error}"
                ) from error
        return tuple(_finding(guide, warning) for warning in warned)

    def _config(self, guide: Guide, folder: Path, sources: Path, address: str) -> MkDocsConfig:
        config = configured(
            self.root, sources, true_place(folder), address, own_code=self._own_code
        )
        plugin = plugin_of(config)
        plugin.given = shown(guide, self.pages, self.root)
        plugin.shared = self.assets.folder if self.assets else None
        return config


class HeldEngine:
    """What many guides need of MkDocs with the settings and theme of one workspace: frames, the
    conversion of Markdown, and the theme's files, which guides share."""

    def __init__(self, root: Path, *, own_code: bool = False) -> None:
        with TemporaryDirectory() as empty:  # The settings ask for a folder of pages: none is read.
            pages = Path(empty) / "pages"
            pages.mkdir()
            self._config = configured(root, pages, Path(empty) / "site", None, own_code=own_code)
        self._plugin = plugin_of(self._config)
        icons = self._config.extra.get("from_material") or {}
        self.assets = found_in([Path(folder) for folder in self._config.theme.dirs], icons)
        self._plugin.shared = self.assets.folder
        self.workers = workers_of(root, self.assets, self._config)
        self.converter = MarkdownConverter(
            self._config.markdown_extensions, self._config.mdx_configs
        )
        template = self._config.theme.get_env().get_template(FRAME)
        self.frames = Frames(template, self._config)

    @property
    def usable(self) -> bool:
        """Whether guides come out as from the engine's own build: no plugin but ours has a hand in it."""
        settings = self._config
        return set(settings.plugins) == {OURS} and not (settings.hooks or settings.extra_templates)

    def show(self, guide: Guide) -> None:
        """Have the settings speak of a guide."""
        self._plugin.tell(guide, self._config)
        self.frames.show()


def configured(
    root: Path, sources: Path, folder: Path, address: str | None, *, own_code: bool = False
) -> MkDocsConfig:
    """The settings of a workspace, for a site that is written into a folder.

    The engine is given what was checked of them, and never the file; ``own_code``: the file as it
    stands, with all that it runs. FindingsError: what is wrong with them.
    """
    path = own_or_shipped(root, SETTINGS)
    text = (
        path.read_bytes()
        if own_code
        else json.dumps(_with_a_theme(root, site_settings(path))).encode()
    )
    with warnings() as warned:
        try:
            config = load_config(
                io.BytesIO(text),
                config_file_path=str(true_place(path)),
                docs_dir=str(sources),
                site_dir=str(folder),
                site_url=address,
                strict=False,
            )
        except MkDocsException as error:
            said = " ".join([*warned, str(error)])
            raise HandoverError(f"'{SETTINGS}' cannot be used: {said}") from error
    over = _lay_themes(root, config.theme)
    _keep_what_it_compiles(config.theme, over, own_code=own_code)
    return config


def _with_a_theme(root: Path, settings: Mapping[str, Any]) -> dict[str, Any]:
    """Settings for a workspace that names a theme and has none: the one that ships lies below."""
    theme = settings.get("theme")
    if (
        not isinstance(theme, Mapping)
        or theme.get("custom_dir") != THEME
        or (root / THEME).is_dir()
    ):
        return dict(settings)
    return {**settings, "theme": {**theme, "custom_dir": str(shipped(THEME))}}


def _lay_themes(root: Path, theme: Theme) -> list[Path]:
    """Look in the workspace's own theme first, in the one that ships then, in the engine's last. The
    folders over the one that ships."""
    ships, own = shipped(THEME), [Path(theme.custom_dir or root / THEME), root / THEME]
    over = [each for each in own if each.is_dir() and not each.samefile(ships)]
    by_place = {true_place(each): str(each) for each in (*over, ships)}
    rest = [each for each in theme.dirs if true_place(Path(each)) not in by_place]
    theme.dirs[:] = [*by_place.values(), *rest]
    return over


def _keep_what_it_compiles(theme: Theme, over: list[Path], *, own_code: bool) -> None:
    """Have a theme compile its templates once for all that asks it for some, and fence in those that a
    workspace brings along."""
    made = theme.get_env
    own = any(map(templates_of_its_own, over))

    def kept() -> Environment:
        environment = fenced(made()) if own and not own_code else made()
        keep_compiled(environment)
        return environment

    theme.get_env = kept  # type: ignore[method-assign]


def plugin_of(config: MkDocsConfig) -> HandoverPlugin:
    """Our plugin in these settings."""
    plugin = config.plugins.get(OURS)
    if not isinstance(plugin, HandoverPlugin):
        raise HandoverError(
            f"'{SETTINGS}' does not name the plugin 'handover', or another of that name."
        )
    return plugin


def workers_of(root: Path, assets: Assets | None, config: MkDocsConfig) -> ServiceWorkers:
    """What writes the workers of guides: emergency pages stay on the reader's device, unless the
    settings say otherwise."""
    templates = layered(root, "site_templates/offline")
    return ServiceWorkers(templates, assets, keeps=bool(config.extra.get("offline", True)))


class _Collecting(logging.Handler):
    """Keeps what the engine warns of."""

    def __init__(self, kept: list[str]) -> None:
        super().__init__(logging.WARNING)
        self.kept = kept

    def emit(self, record: logging.LogRecord) -> None:
        self.kept.append(record.getMessage())


@contextmanager
def warnings() -> Iterator[list[str]]:
    """The engine's warnings, kept and not printed."""
    kept: list[str] = []
    handler, logger = _Collecting(kept), logging.getLogger("mkdocs")
    printed = logger.propagate
    logger.addHandler(handler)
    logger.propagate = False
    try:
        yield kept
    finally:
        logger.removeHandler(handler)
        logger.propagate = printed


def _finding(guide: Guide, warning: str) -> Finding:
    return Finding(
        "site.engine",
        Place(SETTINGS),
        f"The site engine warns: {warning}",
        "Correct the template or the article that it names.",
        plots=(guide.reference,),
    )


_VALUES = (str, list, tuple, dict, int, float, bool, Markup)
_OF_TEMPLATES = (Macro, LoopContext, BlockReference, Namespace, Cycler, Joiner, type)


class ThemeEnvironment(ImmutableSandboxedEnvironment):
    """Renders templates of a workspace. They call what Jinja gives them and methods of plain values;
    the objects of the site engine can be read, and none of them does anything."""

    def is_safe_callable(self, obj: Any) -> bool:
        """Whether a template may call this."""
        if isinstance(obj, _OF_TEMPLATES):
            return super().is_safe_callable(obj) and (obj is Namespace or not isinstance(obj, type))
        holder = getattr(obj, "__self__", None)
        of_a_value = isinstance(holder, _VALUES) and isinstance(obj, BuiltinMethodType)
        of_a_value = of_a_value or getattr(obj, "__func__", None) is Mapping.get
        of_a_value = of_a_value or type(holder) in (Cycler, Joiner, LoopContext, Markup)
        return super().is_safe_callable(obj) and (of_a_value or obj in self.globals.values())

    def call(self, __context: Any, __obj: Any, *given: Any, **named: Any) -> Any:
        if not self.is_safe_callable(__obj):
            name = getattr(__obj, "__qualname__", type(__obj).__qualname__)
            raise SecurityError(f"a theme of a workspace may not call '{name}'")
        return super().call(__context, __obj, *given, **named)


def fenced(environment: Environment) -> Environment:
    """An environment with the same templates and filters, from which no template gets out."""
    made = ThemeEnvironment(
        loader=environment.loader, extensions=list(environment.extensions), auto_reload=False
    )
    made.filters.update(environment.filters)
    made.tests.update(environment.tests)
    return made
