"""One ordinary MkDocs project for each plot: the settings, theme, overrides and pages of its guide.

Our plugin is left out: the pages stand in ``docs/`` as files. What the plugin does besides, such
as clearing addresses, is left out too, in favour of MkDocs.
"""

import sys
from collections.abc import Iterable
from importlib import metadata
from pathlib import Path
from typing import Any

import yaml

from builder.shipped import own_or_shipped
from builder.writers.site.assets import STYLE, icon_style
from tests.bench.guides import Written

COMMAND = (sys.executable, "-m", "mkdocs", "build", "--quiet", "--clean")


def write_projects(root: Path, guides: Iterable[Written], folder: Path) -> list[Path]:
    """One project a guide, each in a folder of its own under ``folder``."""
    return [_project(root, guide, folder / f"{n:05}") for n, guide in enumerate(guides)]


def _project(root: Path, guide: Written, folder: Path) -> Path:
    for source, markdown in guide.pages.items():
        path = folder / "docs" / source
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(markdown, encoding="utf-8", newline="\n")
    settings = _settings(root, guide)
    style = own_or_shipped(root, f"site_templates/theme/assets/{STYLE}").read_bytes()
    (folder / "docs/assets").mkdir(exist_ok=True)
    icons = icon_style(settings["extra"]["from_material"])
    (folder / "docs/assets" / STYLE).write_bytes(style + icons)
    text = yaml.safe_dump(settings, sort_keys=False, allow_unicode=True)
    (folder / "mkdocs.yml").write_text(text, encoding="utf-8")
    return folder


def _settings(root: Path, guide: Written) -> dict[str, Any]:
    shared = yaml.safe_load(own_or_shipped(root, "mkdocs.yml").read_text(encoding="utf-8"))
    plugins = [each for each in shared["plugins"] if "handover" not in each]
    theme = shared["theme"] | {"custom_dir": str(own_or_shipped(root, "site_templates") / "theme")}
    return dict(
        shared
        | {
            "site_name": guide.title,
            "site_author": guide.builder,
            "site_url": "https://guides.example/g/CODE/",
            "docs_dir": "docs",
            "site_dir": "site",
            "plugins": plugins,
            "theme": theme,
            "nav": list(guide.pages),
            "extra": shared["extra"] | {"bar": _bar(guide, shared["extra"]["from_material"])},
        }
    )


def _bar(guide: Written, from_material: dict[str, str]) -> list[dict[str, str]]:
    """The bar as our plugin tells it to the theme."""
    paths = {"page:home": "", "page:contacts": "contacts/"}
    return [
        {
            "id": entry.id,
            "title": entry.title,
            "address": paths.get(entry.page, f"{entry.page.removeprefix('page:')}/"),
            "icon": entry.id in from_material,
        }
        for entry in guide.bar
    ]


def pages_of(project: Path) -> list[Path]:
    """The pages that were built."""
    return sorted(project.glob("site/**/*.html"))


def version() -> str:
    return f"{metadata.version('mkdocs')}, theme {metadata.version('mkdocs-material')}"
