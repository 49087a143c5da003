"""Templates and line drawings of a workspace that try to get out, and words that people search by."""

import json
import random
from collections.abc import Iterator
from dataclasses import dataclass

from builder.shipped import shipped
from tests.attack.articles import ELEMENTS, EXHAUSTING, TEMPLATES, _element
from tests.attack.ground import DRAWING, Ground
from tests.attack.outcomes import Outcome
from tests.attack.values import TEXTS

PAGES = tuple(sorted(path.name for path in shipped("site_templates/pages").iterdir()))
OTHERS = (
    "site_templates/stickers/page.html",
    "site_templates/portfolio/page.html",
)
INSIDE = ("<script>attack()</script>", "<image href='//attack.example/a.png'/>", "<use href='//attack.example/a.svg#b'/>", "<path d='M0 0' onload='attack()'/>", "<a href='javascript:attack()'><path d='M0 0'/></a>",
          "<animate onbegin='attack()'/>", "<foreignObject><iframe src='//attack.example'/></foreignObject>", "<style>*{background:url(//attack.example)}</style>", "<path d='M0 0' style='fill:url(//attack.example)'/>", "<path d='M0 0\"/><script>attack()</script>'/>",
          "<text x='1' y='1'>&lt;script&gt;attack()&lt;/script&gt;</text>", "<text x='1' y='1'><![CDATA[<script>attack()</script>]]></text>", "<path class='mark&quot; onload=&quot;attack()' d='M0 0'/>", "<path d='" + "L1 1" * 90_000 + "'/>", "<path d=''/>", "<circle cx='1e999' cy='-' r='nan'/>",
          "<?php attack() ?>", "<!-- <script>attack()</script> -->", "&e;", "&j;", "<g>" * 900 + "</g>" * 900, "<svg onload='attack()'/>", "<set attributeName='onload' to='attack()'/>", "<path xmlns='http://www.w3.org/1999/xhtml' d='M0 0'/>", "<script xmlns='http://www.w3.org/1999/xhtml'>attack()</script>")  # fmt: skip
HEADS = ("", "<!DOCTYPE svg [<!ENTITY e SYSTEM 'file:///etc/passwd'>]>", "<!DOCTYPE svg [<!ENTITY a 'aaaaaaaaaa'>" + "".join(f"<!ENTITY {chr(98 + n)} '{f'&{chr(97 + n)};' * 10}'>" for n in range(9)) + "<!ENTITY e '<script>attack()</script>'>]>",
         "<?xml-stylesheet href='//attack.example/a.css'?>", "<?xml version='1.0' encoding='utf-7'?>")  # fmt: skip
BOXES = (
    "0 0 120 92",
    "0 0 1e99 1e99",
    "0 0 0 0",
    "' onload='attack()",
    "nan nan nan nan",
    "-1 -1 1 1",
    "",
)


@dataclass(frozen=True, slots=True)
class TemplateTry:
    """A template of a page, as it ships, with something hostile in it."""

    file: str
    text: str
    alone: bool

    @property
    def name(self) -> str:
        return f"{self.file}: {self.text[:100]!r}{' alone' if self.alone else ''}"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        ships = "" if self.alone else ground.shipped(self.file)
        ground.write(self.file, f"{ships}\n{self.text}\n")
        return ground.checked_and_built()


@dataclass(frozen=True, slots=True)
class DrawingTry:
    """A line drawing with something hostile in it."""

    head: str
    inside: str
    box: str
    title: str

    @property
    def name(self) -> str:
        return f"drawing: {self.head[:30]!r} {self.inside[:60]!r} {self.box!r} {self.title[:40]!r}"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        whole = ground.before[DRAWING].decode()
        whole = whole.replace("0 0 120 92", self.box).replace("</svg>", f"{self.inside}</svg>")
        ground.write(DRAWING, self.head + whole.replace("A valve", self.title))
        return ground.checked_and_built()


@dataclass(frozen=True, slots=True)
class WordsTry:
    """Words of a kind, and of a symptom, that the search is made of."""

    word: str

    @property
    def name(self) -> str:
        return f"words: {self.word[:80]!r}"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        standard = "housetypes/standard.yaml"
        quoted = json.dumps(self.word)
        ground.write(standard, ground.before[standard].decode().replace("drawings: [own]}", f"drawings: [own], words: [{quoted}]}}", 1))  # fmt: skip
        own = "content/symptoms/own.yaml"
        ground.write(own, ground.before[own].decode().replace("[own, attack]", f"[{quoted}]"))
        return ground.checked_and_built()


def tries(rng: random.Random, number: int) -> Iterator[TemplateTry | DrawingTry | WordsTry]:
    """So many templates, drawings and words in turn."""
    texts = [each for each in TEXTS if "\ud800" not in each]
    for turn in range(number):
        if turn % 4 == 0:
            yield DrawingTry(rng.choice(HEADS), rng.choice(INSIDE), rng.choice(BOXES[:1] * 3 + BOXES), rng.choice(("A valve", *texts)))  # fmt: skip
        elif turn % 16 == 1:
            yield WordsTry(rng.choice(texts))
        else:
            file = f"site_templates/pages/{rng.choice(PAGES)}" if turn % 5 else rng.choice(OTHERS)
            hostile = rng.choice((*TEMPLATES, *EXHAUSTING, *map(_element(rng), ELEMENTS)))
            yield TemplateTry(file, hostile, rng.random() < 0.3)
