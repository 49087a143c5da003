"""What the HTML of a published page may hold: elements, their attributes, and the values of these.

Everything else is refused, whoever wrote it. A page has a frame, which the builder alone writes, and
content, in which authors' words stand. Add an element or attribute here when a page of ours needs it.

What a browser does with each: HTML Living Standard, sections 4 (elements) and 13 (parsing), and SVG 2,
from memory.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

_PLAIN_ID = re.compile(r"(?!__[A-Za-z])[\w-]+", re.ASCII)
_CLASSES = re.compile(r"(?:(?!md-|__)[a-z][a-z0-9_-]*(?: (?=.)|$))*", re.ASCII)
_ANY_WORD = re.compile(r"[\w .:/()#,+-]*")
_ANY_TEXT = re.compile(r"[^\x00-\x08\x0b\x0c\x0e-\x1f\x7f]*")
_DRAWN = re.compile(r"[\w\s.,()%+-]*", re.ASCII)
_PAINT = re.compile(r"[\w\s.,()%#+-]*", re.ASCII)
_INSIDE = re.compile(r"#[\w-]+", re.ASCII)
_NUMBER = re.compile(r"-?[0-9.]+(?:%|px|em|rem|mm|pt)?", re.ASCII)
_MOMENT = re.compile(r"[\w:+./ -]*", re.ASCII)
_LANGUAGE = re.compile(r"[A-Za-z]{2,3}(?:-[A-Za-z0-9]{2,8})*")

_EVERYWHERE: Mapping[str, re.Pattern[str]] = {
    "aria-controls": _PLAIN_ID,
    "aria-current": _ANY_WORD,
    "aria-describedby": _ANY_WORD,
    "aria-expanded": _ANY_WORD,
    "aria-hidden": _ANY_WORD,
    "aria-label": _ANY_TEXT,
    "aria-labelledby": _ANY_WORD,
    "aria-live": _ANY_WORD,
    "class": _CLASSES,
    "dir": re.compile("ltr|rtl|auto"),
    "hidden": re.compile(""),
    "id": _PLAIN_ID,
    "lang": _LANGUAGE,
    "role": re.compile("[a-z]+"),
    "tabindex": re.compile("-1|0"),
    "title": _ANY_TEXT,
}
"""Attributes that any element in content may have."""

_OWN_DATA = re.compile(r"data-(?!md-|search-)[a-z][a-z0-9-]*")
"""Attributes that scripts of ours read. The theme's own begin otherwise, and its scripts obey them."""

_SHAPE: Mapping[str, re.Pattern[str]] = {
    **dict.fromkeys(("cx", "cy", "dx", "dy", "font-size", "height", "r", "rx", "ry", "width", "x", "x1",
                     "x2", "y", "y1", "y2", "opacity", "stroke-width"), _DRAWN),
    **dict.fromkeys(("clip-rule", "d", "fill-rule", "font-weight", "points", "preserveaspectratio",
                     "stroke-dasharray", "stroke-linecap", "stroke-linejoin", "text-anchor",
                     "transform", "viewbox", "patternunits", "patterntransform", "markerwidth",
                     "markerheight", "refx", "refy", "orient", "dominant-baseline"), _DRAWN),
    **dict.fromkeys(("fill", "stroke", "clip-path", "marker-end", "marker-start", "mask"), _PAINT),
    "xmlns": re.compile(re.escape("http://www.w3.org/2000/svg")),
}  # fmt: skip
"""Attributes of what is drawn: numbers, names of colours, and ways to other parts of the drawing."""

_CELL = {"colspan": _NUMBER, "rowspan": _NUMBER}
_DRAWINGS = ("circle", "clippath", "defs", "desc", "ellipse", "g", "line", "marker", "mask", "path",
             "pattern", "polygon", "polyline", "rect", "svg", "symbol", "text", "title", "tspan")  # fmt: skip
_WORDS = ("abbr", "aside", "b", "bdi", "blockquote", "br", "caption", "code", "dd", "del", "dfn", "div", "dl",
          "dt", "em", "figcaption", "figure", "h1", "h2", "h3", "h4", "h5", "h6", "hr", "i", "ins",
          "kbd", "li", "mark", "nav", "p", "pre", "s", "section", "small", "span", "strong", "sub",
          "summary", "sup", "table", "tbody", "tfoot", "thead", "tr", "u", "ul", "wbr")  # fmt: skip

