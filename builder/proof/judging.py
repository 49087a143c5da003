"""Judges the HTML of one published page, knowing nothing of how it was made.

The text is read by a grammar that is stricter than any browser's: each ``<`` begins a whole tag whose
values stand in quotes, each element that is opened is closed, in order. No browser can then read
anything else in it, and only what ``allowed`` lists may stand there. A page may be given in parts, each
with the elements that are open where it begins.
"""

import base64
import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from html import unescape
from typing import Literal

from builder.proof.allowed import (
    CONTENT,
    DRAWINGS,
    FRAME,
    IN_BOTH,
    WITHOUT_END,
    PageKind,
    pattern_of,
)

_TAG = re.compile(
    r"<(?P<end>/?)(?P<name>[A-Za-z][A-Za-z0-9]*)"
    r"(?P<given>(?:[ \t\n]+[A-Za-z][\w:.-]*(?:=(?:\"[^\"<>]*\"|'[^'<>]*'|[\w./#-]+))?)*)[ \t\n]*/?>",
    re.ASCII,
)
_ATTRIBUTE = re.compile(
    r"(?P<name>[A-Za-z][\w:.-]*)(?:=(?:\"(?P<double>[^\"]*)\"|'(?P<single>[^']*)'|(?P<bare>[\w./#-]+)))?",
    re.ASCII,
)
_DOCTYPE = re.compile(r"\s*<!doctype html>", re.IGNORECASE | re.ASCII)
_NEVER = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\u202a-\u202e\ue000-\uf8ff\ufffe\uffff]")
"""Control characters, those that turn the direction of what is read, and those that mean nothing."""
_RELATIVE = re.compile(r"(?:\.{1,2}/)*[\w.~%-]*(?:/[\w.~%-]+)*/?(?:#[^\s<>\"'`\\:&]*)?")
_SPOKEN = re.compile(
    r"tel:\+?[0-9]+|mailto:[\w.+'-]+@[\w-]+(?:\.[\w-]+)+(?:\?subject=[\w.~%-]*&body=[\w.~%-]*)?",
    re.ASCII | re.IGNORECASE,
)
_SHARED_SCRIPT = re.compile(r"(?:\.\./)*(?:\./)?assets/[\w./-]+\.js", re.ASCII)
_ABSOLUTE = re.compile(r"(?:https?:)?[/\\]", re.IGNORECASE)
_QUOTED = 60
"""Letters of what is refused that a message quotes."""


Around = Literal["frame", "content"]


@dataclass(frozen=True, slots=True)
class Refused:
    """What may not stand in a page, and where: its line and column, counted from 1."""

    code: str
    wrong: str
    right: str
    line: int = 1
    column: int = 1


@dataclass(frozen=True, slots=True)
class JudgedLink:
    """Where an element leads, as its address says."""

    tag: str
    target: str
    line: int


@dataclass(frozen=True, slots=True)
class Judged:
    """A page or a part of one: what is refused in it, where it leads, the places in it, and the
    elements that are still ``open`` at its end, the outermost first."""

    refused: tuple[Refused, ...]
    links: tuple[JudgedLink, ...]
    anchors: frozenset[str]
    open: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Tag:
    """One tag: its element, the places that it names, where it leads, and what is wrong with it.
    ``alone``: it never holds anything; ``shut``: it closes itself, as drawings allow."""

    name: str
    ends: bool
    alone: bool
    shut: bool
    values: tuple[tuple[str, str], ...]
    problems: tuple[tuple[str, str, str], ...]
    places: tuple[str, ...]
    targets: tuple[str, ...]


def content_hash(content: str) -> str:
    """The source expression of an inline script or style for a policy (Content Security Policy Level 3, from memory)."""
    digest = hashlib.sha256(content.encode("utf-8")).digest()
    return f"sha256-{base64.b64encode(digest).decode('ascii')}"


def judge_page(content: bytes, kind: PageKind) -> Judged:
    """One HTML file, as it is published."""
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        place = content[: error.start].count(b"\n") + 1
        wrong = "The page is not written in UTF-8."
        return Judged((Refused("proof.markup", wrong, _REMOVE, place),), (), frozenset(), ())
    judged = judge(text, kind)
    left = tuple(
        Refused("proof.markup", f"<{each}> is never closed.", _CLOSE, _line(text, len(text)))
        for each in left_open(judged.open)
    )
    return Judged((*judged.refused, *left), judged.links, judged.anchors, ())


