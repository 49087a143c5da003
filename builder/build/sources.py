"""Digests of all that each guide is made from, so that what has not changed is not built again."""

import json
from collections.abc import Iterable, Mapping
from datetime import date
from functools import cached_property

from builder.build.source_files import SETTINGS, SourceFiles
from builder.digests import digest_of, of_mapping, tool_digest
from builder.layers.stack import files_of
from builder.register.lines import Register
from builder.shipped import LAYER
from builder.sources.entry import plain
from builder.sources.workspace import PlotSource, Workspace

FOR_ALL_PAGES = ("builder", "templates")
"""What every page of a guide is made with: where it is another, no page stays as it is."""

_TOP_ENDS = b"\n---"


def is_article(name: str) -> bool:
    """Whether a file of the workspace is an article, by its path."""
    return name.removeprefix(LAYER).startswith("content/articles/") and name.endswith(".md")


class Sources:
    """The files of one workspace as they are now, by the plots that are made from them."""

    def __init__(self, read: SourceFiles) -> None:
        self._read = read
        self._with_waivers: dict[str, bool] = {}

    @property
    def files(self) -> Mapping[str, str]:
        """The SHA-256 of each source file by its path in the workspace."""
        return self._read.files

    @property
    def digest(self) -> str:
        """Of everything that any guide is made from, the builder itself included; not of codes."""
        return self._read.digest

    def inputs(
        self, plot: PlotSource, workspace: Workspace, register: Register, day: date,
        chosen: Iterable[str],
    ) -> Mapping[str, str]:  # fmt: skip
        """A digest for each thing that one plot's guide is made from, by name.

        ``chosen``: the files of the articles that the plot gets. Which those are is decided by its
        data and by what stands at the top of all articles; the words of others concern it not.
        Pictures are one thing for all plots, and so are templates.
        """
        own = {name: self.files.get(name, "") for name in sorted(files_of(workspace, plot))}
        own = {name: each for name, each in own.items() if not name.endswith("plots.csv")}
        codes: list[object] = [plot.numbers, register.guide(plot.numbers)]
        codes += [
            (each.code, each.code in register.void) for each in register.stickers(plot.numbers)
        ]
        return {
            **own,
            **{name: self.files.get(name, "") for name in sorted(chosen)},
            "row": digest_of(json.dumps(plain(plot.row), default=str).encode()),
            "codes": digest_of(json.dumps(codes).encode()),
            "day": day.isoformat() if self._has_waivers(own) else "",
            **self._for_all,
        }

    @cached_property
    def _for_all(self) -> Mapping[str, str]:
        content = ("content/", f"{LAYER}content/")
        articles = {name: self._top(name) for name in self.files if name.startswith(content)}
        templates = {
            name: each
            for name, each in self.files.items()
            if name.startswith("site_templates/") or name == SETTINGS
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
            "templates": of_mapping({**templates, "": self._read.shipped}),
            "pictures": of_mapping(pictures),
        }

    def _top(self, name: str) -> str:
        """The digest of what stands at the top of an article, or of all of another file."""
        if not is_article(name):
            return self.files[name]
        text = self._read.paths[name].read_bytes()
        end = text.find(_TOP_ENDS, 1)
        return digest_of(text[:end]) if end > 0 else self.files[name]

    def _has_waivers(self, names: Iterable[str]) -> bool:
        """Whether what is found depends on the day, because a waiver may end."""
        return any(map(self._names_waivers, names))

    def _names_waivers(self, name: str) -> bool:
        if name not in self._with_waivers:
            known = name.endswith(".yaml") and name in self.files
            self._with_waivers[name] = known and b"waivers" in self._read.paths[name].read_bytes()
        return self._with_waivers[name]
