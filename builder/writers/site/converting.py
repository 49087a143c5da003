"""Turns parts of pages into HTML as the site engine does, and into the words that a reader may look for.

Knows no site engine: it is given the extensions of the settings.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from html import unescape
from typing import Any
from unicodedata import normalize
from urllib.parse import urlsplit
from xml.etree.ElementTree import Element

from markdown import Markdown
from markdown.treeprocessors import Treeprocessor

from builder.recent import RecentResults
from builder.writers.site.context import address_of

WORDS = "find/words.json"
"""The file of a guide with the words of all its pages."""
_LAST = 0
"""When links are made addresses: after all else that is done with the elements of a page."""
_LEADING = {"a": "href", "img": "src"}
_AFTER = {True: "\n\n", False: "\n"}
_DRAWING = re.compile(r"<svg\b.*?</svg>", re.DOTALL)
_TAG = re.compile(r"<[^>]*>")
_WORD = re.compile(r"[a-z0-9\u0370-\u1fff\u2c00-\ud7ff\uf900-\uffef]+")
"""Letters of any script but Latin stand as they are; signs and spaces lie between these ranges."""
_ACCENTS = re.compile("[\u0300-\u036f]+")
SECTIONS = 3_000
"""Sections of pages that a process keeps: those of the guides of some house types."""
_SECTION = re.compile(r"\n\n(?=## )")
_HANGS_TOGETHER = re.compile(r"^ {0,3}(?:<|```|~~~|\*?\[[^\]\n]*\]:)|\[TOC\]", re.MULTILINE)
"""What may say something of another section: HTML and code that go on, references, and lists of headings."""
_NAMED = re.compile(r' id="([^"]*)"')
SHORTEST = 2
"""Letters of the shortest word that anybody looks for."""
LITTLE = frozenset(
    "a all an and are as at be before but by can do does for from has have how if in into is it its"  # noqa: SIM905 - a list of words
    " my no not of off on one or out so than that the their then there they this to too until up"
    " was what when where which who will with you your".split()
)
"""Words that say little of a page: the script that finds pages leaves them out of what is typed."""


@dataclass(frozen=True, slots=True)
class HtmlPart:
    """A part of a page as HTML, and the words in it. ``finished``: it was HTML from the beginning, and
    then the engine leaves an empty line behind it."""

    html: str
    words: str
    finished: bool = False


class _Addresses(Treeprocessor):
    """Makes the ways between source files the addresses of pages and files."""

    source = ""

    def run(self, root: Element) -> None:
        for element in root.iter():
            name = _LEADING.get(element.tag)
            way = element.get(name) if name else None
            if name and way and _is_way(way):
                element.set(name, address_of(way, self.source))


def _is_way(link: str) -> bool:
    parts = urlsplit(link)
    return not (parts.scheme or parts.netloc or link.startswith(("/", "#", "?")) or parts.fragment)


class MarkdownConverter:
    """Converts Markdown with some extensions and their settings, section by section: pages of many homes
    differ in one of them."""

    def __init__(
        self, extensions: Iterable[str], settings: Mapping[str, Mapping[str, Any]]
    ) -> None:
        self._markdown = Markdown(extensions=list(extensions), extension_configs=settings)
        self._known: RecentResults[tuple[str, str], HtmlPart] = RecentResults(SECTIONS)
        self._addresses = _Addresses(self._markdown)
        self._markdown.treeprocessors.register(self._addresses, "addresses", _LAST)

    def converted(self, text: str, source: str) -> HtmlPart:
        """A part in Markdown of the page of a source file."""
        sections = [self._section(each, source) for each in _sections(text)]
        html = "\n".join(each.html for each in sections)
        names = _NAMED.findall(html)
        if len(set(names)) < len(
            names
        ):  # Headings of the same words are told apart in a whole page.
            return self._section(text, source)
        words = (word for each in sections for word in each.words.split())
        return HtmlPart(html, " ".join(dict.fromkeys(words)))

    def _section(self, text: str, source: str) -> HtmlPart:
        key = (text, source)
        known = self._known.get(key)
        if known is None:
            html = self._html(text, source)
            known = self._known.keep(key, HtmlPart(html, words_of(html)))
        return known

    def _html(self, text: str, source: str) -> str:
        self._addresses.source = source
        return str(self._markdown.reset().convert(text))


def _sections(text: str) -> list[str]:
    """The sections of a part in Markdown; all of it as one where they may depend on each other."""
    return [text] if _HANGS_TOGETHER.search(text) else _SECTION.split(text)


def finished(html: str) -> HtmlPart:
    """A part that is HTML already."""
    return HtmlPart(html, words_of(html), finished=True)


def joined(bodies: Iterable[HtmlPart]) -> Iterator[str]:
    """The parts of a page, and what the engine would have put between them."""
    between = ""
    for body in bodies:
        yield from (between, body.html) if between else (body.html,)
        between = _AFTER[body.finished]


def words_of(html: str) -> str:
    """The words of HTML that tell something, each once, without accents and in small letters;
    drawings have none."""
    text = unescape(_TAG.sub(" ", _DRAWING.sub(" ", html))).lower()
    found = dict.fromkeys(_WORD.findall(_ACCENTS.sub("", normalize("NFD", text))))
    return " ".join(each for each in found if len(each) >= SHORTEST and each not in LITTLE)
