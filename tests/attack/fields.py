"""Hostile values in every field of every kind of file, by the types of the model itself."""

import json
import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from pydantic import BaseModel

from builder.cli.schemas import SHAPES
from builder.model.shape import bare, child_type, known_keys
from builder.model.site_settings import SiteSettings
from builder.sources.files import PAPERS_FILE
from builder.writers.stickers.stock import StockFile
from tests.attack.ground import Ground
from tests.attack.outcomes import Outcome
from tests.attack.values import ALL, KEYS
from tests.conftest import COTTAGE, PROJECT

Place = tuple[str | int, ...]
FILES: Mapping[str, tuple[str, type[BaseModel]]] = {
    "standard": ("housetypes/standard.yaml", SHAPES["standard"]),
    "housetype": ("housetypes/cottage.yaml", SHAPES["housetype"]),
    "option": ("housetypes/options/car-charger.yaml", SHAPES["option"]),
    "development": ("developments/riverside/development.yaml", SHAPES["development"]),
    "plot": ("developments/riverside/plots/02.yaml", SHAPES["plot"]),
    "article": ("content/articles/water-off.md", SHAPES["article"]),
    "demonstration": ("content/demonstration/own.yaml", SHAPES["demonstration"]),
    "symptoms": ("content/symptoms/own.yaml", SHAPES["symptoms"]),
    "library": ("content/library.yaml", SHAPES["library"]),
    "documents": ("content/documents.yaml", PAPERS_FILE.whole),
    "stock": ("stickers/stock.yaml", StockFile),
    "settings": ("mkdocs.yml", SiteSettings),
}
"""Each kind of file: one of the workspace, and the type that says what may stand in it."""
CSV = "developments/riverside/plots.csv"


@dataclass(frozen=True, slots=True)
class FieldTry:
    """A value at a place of a file."""

    kind: str
    address: Place
    value: Any

    @property
    def name(self) -> str:
        return f"{self.kind} {'.'.join(map(str, self.address))} = {json.dumps(self.value)[:80]}"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        file, _ = FILES[self.kind]
        ground.write(file, _changed(ground, self.kind, file, self.address, self.value))
        return ground.checked_and_built(build=len(self.name) % 3 == 0)


@dataclass(frozen=True, slots=True)
class CellTry:
    """A value in a cell of the table of plots, or in its header."""

    row: int
    column: int
    value: str

    @property
    def name(self) -> str:
        return f"plots.csv row {self.row} column {self.column} = {self.value[:80]!r}"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        lines = [line.split(",") for line in ground.before[CSV].decode().splitlines()]
        quoted = self.value.replace('"', '""')
        lines[self.row][self.column] = f'"{quoted}"'
        ground.write(CSV, "\n".join(",".join(line) for line in lines) + "\n")
        return ground.checked_and_built()


def tries(rng: random.Random, number: int) -> Iterator[FieldTry | CellTry]:
    """So many values at so many places, every place of the model before any comes again."""
    every = [(kind, address) for kind, (_, of) in FILES.items() for address in _addresses(of)]
    rng.shuffle(every)
    written = list(_written())
    for turn in range(number):
        if turn % 12 == 11:
            value = rng.choice([each for each in ALL if isinstance(each, str)])
            yield CellTry(rng.randrange(3), rng.randrange(7), value)
            continue
        kind, address = rng.choice(written) if turn % 3 == 1 else every[turn % len(every)]
        value = rng.choice(ALL)
        if rng.random() < 0.05:
            value = {rng.choice(KEYS): value}
        yield FieldTry(kind, address, value)


def _addresses(of: Any, address: Place = (), within: tuple[Any, ...] = ()) -> Iterator[Place]:
    """Every field that a file may hold, with an id in place of each name that its author chooses.

    A condition in a condition is one more field of the same: it is gone into once.
    """
    here, keys = bare(of), known_keys(of)
    if here in within:
        return
    if keys:
        for key in keys:
            yield (*address, key)
            yield from _addresses(child_type(of, key), (*address, key), (*within, here))
        return
    below = child_type(of, 0 if _is_list(of) else "attack")
    if below is not None:
        step: str | int = 0 if _is_list(of) else _entry(address)
        yield (*address, step)
        yield from _addresses(below, (*address, step), within)


def _written() -> Iterator[tuple[str, Place]]:
    """Every place at which the files of the small example say something."""
    for kind, (file, _) in FILES.items():
        text = (COTTAGE / file).read_text(encoding="utf-8") if (COTTAGE / file).is_file() else ""
        text = text.split("---\n")[1] if kind == "article" else text
        yield from ((kind, address) for address in addresses_in(yaml.safe_load(text) or {}))


def addresses_in(data: Any, address: Place = ()) -> Iterator[Place]:
    """Every place in plain data."""
    if address:
        yield address
    held = (
        data.items()
        if isinstance(data, dict)
        else enumerate(data)
        if isinstance(data, list)
        else ()
    )
    for step, each in held:
        yield from addresses_in(each, (*address, step))


def _is_list(of: Any) -> bool:
    return "tuple" in str(bare(of))


def _entry(address: Place) -> str:
    """An id that the examples have in the section, so that all around a value is as it should be."""
    found = examples().get(str(address[-1]) if address else "", {})
    return next(iter(found), "attack") if isinstance(found, dict) else "attack"


@cache
def examples() -> Mapping[str, Any]:
    """Sections of the demo and of the small example: entries that can be taken as they stand."""
    merged: dict[str, Any] = {}
    workspaces = (PROJECT / "tests/workspaces/cottage", PROJECT)
    files = [file for root in workspaces for file in sorted(root.glob("housetypes/**/*.yaml"))]
    files += [file for root in workspaces for file in sorted(root.glob("developments/*/development.yaml"))]  # fmt: skip
    for file in files:
        for section, entries in (yaml.safe_load(file.read_text(encoding="utf-8")) or {}).items():
            if isinstance(entries, dict):
                merged[section] = {**entries, **merged.get(section, {})}
    return merged


def _changed(ground: Ground, kind: str, file: str, address: Place, value: Any) -> str:
    """The text of a file with a value at an address; what must stand beside it is from the examples."""
    text = _text_of(ground, file)
    front, body = (text.split("---\n")[1], text.split("---\n", 2)[2]) if kind == "article" else (text, "")  # fmt: skip
    data = yaml.safe_load(front) or {}
    placed = _placed(data, address, value, ())
    written = json.dumps(placed, ensure_ascii=False, default=str)
    return f"---\n{written}\n---\n{body}" if kind == "article" else written + "\n"


def _text_of(ground: Ground, file: str) -> str:
    before = ground.before.get(file)
    return (PROJECT / Path(file).name).read_text(encoding="utf-8") if before is None else before.decode()  # fmt: skip


def _placed(data: Any, address: Place, value: Any, walked: Place) -> Any:
    if not address:
        return value
    step, *rest = address
    if isinstance(step, int):
        listed = list(data) if isinstance(data, list) else []
        placed = _placed(
            listed[step] if step < len(listed) else None, tuple(rest), value, (*walked, step)
        )
        return [*listed[:step], placed, *listed[step + 1 :]]
    held = dict(data) if isinstance(data, dict) else {}
    if step not in held and rest:
        held[step] = _example((*walked, step))
    return {**held, step: _placed(held.get(step), tuple(rest), value, (*walked, step))}


def _example(walked: Place) -> Any:
    found: Any = examples()
    for step in walked[-2:]:
        found = found.get(step) if isinstance(found, dict) else None
    return found