def left_open(opened: tuple[str, ...]) -> tuple[str, ...]:
    """The elements that are still open, of what a judgement says is open."""
    return tuple(each for each in opened if each != _SHOWN)


def judge(text: str, kind: PageKind, opened: tuple[str, ...] = ()) -> Judged:
    """The text of a page, or a part of it that begins where the elements ``opened`` are open."""
    reading = _TextReading(text, kind, opened)
    reading.read()
    return Judged(
        tuple(reading.refused),
        tuple(reading.links),
        frozenset(reading.anchors),
        tuple(reading.open),
    )


_REMOVE = "Take it out: a page holds words, pictures and links inside the guide."
_CLOSE = "Close each element that is opened, in order."
_IN_FILE = "Move it to a file of its own below site_templates/theme/assets."
_STAY = "Link to a page of this guide, or print the address as words."
_SHOWN = "#shown"
"""Stands in the list of open elements once the content of a page has been closed."""


class _TextReading:
    """One text on its way through the grammar."""

    def __init__(self, text: str, kind: PageKind, opened: tuple[str, ...]) -> None:
        self._text, self._kind = text, kind
        self.open = list(opened)
        self.refused: list[Refused] = []
        self.links: list[JudgedLink] = []
        self.anchors: set[str] = set()

    def read(self) -> None:
        """From the first letter to the last."""
        for found in _NEVER.finditer(self._text):
            wrong = f"The character U+{ord(found.group()):04X} stands in the page."
            self._refuse(found.start(), "proof.markup", wrong, _REMOVE)
        place = 0
        if not self.open and (doctype := _DOCTYPE.match(self._text)):
            place = doctype.end()
        while (place := self._text.find("<", place)) >= 0:
            place = self._tag_at(place)

    def _tag_at(self, place: int) -> int:
        """Read the tag that begins here; where reading goes on."""
        found = _TAG.match(self._text, place)
        if found is None:
            shown = self._text[place : place + _QUOTED].partition("\n")[0]
            wrong = f"'{shown}' is not HTML that every browser reads alike."
            self._refuse(place, "proof.markup", wrong, _REMOVE)
            return place + 1
        tag = _read_tag(found.group(), self._kind.content, self._around)
        for problem in tag.problems:
            self._refuse(place, *problem)
        self.anchors.update(tag.places)
        for target in tag.targets:
            self.links.append(JudgedLink(tag.name, target, self._line(place)))
        if tag.name in ("script", "style") and not tag.ends:
            return self._inline(tag, place, found.end())
        self._nest(tag, place)
        return found.end()

    @property
    def _around(self) -> Around:
        """What the text here is part of."""
        return "content" if self._kind.content in self.open else "frame"

    def _nest(self, tag: _Tag, place: int) -> None:
        """What the tag opens or closes."""
        drawing = "svg" in self.open
        fits = drawing == (tag.name in DRAWINGS) or tag.name in IN_BOTH
        if not fits and not self._may_change(tag, drawing=drawing):
            wrong = f"<{tag.name}> stands {'in' if drawing else 'outside'} a drawing."
            self._refuse(place, "proof.markup", wrong, _REMOVE)
        if tag.ends:
            self._close(tag, place)
        elif not (tag.alone or (tag.shut and (drawing or tag.name == "svg"))):
            if tag.name == self._kind.content and {tag.name, _SHOWN} & set(self.open):
                self._refuse(place, "proof.markup", f"A second <{tag.name}> begins here.", _REMOVE)
            self.open.append(tag.name)

    def _may_change(self, tag: _Tag, *, drawing: bool) -> bool:
        """Whether a tag may stand where a drawing begins or ends, or heads the page."""
        return tag.name == "svg" or (tag.name == "title" and not drawing and "head" in self.open)

    def _close(self, tag: _Tag, place: int) -> None:
        """An end tag. Out of order, it ends the elements inside the one that it names."""
        if not self.open or self.open[-1] != tag.name:
            wrong = f"</{tag.name}> closes what is not open here."
            self._refuse(place, "proof.markup", wrong, _CLOSE)
        if tag.name in self.open:
            while self.open.pop() != tag.name:
                pass
            if tag.name == self._kind.content:
                self.open.insert(0, _SHOWN)

    def _inline(self, tag: _Tag, place: int, begins: int) -> int:
        """A script or a style sheet: what stands in it is what the builder ships, or it is refused."""
        ends = self._text.find(f"</{tag.name}>", begins)
        if ends < 0:
            self._refuse(place, "proof.markup", f"<{tag.name}> is never closed.", _CLOSE)
            return begins
        problem = self._inline_problem(tag, self._text[begins:ends])
        if problem is not None:
            self._refuse(place, "proof.inline", problem, _IN_FILE)
        return ends + len(tag.name) + 3

    def _inline_problem(self, tag: _Tag, content: str) -> str | None:
        given = dict(tag.values)
        if tag.name == "style":
            known = content_hash(content) in self._kind.styles
            return None if known else "The page holds a style sheet that the builder does not ship."
        if "src" in given:
            return "A script with an address holds another one." if content.strip() else None
        if given.get("type") == "application/json":
            return "A block of data holds '<'." if "<" in content else None
        known = content_hash(content) in self._kind.scripts
        return None if known else "The page holds a script that the builder does not ship."

    def _refuse(self, place: int, code: str, wrong: str, right: str) -> None:
        column = place - self._text.rfind("\n", 0, place)
        self.refused.append(Refused(code, wrong, right, self._line(place), column))

    def _line(self, place: int) -> int:
        return _line(self._text, place)


