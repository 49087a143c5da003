"""Characters that no text of ours may hold, because nobody sees them and some of them turn text round.

Unicode Standard, chapter 23 "Special Areas and Format Characters" (from memory): controls, surrogates
that stand alone, marks that set the direction of text, letters that are blank, private use, noncharacters,
and the mark that stands where a letter was lost.
"""

import re
from collections.abc import Iterator

_HIDDEN = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u00ad\u034f\u061c\u115f\u1160\u180e\u200b\u200e\u200f\u2028-\u202e"
    r"\u2060-\u206f\u3164\ud800-\uf8ff\ufdd0-\ufdef\ufeff\uffa0\ufff0-\uffff\U000e0000-\U000e0fff"
    + "".join(chr(plane * 0x10000 + last) for plane in range(1, 15) for last in (0xFFFE, 0xFFFF))
    + r"\U000f0000-\U0010ffff]"
)  # fmt: skip
_RUNS = re.compile(f"{_HIDDEN.pattern}+")
"""Many in a row are one match, so that a file of nothing else is read in no time."""


def hidden_in(text: str) -> re.Match[str] | None:
    """The first character of a text that cannot be seen or printed. Line breaks and tabs can."""
    return _HIDDEN.search(text)


def hidden_characters(text: str) -> Iterator[re.Match[str]]:
    """Every such character of a text."""
    return _HIDDEN.finditer(text)


def without_hidden(text: str) -> str:
    """The text without what cannot be seen or printed."""
    return _RUNS.sub("", text)
