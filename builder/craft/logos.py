"""Logos: PNG as photographs are, and SVG written again from shapes alone.

A drawing in SVG may hold scripts, letters in fonts that a reader has not, and ways to other hosts. What is
published of one is made of the elements and attributes below, and a drawing that needs more is refused.
SVG 2 (W3C Candidate Recommendation, 4 October 2018), from memory.
"""

import re
from collections.abc import Iterator
from pathlib import Path

from lxml import etree

from builder.craft.pictures import PictureError, published_copy, read_through

LOGO_FORMS = (".svg", ".png")
LARGEST_DRAWING = 60_000
"""Bytes of an SVG: every guide brings it along, and a telephone draws it on every page."""
_SIDE = 480
"""Pixels of the longer side of a logo in PNG."""
_SVG = "http://www.w3.org/2000/svg"
_ELEMENTS = frozenset({
    "svg", "g", "path", "circle", "ellipse", "rect", "line", "polyline", "polygon", "title", "desc",
    "defs", "linearGradient", "radialGradient", "stop",
})  # fmt: skip
_LOOKS = frozenset({
    "viewBox", "id", "d", "points", "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry", "fx", "fy",
    "width", "height", "transform", "fill", "stroke", "stroke-width", "stroke-linecap", "stroke-linejoin",
    "stroke-miterlimit", "stroke-dasharray", "opacity", "fill-opacity", "stroke-opacity", "fill-rule",
    "clip-rule", "offset", "stop-color", "stop-opacity", "gradientUnits", "gradientTransform",
})  # fmt: skip
_LEFT_OUT = frozenset({"class", "version", "role", "focusable", "preserveAspectRatio"})
"""Attributes that mean nothing to a logo that stands alone, and are not copied."""
_VALUE = re.compile(r"(?:[\w\s.,()%#+-]|url\(#[\w-]+\))*", re.ASCII)
_FOUR_NUMBERS = re.compile(r"\s*-?[\d.]+(?:[\s,]+-?[\d.]+){3}\s*", re.ASCII)
_SHAPES_ALONE = "Save it as plain SVG: shapes alone, letters as outlines, colours as attributes."


def logo_can_be_read(path: Path) -> None:
    """PictureError: a file is no logo that can be shown."""
    if path.suffix.lower() == ".svg":
        _drawn_again(path)
    else:
        read_through(path)


def published_logo(path: Path) -> bytes:
    """The logo for a guide. PictureError: it cannot be shown."""
    return _drawn_again(path) if path.suffix.lower() == ".svg" else published_copy(path, _SIDE)


def _drawn_again(path: Path) -> bytes:
    """An SVG with nothing but shapes, from one that has nothing but shapes."""
    content = path.read_bytes()
    if len(content) > LARGEST_DRAWING:
        says = f"has {len(content):,} bytes; a logo has at most {LARGEST_DRAWING:,}."
        raise PictureError(path, says, "Save it with fewer points, or as a PNG.")
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, huge_tree=False, remove_comments=True,
        remove_pis=True, load_dtd=False,
    )  # fmt: skip
    try:
        root = etree.fromstring(content, parser)
    except etree.XMLSyntaxError as error:
        raise PictureError(path, "is no SVG that can be read.", _SHAPES_ALONE) from error
    _refuse_what_it_may_not(path, root)
    return f'<svg xmlns="{_SVG}" {_inside(root)}</svg>\n'.encode()


def _refuse_what_it_may_not(path: Path, root: etree._Element) -> None:
    if root.tag != f"{{{_SVG}}}svg" or not _FOUR_NUMBERS.fullmatch(root.get("viewBox", "")):
        raise PictureError(path, "has no svg with a viewBox of four numbers.", _SHAPES_ALONE)
    for element in root.iter():
        name = _name(element)
        if name is None:
            continue
        if name not in _ELEMENTS:
            raise PictureError(path, f"holds <{name}> in line {element.sourceline}.", _SHAPES_ALONE)
        for key, value in _own_attributes(element):
            if key not in _LOOKS or not _VALUE.fullmatch(value):
                says = (
                    f"has '{key}' on <{name}> in line {element.sourceline}, which a logo may not."
                )
                raise PictureError(path, says, _SHAPES_ALONE)


def _own_attributes(element: etree._Element) -> Iterator[tuple[str, str]]:
    """The attributes of SVG itself that are not left out; those of drawing programs are none of it."""
    for key, value in element.attrib.items():
        name = str(key)
        if not name.startswith(("{", "data-")) and name not in _LEFT_OUT:
            yield name, str(value)


def _inside(element: etree._Element) -> str:
    """The attributes of an element, and all that it holds."""
    attributes = " ".join(f'{key}="{value}"' for key, value in _own_attributes(element))
    return f"{attributes}>{''.join(_element_text(each) for each in element)}"


def _element_text(element: etree._Element) -> str:
    name = _name(element)
    if name is None or name in ("title", "desc"):
        return ""  # What it shows is said where it is shown.
    inside = _inside(element)
    return f"<{name} {inside}</{name}>" if len(element) else f"<{name} {inside[:-1]}/>"


def _name(element: etree._Element) -> str | None:
    """The name of an element of SVG; none for what belongs to a drawing program, or is no element."""
    if not isinstance(element.tag, str):
        return None
    space, _, name = element.tag.rpartition("}")
    return name if space == f"{{{_SVG}" else None
