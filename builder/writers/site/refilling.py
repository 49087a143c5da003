"""Pages as they are published, filled again with other late values. Knows no site engine.

Where nothing differs but the values that the theme shows around a page, such as the address at its
top, the page need not be made again: its fixed bytes are those of the published file.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from builder.writers.site.filling import Cut, InBytes, Values

_GAPS = re.compile(r"(?:\d{1,9}\{[^{}]+\})+\d{1,9}")
_BRACES = re.compile(r"[{}]")
_GAPS_KEPT = 2_048
"""Pages whose names are kept: those of an edition have the same gaps in all its guides."""


@dataclass(frozen=True, slots=True)
class Gaps:
    """Where the values stand in the pages of one guide, as ``gaps_of`` says it, by the pages' ids; and
    the values, by their names."""

    pages: Mapping[str, str] = field(default_factory=dict)
    values: Mapping[str, str] = field(default_factory=dict)

    def of_a_plot(self, values: Values) -> "Gaps":
        """Those of the pages whose values a plot has: somebody may have altered a record."""
        names = {name for gaps in set(self.pages.values()) for name in names_in(gaps)}
        known = {name for name in names if name in self.values and _has(values, name)}
        pages = {
            page: gaps for page, gaps in self.pages.items() if known.issuperset(names_in(gaps))
        }
        return Gaps(pages, self.values)


def _has(values: Values, name: str) -> bool:
    try:
        return bool(values[name])
    except (KeyError, ValueError):
        return False


def gaps_of(text: Cut) -> str:
    """Where the values stand in a text: how many fixed bytes there are before, between and behind them,
    and their names, as in ``1203{plot.address}400{plot.address}7000``; empty for a text without."""
    if not text.names:
        return ""
    named = (f"{len(part)}{{{name}}}" for part, name in zip(text.parts, text.names, strict=False))
    return f"{''.join(named)}{len(text.parts[-1])}"


def refilled_bytes(
    content: bytes, gaps: str, before: Mapping[str, str], values: InBytes
) -> bytes | None:
    """A published text with other values in its ``gaps``. ``before``: all that stand there.

    Nothing where the text does not have its values where they should stand.
    """
    if not _GAPS.fullmatch(gaps):
        return None
    parts = _BRACES.split(gaps)
    whole, position = list[bytes](), 0
    for length, name in zip(parts[::2], parts[1::2], strict=False):
        gap, old = position + int(length), before[name].encode()
        if not content.startswith(old, gap):
            return None
        whole += (content[position:gap], values.in_bytes(name))
        position = gap + len(old)
    rest = content[position:]
    return b"".join((*whole, rest)) if len(rest) == int(parts[-1]) else None


@lru_cache(maxsize=_GAPS_KEPT)
def names_in(gaps: str) -> tuple[str, ...]:
    """The names of the values that stand in a text."""
    return tuple(_BRACES.split(gaps)[1::2])
