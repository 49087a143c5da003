"""Draws one sticker, true to the millimetre: as SVG for printers, as PNG for screens."""

from collections.abc import Iterator
from html import escape
from io import BytesIO

from PIL import Image, ImageDraw

from builder.craft.symbols import Matrix, outline
from builder.errors import HandoverError
from builder.guide.labels import Label
from builder.writers.stickers.layout import LabelBox, LabelLayout, LabelLine, Patch, lay_out
from builder.writers.stickers.text import font, grouped, plain_letters, tidy

MILLIMETRES_PER_INCH = 25.4
DPI = 1200
"""The finest picture: a large sticker has 12.5 million pixels then."""

SANS = "Arial, Helvetica, 'Liberation Sans', sans-serif"
FIXED = "Consolas, Menlo, 'Liberation Mono', monospace"
DARK, LIGHT = "#000", "#fff"


def svg(label: Label) -> str:
    """The sticker as a picture of its own, in millimetres, with its words as text."""
    layout = lay_out(label)
    across, down = _number(layout.width), _number(layout.height)
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{across}mm" height="{down}mm" '
            f'viewBox="0 0 {across} {down}" role="img" aria-labelledby="t d">',
            f'<title id="t">{escape(title(label))}</title>',
            f'<desc id="d">{escape(description(label))}</desc>',
            f'<rect width="{across}" height="{down}" fill="{LIGHT}"/>',
            _symbol(layout),
            *map(_patch, layout.patches),
            *map(_text, layout.lines),
            "</svg>\n",
        )
    )


def title(label: Label) -> str:
    """What a sticker is for, in one line."""
    return tidy(f"{label.equipment}, {label.room}, {label.plot}")


def description(label: Label) -> str:
    """What a sticker holds, for people who cannot see it."""
    caution = f" Caution: {label.caution}" if label.caution else ""
    return tidy(f"QR code for {label.address}. Code to type: {grouped(label.code)}.{caution}")


def _symbol(layout: LabelLayout) -> str:
    """One path; the fill rule does not matter, since holes run the other way round."""
    parts = (
        "M" + "L".join(f"{_number(x)} {_number(y)}" for x, y in loop) + "Z"
        for loop in symbol_outline(layout)
    )
    return f'<path fill="{DARK}" d="{"".join(parts)}"/>'


def symbol_outline(layout: LabelLayout) -> Iterator[tuple[tuple[float, float], ...]]:
    """The closed borders of the dark modules, in millimetres on the label."""
    for loop in outline(layout.matrix):
        yield tuple(
            (
                layout.symbol.left + column * layout.module,
                layout.symbol.top + row * layout.module,
            )
            for column, row in loop
        )


def _patch(patch: Patch) -> str:
    points = " ".join(f"{_number(x)},{_number(y)}" for x, y in patch.corners)
    return f'<polygon fill="{LIGHT if patch.light else DARK}" points="{points}"/>'


def _text(line: LabelLine) -> str:
    """``textLength`` keeps a line in its place whatever font the reader's machine has."""
    weight = ' font-weight="bold"' if line.bold else ""
    return (
        f'<text x="{_number(line.left)}" y="{_number(line.baseline)}" '
        f'font-size="{_number(line.size)}" font-family="{FIXED if line.fixed else SANS}"{weight} '
        f'fill="{LIGHT if line.light else DARK}" textLength="{_number(line.width)}" '
        f'lengthAdjust="spacingAndGlyphs">{escape(line.text)}</text>'
    )


def _number(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")


def png(label: Label, dpi: int) -> bytes:
    """The sticker as grey pixels; its modules are all alike where a whole number of pixels fits."""
    if not 1 <= dpi <= DPI:
        raise HandoverError(f"A picture of {dpi} dots per inch cannot be drawn: 1 to {DPI} can.")
    layout = lay_out(label)
    scale = dpi / MILLIMETRES_PER_INCH
    pixels = (max(1, round(layout.width * scale)), max(1, round(layout.height * scale)))
    picture = Image.new("L", pixels, 255)
    draw = ImageDraw.Draw(picture)
    for module in _module_pixels(layout.matrix, layout.symbol, layout.module, scale):
        draw.rectangle(module, fill=0)
    for patch in layout.patches:
        corners = [(x * scale, y * scale) for x, y in patch.corners]
        draw.polygon(corners, fill=255 if patch.light else 0)
    for line in layout.lines:
        _write(draw, line, scale)
    return _saved(picture, dpi)


def _module_pixels(
    matrix: Matrix, place: LabelBox, module: float, scale: float
) -> Iterator[tuple[int, int, int, int]]:
    """The first and last pixel of every dark module, across and down.

    The symbol begins on a whole pixel; the edges of modules are rounded one by one, so that the
    symbol as a whole keeps its size.
    """
    left, top = round(place.left * scale), round(place.top * scale)
    edges = [round(step * module * scale) for step in range(len(matrix) + 1)]
    for row, line in enumerate(matrix):
        for column, dark in enumerate(line):
            if dark and edges[column] < edges[column + 1] and edges[row] < edges[row + 1]:
                yield (
                    left + edges[column],
                    top + edges[row],
                    left + edges[column + 1] - 1,
                    top + edges[row + 1] - 1,
                )


def _write(draw: ImageDraw.ImageDraw, line: LabelLine, scale: float) -> None:
    """A line in Pillow's font, made smaller where its letters are wider than was laid out."""
    letters = plain_letters(line.text)
    stroke = 0.02 * line.size * scale if line.bold else 0.0
    size = line.size * scale
    natural = font(1000).getlength(letters) * size / 1000 + 2 * stroke
    size *= min(1.0, line.width * scale / max(natural, 0.01))
    if size >= 1:
        place = (line.left * scale + stroke, line.baseline * scale)
        fill = 255 if line.light else 0
        draw.text(place, letters, fill, font(size), "ls", stroke_width=stroke)


def _saved(picture: Image.Image, dpi: int) -> bytes:
    stream = BytesIO()
    picture.save(stream, "PNG", dpi=(dpi, dpi), optimize=True)
    return stream.getvalue()
