"""Sheets of stickers with their fixing list, as one PDF.

Typst sets the pages from a template and plain values; fonts are those inside Typst, so that the
same stickers give the same bytes on every machine, without a network. The fixing list draws each wall
once, with the numbers of its stickers.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from builder.craft.typesetting import set_template, standing_alone
from builder.errors import HandoverError, UsageError
from builder.guide.labels import Label
from builder.guide.wall.svg import shared_wall_svg
from builder.guide.wall.together import SharedWall, gathered
from builder.guide.wall.words import place, stand
from builder.writers.stickers.drawing import description, symbol_outline
from builder.writers.stickers.layout import LabelBox, LabelLayout, lay_out
from builder.writers.stickers.stock import Stock, require_fit
from builder.writers.stickers.text import grouped, tidy

TEMPLATE = "site_templates/stickers/sheet.typ"
STYLE = "site_templates/paper/plan.css"
"""Drawings look on all papers alike."""


@dataclass(frozen=True, slots=True)
class PlacedLabel:
    """One sticker on its sheet: page and position counted from 1, lengths in mm on the page."""

    label: Label
    page: int
    position: int
    place: LabelBox
    symbol: LabelBox
    layout: LabelLayout

    @property
    def module(self) -> float:
        """The side of one module."""
        return self.layout.module


def places(labels: Sequence[Label], stock: Stock, start: int = 1) -> tuple[PlacedLabel, ...]:
    """Where every sticker goes; the first sheet begins at label ``start``, the others at 1."""
    _require_start(stock, start)
    require_fit(stock, (label.size for label in labels))
    return tuple(
        _place_label(label, lay_out(label), stock, number)
        for number, label in enumerate(labels, start - 1)
    )


def _require_start(stock: Stock, start: int) -> None:
    if not 1 <= start <= stock.count:
        raise UsageError(
            f"A sheet of this stock has labels 1 to {stock.count}; it cannot start at {start}."
        )


def _place_label(label: Label, layout: LabelLayout, stock: Stock, number: int) -> PlacedLabel:
    page, before = divmod(number, stock.count)
    place = stock.label(before + 1)
    left, top = _corner(layout, place)
    symbol = layout.symbol
    on_page = LabelBox(left + symbol.left, top + symbol.top, symbol.width, symbol.height)
    return PlacedLabel(label, page + 1, before + 1, place, on_page, layout)


def _corner(layout: LabelLayout, place: LabelBox) -> tuple[float, float]:
    """Where a sticker's top left corner goes: each is drawn in the middle of its label."""
    return (
        place.left + (place.width - layout.width) / 2,
        place.top + (place.height - layout.height) / 2,
    )


def write_sheet(
    labels: Sequence[Label], stock: Stock, start: int, template: Path, style: str = ""
) -> bytes:
    """The PDF of these stickers: the sheets, the fixing list in the order of the labels, and the walls
    that they stick on. ``style`` is CSS for the drawings of walls."""
    if not labels:
        raise HandoverError("There is no sticker to print.")
    values = _values(places(labels, stock, start), stock)
    values["walls"] = [asdict(each) for each in fixing_walls(labels, style)]
    return set_template(template, {"sheet": json.dumps(values)}, "sheet")


def _values(placed: Sequence[PlacedLabel], stock: Stock) -> dict[str, Any]:
    """What the template gets. Lengths are in mm on the page."""
    sheets = [
        [_values_of_label(each) for each in placed if each.page == page]
        for page in range(1, placed[-1].page + 1)
    ]
    return {
        "page": {"width": stock.page_width, "height": stock.page_height},
        "sheets": sheets,
        "list": [_row(number, each) for number, each in enumerate(placed, 1)],
    }


def _values_of_label(placed: PlacedLabel) -> dict[str, Any]:
    layout = placed.layout
    left, top = _corner(layout, placed.place)
    return {
        "left": left,
        "top": top,
        "says": description(placed.label),
        "symbol": list(symbol_outline(layout)),
        "patches": [asdict(patch) for patch in layout.patches],
        "lines": [asdict(line) for line in layout.lines],
    }


def _row(number: int, placed: PlacedLabel) -> dict[str, str | int]:
    label = placed.label
    return {
        "number": number,
        "sheet": placed.page,
        "position": placed.position,
        "equipment": tidy(label.equipment),
        "room": tidy(label.room),
        "where": tidy(label.where),
        "plot": tidy(label.plot),
        "code": grouped(label.code),
    }


@dataclass(frozen=True, slots=True)
class FixingLine:
    """One sticker on a wall: its number in the list, what it is for, and how high and far along."""

    number: int
    equipment: str
    place: str


@dataclass(frozen=True, slots=True)
class FixingWall:
    """One wall of one plot: where to stand, the drawing as an SVG document, its words, its stickers."""

    plot: str
    stand: str
    drawing: str
    says: str
    lines: tuple[FixingLine, ...]


def fixing_walls(labels: Sequence[Label], style: str) -> Iterator[FixingWall]:
    """The walls on which any of these stickers stick, plot by plot. ``style`` is CSS for drawings."""
    numbered = tuple(enumerate(labels, 1))
    for plot in dict.fromkeys(label.plot for label in labels):
        seen = {
            number: (tidy(label.equipment), label.wall)
            for number, label in numbered
            if label.plot == plot and label.wall is not None
        }
        lines = {number: FixingLine(number, title, tidy(place(view))) for number, (title, view) in seen.items()}  # fmt: skip
        for wall in gathered((number, view) for number, (_, view) in seen.items()):
            yield _wall(plot, wall, tuple(lines[each.number] for each in wall.things), style)


def _wall(plot: str, wall: SharedWall, lines: tuple[FixingLine, ...], style: str) -> FixingWall:
    where = stand(wall.view)
    return FixingWall(
        plot=tidy(plot),
        stand=tidy(where),
        drawing=standing_alone(str(shared_wall_svg(wall)), style),
        says=f"{where} On it: {wall.numbers()}.",
        lines=lines,
    )
