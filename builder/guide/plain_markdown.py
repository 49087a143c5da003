"""What the Markdown of a finished article may not hold, told at the place where it stands.

The proof of what is published judges the HTML that comes of it. This here is for the author: it names
the article and its line, and is asked before anything is built.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

DEEPEST_QUOTE, DEEPEST_INDENT, LONGEST_RUN = 6, 40, 40
"""How deep Markdown is nested, in marks of quotes and in spaces, and how often a mark is repeated:
more than any page needs, and less than takes long to read."""

MOST_MARKS, MOST_MEANINGS, MOST_HEADINGS = 150, 60, 200
"""Opening brackets, ticks of code and lines of meanings in one paragraph, and headings in one body: the library of
Markdown looks at each of them again for every other one."""

_TAG = re.compile(r"<(?=[A-Za-z/!?])[^>\n]{0,40}>?")
_PLAIN = r"(?<!\\)(?:\\\\)*"
"""What stands before a mark that means something: no backslash, or backslashes that mean themselves."""

_LINK = re.compile(
    _PLAIN + r"\]\((?P<before>\s*<?)(?P<target>[^)\s>]*)(?P<behind>[^)]{0,60})", re.ASCII
)
_KNOWN_LINK = re.compile(
    r"(?:article|page|equipment|room|system):[\w.:-]+|tel:\+?[0-9]+"
    r"|mailto:[\w.+-]+@[\w-]+(?:\.[\w-]+)+",
    re.ASCII,
)
"""What the site makes an address of. Its proof refuses any other when the guide is built."""
_PICTURE = re.compile(_PLAIN + r"!\[[^\]\n]{0,40}\]?")
_DEFINITION = re.compile(_PLAIN + r"\[(?:[^\[\]\n\\]|\\.)*\]:")
_ATTRIBUTES = re.compile(_PLAIN + r"\{(?::[^}\n]*\}?| *[#.][^}\n]*\}|[^{}\n]*=[^{}\n]*\})")
_NESTED = re.compile(
    rf"^(?:[ >]*>){{{DEEPEST_QUOTE + 1}}}|^[ \t]{{{DEEPEST_INDENT},}}(?=\S)"
    rf"|^[ >]*(?:(?:\d+\.|[-+*])[ \t]+){{{DEEPEST_QUOTE + 1}}}",
    re.MULTILINE,
)
_RUN = re.compile(rf"([\[\](*_`~!<>])(?:\s*\1){{{LONGEST_RUN},}}")
_COUNTED = ("[", "`")
_MEANING = re.compile(r"^ {0,3}:(?=[ \t])", re.MULTILINE)
_HEADING = re.compile(r"^#{1,6}|^(?:=+|-+) *$", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class RefusedInBody:
    """What a body may not hold, and where it begins, counted in letters from nought."""

    place: int
    code: str
    wrong: str
    right: str


def refused_in(text: str) -> Iterator[RefusedInBody]:
    """Everything that the Markdown of an article may not hold, sort by sort."""
    for found in _TAG.finditer(text):
        wrong = f"'{found.group()}' is HTML, and articles are Markdown."
        yield RefusedInBody(found.start(), "article.html", wrong, "Write it in Markdown.")
    for found in _LINK.finditer(text):
        if not _KNOWN_LINK.fullmatch(found["target"]):
            wrong = f"'{found['target'][:60]}' leads out of the guide."
            yield RefusedInBody(found.start(), "article.link", wrong, _LINKS)
        elif found["before"] or found["behind"]:
            wrong = f"More than an address stands in the brackets of '{found['target'][:60]}'."
            yield RefusedInBody(found.start(), "article.link", wrong, _LINKS)
    for found in _PICTURE.finditer(text):
        wrong = f"'{found.group()}' is a picture, and articles are words."
        yield RefusedInBody(found.start(), "article.html", wrong, _PICTURES)
    for found in _DEFINITION.finditer(text):
        wrong = f"'{found.group()[:60]}' defines a link away from its words."
        yield RefusedInBody(found.start(), "article.link", wrong, _LINKS)
    for found in _ATTRIBUTES.finditer(text):
        wrong = f"'{found.group()[:60]}' gives an element attributes, and articles have none."
        yield RefusedInBody(found.start(), "article.html", wrong, "Take it out.")
    for found in (*_NESTED.finditer(text), *_RUN.finditer(text)):
        wrong = "Its Markdown is nested deeper than any page needs."
        yield RefusedInBody(found.start(), "article.too-much", wrong, "Write it flat.")
    for place, wrong in _too_many(text):
        yield RefusedInBody(place, "article.too-much", wrong, "Make shorter articles of it.")


def _too_many(text: str) -> Iterator[tuple[int, str]]:
    """Where there is more of something than Markdown is read with in good time."""
    place = 0
    for block in text.split("\n\n"):
        for mark in _COUNTED:
            if block.count(mark) > MOST_MARKS:
                yield place, f"More than {MOST_MARKS} '{mark}' stand in one paragraph."
        if len(_MEANING.findall(block)) > MOST_MEANINGS:
            yield place, f"More than {MOST_MEANINGS} meanings stand in one paragraph."
        place += len(block) + 2
    headings = _HEADING.findall(text)
    if len(headings) > MOST_HEADINGS:
        yield 0, f"It has {len(headings):,} headings; at most {MOST_HEADINGS} are read."


_PICTURES = "Take it out: a kind of equipment has line drawings, a room or a piece its photographs."
_LINKS = "Link to a page of the guide, such as [turn it off](article:turning-off-the-water)."