def _line(text: str, place: int) -> int:
    return text.count("\n", 0, place) + 1


@lru_cache(maxsize=20_000)
def _read_tag(text: str, content: str, around: Around) -> _Tag:
    """A whole tag, with what is wrong with it. ``content``: the element that holds the content."""
    found = _TAG.fullmatch(text)
    if found is None:
        raise ValueError(f"'{text}' is no tag")
    name, ends = found["name"].lower(), bool(found["end"])
    values = tuple(
        (each["name"].lower(), _value(each)) for each in _ATTRIBUTE.finditer(found["given"])
    )
    framing = around == "frame" or name == content
    known = FRAME if framing else CONTENT
    if name not in known:
        problems: tuple[tuple[str, str, str], ...] = (
            ("proof.markup", f"<{name}> may not stand here.", _REMOVE),
        )
    else:
        problems = tuple(_attribute_problems(name, values, framing=framing))
    alone = name in WITHOUT_END and not ends
    places = [value for key, value in values if key == "id" or (key == "name" and name == "a")]
    targets = [value for key, value in values if key in ("href", "src") and name != "use"]
    return _Tag(
        name, ends, alone, text.endswith("/>"), values, problems, tuple(places), tuple(targets)
    )


def _value(found: re.Match[str]) -> str:
    return unescape(found["double"] or found["single"] or found["bare"] or "")


def _attribute_problems(
    element: str, values: tuple[tuple[str, str], ...], *, framing: bool
) -> Iterator[tuple[str, str, str]]:
    for name, value in values:
        if name.startswith("on"):
            yield "proof.inline", f"The page holds the inline handler '{name}'.", _IN_FILE
            continue
        if name == "style":
            yield "proof.inline", "The page holds an inline style.", _IN_FILE
            continue
        try:
            pattern = pattern_of(element, name, framing=framing)
        except KeyError:
            yield "proof.markup", f"<{element}> may not have '{name}'.", _REMOVE
            continue
        if pattern is None:
            yield from _address_problems(element, value)
        elif not pattern.fullmatch(value):
            yield (
                "proof.markup",
                f"<{element}> may not have '{name}' with '{value[:_QUOTED]}'.",
                _REMOVE,
            )


def _address_problems(element: str, value: str) -> Iterator[tuple[str, str, str]]:
    """What is wrong with an address. Each kind of element may lead to some places only."""
    if element == "link" and value == "data:,":
        return
    if element == "a" and _SPOKEN.fullmatch(value):
        return
    if _ABSOLUTE.match(value):
        yield "proof.third-party", f"'{value}' leaves the guide.", _STAY
    elif not _RELATIVE.fullmatch(value):
        yield "proof.address", f"'{value[:_QUOTED]}' is no address inside the guide.", _STAY
    elif element == "script" and not _SHARED_SCRIPT.fullmatch(value):
        yield "proof.inline", f"The script '{value}' is none that the builder ships.", _IN_FILE
