"""Keeps a guide's emergency pages on its reader's device: one service worker for each guide.

The worker lies in the guide's own folder and serves nothing else. What it keeps is named by the
content, so that a new edition replaces the old one whole; pages come from the network first.
"""

import hashlib
from collections.abc import Iterator
from pathlib import Path

from jinja2 import FileSystemLoader, StrictUndefined
from jinja2.sandbox import ImmutableSandboxedEnvironment

from builder.guide.pages import Guide

WORKER = "worker.js"
EMERGENCY = "page:emergency"


def write_worker(guide: Guide, folder: Path, templates: Path, *, keeps: bool) -> None:
    """Write the worker of a finished guide; one that ``keeps`` nothing clears earlier ones away."""
    environment = ImmutableSandboxedEnvironment(
        loader=FileSystemLoader(templates), undefined=StrictUndefined, keep_trailing_newline=True
    )
    files = sorted(_files(guide, folder))
    page = guide.page(EMERGENCY)
    text = environment.get_template(WORKER if keeps else "worker-off.js").render(
        scope=folder.name,
        edition=_edition(folder, files),
        files=[_address(name) for name in files],
        emergency=f"{page.path}/" if page else "./",
    )
    (folder / WORKER).write_text(text, encoding="utf-8", newline="\n")


def _files(guide: Guide, folder: Path) -> Iterator[str]:
    """What is kept from the first visit on: the pages of an emergency, and the theme's own files."""
    urgent = {EMERGENCY, "page:home", "page:contacts"}
    for page in guide.pages:
        piece = page.values.get("piece")
        turns_off = piece is not None and piece.turns_off is not None
        if page.id in urgent or page.values.get("urgent") is True or turns_off:
            yield f"{page.path}/index.html" if page.path else "index.html"
    for pattern in ("assets/stylesheets/*.css", "assets/*.css", "assets/*.js", "assets/*.svg",
                    "assets/javascripts/bundle*.js"):  # fmt: skip
        yield from (path.relative_to(folder).as_posix() for path in folder.glob(pattern))


def _address(name: str) -> str:
    """A file as browsers ask for it: a page by its folder."""
    return name.removesuffix("index.html") or "./"


def _edition(folder: Path, files: list[str]) -> str:
    digest = hashlib.sha256()
    for name in files:
        digest.update(name.encode("utf-8") + b"\0" + (folder / name).read_bytes() + b"\0")
    return digest.hexdigest()[:16]
