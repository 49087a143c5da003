"""Reads a finished sheet of stickers back, as a phone and a ruler would.

Knows nothing of how the sheet was made: it gets the file and a list of what must stand where.
All lengths are in millimetres, from the page's top left corner.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import cast

import pypdfium2  # type: ignore[import-untyped]
import zxingcpp
from PIL import Image, ImageDraw

from builder.errors import Finding, Place

DPI = 300
POINTS_PER_INCH = 72
MILLIMETRES_PER_INCH = 25.4
TOLERANCE = 0.2
"""How far a symbol's side may be off, in mm; a pixel at 300 dpi is 0.085 mm."""

QUIET = 4
"""Light modules around a symbol (ISO/IEC 18004, from memory)."""

DARKEST = 128
"""A pixel below this is dark."""


@dataclass(frozen=True, slots=True)
class ExpectedLabel:
    """One sticker that must be on the sheet.

    ``page`` and ``position`` count from 1; the box is the label's; ``module`` is the side of one
    module of its symbol.
    """

    address: str
    page: int
    position: int
    left: float
    top: float
    width: float
    height: float
    module: float


@dataclass(frozen=True, slots=True)
class FoundSymbol:
    """One symbol as it was read: its text, its modules a side, and the box of its ink in mm."""

    text: str
    modules: int
    left: float
    top: float
    right: float
    bottom: float
    quiet: bool

    @property
    def middle(self) -> tuple[float, float]:
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2


@dataclass(frozen=True, slots=True)
class _Raster:
    """One page as grey pixels."""

    picture: Image.Image
    dpi: int

    @property
    def scale(self) -> float:
        """Pixels in a millimetre."""
        return self.dpi / MILLIMETRES_PER_INCH


def proof_of_sheet(
    pdf: bytes, expected: Iterable[ExpectedLabel], file: str, dpi: int = DPI
) -> Iterator[Finding]:
    """Everything that is wrong with a finished sheet; ``file`` is its name in the findings."""
    place, by_page = Place(file), _labels_by_page(expected)
    try:
        pages = tuple(_pages(pdf, dpi))
    except pypdfium2.PdfiumError as error:
        wrong = f"The sheet cannot be read as a PDF: {error}."
        yield Finding("proof.sheet-file", place, wrong, "Print it again.")
        return
    for number in sorted(set(by_page) - set(range(1, len(pages) + 1))):
        wrong = f"The sheet has {len(pages)} pages; page {number} is missing."
        yield Finding("proof.sheet-page", place, wrong, "Print it again.")
    for number, page in enumerate(pages, start=1):
        yield from _page(page, number, by_page.get(number, ()), place)


def _labels_by_page(expected: Iterable[ExpectedLabel]) -> Mapping[int, list[ExpectedLabel]]:
    by_page: dict[int, list[ExpectedLabel]] = defaultdict(list)
    for each in expected:
        by_page[each.page].append(each)
    return by_page


def _pages(pdf: bytes, dpi: int) -> Iterator[_Raster]:
    document = pypdfium2.PdfDocument(pdf)
    try:
        for page in document:
            bitmap = page.render(scale=dpi / POINTS_PER_INCH, grayscale=True)
            yield _Raster(bitmap.to_pil().convert("L").copy(), dpi)
    finally:
        document.close()


def _page(
    page: _Raster, number: int, expected: Iterable[ExpectedLabel], place: Place
) -> Iterator[Finding]:
    """Label by label; then what was read where nothing is expected."""
    seen = list(_symbols(page))
    for each in expected:
        on_label = [found for found in seen if _on(each, found)] or list(_closer(page, each))
        seen = [found for found in seen if found not in on_label]
        for code, wrong in _problems(each, on_label):
            label = f"Page {number}, label {each.position}"
            yield Finding(code, place, f"{label}: {wrong}", "Do not hand this sheet out.")
    for found in seen:
        across, down = found.middle
        wrong = (
            f"Page {number}: '{found.text}' stands {across:.0f} mm from the left and "
            f"{down:.0f} mm from the top, where no sticker belongs."
        )
        yield Finding("proof.sheet-stray", place, wrong, "Do not hand this sheet out.")


def _on(label: ExpectedLabel, found: FoundSymbol) -> bool:
    across, down = found.middle
    return (
        label.left <= across <= label.left + label.width
        and label.top <= down <= label.top + label.height
    )


def _symbols(page: _Raster, offset: tuple[int, int] = (0, 0)) -> Iterator[FoundSymbol]:
    """Every symbol that can be read; ``offset`` is the raster's corner on its page, in pixels."""
    formats = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])
    for read in zxingcpp.read_barcodes(page.picture, formats=formats):
        modules = 17 + 4 * int(cast("dict[str, str]", read.extra)["Version"])
        yield _measured(page, read, modules, offset)


