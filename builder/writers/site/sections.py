"""Cuts a page of Markdown where its sections begin, and takes the days out of each.

A page of dates differs from plot to plot in its days, and the words around them are the same. So
each section is converted with numbered marks in place of its days, once for all plots that say the
same, and the days are put back. Knows no site engine.
"""

import re
from collections import Counter
from dataclasses import dataclass

from builder.guide.terms import SPOKEN_DAY
from builder.model.late import CLOSES, OPENS

_HEADING = re.compile(r"\n(?=## )")
_ISO = r"\d{4}-\d{2}-\d{2}(?:[/ ]\d{4}-\d{2}-\d{2})*"
_MARKED = f"{OPENS}(?:day\\d+(?::spoken)?|spans\\d+){CLOSES}"
_MARKED_DAYS = re.compile(_MARKED)
"""What stands for a day, or for days, where they were taken out of a page before."""
_DAYS = re.compile(rf"{_MARKED}|\b(?:{_ISO}|{SPOKEN_DAY})\b")
_CENTURY = "20"
"""What stands in every day that a guide speaks of."""
_REFERENCE = re.compile(r"^ {0,3}\*?\[[^\]]+\]:", re.MULTILINE)
_BLOCK = re.compile(r"<(/?)(article|aside|details|div|dl|figure|form|ol|section|table|ul)\b", re.I)
_MARKED_HEADING = re.compile(f"^#.*{OPENS}", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Section:
    """Markdown with numbered marks, ``day1`` and so on, and the days that they stand for."""

    text: str
    days: dict[str, str]


def sections(page: str) -> tuple[Section, ...] | None:
    """The sections of a page, each whole in itself; none where they hang together: a block of HTML
    that goes on over a heading, a code block, or links that are explained elsewhere on the page."""
    parts = _HEADING.split(page)
    if "```" in page or "~~~" in page or _REFERENCE.search(page):
        return None
    if not all(_is_whole(part) for part in parts):
        return None
    days = _MARKED_DAYS if f"{OPENS}day1" in page else _DAYS
    found = tuple(_section(part, days) for part in parts)
    marked = (each.text for each in found if OPENS in each.text)
    return None if any(map(_MARKED_HEADING.search, marked)) else found


def _is_whole(part: str) -> bool:
    """Whether every block of HTML that begins in a part ends in it."""
    if "<" not in part:
        return True
    found = Counter((name.lower(), bool(end)) for end, name in _BLOCK.findall(part))
    return all(found[name, True] == found[name, False] for name, _ in found)


def _section(text: str, written: re.Pattern[str]) -> Section:
    days: dict[str, str] = {}
    if _CENTURY not in text and OPENS not in text:
        return Section(text, days)

    def mark(found: re.Match[str]) -> str:
        name = f"day{len(days) + 1}"
        days[name] = found[0]
        return f"{OPENS}{name}{CLOSES}"

    return Section(written.sub(mark, text), days)


def late_heading(page: str) -> bool:
    """Whether a page has a late value in a heading: its address in the page would differ too."""
    headings = (line for line in page.split("\n") if line.startswith("#"))
    return any(OPENS in line and "{" not in line for line in headings)
