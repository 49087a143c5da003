"""The crack gauge: bars as wide as published categories of damage say, at true scale."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from builder.guide.about import About
from builder.writers.paper.guide_text import Printable
from builder.writers.paper.schedules import heading
from builder.writers.paper.setting import Press

_LOOKS = ("Hair line", "Fine", "Slight", "Medium", "Severe", "Very severe")
_REPORT = (
    "Nothing. Look again in a year.",
    "Write the day beside its end. Fill and paint it when you decorate.",
    "Hold a one-pound coin to it. If the coin goes in, report the crack with a photograph.",
    "Report it the same day. Do not fill it.",
    "Leave the room and keep everyone away from that wall. Call at once.",
    "Leave the room and keep everyone away from that wall. Call at once.",
)
"""For each category what it is called and what to do (common practice): never how to mend it."""


@dataclass(frozen=True, slots=True)
class Cracks:
    """Published widths: the widest crack of each category in mm, the thickness of the coin in mm,
    and where both come from."""

    widest: tuple[tuple[int, float], ...]
    coin: float
    widths_source: str
    coin_source: str


def crack_gauge(press: Press, printable: Printable, about: About, cracks: Cracks) -> bytes:
    """The gauge with a line of 100 mm, which shows whether the printer kept the size."""
    care = about.contacts.get("customer-care")
    values = {
        **heading(printable, "Crack gauge"),
        "bars": [{"category": number, "width": width} for number, width in cracks.widest],
        "coin": cracks.coin,
        "categories": list(_categories(cracks)),
        "sources": [
            f"Categories: {cracks.widths_source}.",
            f"Coin: {cracks.coin_source}.",
            "What to do: common practice.",
        ],
        "call": None
        if care is None
        else {"name": care["name"], "telephone": care["telephone"] or ""},
    }
    return press.paper("crack-gauge", values, printable.look)


def _categories(cracks: Cracks) -> Iterator[dict[str, Any]]:
    """Each category with its widths in words; the last one is wider than all others."""
    before: float | None = None
    for number, widest in cracks.widest:
        words = f"up to {widest:g} mm" if before is None else f"{before:g} to {widest:g} mm"
        yield _category(number, words)
        before = widest
    last = cracks.widest[-1][0] + 1
    yield _category(last, f"over {before:g} mm")


def _category(number: int, words: str) -> dict[str, Any]:
    known = min(number, len(_LOOKS) - 1)
    return {"number": number, "width": words, "looks": _LOOKS[known], "do": _REPORT[known]}
