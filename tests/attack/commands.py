"""Hostile words on the command line: names of plots, paths, days, codes, queries."""

import random
from collections.abc import Iterator
from dataclasses import dataclass

from tests.attack.ground import Ground
from tests.attack.outcomes import Outcome
from tests.attack.values import TEXTS

WORDS = (*TEXTS, "riverside/01", "riverside", "riverside/", "/riverside", "riverside/01/", "riverside/../riverside/01", "-", "--", "--help", "$..*", "$[?@.a==", "$" + "[0]" * 900, "equipment.stopcock", "content/articles/water-off.md:9999999999999", "housetypes/cottage.yaml:-1")  # fmt: skip
SHAPES: tuple[tuple[str, ...], ...] = (
    ("check", "W"), ("build", "W", "--out", "OUT"), ("build", "--out", "OUT", "--date", "W"), ("why", "W", "equipment"), ("why", "riverside/01", "W"), ("why", "riverside/01", "--article", "W"),
    ("find", "W"), ("find", "--kind", "W"), ("find", "--make", "W", "--model", "W"), ("impact", "W"), ("ready", "W"), ("ready", "--owed-by", "W"), ("verify", "W"), ("deploy", "W", "--from", "PUBLIC", "--dry-run"),
    ("stickers", "issue", "W"), ("stickers", "void", "W"), ("stickers", "draw", "W", "--out", "one.svg"), ("stickers", "sheet", "riverside/01", "--stock", "W", "--out", "a.pdf"), ("record", "W"), ("record", "EXPORT", "W"),
    ("demonstration", "W"), ("demonstration", "riverside/01", "--form", "W"), ("print", "W", "--out", "OUT"), ("new", "housetype", "W"), ("new", "article", "W"), ("new", "development", "W"), ("new", "plot", "W"), ("rules", "--format", "W"),
    ("import", "W"), ("export", "W"), ("update", "W"), ("W",), ("W", "W"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class CommandTry:
    """A command line with a hostile word in it."""

    shape: tuple[str, ...]
    word: str

    @property
    def name(self) -> str:
        return " ".join(self.shape).replace("W", repr(self.word[:60]))

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        places = {"W": self.word, "OUT": str(ground.folder / "out"), "PUBLIC": str(ground.out), "EXPORT": str(ground.root / "mkdocs.yml")}  # fmt: skip
        given = [places.get(each, each) for each in self.shape]
        named = [
            str(ground.folder / each) if each in ("one.svg", "a.pdf") else each for each in given
        ]
        return ground.told(ground.run(*named))


def tries(rng: random.Random, number: int) -> Iterator[CommandTry]:
    """So many command lines; each word in each place before any comes again."""
    words = [
        each for each in WORDS if "\ud800" not in each and "\x00" not in each and len(each) < 20_000
    ]
    every = [(shape, word) for shape in SHAPES for word in words]
    rng.shuffle(every)
    for turn in range(number):
        yield CommandTry(*every[turn % len(every)])
