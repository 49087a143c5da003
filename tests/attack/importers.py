"""Spreadsheets, COBie, models and drawings from somebody else: refused whole, or taken whole."""

import io
import random
import re
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import ezdxf
import openpyxl

from tests.attack.forms import CHANGES
from tests.attack.ground import DAY, Ground, contents
from tests.attack.outcomes import Outcome
from tests.attack.values import OTHERS, TEXTS
from tests.conftest import COTTAGE
from tests.written_models import read_house_type, write_model

_ENTITIES = b"<!DOCTYPE x [<!ENTITY a 'aaaaaaaaaa'>" + b"".join(
    b"<!ENTITY %c '%s'>" % (98 + n, b"&%c;" % (97 + n) * 10) for n in range(9)
) + b"<!ENTITY e SYSTEM 'file:///etc/passwd'>]>"  # fmt: skip
_NUMBER = re.compile(rb"(?<=[(,])-?\d+\.\d*")
_NAME = re.compile(rb"'[^']{2,}'")
_LINK = re.compile(rb"#\d+")
NUMBERS = (
    b"1.E400",
    b"-1.E400",
    b"1.E-400",
    b"0.",
    b"-5.",
    b"1.E15",
    b"$",
    b"*",
    b"NAN",
    b"9" * 400 + b".",
)


def _in_parts(content: bytes, change: Callable[[str, bytes], bytes | None]) -> bytes:
    """A workbook with some of its parts changed, or left out."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as before, zipfile.ZipFile(out, "w") as after:
        for name in before.namelist():
            changed = change(name, before.read(name))
            if changed is not None:
                after.writestr(name, changed)
    return out.getvalue()


def _cell(content: bytes, rng: random.Random) -> bytes:
    """Hostile values in some cells: of the headings too."""
    book = openpyxl.load_workbook(io.BytesIO(content))
    sheet = rng.choice(book.worksheets)
    for _ in range(rng.choice((1, 1, 3))):
        cell = sheet.cell(
            rng.randint(1, max(sheet.max_row, 1)), rng.randint(1, max(sheet.max_column, 1))
        )
        value = rng.choice(
            (
                *TEXTS,
                *(each for each in OTHERS if isinstance(each, str | int | float | bool | None)),
            )
        )
        try:
            cell.value = value
        except Exception:
            cell.value = "attack"
    out = io.BytesIO()
    try:
        book.save(out)
    except Exception:
        return content
    return out.getvalue()


def _part(content: bytes, rng: random.Random) -> bytes:
    """One of its parts cut, flipped, emptied or lost."""
    names = zipfile.ZipFile(io.BytesIO(content)).namelist()
    hit, form = (
        rng.choice(names),
        rng.choice(("cut off", "bytes flipped", "nothing", "lost", "deep brackets", "utf-16")),
    )
    return _in_parts(
        content,
        lambda name, part: (
            part if name != hit else None if form == "lost" else CHANGES[form](part, rng)
        ),
    )


def _entities(content: bytes, rng: random.Random) -> bytes:
    """Texts that refer to files and to each other."""
    entity = rng.choice((b"&e;", b"&j;", b"&i;"))
    return _in_parts(
        content,
        lambda name, part: (
            part
            if not name.endswith((".xml", ".rels"))
            else re.sub(rb"(<\?xml[^>]*\?>)?", rb"\1" + _ENTITIES, part, count=1).replace(
                b"</t>", entity + b"</t>"
            )
        ),
    )


def _bomb(content: bytes, _rng: random.Random) -> bytes:
    """Unpacks to far more than it is."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        with zipfile.ZipFile(io.BytesIO(content)) as before:
            for name in before.namelist():
                packed.writestr(name, before.read(name))
        packed.writestr("xl/worksheets/sheet99.xml", b" " * 600_000_000)
    return out.getvalue()


def _far(content: bytes, rng: random.Random) -> bytes:
    """Cells, and sheets, where nobody looks."""
    book = openpyxl.load_workbook(io.BytesIO(content))
    for number in range(rng.choice((1, 1, 60))):
        book.create_sheet(f"x{number}")["XFD1048576"] = "attack"
    book.worksheets[0]["XFD1048576"] = "attack"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _of_names(content: bytes, rng: random.Random) -> bytes:
    """Other names: of members that lie outside, of sheets."""
    names = zipfile.ZipFile(io.BytesIO(content)).namelist()
    hit = rng.choice(names)
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as before, zipfile.ZipFile(out, "w") as after:
        for name in names:
            after.writestr(
                rng.choice(("../../attack", "/etc/attack", "x" * 4_000)) if name == hit else name,
                before.read(name),
            )
    return out.getvalue()


