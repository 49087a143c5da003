"""The proof of absence: no text of a home says words that only other homes may read.

Reads what was written, and knows of each home only the words that it may not say.
"""

import html
import json
import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Any

import pypdfium2  # type: ignore[import-untyped]

_DROPPED = re.compile(
    r"<(script|style|title|nav|head)\b.*?</\1>|<[^>]*>", re.DOTALL | re.IGNORECASE
)
_SPACES = re.compile(r"\s+")


def said(text: str, words: Iterable[str]) -> Iterator[str]:
    """Each word of others that a text says, once, in the order of the text."""
    found = _seeker(tuple(sorted(words)))
    if found is not None:
        flat = _SPACES.sub(" ", text)
        yield from dict.fromkeys(match[1].lower() for match in found.finditer(flat))


@lru_cache(maxsize=256)
def _seeker(words: tuple[str, ...]) -> re.Pattern[str] | None:
    """Finds any of these as whole words, one or several of them, the longest first."""
    if not words:
        return None
    ordered = sorted(words, key=len, reverse=True)
    return re.compile(rf"(?<![\w-])({'|'.join(map(re.escape, ordered))})s?(?![\w-])", re.IGNORECASE)


def _text_of(file: bytes) -> str:
    """What a page or a calendar says, without marks, menu and head; long lines of calendars joined."""
    text = file.decode("utf-8", "replace").replace("\r\n ", "")
    return html.unescape(_DROPPED.sub(" ", text))


def words_said(file: bytes, words: Iterable[str]) -> tuple[str, ...]:
    """The words of others that a page of HTML or a calendar says."""
    return tuple(said(_text_of(file), words))


READ = frozenset({".pdf", ".html", ".txt", ".json", ".svg", ".ics"})
"""How the names of papers end that can be read."""


def text_of_paper(file: bytes, ending: str) -> str | None:
    """What a paper says: a PDF, a page for a tablet, a text or plain data; none where it cannot be read."""
    try:
        match ending:
            case ".pdf":
                return _printed(file)
            case ".json":
                return "\n".join(_strings(json.loads(file)))
            case ".txt":
                return file.decode("utf-8")
            case _:
                return _text_of(file)
    except (ValueError, pypdfium2.PdfiumError):
        return None


def _printed(file: bytes) -> str:
    document = pypdfium2.PdfDocument(file)
    try:
        return "\n".join(page.get_textpage().get_text_range() for page in document)
    finally:
        document.close()


def _strings(value: Any) -> Iterator[str]:
    """Every text of plain data, in its order."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for each in value.values() if isinstance(value, dict) else value:
            yield from _strings(each)
