"""Drawings for paper: plans with the style of print, and their words for those who do not see."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from html import unescape

from builder.craft.symbols import symbol_svg, web_symbol
from builder.craft.typesetting import standing_alone

_SVG = re.compile(r"<svg\b[^>]*>.*?</svg>", re.DOTALL)
_LABEL = re.compile(r'aria-label="([^"]*)"')
_TITLE = re.compile(r"<(title|desc)\b[^>]*>(.*?)</\1>", re.DOTALL)
_BOX = re.compile(r'viewBox="\s*(-?[\d.]+)[ ,]*(-?[\d.]+)[ ,]+([\d.]+)[ ,]+([\d.]+)"')


@dataclass(frozen=True, slots=True)
class PaperDrawing:
    """One drawing: its file, what it shows in words, and how much wider than high it is."""

    name: str
    alternative: str
    ratio: float
    full: bool


@dataclass(slots=True)
class Drawings:
    """The files of a paper's drawings, each kept once, and what is known of each."""

    style: str
    files: dict[str, bytes] = field(default_factory=dict)
    known: dict[str, PaperDrawing] = field(default_factory=dict)

    def lifted(self, html: str) -> str:
        """HTML with each drawing in it replaced by ``<img data-drawing="name">``, and without icons: the
        words beside them say the same."""
        return _SVG.sub(lambda found: self._image_in_place(found.group()), html)

    def _image_in_place(self, svg: str) -> str:
        opening = svg.partition(">")[0]
        if 'aria-hidden="true"' in opening and 'class="' not in opening:
            return ""
        return f'<img data-drawing="{self.add(svg).name}">'

    def add(self, svg: str) -> PaperDrawing:
        """Keep a drawing as a file of its own, styled for print."""
        content = standing_alone(svg, self.style).encode("utf-8")
        for name, kept in self.files.items():
            if kept == content:
                return self.known[name]
        name = f"drawing-{len(self.files) + 1}.svg"
        self.files[name] = content
        self.known[name] = PaperDrawing(name, _words(svg), _ratio(svg), "plan--full" in svg)
        return self.known[name]

    def add_symbol(self, address: str) -> str:
        """The name of the file with the QR symbol of a web address."""
        content = symbol_svg(web_symbol(address)).encode("utf-8")
        name = f"symbol-{len(self.files) + 1}.svg"
        self.files[name] = content
        return name


def _words(svg: str) -> str:
    found = _LABEL.search(svg)
    if found:
        return unescape(found[1])
    return " ".join(_titles(svg))


def _titles(svg: str) -> Iterator[str]:
    for _, words in _TITLE.findall(svg):
        yield unescape(words).strip().rstrip(".") + "."


def _ratio(svg: str) -> float:
    found = _BOX.search(svg)
    return float(found[3]) / float(found[4]) if found and float(found[4]) else 1.0
