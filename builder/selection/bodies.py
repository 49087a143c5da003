"""Whose page a fact was read on: a home is shown a source only where its body speaks to its nation."""

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

from builder.model.article import Source
from builder.model.nation import NationId
from builder.read_once import read_once
from builder.sources.yaml_plain import shipped_values

_FILE = Path(__file__).with_suffix(".yaml")


class Bodies(NamedTuple):
    """The nations of each body, by what it is called, and a pattern that finds any of them."""

    nations: Mapping[str, frozenset[str]]
    pattern: re.Pattern[str]


@cache
def bodies() -> Bodies:
    """All that ship; they never change while the builder runs."""
    return read_once("bodies", [_FILE], _read)


def _read() -> Bodies:
    read = shipped_values(_FILE.read_text(encoding="utf-8"))
    nations = {body: frozenset(of.split()) for of, named in read.items() for body in named}
    longest = sorted(nations, key=len, reverse=True)
    return Bodies(nations, re.compile(rf"(?<![\w-])({'|'.join(map(re.escape, longest))})(?![\w-])"))


def speaks_to(source: Source, nation: NationId | None) -> bool:
    """Whether the body of a source speaks to a nation. Where a development names none, every body does."""
    named = bodies_of(source)
    return nation is None or not named or any(nation in bodies().nations[each] for each in named)


def bodies_of(source: Source) -> tuple[str, ...]:
    """The bodies of some nations that a source names."""
    said = " ".join(each for each in (source.document, source.edition, source.where) if each)
    return tuple(found[1] for found in bodies().pattern.finditer(said))