def _measured(
    page: _Raster, read: zxingcpp.Barcode, modules: int, offset: tuple[int, int]
) -> FoundSymbol:
    """The ink of a symbol: all that is dark within two modules of its corners."""
    corners = read.position
    points = (corners.top_left, corners.top_right, corners.bottom_right, corners.bottom_left)
    left, right = min(p.x for p in points), max(p.x for p in points)
    top, bottom = min(p.y for p in points), max(p.y for p in points)
    rim = 2 * (right - left) / modules
    box = _ink(page.picture, (left - rim, top - rim, right + rim, bottom + rim))
    x, y = offset
    return FoundSymbol(
        read.text,
        modules,
        (box[0] + x) / page.scale,
        (box[1] + y) / page.scale,
        (box[2] + x) / page.scale,
        (box[3] + y) / page.scale,
        quiet=_is_quiet(page.picture, box, QUIET * (box[2] - box[0]) / modules),
    )


def _ink(picture: Image.Image, box: tuple[float, float, float, float]) -> tuple[int, int, int, int]:
    """The box of the dark pixels inside a box; the box itself where there are none."""
    left, top = max(0, round(box[0])), max(0, round(box[1]))
    right, bottom = min(picture.width, round(box[2])), min(picture.height, round(box[3]))
    part = picture.crop((left, top, right, bottom))
    dark = _dark(part)
    if dark is None:
        return left, top, right, bottom
    return left + dark[0], top + dark[1], left + dark[2], top + dark[3]


def _dark(picture: Image.Image) -> tuple[int, int, int, int] | None:
    """The box of the dark pixels, if there are any."""
    return picture.point([255 if value < DARKEST else 0 for value in range(256)]).getbbox()


def _is_quiet(picture: Image.Image, ink: tuple[int, int, int, int], rim: float) -> bool:
    """Whether all is light around the ink; a pixel of tolerance is for its soft edges."""
    reach = round(rim) - 1
    around = (ink[0] - reach, ink[1] - reach, ink[2] + reach, ink[3] + reach)
    if around[0] < 0 or around[1] < 0:
        return False
    part = picture.crop(around)
    inner = (reach - 1, reach - 1, part.width - reach, part.height - reach)
    ImageDraw.Draw(part).rectangle(inner, fill=255)
    return _dark(part) is None


def _closer(page: _Raster, label: ExpectedLabel) -> Iterator[FoundSymbol]:
    """The label alone, for one that was not read on the whole page."""
    scale = page.scale
    left, top = max(0, round(label.left * scale)), max(0, round(label.top * scale))
    right, bottom = (label.left + label.width) * scale, (label.top + label.height) * scale
    part = page.picture.crop((left, top, round(right), round(bottom)))
    yield from _symbols(_Raster(part, page.dpi), (left, top))


def _problems(label: ExpectedLabel, found: list[FoundSymbol]) -> Iterator[tuple[str, str]]:
    """The codes of what is wrong with one label, and the words."""
    if not found:
        yield "proof.sheet-unread", f"no code can be read; '{label.address}' belongs here."
    elif len(found) > 1:
        yield "proof.sheet-many", f"{len(found)} codes stand on one label."
    for each in found[:1]:
        if each.text != label.address:
            wrong = f"it leads to '{each.text}'; '{label.address}' belongs here."
            yield "proof.sheet-address", wrong
        yield from _sizes(label, each)


def _sizes(label: ExpectedLabel, found: FoundSymbol) -> Iterator[tuple[str, str]]:
    side = label.module * found.modules
    for way, measured in (
        ("wide", found.right - found.left),
        ("high", found.bottom - found.top),
    ):
        if abs(measured - side) > TOLERANCE:
            yield (
                "proof.sheet-size",
                f"its symbol is {measured:.2f} mm {way} (a module is "
                f"{measured / found.modules:.3f} mm); {side:.2f} mm is right.",
            )
    if not found.quiet:
        yield "proof.sheet-quiet", f"ink stands within {QUIET} modules of its symbol."
    if _beyond(label, found):
        yield "proof.sheet-edge", f"its symbol and {QUIET} modules around it leave the label."


def _beyond(label: ExpectedLabel, found: FoundSymbol) -> bool:
    rim = QUIET * label.module - TOLERANCE
    return (
        found.left - rim < label.left
        or found.top - rim < label.top
        or found.right + rim > label.left + label.width
        or found.bottom + rim > label.top + label.height
    )
