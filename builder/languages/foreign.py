"""Marks what a page says in another language than its own, so that it is read aloud and broken as what it is."""

import re
from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from html import unescape
from itertools import chain

from builder.languages.language import FIRST_CODE, Language

_WHOLE = re.compile(r"(<(script|style|svg|title|option|textarea)\b.*?</\2>)", re.DOTALL)
"""What holds no marks, or is drawn and not read."""
_TEXT = re.compile(r"(?<=>)([^<>]+)(?=<)")
_LINE = re.compile(r"((?:^|<br>)\s*(?:[-*+]|\d+\.|#+)?\s*)([^\s<](?:(?!<br>).)*)", re.MULTILINE)
"""A line, or what stands in it before or behind a break: its mark, and its text."""
_LINK = re.compile(r"(?<!!)\[((?:[^\]\\]|\\.)+)\](?=\([^)\s]*\))")
_ESCAPED = re.compile(r"\\([\\`*_{}\[\]()#+\-.!|<>~^:=\"'])")

_CUT = re.compile(r"(?<=: )|(?<=\. )|(?<=\.)(?= )|(?= \()|(?<=[:.)])(?=\.$)|(?=\.$)")
"""Where one text ends and another begins, when several stand in one line."""
_CUT_IN_LISTS = re.compile(rf"{_CUT.pattern}|(?=[,.;:])|(?<=, )")
"""Those, and where a list goes on, as of rooms and floors."""

IsForeign = Callable[[str], bool]
"""Whether a text is said in the first language, in a page of another."""


def opening(language: Language) -> str:
    """What stands before a text of the first language in a page of another."""
    way = ' dir="ltr"' if language.direction == "rtl" else ""
    return f'<span lang="{FIRST_CODE}"{way}>'


def marked(html: str, language: Language, is_foreign: IsForeign) -> str:
    """HTML of a language in which each text that is foreign to it is marked."""
    start = opening(language)

    def found(text: re.Match[str]) -> str:
        said = text[1].strip()
        part = _foreign_in(said, lambda each: is_foreign(unescape(each))) if said else ""
        return text[1].replace(part, f"{start}{part}</span>", 1) if part else text[1]

    parts = _WHOLE.split(f">{html}<")
    # What was split off stands twice: as a whole, and by its name.
    outer = (_TEXT.sub(found, each) if index % 3 == 0 else each for index, each in enumerate(parts))
    return "".join(each for index, each in enumerate(outer) if index % 3 != 2)[1:-1]  # noqa: PLR2004


def _foreign_in(line: str, is_foreign: IsForeign) -> str:
    """All of a line that is foreign, or the longest part of it between two texts' ends; or nothing."""
    if is_foreign(line):
        return line
    cuts = [0, *(each.start() for each in _CUT.finditer(line)), len(line)]
    parts = {line[begin:end].strip() for begin in cuts for end in cuts if begin < end}
    return next((each for each in sorted(parts, key=len, reverse=True) if is_foreign(each)), "")


def foreign_pattern(values: object, foreign: Container[str]) -> str:
    """A regular expression of the foreign texts in some values as plain as JSON, longest first, by which
    Typst finds them on a paper; nothing where there is none."""
    found = {part for line in _strings(values) for part in _parts(line) if part in foreign}
    return "|".join(map(_as_whole_words, sorted(found, key=lambda each: (-len(each), each))))


def _strings(values: object) -> Iterator[str]:
    if isinstance(values, str):
        yield values
    elif isinstance(values, Mapping):
        yield from chain.from_iterable(map(_strings, values.values()))
    elif isinstance(values, Sequence):
        yield from chain.from_iterable(map(_strings, values))


def _parts(line: str) -> Iterator[str]:
    """A line, and all that stands in it between two texts' ends."""
    cuts = [0, *(each.start() for each in _CUT_IN_LISTS.finditer(line)), len(line)]
    yield from (line[begin:end].strip() for begin in cuts for end in cuts if begin < end)


def _as_whole_words(text: str) -> str:
    begin, end = (r"\b" if text[place].isalnum() else "" for place in (0, -1))
    return f"{begin}{re.escape(text)}{end}"


def marked_markdown(text: str, language: Language, is_foreign: IsForeign) -> str:
    """Markdown in which foreign texts are marked: links by their words, lines by all that stands in them."""
    start = opening(language)

    def link(found: re.Match[str]) -> str:
        said = _ESCAPED.sub(r"\1", found[1])
        return f"[{start}{found[1]}</span>]" if is_foreign(said) else found[0]

    def line(found: re.Match[str]) -> str:
        said = _ESCAPED.sub(r"\1", found[2].strip())
        return f"{found[1]}{start}{found[2]}</span>" if is_foreign(said) else found[0]

    return _LINE.sub(line, _LINK.sub(link, text))
