"""How a value is written in YAML, so that this builder and other people's tools read the same value."""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

import yaml

from builder.sources.yaml_plain import FAST_LOADER, scalar

MOST_ON_A_LINE, WIDEST = 8, 100
"""Entries of a mapping on one line at most, and the characters of that line."""
_STEP = 2
"""Columns by which each level is indented."""
_WIDE = 10**9
_HARMLESS = ("tag:yaml.org,2002:str", "tag:yaml.org,2002:timestamp")
"""What a text may look like to a reader of YAML 1.1 and stand without quotes: every day in our files does."""


def written(value: Any, *, flow: bool, style: str | None = None) -> str:
    """A value on one line. ``flow``: it stands between brackets. ``style``: the quotes that stood there."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key_of(k)}: {written(v, flow=True)}" for k, v in value.items()) + "}"  # fmt: skip
    if isinstance(value, str):
        return _text(value, flow=flow, style=style)
    if isinstance(value, Sequence):
        return "[" + ", ".join(written(each, flow=True) for each in value) + "]"
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    return repr(value)


def key_of(name: str) -> str:
    """A name of an entry. Names are always read as text, so a number needs no quotes to us; others do."""
    return _text(name, flow=True, style=None)


def _text(text: str, *, flow: bool, style: str | None) -> str:
    if style in ("'", '"'):
        return _quoted(text, style)
    return text if stands_bare(text, flow=flow) else _quoted(text, '"')


def _quoted(text: str, style: str) -> str:
    """A text in quotes on one line. Single quotes hold no line ends and nothing that cannot be seen."""
    if style == "'" and not (text.isprintable() and text.isascii()):
        style = '"'
    dumped: str = yaml.dump(text, default_style=style, allow_unicode=True, width=_WIDE)
    return dumped.rstrip("\n")


@lru_cache(maxsize=4_096)
def stands_bare(text: str, *, flow: bool) -> bool:
    """Whether a text can stand without quotes and is read as this text, by either parser: they differ over
    a question mark before a space between brackets."""
    if not text or text != text.strip() or not text.isprintable() or scalar(text) != text:
        return False
    return all(_reads_as(text, loader, flow=flow) for loader in (FAST_LOADER, yaml.SafeLoader))


def _reads_as(text: str, loader: type[yaml.SafeLoader], *, flow: bool) -> bool:
    try:
        found: Any = yaml.compose(f"[{text}]" if flow else f"a: {text}", Loader=loader)
    except yaml.YAMLError:
        return False
    value: Any = found.value[0] if found.value else None
    value = value if flow or value is None else value[1]
    alone = isinstance(value, yaml.ScalarNode) and len(found.value) == 1
    return alone and value.value == text and not value.style and value.tag in _HARMLESS


def is_flat(value: Any) -> bool:
    """Whether a value is written on one line: no mapping in a mapping, and not too long."""
    if isinstance(value, Mapping):
        if any(isinstance(each, Mapping) for each in value.values()) or len(value) > MOST_ON_A_LINE:
            return False
        return len(written(value, flow=True)) <= WIDEST
    if isinstance(value, str):
        return "\n" not in value
    if isinstance(value, Sequence):
        return len(written(value, flow=True)) <= WIDEST or any(
            not isinstance(each, str) or "\n" in each for each in value
        )
    return True


def entry_lines(name: str, value: Any, column: int) -> list[str]:
    """An entry of a mapping as lines, with its name at a column counted from 0."""
    begin = " " * column + key_of(name) + ":"
    first, *rest = value_lines(value, column)
    return [begin + first, *rest]


def value_lines(value: Any, column: int, style: str | None = None) -> list[str]:
    """What stands after the colon of a name at a column: the rest of its line, then lines of its own."""
    if isinstance(value, str) and _is_literal(value):
        mark = "|" if value.endswith("\n") else "|-"
        inner = " " * (column + _STEP)
        return [f" {mark}", *(f"{inner}{line}" if line else "" for line in value.rstrip("\n").split("\n"))]  # fmt: skip
    if not value or is_flat(value) or isinstance(value, str):
        return [" " + written(value, flow=False, style=style)]
    if isinstance(value, Mapping):
        lines = (entry_lines(name, each, column + _STEP) for name, each in value.items())
        return ["", *(line for entry in lines for line in entry)]
    return ["", *(" " * (column + _STEP) + "- " + written(each, flow=False) for each in value)]


def _is_literal(text: str) -> bool:
    """Whether a text of several lines can stand as it is, under a bar."""
    lines = text.removesuffix("\n").split("\n")
    return (
        len(lines) > 1
        and all(line.isprintable() and line == line.strip() for line in lines)
        and bool(lines[0] and lines[-1])
    )