Attributes = Mapping[str, re.Pattern[str] | None]
"""The attributes of an element and what each may hold; None: an address, which is judged apart."""

CONTENT: Mapping[str, Attributes] = {
    **{name: {} for name in _WORDS},
    **dict.fromkeys(_DRAWINGS, _SHAPE),
    "a": {"href": None, "hreflang": _LANGUAGE},
    "details": {"open": re.compile("")},
    "img": {"src": None, "alt": _ANY_TEXT, "width": _NUMBER, "height": _NUMBER,
            "loading": re.compile("lazy|eager"), "decoding": re.compile("async|sync|auto")},
    "ol": {"start": re.compile("-?[0-9]+"), "type": re.compile("[1aAiI]"), "reversed": re.compile("")},
    "td": {**_CELL, "align": re.compile("left|center|right")},
    "th": {**_CELL, "align": re.compile("left|center|right"), "scope": re.compile("[a-z]+")},
    "time": {"datetime": _MOMENT},
    "use": {**_SHAPE, "href": _INSIDE},
}  # fmt: skip
"""What may stand in content: words, tables, pictures and drawings, and links inside the guide."""

_FRAME_EVERYWHERE: Mapping[str, re.Pattern[str]] = {
    **_EVERYWHERE,
    "class": _ANY_WORD,
    "id": _ANY_WORD,
    "tabindex": re.compile("-?[0-9]+"),
}
_THEME_DATA = re.compile(r"data-[a-z][a-z0-9-]*")

FRAME: Mapping[str, Attributes] = {
    **CONTENT,
    **{name: {} for name in ("article", "body", "footer", "head", "header", "html", "main", "search")},
    "button": {"type": re.compile("button|reset")},
    "form": {"name": _ANY_WORD},
    "input": {"type": re.compile("checkbox|radio|text|search"), "name": _ANY_WORD,
              "autocomplete": _ANY_WORD, "autocapitalize": _ANY_WORD, "autocorrect": _ANY_WORD,
              "placeholder": _ANY_TEXT, "required": re.compile(""), "checked": re.compile(""),
              "spellcheck": _ANY_WORD},
    "label": {"for": _ANY_WORD},
    "link": {"rel": re.compile("icon|stylesheet|prev|next|manifest"), "href": None},
    "meta": {"charset": re.compile("utf-8"), "content": _ANY_TEXT,
             "name": re.compile("author|color-scheme|description|generator|referrer|robots|theme-color|viewport")},
    "script": {"src": None, "type": re.compile("module|application/json"), "id": _ANY_WORD,
               "defer": re.compile(""), "async": re.compile("")},
    "style": {},
}  # fmt: skip
"""What may stand around the content besides. A form leads nowhere, and no element refreshes a page,
moves its base or holds another one."""

DRAWINGS = frozenset(_DRAWINGS) | {"use"}
"""Elements that stand in a drawing alone. ``title`` heads a page too."""

IN_BOTH = frozenset({"a"})
"""Elements that may stand in a drawing and outside one: a mark on a plan leads to its page."""

WITHOUT_END = frozenset(("br", "hr", "img", "input", "link", "meta", "wbr"))
"""Elements that hold nothing and have no end tag."""


@dataclass(frozen=True, slots=True)
class PageKind:
    """A kind of page. ``content``: the one element in which authors' words stand; ``scripts`` and
    ``styles``: hashes of what the builder ships inline, which alone may stand in such a page."""

    content: str
    scripts: frozenset[str] = frozenset()
    styles: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class PageKinds:
    """The kinds of pages in a published tree: those of guides, and those of stickers."""

    guide: PageKind = PageKind("main")
    sticker: PageKind = PageKind("main")

    def of(self, path: str) -> PageKind:
        """The kind of a page by its path in the tree."""
        return self.sticker if path.startswith(("Q/", "q/")) else self.guide


def pattern_of(element: str, attribute: str, *, framing: bool) -> re.Pattern[str] | None:
    """What an attribute may hold; None: an address. KeyError: the element may not have it."""
    own = (FRAME if framing else CONTENT)[element]
    if attribute in own:
        return own[attribute]
    if (_THEME_DATA if framing else _OWN_DATA).fullmatch(attribute):
        return _ANY_TEXT
    return (_FRAME_EVERYWHERE if framing else _EVERYWHERE)[attribute]
