"""Typst code from plain values. Every text stands in a string, so that no letter of it is a command.

Typst reads markup in content only; inside a string nothing has a meaning but the backslash and the
quotation mark.
"""

import re
from collections.abc import Iterable

_ESCAPED = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\r": "\\r", "\t": "\\t"}
_SPECIAL = re.compile(r'[\\"\x00-\x1f\x7f]')
UNPRINTABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
"""Control characters, which no font draws: they are left out, as browsers do."""


def text(value: str) -> str:
    """A text as a Typst string."""
    shown = UNPRINTABLE.sub("", value)
    return '"' + _SPECIAL.sub(lambda found: _ESCAPED[found.group()], shown) + '"'


def block(parts: Iterable[str]) -> str:
    """Several expressions as one piece of content."""
    return "{" + "; ".join(parts) + "}"


def call(function: str, *arguments: str, **named: str) -> str:
    """A call of a function; arguments are code already."""
    given = [*arguments, *(f"{name.replace('_', '-')}: {value}" for name, value in named.items())]
    return f"{function}({', '.join(given)})"


def array(parts: Iterable[str]) -> str:
    """A Typst array. Its comma at the end keeps one part an array."""
    return "(" + "".join(f"{part}, " for part in parts) + ")"


def label(page: str) -> str:
    """The label of a page of the guide, which links and page numbers name."""
    return f"label({text(page)})"
