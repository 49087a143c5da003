"""Converts the elements of a page to Typst: exactly those that pages of a guide have.

What belongs to a screen alone (``hidden``, ``handover-screen``, scripts) is left out; any other
element that is not known here is an error, so that nothing is ever lost in silence.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field

from bs4 import BeautifulSoup, Comment, Tag
from bs4.element import NavigableString, PageElement

from builder.errors import HandoverError
from builder.writers.paper.drawings import PaperDrawing
from builder.writers.paper.tables import table_code
from builder.writers.paper.typst_code import array, block, call, label, text

_SPACE = re.compile(r"[ \t\r\n\f]+")
HEADINGS = ("h1", "h2", "h3", "h4", "h5", "h6")
INLINE = frozenset(
    ("a", "abbr", "b", "br", "code", "del", "em", "i", "kbd", "mark", "s", "small", "span",
     "strong", "sub", "sup", "time", "u")
)  # fmt: skip
_WRAPPED = {"strong": "strong", "b": "strong", "em": "emph", "i": "emph", "sub": "sub",
            "sup": "super", "del": "strike", "s": "strike", "u": "underline"}  # fmt: skip
_ONE_PLAN = "handover-plan--one"
SHORT_TERM = 34
"""Letters of a term that may stand beside what is said of it; a longer one stands above."""
Drawn = Callable[[str], PaperDrawing]
Target = Callable[[str], str | None]
"""From the ``href`` of a link to the id of the page of this guide that it leads to, if one."""


@dataclass(slots=True)
class TypstConverter:
    """One page on its way to Typst.

    ``level`` is that of the page's own heading; ``named`` tells messages which page this is;
    ``whole_plans``: its plans fill the page, because it is about nothing else.
    """

    named: str
    level: int
    drawn: Drawn
    target: Target
    photographs: frozenset[str]
    whole_plans: bool = False
    _deepest: int = field(default=0)

    def blocks(self, parent: BeautifulSoup | Tag) -> Iterator[str]:
        """The blocks inside an element; text that stands between them becomes a paragraph."""
        run: list[PageElement] = []
        for child in _grouped(parent):
            if isinstance(child, list):
                yield from self._paragraph(run)
                run = []
                yield call("drawings", array(self._drawing(each) for each in child))
            elif _is_inline(child):
                run.append(child)
            else:
                yield from self._paragraph(run)
                run = []
                if isinstance(child, Tag) and _is_for_paper(child):
                    yield from self._block(child)
        yield from self._paragraph(run)

    def _paragraph(self, nodes: Iterable[PageElement]) -> Iterator[str]:
        parts = self._line(nodes)
        if parts:
            yield call("para", block(parts))

    def _block(self, tag: Tag) -> Iterator[str]:
        name = "heading" if tag.name in HEADINGS else tag.name
        make = getattr(self, f"_set_{name}", None)
        if make is None:
            raise HandoverError(f"{self.named}: paper cannot show <{tag.name}>.")
        yield from make(tag)

    def _set_table(self, tag: Tag) -> Iterator[str]:
        yield table_code(tag, lambda cell: block(self._inside(cell)))

    def _set_dl(self, tag: Tag) -> Iterator[str]:
        terms = [each.get_text(" ", strip=True) for each in tag.find_all("dt")]
        beside = "true" if all(len(each) <= SHORT_TERM for each in terms) else "false"
        yield call("pairs", array(self._pairs(tag)), beside=beside)

    def _set_figure(self, tag: Tag) -> Iterator[str]:
        yield call("drawings", array([self._drawing(tag)]))

    def _set_blockquote(self, tag: Tag) -> Iterator[str]:
        yield call("quoted", block(self.blocks(tag)))

    def _set_pre(self, tag: Tag) -> Iterator[str]:
        yield call("listing", text(tag.get_text()))

    def _set_hr(self, _: Tag) -> Iterator[str]:
        yield call("divider")

    def _set_img(self, tag: Tag) -> Iterator[str]:
        yield self._image(tag)

    def _set_heading(self, tag: Tag) -> Iterator[str]:
        """A heading below that of the page; no level is left out, which PDF/UA asks for."""
        wanted = self.level + int(tag.name[1]) - 1
        self._deepest = max(self.level + 1, min(wanted, (self._deepest or self.level) + 1))
        yield call("inner-heading", str(self._deepest), block(self._line(tag.children)))

    def _set_p(self, tag: Tag) -> Iterator[str]:
        pictures = tag.find_all("img")
        parts = self._line(each for each in tag.children if not _is_a_picture(each))
        if parts:
            kind = "action" if "handover-action" in _classes(tag) else "para"
            kind = "place-words" if "handover-where" in _classes(tag) else kind
            yield call(kind, block(parts))
        for picture in pictures:
            if not self._is_ornament(picture):
                yield self._image(picture)

    def _is_ornament(self, tag: Tag) -> bool:
        """Whether a drawing says nothing to those who do not see it: paper goes without it."""
        name = tag.get("data-drawing")
        return name is not None and not self.drawn(str(name)).alternative

    def _set_ul(self, tag: Tag) -> Iterator[str]:
        if "handover-key" in _classes(tag):
            yield call("key", array(self._key_entries(tag)))
        else:
            yield call("points", array(self._items(tag)))

    def _set_ol(self, tag: Tag) -> Iterator[str]:
        start = str(int(str(tag.get("start") or 1)))
        yield call("steps", array(self._items(tag)), start=start)

    def _items(self, tag: Tag) -> Iterator[str]:
        for item in _children(tag, "li"):
            yield block(self._inside(item))

    def _key_entries(self, tag: Tag) -> Iterator[str]:
        for item in _children(tag, "li"):
            picture = item.find("img")
            shown = "none" if not isinstance(picture, Tag) else text(str(picture["data-drawing"]))
            words = self._line(each for each in item.children if each is not picture)
            yield f"({shown}, {block(words)})"

    def _inside(self, tag: Tag) -> Iterator[str]:
        """What stands in a list item or a cell: words first where there are words alone."""
        if all(_is_inline(child) for child in tag.children):
            yield from self._line(tag.children) or ["[]"]
        else:
            yield from self.blocks(tag)

    def _pairs(self, tag: Tag) -> Iterator[str]:
        """Terms with what is said of each: ``((term, …), description)``."""
        terms: list[str] = []
        for child in tag.children:
            if isinstance(child, Tag) and child.name == "dt":
                terms.append("; ".join(self._line(child.children)))
            elif isinstance(child, Tag) and child.name == "dd":
                term = block(["; linebreak(); ".join(terms) or "[]"])
                yield f"({term}, {block(self._inside(child))})"
                terms = []

    def _set_div(self, tag: Tag) -> Iterator[str]:
        classes = _classes(tag)
        if "handover-plan" in classes:
            yield call("drawings", array([self._drawing(tag)]))
        elif "handover-drawings" in classes:
            yield call("drawings", array(self._drawing(each) for each in _children(tag, "figure")))
        elif "handover-caution" in classes:
            yield call("caution", block(self.blocks(tag)))
        elif "handover-cards" in classes:
            cards = (block(self._boxed(card)) for card in _children(tag, "div"))
            yield call("cards", array(cards))
        elif "handover-facts" in classes:
            yield call("facts", block(self.blocks(tag)))
        else:
            yield from self.blocks(tag)

    _set_section = _set_div

    def _set_details(self, tag: Tag) -> Iterator[str]:
        """What is folded on a screen lies open on paper."""
        yield from self.blocks(tag)

    def _set_summary(self, tag: Tag) -> Iterator[str]:
        heading = tag.find(HEADINGS)
        yield from self._set_heading(heading) if isinstance(heading, Tag) else self._set_p(tag)

    def _set_nav(self, tag: Tag) -> Iterator[str]:
        """Ways that stand side by side on a screen are points of a list."""
        yield call("points", array(block(self._line([each])) for each in _children(tag, "a")))

    def _boxed(self, tag: Tag) -> Iterator[str]:
        """A card of a grid; the next card's headings begin at the same level."""
        before = self._deepest
        yield from self.blocks(tag)
        self._deepest = max(before, self.level + 1) if before else self._deepest

    def _drawing(self, tag: Tag) -> str:
        picture, words = tag.find("img"), tag.find("figcaption")
        if not isinstance(picture, Tag):
            raise HandoverError(f"{self.named}: a figure has no drawing in it.")
        name = str(picture["data-drawing"])
        if not isinstance(words, Tag):
            return self._drawn_code(name)
        return self._drawn_code(name, block(self._line(words.children)), " ".join(words.get_text().split()))  # fmt: skip

    def _drawn_code(self, name: str, caption: str = "none", beside: str = "") -> str:
        """``beside``: the words below a drawing, which are those of one that has none of its own."""
        drawing = self.drawn(name)
        return (
            f"(file: {text(drawing.name)}, alt: {text(drawing.alternative or beside)}, "
            f"ratio: {drawing.ratio:.4f}, size: {text(self._size(drawing))}, "
            f"caption: {caption})"
        )

    def _size(self, drawing: PaperDrawing) -> str:
        """How large a plan is set: it fills a page, half of one, or stands beside words."""
        if not drawing.full:
            return "small"
        return "whole" if self.whole_plans else "half"

    def _image(self, tag: Tag) -> str:
        if "data-drawing" in tag.attrs:
            if not self.drawn(str(tag["data-drawing"])).alternative:
                return text("")  # A mark whose words stand beside it.
            return call("drawings", array([self._drawn_code(str(tag["data-drawing"]))]))
        name = str(tag.get("src", "")).rpartition("/")[2]
        if name not in self.photographs:
            raise HandoverError(f"{self.named}: there is no picture '{tag.get('src')}'.")
        return call("photograph", text(name), text(str(tag.get("alt", ""))))

    def _line(self, nodes: Iterable[PageElement]) -> list[str]:
        """Words in a line, without the space at its ends."""
        return _trimmed([part for node in nodes for part in self._words(node)])

    def _words(self, node: PageElement) -> Iterator[str]:
        if isinstance(node, Comment):
            return
        if isinstance(node, NavigableString):
            yield text(_SPACE.sub(" ", str(node)))
        elif isinstance(node, Tag) and _is_for_paper(node):
            yield from self._inline(node)

    def _inline(self, tag: Tag) -> Iterator[str]:
        inner = [part for child in tag.children for part in self._words(child)]
        if tag.name == "br":
            yield "linebreak()"
        elif tag.name == "img" and ("data-drawing" in tag.attrs or not tag.get("alt")):
            return  # The words beside it say the same.
        elif tag.name == "a":
            yield self._link(tag, inner)
        elif tag.name in ("code", "kbd"):
            yield call("raw", text(tag.get_text()))
        elif tag.name in _WRAPPED:
            yield call(_WRAPPED[tag.name], block(inner))
        elif tag.has_attr("lang"):
            yield call("spoken", text(str(tag["lang"])), block(inner))
        elif "handover-paper" in _classes(tag):
            yield call("by-hand", block(_trimmed(inner)))
        elif tag.name in INLINE:
            yield from inner
        else:
            raise HandoverError(f"{self.named}: paper cannot show <{tag.name}> in a line.")

    def _link(self, tag: Tag, inner: list[str]) -> str:
        address = str(tag.get("href", ""))
        page = self.target(address)
        if page is not None:
            return call("see", label(page), block(inner))
        if address.startswith(("https://", "tel:", "mailto:")):
            return call("link", text(address), block(inner))
        return block(inner)


