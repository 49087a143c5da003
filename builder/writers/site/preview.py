"""Serves a guide with MkDocs while its sources are edited. What serves takes long to load."""

import json
from pathlib import Path
from tempfile import TemporaryDirectory

from mkdocs.commands.serve import serve

from builder.disk import true_place
from builder.shipped import own_or_shipped
from builder.sources.site_settings import SETTINGS, site_settings
from builder.writers.site.plugin import Beside


def preview(
    root: Path, reference: str, address: str | None, beside: Beside, *, own_code: bool = False
) -> None:
    """Serve one plot's guide, written again whenever a source file changes, until interrupted.

    ``beside``: makes the files that other writers put beside its pages. ``own_code``: with all that the workspace's settings run. FindingsError: what is wrong in them.
    """
    settings = own_or_shipped(root, SETTINGS)
    plugins = {
        "handover": {"plot": reference, "workspace": str(true_place(root)), "beside": beside}
    }
    with TemporaryDirectory() as empty:
        pages = Path(empty) / "pages"
        pages.mkdir()
        file = settings if own_code else _checked(settings, Path(empty))
        serve(str(file), plugins=plugins, docs_dir=str(pages), dev_addr=address, livereload=True)


def _checked(settings: Path, folder: Path) -> Path:
    """A file of what was checked of the settings, which names the theme's folder in full."""
    found = dict(site_settings(settings))
    theme = dict(found.get("theme") or {})
    if own := theme.get("custom_dir"):
        theme["custom_dir"] = str(true_place(settings.parent / own))
    file = folder / SETTINGS
    file.write_text(json.dumps({**found, "theme": theme}), encoding="utf-8")
    return file
