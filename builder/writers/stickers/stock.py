"""Sheets of labels as data: where each label stands on its page, and which stickers it takes.

Stocks are read from ``site_templates/stickers/stock.yaml`` and the workspace's own
``stickers/stock.yaml``. All lengths are in millimetres, from the page's top left corner.
"""

from collections.abc import Iterable, Mapping
from typing import Annotated, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from builder.errors import HandoverError, UsageError, suggestion
from builder.guide.labels import LabelSize
from builder.model.record import ById, Number, Record, Whole
from builder.writers.stickers.layout import SIZES, LabelBox

OWN_STOCKS = "stickers/stock.yaml"
"""The workspace's own stocks."""

SHIPPED_STOCKS = "site_templates/stickers/stock.yaml"

TOUCHING = 0.01
"""Lengths are typed with one or two decimals; what differs by less is equal."""

Millimetres = Annotated[Number, Field(gt=0, le=2000)]
Offset = Annotated[Number, Field(ge=0, le=2000)]
Count = Annotated[Whole, Field(ge=1, le=200)]


class Stock(Record):
    """One kind of label sheet. Without a pitch, its labels touch."""

    page_width: Millimetres
    page_height: Millimetres
    columns: Count
    rows: Count
    label_width: Millimetres
    label_height: Millimetres
    left: Offset
    top: Offset
    pitch_across: Millimetres | None = None
    pitch_down: Millimetres | None = None
    corner: Offset = 0.0

    @property
    def count(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows

    @property
    def across(self) -> float:
        """From one label's left edge to the next one's."""
        return self.pitch_across or self.label_width

    @property
    def down(self) -> float:
        """From one label's top edge to the next one's."""
        return self.pitch_down or self.label_height

    def label(self, position: int) -> LabelBox:
        """A label by its position: 1 is the first, counted across and then down."""
        row, column = divmod(position - 1, self.columns)
        left, top = self.left + column * self.across, self.top + row * self.down
        return LabelBox(left, top, self.label_width, self.label_height)

    @model_validator(mode="after")
    def _possible(self) -> Self:
        for problem in (
            *_overlap("across", self.columns, self.across, self.label_width),
            *_overlap("down", self.rows, self.down, self.label_height),
            *_beyond("right", self.label(self.count).right, self.page_width),
            *_beyond("bottom", self.label(self.count).bottom, self.page_height),
            *_too_round(self.corner, min(self.label_width, self.label_height)),
        ):
            raise PydanticCustomError("stock", "{problem}", {"problem": problem})
        return self


def _overlap(way: str, labels: int, pitch: float, length: float) -> Iterable[str]:
    if labels > 1 and pitch < length - TOUCHING:
        yield f"The labels overlap: their pitch {way} is {pitch:g} mm, and one is {length:g} mm"


def _beyond(edge: str, end: float, page: float) -> Iterable[str]:
    if end > page + TOUCHING:
        yield f"The last label ends {end - page:.1f} mm beyond the page's {edge} edge at {page:g} mm"


def _too_round(corner: float, shorter: float) -> Iterable[str]:
    if corner > shorter / 2:
        yield f"A corner of {corner:g} mm is more than half of the label's {shorter:g} mm"


class StockFile(Record):
    """A file of stocks by their names; ``null`` takes one away that ships."""

    stocks: ById[Stock | None]


def shelf(*files: StockFile) -> Mapping[str, Stock]:
    """The stocks of all files; a later file's stock replaces an earlier one of the same name, and
    ``null`` takes it away."""
    said = {name: stock for file in files for name, stock in file.stocks.items()}
    return {name: stock for name, stock in said.items() if stock is not None}


def chosen(stocks: Mapping[str, Stock], name: str) -> Stock:
    """The label stock with this name."""
    if name not in stocks:
        hint = suggestion(name, stocks, "There are")
        raise UsageError(f"There is no label stock '{name}'. {hint}")
    return stocks[name]


def takes(stock: Stock, size: LabelSize) -> bool:
    """Whether a sticker of a size fits on this stock's labels."""
    drawn = SIZES[size]
    return (
        drawn.width <= stock.label_width + TOUCHING
        and drawn.height <= stock.label_height + TOUCHING
    )


def fitting(stocks: Mapping[str, Stock], sizes: Iterable[LabelSize]) -> tuple[str, ...]:
    """The names of the stocks that take stickers of all these sizes."""
    wanted = set(sizes)
    return tuple(name for name, each in stocks.items() if all(takes(each, size) for size in wanted))


def require_fit(stock: Stock, sizes: Iterable[LabelSize]) -> None:
    """Refuse a stock whose labels are too small for one of these sizes."""
    for size in dict.fromkeys(sizes):
        if not takes(stock, size):
            drawn = SIZES[size]
            takes_these = [each for each in SIZES if takes(stock, each)]
            raise HandoverError(
                f"A {size} sticker is {drawn.width:g} mm wide and {drawn.height:g} mm high; this "
                f"stock's labels are {stock.label_width:g} mm by {stock.label_height:g} mm. "
                f"They take stickers that are {' or '.join(takes_these) or 'smaller than any here'}."
            )