def _grouped(parent: BeautifulSoup | Tag) -> Iterator[PageElement | list[Tag]]:
    """The children of an element; figures of one thing that follow each other come together."""
    run: list[Tag] = []
    for child in parent.children:
        if isinstance(child, Tag) and child.name == "figure" and _ONE_PLAN in _classes(child):
            run.append(child)
            continue
        if run and isinstance(child, NavigableString) and not child.strip():
            continue
        if run:
            yield run
            run = []
        yield child
    if run:
        yield run


def _is_inline(node: PageElement | list[Tag]) -> bool:
    if isinstance(node, Tag):
        return node.name in INLINE
    return isinstance(node, NavigableString)


def _is_for_paper(tag: Tag) -> bool:
    """Whether an element is for paper too: not what waits for a script or is about a screen."""
    if tag.has_attr("hidden") or "handover-screen" in _classes(tag):
        return False
    return tag.name not in ("script", "style", "noscript", "template")


def _classes(tag: Tag) -> list[str]:
    found = tag.get("class")
    return found.split() if isinstance(found, str) else list(found or ())


def _children(tag: Tag, name: str) -> Iterator[Tag]:
    for child in tag.children:
        if isinstance(child, Tag) and child.name == name and _is_for_paper(child):
            yield child


def _trimmed(parts: list[str]) -> list[str]:
    """Expressions without spaces or line breaks at the ends, and none that is empty."""
    if parts and parts[0].startswith('"'):
        parts = [f'"{parts[0][1:].lstrip(" ")}', *parts[1:]]
    if parts and parts[-1].endswith('"') and parts[-1].startswith('"'):
        parts = [*parts[:-1], f'{parts[-1][:-1].rstrip(" ")}"']
    kept = [part for part in parts if part != '""']
    return _trimmed(kept) if len(kept) < len(parts) and kept else kept


def _is_a_picture(node: PageElement) -> bool:
    """Whether something in a line is a picture, by itself or as a link to a larger one."""
    if not isinstance(node, Tag):
        return False
    return node.name == "img" or (node.find("img") is not None and not node.get_text(strip=True))