def _replaced(
    pattern: re.Pattern[bytes], by: Callable[[random.Random], bytes]
) -> Callable[[bytes, random.Random], bytes]:
    def change(content: bytes, rng: random.Random) -> bytes:
        found = list(pattern.finditer(content))
        for each in sorted(
            rng.sample(found, min(len(found), rng.choice((1, 1, 5, 40)))),
            key=lambda each: -each.start(),
        ):
            content = content[: each.start()] + by(rng) + content[each.end() :]
        return content

    return change


def _text(rng: random.Random) -> bytes:
    text = rng.choice(TEXTS).replace("'", "''")
    return b"'" + text.encode("utf-8", "replace") + b"'"


_TABLES: dict[str, Callable[[bytes, random.Random], bytes]] = {
    "cells": _cell, "cells again": _cell, "cells once more": _cell, "a part": _part, "a part again": _part, "entities": _entities,
    "a bomb": _bomb, "far cells": _far, "names": _of_names, "cut off": CHANGES["cut off"], "bytes flipped": CHANGES["bytes flipped"],
    "nothing": CHANGES["nothing"], "nul": CHANGES["nul"], "xml": CHANGES["xml"], "many columns": CHANGES["many columns"],
}  # fmt: skip
_MODELS: dict[str, Callable[[bytes, random.Random], bytes]] = {
    "numbers": _replaced(_NUMBER, lambda rng: rng.choice(NUMBERS)), "names": _replaced(_NAME, _text),
    "links": _replaced(_LINK, lambda rng: b"#%d" % rng.choice((0, 1, 5, 99, 999_999, 10**30))),
    **{name: CHANGES[name] for name in ("cut off", "bytes flipped", "a text put in", "a line twice", "a line lost", "lines swapped",
       "twice", "nul", "nothing", "utf-16", "deep brackets", "a long line", "carriage returns", "digits")},
}  # fmt: skip
WHATS = ("plots", "cobie", "plots", "cobie", "ifc", "dxf")


@dataclass(frozen=True, slots=True)
class ImportTry:
    """A file of somebody else's that is brought in: a workbook of plots, COBie, a model or a drawing."""

    what: str
    change: str
    seed: int

    @property
    def name(self) -> str:
        return f"{self.what}: {self.change} ({self.seed})"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        changes = _MODELS if self.what in ("ifc", "dxf") else _TABLES
        file = ground.folder / f"theirs.{self.what if changes is _MODELS else 'xlsx'}"
        file.write_bytes(changes[self.change](self._whole(ground), random.Random(self.seed)))
        before = contents(ground.root)
        ran = ground.run(*self._arguments(file), "--workspace", str(ground.root))
        told = ground.told(ran)
        if ran.code and contents(ground.root) != before:
            return Outcome.TORN, "it was refused, and something was written"
        if told[0] is not Outcome.HARMLESS:
            return told
        checked = ground.run("check", "--date", DAY)
        return ground.told(checked) if checked.broke else told

    def _arguments(self, file: Path) -> tuple[str, ...]:
        if self.what == "plots":
            return ("import", "plots", str(file), "riverside", "--yes")
        if self.what == "cobie":
            return ("import", "cobie", str(file), "riverside/01")
        return ("new", "housetype", "theirs", "--from", str(file), *(("--layer", "ROOMS") if self.what == "dxf" else ()))  # fmt: skip

    def _whole(self, ground: Ground) -> bytes:
        if self.what in ("ifc", "dxf"):
            return _model(self.what)
        out = ground.folder / "whole.xlsx"
        asked = "riverside" if self.what == "plots" else "riverside/01"
        made = ground.run(
            "export", self.what, asked, "--out", str(out), "--workspace", str(ground.root)
        )
        assert made.code == 0, made.output
        return out.read_bytes()


@cache
def _model(what: str) -> bytes:
    """The small example as a model, or its rooms as a drawing."""
    house = read_house_type(COTTAGE / "housetypes/cottage.yaml")
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"house.{what}"
        if what == "ifc":
            write_model(house, path)
        else:
            drawing = ezdxf.new()
            for room in house["rooms"].values():
                drawing.modelspace().add_lwpolyline(
                    [(x * 1000, y * 1000) for x, y in room["outline"]],
                    close=True,
                    dxfattribs={"layer": "ROOMS"},
                )
            drawing.saveas(path)
        return path.read_bytes()


def tries(rng: random.Random, number: int) -> Iterator[ImportTry]:
    """So many files; each change of each in turn."""
    every = [
        (what, change)
        for what in WHATS
        for change in (_MODELS if what in ("ifc", "dxf") else _TABLES)
    ]
    rng.shuffle(every)
    for turn in range(number):
        yield ImportTry(*every[turn % len(every)], rng.randrange(2**32))
