"""The guide of a plot as it would be published now, page by page, from its files as they are.

Nothing is written. Pages are as a build makes them; only what runs in a browser is left to whoever
serves them.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from builder.guide.pages import Guide
from builder.recent import RecentResults
from builder.shipped import layered
from builder.writers.site.engine import HeldEngine
from builder.writers.site.pages import Pages
from builder.writers.site.sites import Sites

GUIDES_KEPT = 6
_NO_CODE = "0000000000000"
"""What stands for the code of a guide that has none."""


@dataclass(frozen=True, slots=True)
class LiveGuide:
    """A guide's files by their paths in it."""

    guide: Guide
    files: Mapping[str, bytes | Path]


class LiveGuides:
    """Guides with the settings and templates of one workspace; ``made_with``: their stamps."""

    def __init__(self, root: Path) -> None:
        self._root = root
        self._lock = Lock()
        self._made_with: object = None
        self._engine: HeldEngine | None = None
        self._sites: Sites | None = None
        self._recent: RecentResults[str, LiveGuide] = RecentResults(GUIDES_KEPT)

    def file(self, guide: Guide, path: str, made_with: object) -> bytes | None:
        """One file of a guide; nothing where it has none of that path."""
        with self._lock:
            sites, _ = self._writing(made_with)
            found = self._live(guide, sites).files.get(path)
            return found.read_bytes() if isinstance(found, Path) else found

    def asset(self, path: str, made_with: object) -> bytes | None:
        """One file of what all guides share, by its path below ``assets``; looked up among those that
        the theme has."""
        with self._lock:
            _, engine = self._writing(made_with)
            name = f"assets/{path}".removeprefix(f"{engine.assets.folder}/")
            return engine.assets.content(name) if name in engine.assets.files else None

    def _writing(self, made_with: object) -> tuple[Sites, HeldEngine]:
        if self._sites is None or self._engine is None or made_with != self._made_with:
            self._engine = HeldEngine(self._root)
            pages = Pages(layered(self._root, "site_templates/pages"))
            self._sites = Sites(self._root, self._engine, pages)
            self._made_with, self._recent = made_with, RecentResults(GUIDES_KEPT)
        return self._sites, self._engine

    def _live(self, guide: Guide, sites: Sites) -> LiveGuide:
        found = self._recent.get(guide.reference)
        if found is None or found.guide is not guide:
            finished = sites.finished(sites.opened(guide, None), guide, _NO_CODE)
            found = self._recent.keep(guide.reference, LiveGuide(guide, finished.files))
        return found
