"""What may have been carried out in a reader's browser, judged from the published files alone.

Everything that a guide has before the attack is known. What could act or load something, and was not
there before, is counted as executed: whichever way it came in.
"""

import re
from collections.abc import Iterator
from pathlib import Path

import html5lib
from lxml import html
from lxml.etree import _Element

ACTING = frozenset({
    "script", "iframe", "object", "embed", "form", "base", "meta", "link", "style", "frame", "frameset",
    "applet", "portal", "video", "audio", "source", "track", "input", "button", "textarea", "select",
    "math", "template", "noscript", "foreignobject", "use", "animate", "set", "image", "marquee", "svg",
})  # fmt: skip
"""Elements that act, load or ask for something."""
ADDRESSES = ("href", "src", "action", "formaction", "data", "poster", "srcset", "background", "xlink:href", "cite", "ping")  # fmt: skip
_SCHEME = re.compile(r"^[\s\x00-\x20]*([a-zA-Z][\w+.-]*)[\s\x00-\x20]*:")
_PASSED_OVER = re.compile(r"[\t\r\n]")
"""What browsers take out of addresses before they read them."""
_LEAKS = re.compile(rb"root:x:0:0|<[\w.]+ object at 0x[0-9a-f]{6,}|CANARY-4711")
_KNOWN_SCHEMES = frozenset({"", "https", "http", "tel", "mailto"})


class Judge:
    """Knows a published tree as it was before an attack."""

    def __init__(self, out: Path) -> None:
        self._bytes = {path.relative_to(out).as_posix(): path.read_bytes() for path in _pages(out)}
        self._known = {seen for path in _pages(out) for seen in _seen(_read(path.read_bytes()))}
        self._policy = _policy(out)

    def executed(self, out: Path) -> str:
        """What acts in a tree that did not act before; nothing where all is well."""
        if _policy(out) != self._policy:
            return "another policy is published"
        for path in _pages(out):
            content = path.read_bytes()
            if self._bytes.get(path.relative_to(out).as_posix()) == content:
                continue
            if leak := _LEAKS.search(content):
                return f"{path.name} says {leak.group()[:60]!r}"
            trees = (_read(content), _read_as_browsers_do(content)) if b"attack" in content.lower() else (_read(content),)  # fmt: skip
            for tree in trees:
                for seen in _seen(tree):
                    if seen not in self._known:
                        return f"{path.parent.name}/{path.name} has {' '.join(seen)}"
        return ""


def _pages(out: Path) -> list[Path]:
    return sorted(path for path in out.rglob("*.html") if path.is_file())


def _policy(out: Path) -> str:
    headers = out / "_headers"
    text = headers.read_text(encoding="utf-8") if headers.is_file() else ""
    return "\n".join(sorted({line for line in text.splitlines() if "Security-Policy" in line}))


def _read(content: bytes) -> _Element:
    return html.document_fromstring(content or b"<html></html>")


def _read_as_browsers_do(content: bytes) -> _Element:
    return html5lib.parse(content, treebuilder="lxml", namespaceHTMLElements=False).getroot()


def _seen(tree: _Element) -> Iterator[tuple[str, ...]]:
    """Everything in a page that could act: elements by their attributes, handlers, addresses."""
    for element in tree.iter():
        if not isinstance(element.tag, str):
            continue
        tag = element.tag.rpartition("}")[2].lower()
        names = sorted(str(name).rpartition("}")[2].lower() for name in element.attrib)
        if tag in ACTING:
            yield (tag, *names, *_told_apart(tag, element))
        for name in names:
            if name.startswith("on") or name in ("style", "srcdoc", "formaction", "srcset"):
                yield (tag, name)
        for name, value in element.attrib.items():
            yield from _addresses(tag, str(name).rpartition("}")[2].lower(), str(value))


def _addresses(tag: str, name: str, value: str) -> Iterator[tuple[str, ...]]:
    if name in ADDRESSES:
        value = _PASSED_OVER.sub("", value)
        found = _SCHEME.match(value)
        scheme = found[1].lower() if found else ""
        if scheme not in _KNOWN_SCHEMES:
            yield (tag, name, scheme)
        elif tag not in ("a", "area") and (scheme or value.strip().startswith("//")):
            yield (tag, name, value.split("?", maxsplit=1)[0][:60])


def _told_apart(tag: str, element: _Element) -> tuple[str, ...]:
    """What tells elements of one tag apart that do different things."""
    if tag == "script":
        return (str(element.get("src", "")).rpartition("/")[2], (element.text or "")[:80])
    if tag == "style":
        return ((element.text or "")[:200],)
    if tag == "meta":
        return (str(element.get("name", "")).lower(), str(element.get("http-equiv", "")).lower())
    if tag == "link":
        return (str(element.get("rel", "")), str(element.get("href", "")).rpartition("/")[2])
    return ()
