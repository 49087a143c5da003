"""Reads the nations as they ship: one layer each, below every builder standard."""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, get_args

import builder
from builder.errors import Findings
from builder.model.nation import TAKEN_FOR, NationId
from builder.read_once import read_once
from builder.sources.checking import check
from builder.sources.entry import Entry
from builder.sources.files import EVERY_NATION_FILE, NATION_FILE, FileKind
from builder.sources.yaml_reader import read_yaml

NATIONS: tuple[str, ...] = get_args(NationId)
SHIPPED_NATIONS = "nations/"
"""What places in these layers begin with: they ship with the builder, and are in no workspace."""
UNSAID = "unsaid"
"""The layer of a development that names no nation: it cites no law, and asks for no paper by one."""

_FOLDER = Path(builder.__file__).parent / "nations"
_EVERY = "every"


@cache
def nations() -> Mapping[str, Entry]:
    """The layer of every nation by its id; they never change while the builder runs."""
    read = {name: each for name, each in _layers().items() if name != _EVERY}
    return read | {UNSAID: _without_law(read[TAKEN_FOR])}


def every_nation() -> Entry:
    """The layer below them: what holds in all of them."""
    return _layers()[_EVERY]


@cache
def _layers() -> Mapping[str, Entry]:
    """All of them by their names."""
    return read_once("nations", [_FOLDER], _read_layers)


def _read_layers() -> dict[str, Entry]:
    read = {name: _read(name, NATION_FILE) for name in NATIONS}
    return read | {_EVERY: _read(_EVERY, EVERY_NATION_FILE)}


def nation_of(development: Entry) -> str:
    """The id of the nation that a development's file names, as far as there is one."""
    named = development.children["development"].child("nation")
    return str(named.value) if named and named.value in NATIONS else UNSAID


def _without_law(nation: Entry) -> Entry:
    """A nation's words and numbers alone."""
    kept = {name: each for name, each in nation.children.items() if name != "documents"}
    about = nation.children["nation"]
    own = {name: each for name, each in about.children.items() if name != "law"}
    return replace(nation, value={**kept, "nation": replace(about, value=own)})


def _read(name: str, kind: FileKind[Any]) -> Entry:
    text = (_FOLDER / f"{name}.yaml").read_text(encoding="utf-8")
    found = Findings()
    entry = read_yaml(text, f"{SHIPPED_NATIONS}{name}.yaml", found)
    if entry is None or check(entry, kind.narrow(entry), found) is None:
        raise TypeError("\n".join(map(str, found)))
    return entry
