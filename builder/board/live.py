"""The guide of a plot as it would be published now, page by page, from its files as they are.

Nothing is written. Pages are as a build makes them; only what runs in a browser is left to whoever
serves them.
"""

from pathlib import Path
from threading import Lock

from builder.guide.pages import Guide
from builder.shipped import layered
from builder.writers.site.engine import HeldEngine
from builder.writers.site.pages import Pages
from builder.writers.site.sites import Sites


class LiveGuides:
    """Guides with the settings and templates of one workspace; ``made_with``: their stamps."""

    def __init__(self, root: Path) -> None:
        self._root = root
        self._lock = Lock()
        self._made_with: object = None
        self._engine: HeldEngine | None = None
        self._sites: Sites | None = None

    def begin(self, made_with: object) -> None:
        """Have at hand what all guides are made with."""
        with self._lock:
            self._writing(made_with)

    def file(self, guide: Guide, path: str, made_with: object) -> bytes | None:
        """One file of a guide, and no other is made for it; nothing where it has none of that path."""
        with self._lock:
            sites, _ = self._writing(made_with)
            return sites.file(guide, path)

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
            self._made_with = made_with
        return self._sites, self._engine
