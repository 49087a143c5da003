"""How wide words are, and how they are broken or cut to fit. All lengths in millimetres.

Widths are those of the sans-serif that Pillow ships, which is as wide as the common ones; the
drawings squeeze a line whose font turns out wider, so that what is laid out here always holds.
"""

import unicodedata
from functools import cache
from io import BytesIO
from types import MappingProxyType

from PIL import ImageFont

ELLIPSIS = "…"
BOLD_IS_WIDER = 1.09
"""Bold letters of common sans-serifs against regular ones (measured, rounded up)."""

FIXED_PITCH = 0.602
"""Width of every letter of a common fixed-pitch font, in units of its size."""

_EM = 1000
_PLAIN = MappingProxyType({
    "\N{LEFT SINGLE QUOTATION MARK}": "'",
    "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "\N{LEFT DOUBLE QUOTATION MARK}": '"',
    "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
    "\N{EN DASH}": "-",
    "\N{EM DASH}": "-",
    ELLIPSIS: "...",
})  # fmt: skip


@cache
def font(pixels: float) -> ImageFont.FreeTypeFont:
    """The font that Pillow ships, laid out the same way on every machine."""
    default = ImageFont.load_default(10)
    if not isinstance(default, ImageFont.FreeTypeFont):
        raise RuntimeError("this Pillow was built without fonts")  # noqa: TRY004
    return ImageFont.truetype(
        BytesIO(default.font_bytes), pixels, layout_engine=ImageFont.Layout.BASIC
    )


@cache
def _advance(character: str) -> float:
    """Of one character in units of the size; what the font lacks counts as a full square."""
    return font(_EM).getlength(character) / _EM if character.isascii() else 1.0


def width(text: str, size: float, *, bold: bool = False, fixed: bool = False) -> float:
    """The width of a line of text at a font size, on the safe side."""
    natural = sum(_advance(character) for character in text)
    if fixed:
        natural = max(natural, FIXED_PITCH * len(text))
    return natural * size * (BOLD_IS_WIDER if bold else 1.0)


def tidy(text: str) -> str:
    """One line of what can be seen: no line ends, no control characters, single spaces."""
    seen = "".join(each if each.isprintable() else " " for each in text)
    return " ".join(seen.split())


def plain_letters(text: str) -> str:
    """The text in the letters that Pillow's font has: é becomes e, a long dash a short one."""
    swapped = text
    for letter, plain in _PLAIN.items():
        swapped = swapped.replace(letter, plain)
    taken_apart = unicodedata.normalize("NFKD", swapped)
    kept = (each for each in taken_apart if not unicodedata.combining(each))
    return "".join(each if each.isascii() else "?" for each in kept)


def wrapped(text: str, room: float, size: float, *, bold: bool = False) -> list[str]:
    """The text in lines no wider than the room; a word that is wider by itself is broken."""
    lines: list[str] = []
    for word in tidy(text).split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width(longer, size, bold=bold) <= room:
            lines[-1] = longer
        else:
            lines.extend(_broken(word, room, size, bold=bold))
    return lines


def _broken(word: str, room: float, size: float, *, bold: bool) -> list[str]:
    pieces = [""]
    for character in word:
        if pieces[-1] and width(pieces[-1] + character, size, bold=bold) > room:
            pieces.append("")
        pieces[-1] += character
    return pieces


def cut(lines: list[str], most: int, room: float, size: float, *, bold: bool = False) -> list[str]:
    """The first lines; where some are left off, the last one kept ends in an ellipsis."""
    if len(lines) <= most:
        return lines
    last = lines[most - 1]
    while last and width(last + ELLIPSIS, size, bold=bold) > room:
        last = last[:-1]
    return [*lines[: most - 1], last.rstrip(" ,;.") + ELLIPSIS]


def cut_start(text: str, room: float, size: float) -> str:
    """The end of a text that fits in one line, behind an ellipsis where its beginning is left off."""
    if width(text, size) <= room:
        return text
    while text and width(ELLIPSIS + text, size) > room:
        text = text[1:]
    return ELLIPSIS + text.lstrip(" ,;.")


def grouped(code: str) -> str:
    """A code in groups of four, as people type it: ``7K3M 9QXA 2B4C 5D``."""
    return " ".join(code[start : start + 4] for start in range(0, len(code), 4))
