"""Reads line drawings: small SVG files of few kinds of element, which take their colours from the page."""

import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

from lxml import etree

from builder.errors import Finding, Findings, Place
from builder.model.drawing import Drawing
from builder.shipped import LAYER, below, shipped
from builder.sources.folder import Folder

FOLDER = "content/drawings"
_SVG = "http://www.w3.org/2000/svg"
_NUMBERS = re.compile(r"^[-+0-9eE., ]+$")
_PATH = re.compile(r"^[MmLlHhVvCcSsQqTtAaZz0-9eE,.\s+-]+$")
_ATTRIBUTES = {
    "path": {"d": _PATH},
    "circle": {"cx": _NUMBERS, "cy": _NUMBERS, "r": _NUMBERS},
    "rect": {"x": _NUMBERS, "y": _NUMBERS, "width": _NUMBERS, "height": _NUMBERS, "rx": _NUMBERS},
    "text": {"x": _NUMBERS, "y": _NUMBERS},
}
"""The elements of a drawing, and what each of their attributes may hold; ``class`` besides."""
CLASSES = frozenset({"mark", "solid", "thick", "soft"})
"""``mark``: what the words are about. ``solid``: filled. ``thick``, ``soft``: a bold line, a pale one."""
_RIGHT = (
    "A drawing has path, circle, rect and text, with the classes mark, solid, thick and soft, "
    "and takes its colours from the page."
)


def read_drawings(folder: Folder, findings: Findings) -> Mapping[str, Drawing]:
    """The drawings of a workspace by id, its own over those that ship; mistakes go to ``findings``."""
    ships = _shipped(shipped()) if below(folder.root, FOLDER) is not None else {}
    return {**ships, **_read(folder, findings)}


@cache
def _shipped(ships: Path) -> Mapping[str, Drawing]:
    """The drawings as they ship; they never change while the builder runs.

    Raises:
        TypeError: one of them cannot be read, which the builder's own tests find.
    """
    findings = Findings()
    found = _read(Folder(ships, LAYER), findings)
    if findings.errors:
        raise TypeError("\n".join(map(str, findings)))
    return found


def _read(folder: Folder, findings: Findings) -> Mapping[str, Drawing]:
    found = {}
    for path in folder.matching(f"{FOLDER}/*.svg"):
        text = folder.read(path, findings)
        drawing = (
            None if text is None else read_drawing(path.stem, text, folder.name(path), findings)
        )
        if drawing is not None:
            found[path.stem] = drawing
    return found


def read_drawing(identifier: str, text: str, file: str, findings: Findings) -> Drawing | None:
    """A drawing, or nothing and a finding for each thing that it may not have."""
    parser = etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=False)
    try:
        root = etree.fromstring(text.encode(), parser)
    except etree.XMLSyntaxError as error:
        line, column = error.position
        findings.add(
            _finding(Place(file, line, max(column, 1)), "This is no SVG that can be read.")
        )
        return None
    mistakes = list(_mistakes(root, file))
    findings.extend(mistakes)
    return None if mistakes else _drawing(identifier, root)


def _mistakes(root: etree._Element, file: str) -> Iterator[Finding]:
    if root.tag != f"{{{_SVG}}}svg" or not _NUMBERS.match(root.get("viewBox", "")):
        yield _finding(Place(file, 1), "The outermost element is no svg with a viewBox.")
        return
    for name in ("title", "desc"):
        if not _text(root, name):
            yield _finding(
                Place(file, 1), f"It has no {name}.", "Say in words what it shows, for its caption and for those who do not see it."
            )  # fmt: skip
    for element in root:
        yield from _findings_of_element(element, Place(file, element.sourceline or 1))


def _findings_of_element(element: etree._Element, place: Place) -> Iterator[Finding]:
    name = _name(element)
    if name in ("title", "desc"):
        return
    allowed = _ATTRIBUTES.get(name)
    if allowed is None or len(element):
        yield _finding(
            place, f"'{name or 'a comment or an instruction'}' is no element of a drawing."
        )
        return
    for key, value in element.attrib.items():
        pattern = allowed.get(str(key))
        right = (
            set(str(value).split()) <= CLASSES
            if key == "class"
            else pattern is not None and pattern.match(str(value))
        )
        if not right:
            yield _finding(place, f"'{key}' may not be '{value}' on '{name}'.")


def _drawing(identifier: str, root: etree._Element) -> Drawing:
    lines = "".join(_line(element) for element in root if _name(element) in _ATTRIBUTES)
    return Drawing(
        identifier, _text(root, "title"), _text(root, "desc"), root.get("viewBox", ""), lines
    )


def _line(element: etree._Element) -> str:
    """One element, written again from what was read of it."""
    name, attributes = (
        _name(element),
        "".join(f' {key}="{value}"' for key, value in element.attrib.items()),
    )
    if name != "text":
        return f"<{name}{attributes}/>"
    words = (element.text or "").replace("&", "&amp;").replace("<", "&lt;")
    return f"<text{attributes}>{words}</text>"


def _name(element: etree._Element) -> str:
    tag = element.tag
    return tag.removeprefix(f"{{{_SVG}}}") if isinstance(tag, str) else ""


def _text(root: etree._Element, name: str) -> str:
    return " ".join((root.findtext(f"{{{_SVG}}}{name}") or "").split())


def _finding(place: Place, wrong: str, right: str = _RIGHT) -> Finding:
    return Finding("drawing.form", place, wrong, right)
