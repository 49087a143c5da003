"""Digests of all that guides are made from, so that what has not changed is not built again.

Contents count, and never the times of files: a copy, a fresh checkout or a touched file is the same.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from datetime import date
from functools import cache, cached_property
from importlib.metadata import version
from pathlib import Path

import builder
from builder.layers.stack import files_of
from builder.publish.register import NAME as REGISTER
from builder.publish.register import Register
from builder.shipped import own_or_shipped, shipped
from builder.sources.entry import plain
from builder.sources.workspace import PlotSource, Workspace

_FOLDERS = ("housetypes", "developments", "content", "site_templates", "stickers")
_SETTINGS = "mkdocs.yml"
_LIBRARIES = ("mkdocs", "mkdocs-material", "markdown", "jinja2", "icalendar")
_PRIVATE = "records"
"""Records of demonstrations: nothing in a guide is made from them."""


class Sources:
    """The files of one workspace as they are now."""

    def __init__(self, root: Path) -> None:
        self._root = root

    @cached_property
    def files(self) -> Mapping[str, str]:
        """The SHA-256 of each source file by its path in the workspace."""
        found = [path for name in _FOLDERS for path in sorted((self._root / name).rglob("*"))]
        found.append(self._root / _SETTINGS)
        return {
            path.relative_to(self._root).as_posix(): digest_of(path.read_bytes())
            for path in found
            if path.is_file() and self._counts(path)
        }

    def _counts(self, path: Path) -> bool:
        inside = path.relative_to(self._root).parts
        hidden = any(part.startswith(".") for part in inside)
        return not hidden and _PRIVATE not in inside and path.name != REGISTER

    @cached_property
    def digest(self) -> str:
        """Of everything that any guide is made from, the builder itself included; not of codes."""
        return of_mapping({**self.files, "": tool_digest(), " ": self._shipped})

    @cached_property
    def _shipped(self) -> str:
        """What ships with the builder and is used where the workspace has no own."""
        names = ("site_templates", _SETTINGS)
        ours = [
            shipped(name) for name in names if own_or_shipped(self._root, name) == shipped(name)
        ]
        return of_files(ours)

    def inputs(
        self, plot: PlotSource, workspace: Workspace, register: Register, day: date
    ) -> Mapping[str, str]:
        """A digest for each thing that one plot's guide is made from, by name.

        Pictures are one thing for all plots, and so are articles and templates.
        """
        own = {name: self.files.get(name, "") for name in sorted(files_of(workspace, plot))}
        own = {name: each for name, each in own.items() if not name.endswith("plots.csv")}
        codes: list[object] = [plot.numbers, register.guide(plot.numbers)]
        codes += [
            (each.code, each.code in register.void) for each in register.stickers(plot.numbers)
        ]
        return {
            **own,
            "row": digest_of(json.dumps(plain(plot.row), default=str).encode()),
            "codes": digest_of(json.dumps(codes).encode()),
            "day": day.isoformat() if self._has_waivers(own) else "",
            **self._for_all,
        }

    @cached_property
    def _for_all(self) -> Mapping[str, str]:
        articles = {name: each for name, each in self.files.items() if name.startswith("content/")}
        templates = {
            name: each
            for name, each in self.files.items()
            if name.startswith("site_templates/") or name == _SETTINGS
        }
        sources = (".yaml", ".yml", ".csv", ".md")
        pictures = {
            name: each
            for name, each in self.files.items()
            if name.startswith(("housetypes/", "developments/")) and not name.endswith(sources)
        }
        return {
            "builder": tool_digest(),
            "articles": of_mapping(articles),
            "templates": of_mapping({**templates, "": self._shipped}),
            "pictures": of_mapping(pictures),
        }

    def _has_waivers(self, names: Iterable[str]) -> bool:
        """Whether what is found depends on the day, because a waiver may end."""
        return any(name in self._with_waivers for name in names)

    @cached_property
    def _with_waivers(self) -> frozenset[str]:
        return frozenset(
            name
            for name in self.files
            if name.endswith(".yaml") and b"waivers" in (self._root / name).read_bytes()
        )

    def depends_on_the_day(self) -> bool:
        """Whether any waiver in the workspace may end."""
        return bool(self._with_waivers)


@cache
def tool_digest() -> str:
    """Of the builder's own code and the libraries that shape what it writes."""
    package = Path(builder.__file__).parent
    versions = {name: version(name) for name in _LIBRARIES}
    return of_mapping({**versions, "": of_files([package])})


def of_files(paths: Iterable[Path]) -> str:
    """A digest of files, and of all files in folders."""
    found: dict[str, str] = {}
    for path in paths:
        inside = sorted(path.rglob("*")) if path.is_dir() else [path]
        for each in inside:
            if each.is_file() and each.suffix not in (".pyc", ".pyo"):
                found[each.relative_to(path.parent).as_posix()] = digest_of(each.read_bytes())
    return of_mapping(found)


def of_mapping(digests: Mapping[str, str]) -> str:
    """A digest of digests by name."""
    return digest_of(
        "".join(f"{name}\0{each}\0" for name, each in sorted(digests.items())).encode()
    )


def digest_of(content: bytes) -> str:
    """The SHA-256 of bytes, in hexadecimal."""
    return hashlib.sha256(content).hexdigest()
