"""The emergency card: one A4 page with what turns off where, whom to call, and where it is drawn."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from io import BytesIO
from typing import Any

from pypdfium2 import PdfDocument  # type: ignore[import-untyped]

from builder.errors import HandoverError
from builder.guide.about import About
from builder.guide.front_pages import by_text, turn_off, way_in, ways_that_are_known
from builder.guide.pieces import Piece
from builder.guide.plan.plans import Plans
from builder.guide.plan.svg import full_svg, shape_svg
from builder.guide.urgent import urgent_contacts
from builder.writers.paper.drawings import Drawings
from builder.writers.paper.guide_text import Printable
from builder.writers.paper.setting import Press

STEPS = (
    (14.0, 150), (13.5, 140), (13.0, 130), (12.5, 122), (12.0, 114), (11.5, 104), (11.0, 96),
    (10.5, 88), (10.0, 80), (9.5, 70), (9.0, 60),
)  # fmt: skip
"""Points of type and millimetres for the plans: each step makes the card smaller, to fit one page."""


def emergency_card(press: Press, printable: Printable, about: About) -> bytes:
    """The card as a PDF of one page. A home that needs more is refused, with what to shorten."""
    drawings = press.drawings()
    values = _values(printable, about, drawings)
    for size, height in STEPS:
        sized = {**values, "size": size, "height": height}
        pdf = press.paper("emergency", sized, printable, drawings)
        if _pages(pdf) == 1:
            return pdf
    raise HandoverError(_too_much(printable, values))


def _pages(pdf: bytes) -> int:
    document = PdfDocument(BytesIO(pdf))
    try:
        return len(document)
    finally:
        document.close()


def _values(printable: Printable, about: About, drawings: Drawings) -> dict[str, Any]:
    page = printable.web("page:emergency")
    return {
        "title": about.say("In an emergency"),
        "home": printable.home_address,
        "postcode": printable.postcode,
        "way_in": way_in(about),
        "by_text": by_text(about),
        "builder": printable.guide.builder,
        "day": printable.day.isoformat(),
        "web": page,
        "symbol": None if page is None else drawings.add_symbol(page),
        "turn_off": list(_turn_off(about, drawings)),
        "ways": [{"name": each.name, "says": each.says} for each in ways_that_are_known(about)],
        "contacts": list(_contacts(about)),
        "plans": list(_plans(about, drawings)),
    }


def _turn_off(about: About, drawings: Drawings) -> Iterator[dict[str, Any]]:
    for group in turn_off(about):
        pieces = [
            {**_piece(each, about, drawings), "effect": group["effects"][each.id]}
            for each in group["pieces"]
        ]
        yield {"title": group["title"], "pieces": pieces}


def _piece(piece: Piece, about: About, drawings: Drawings) -> dict[str, Any]:
    mark = about.plans.marks.get(piece.id)
    drawn = mark and drawings.add(str(shape_svg(mark.shape, mark.tone, mark.text)))
    return {
        "name": piece.title,
        "where": piece.where,
        "mark": drawn.name if drawn else None,
        "says": mark.text if mark else "",
    }


def _contacts(about: About) -> Iterator[dict[str, str]]:
    for contact in urgent_contacts(about):
        yield {
            "name": contact["name"],
            "telephone": contact["telephone"] or "",
            "call_for": contact["call_for"],
            "hours": contact["hours"] or "",
        }


def _plans(about: About, drawings: Drawings) -> Iterator[dict[str, Any]]:
    """The floors that have something to turn off, with the marks of those pieces alone."""
    pieces = tuple(each for each in about.pieces if each.turns_off)
    small = Plans(about.home, pieces, language=about.language)
    for floor in small.bases:
        if not any(small.floor_of(each) == floor for each in pieces):
            continue
        plan = small.full(floor)
        pins = tuple(replace(pin, mark=about.plans.marks[pin.piece]) for pin in plan.pins)
        names = ", ".join(pin.mark.text for pin in pins)
        says = about.say(
            "%(floor)s, seen from above; the front of the home is at the bottom.",
            floor=plan.base.title,
        )
        marked = about.say(
            "Marked: %(marks)s, each explained in the list on this page.", marks=names
        )
        describes = f"{says} {marked}" if pins else says
        drawn = replace(plan, pins=pins, describes=describes)
        drawing = drawings.add(str(full_svg(drawn, f"plan-{floor}")))
        yield {"file": drawing.name, "alt": drawing.alternative, "ratio": drawing.ratio,
               "title": plan.base.title}  # fmt: skip


def _too_much(printable: Printable, values: Mapping[str, Any]) -> str:
    """What to shorten: the longest texts that stand on the card."""
    places = [each["where"] for group in values["turn_off"] for each in group["pieces"]]
    calls = [each["call_for"] for each in values["contacts"]]
    longest = sorted({*places, *calls}, key=lambda text: (-len(text), text))[:2]
    named = " and ".join(f"'{text}'" for text in longest)
    return (
        f"The emergency card of {printable.guide.reference} does not fit on one page: it has "
        f"{len(places)} places and {len(calls)} contacts. Shorten the longest texts: {named}."
    )
