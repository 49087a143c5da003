"""Keeps a guide's emergency pages on its reader's device: one service worker for each guide; and lists
all of its files for a reader who keeps the whole of it.

The worker lies in the guide's own folder and serves nothing else. What it keeps is named by the
content, so that a new edition replaces the old one whole; pages come from the network first.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping
from fnmatch import fnmatch
from pathlib import Path

from jinja2 import FileSystemLoader, StrictUndefined
from jinja2.sandbox import ImmutableSandboxedEnvironment

from builder.compiled import keep_compiled
from builder.guide.pages import Guide
from builder.shipped import Layered
from builder.writers.site.assets import Assets
from builder.writers.site.pictures import look_names
from builder.writers.site.script_data import HOME, spoken_names

WORKER, LISTING = "worker.js", "kept.json"
EMERGENCY = "page:emergency"
DIGITS = 16
"""Hexadecimal digits by which a device knows whether it has a file as it is now."""
_LOOK = ("*.css", "*.js", "*.svg")
"""The theme's files that a page needs to look and work as it should."""
_LATER = frozenset(f"handover-{name}.js" for name in ("care", "find", "keep", "round"))
"""Those of them that no page of an emergency asks for. They are kept with the first page that does."""


class ServiceWorkers:
    """Writes the workers of many guides through one template; a worker that ``keeps`` nothing
    clears earlier ones away. ``assets`` are the theme's files, where guides share them."""

    def __init__(self, templates: Layered, assets: Assets | None, *, keeps: bool) -> None:
        environment = ImmutableSandboxedEnvironment(
            loader=FileSystemLoader(templates.folders),
            undefined=StrictUndefined,
            keep_trailing_newline=True,
        )
        keep_compiled(environment)
        self._template = environment.get_template(WORKER if keeps else "worker-off.js")
        self._clears = environment.get_template("worker-off.js")
        self.keeps = keeps
        self._shared = assets
        names = sorted(assets.files) if assets else []
        self._look = [name for name in names if _is_look(name)]

    def text(self, guide: Guide, code: str, digests: Mapping[str, str]) -> str:
        """The worker of a finished guide. ``digests``: the SHA-256 of its files by their paths."""
        kept = {
            name: digests[name]
            for name in sorted({*_urgent_in_all(guide), *look_names(guide), *_own_look(digests)})
            if not _comes_later(name)
        }
        emergency = guide.page(EMERGENCY)
        return self._template.render(
            scope=code,
            edition=self._edition(kept),
            files=[*map(_address, kept), *self._shared_addresses()],
            emergency=f"{emergency.path}/" if emergency else "./",
        )

    def clearing(self, code: str) -> str:
        """A worker that takes off a device all that it has kept of a guide, by its code."""
        return self._clears.render(scope=code)

    def listing(self, files: Mapping[str, bytes | Path], digests: Mapping[str, str]) -> bytes:
        """All that a device keeps of a whole guide: the address of each file, digits of its digest, and
        its bytes; as JSON. ``files``: those of the guide by their paths in it; ``digests``: the SHA-256
        of those whose it is known."""
        own = {
            _address(name): _weighed(each, digests.get(name))
            for name, each in files.items()
            if name != WORKER
        }
        shared = self._shared
        looks = {
            f"../../{shared.folder}/{name}": _weighed(shared.files[name], None)
            for name in (self._look if shared else ())
            if shared
        }
        rows = [[name, *each] for name, each in sorted({**own, **looks}.items())]
        return json.dumps(rows, separators=(",", ":")).encode()

    def _shared_addresses(self) -> Iterator[str]:
        for name in self._look:
            if self._shared is not None and not _comes_later(name):
                yield f"../../{self._shared.folder}/{name}"

    def _edition(self, kept: Mapping[str, str]) -> str:
        digest = hashlib.sha256()
        for name, content in kept.items():
            digest.update(f"{name}\0{content}\0".encode())
        digest.update((self._shared.folder if self._shared else "").encode())
        return digest.hexdigest()[:16]


def urgent_files(guide: Guide) -> Iterator[str]:
    """The pages that are kept from the first visit on: those of an emergency, and what turns supplies
    off with the article on it."""
    pieces = (page.values.get("piece") for page in guide.pages)
    off = [piece for piece in pieces if piece is not None and piece.turns_off is not None]
    urgent = {EMERGENCY, "page:home", "page:contacts"}
    urgent.update(f"equipment:{piece.id}" for piece in off)
    urgent.update(f"article:{piece.article}" for piece in off)
    for page in guide.pages:
        if page.id in urgent or page.values.get("urgent") is True:
            yield f"{page.path}/index.html" if page.path else "index.html"


def _urgent_in_all(guide: Guide) -> Iterator[str]:
    """The same in all languages of a guide: its reader may be in any when the network fails."""
    for each in (guide, *guide.others):
        yield from urgent_files(each)
    yield HOME
    yield from spoken_names(each.language for each in guide.others)


def write_worker(guide: Guide, folder: Path, workers: ServiceWorkers) -> None:
    """Write the worker of a finished guide into its folder, which is named by its code."""
    wanted = [*_urgent_in_all(guide), *look_names(guide), *_look_in(folder)]
    digests = {name: hashlib.sha256((folder / name).read_bytes()).hexdigest() for name in wanted}
    text = workers.text(guide, folder.name, digests)
    (folder / WORKER).write_text(text, encoding="utf-8", newline="\n")


def _weighed(file: bytes | Path, digest: str | None) -> tuple[str, int]:
    """Digits of a file's digest, and its bytes."""
    if digest and isinstance(file, Path):
        return digest[:DIGITS], file.stat().st_size
    content = file.read_bytes() if isinstance(file, Path) else file
    return (digest or hashlib.sha256(content).hexdigest())[:DIGITS], len(content)


def _look_in(folder: Path) -> Iterator[str]:
    """The theme's files in a guide that has its own."""
    for path in sorted((folder / "assets").rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_file() and _is_look(name.removeprefix("assets/")):
            yield name


def _own_look(names: Mapping[str, str]) -> Iterator[str]:
    return (name for name in names if name.startswith("assets/"))


def _is_look(name: str) -> bool:
    """Whether a file of the theme is one of those; ``fnmatch`` would let a star pass a slash."""
    return "/" not in name and any(fnmatch(name, form) for form in _LOOK)


def _comes_later(name: str) -> bool:
    return name.rpartition("/")[2] in _LATER


def _address(name: str) -> str:
    """A file as browsers ask for it: a page by its folder."""
    return name.removesuffix("index.html") or "./"
