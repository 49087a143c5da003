"""The crack gauge: bars as wide as published categories of damage say, at true scale."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from builder.guide.about import About
from builder.languages.language import Language, to_say
from builder.writers.paper.guide_text import Printable
from builder.writers.paper.schedules import heading
from builder.writers.paper.setting import Press

_LOOKS = (
    to_say("Hair line"),
    to_say("Fine"),
    to_say("Slight"),
    to_say("Medium"),
    to_say("Severe"),
    to_say("Very severe"),
)
_REPORT = (
    to_say("Nothing. Look again in a year."),
    to_say("Write the day beside its end. Fill and paint it when you decorate."),
    to_say("Hold a one-pound coin to it. If the coin goes in, report the crack with a photograph."),
    to_say("Report it the same day. Do not fill it."),
    to_say("Leave the room and keep everyone away from that wall. Call at once."),
    to_say("Leave the room and keep everyone away from that wall. Call at once."),
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
        **heading(printable, about.say("Crack gauge")),
        "bars": [
            {"category": number, "width": width, "says": about.language.number(width)}
            for number, width in cracks.widest
        ],
        "coin": cracks.coin,
        "coin_says": about.language.number(cracks.coin),
        "categories": list(_categories(cracks, about.language)),
        "widths_source": cracks.widths_source,
        "coin_source": cracks.coin_source,
        "call": None
        if care is None
        else {"name": care["name"], "telephone": care["telephone"] or ""},
    }
    return press.paper("crack-gauge", values, printable)


def _categories(cracks: Cracks, language: Language) -> Iterator[dict[str, Any]]:
    """Each category with its widths in words; the last one is wider than all others."""
    say, before = language.say, 0.0
    for number, widest in cracks.widest:
        most = language.number(widest)
        words = (
            say("%(least)s to %(most)s mm", least=language.number(before), most=most)
            if before
            else say("up to %(most)s mm", most=most)
        )
        yield _category(number, words, language)
        before = widest
    last = cracks.widest[-1][0] + 1
    yield _category(last, say("over %(least)s mm", least=language.number(before)), language)


def _category(number: int, words: str, language: Language) -> dict[str, Any]:
    known = min(number, len(_LOOKS) - 1)
    return {
        "number": number,
        "width": words,
        "looks": language.text(_LOOKS[known]),
        "do": language.text(_REPORT[known]),
    }
