"""One sticker: its symbol against two other libraries, its text in its place, its drawings to scale."""

import re
from io import BytesIO
from itertools import pairwise
from xml.etree import ElementTree

import cv2
import numpy as np
import pytest
import segno
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as some
from PIL import Image

from builder.craft.symbols import outline
from builder.errors import HandoverError
from builder.guide.labels import Label, LabelSize
from builder.writers.stickers.drawing import png, svg
from builder.writers.stickers.layout import SIZES, LabelLayout, LabelLine, lay_out
from builder.writers.stickers.matrix import ALPHANUMERIC, CAPACITIES, modules, symbol
from builder.writers.stickers.text import grouped

CODE = "7K3M9QXA2B4C5D"
LONGEST = f"HTTPS://{'G' * 42}/Q/{CODE}"
GAS = (
    "Turn it off and leave if you smell gas. Only a registered gas engineer may turn gas on again."
)
SVG = "{http://www.w3.org/2000/svg}"


def label(size: LabelSize = "standard", **changed: str | None) -> Label:
    values: dict[str, str | None] = {
        "code": CODE,
        "address": f"HTTPS://ML.LARKFIELD.EXAMPLE/Q/{CODE}",
        "plot": "Mill Lane, plot 7",
        "equipment": "Consumer unit",
        "room": "Hall",
        "where": "in the cupboard beside the front door",
        "caution": None,
    }
    return Label(**{**values, **changed}, size=size)  # type: ignore[arg-type]


@pytest.mark.parametrize(("version", "capacity"), [(1, 16), (2, 29), (3, 47), (4, 67)])
def test_sizes_and_capacities_are_those_of_the_standard(version: int, capacity: int) -> None:
    """ISO/IEC 18004, from memory: 17 + 4v modules a side; alphanumeric characters at level Q."""
    assert CAPACITIES[version] == capacity
    assert modules(version) == 17 + 4 * version
    assert len(symbol("A" * capacity)) == 17 + 4 * version
    if version < 4:
        assert len(symbol("A" * (capacity + 1))) == 21 + 4 * version


@pytest.mark.parametrize("length", [1, 16, 17, 29, 30, 45, 47, 48, 67])
def test_another_encoder_makes_the_same_symbol(length: int) -> None:
    """Each library weighs masks in its own way; with the same mask all modules agree."""
    text = (f"HTTPS://ML.LARKFIELD.EXAMPLE/Q/{CODE}" + ALPHANUMERIC)[:length]
    ours = symbol(text)
    theirs = [
        segno.make(text, mode="alphanumeric", error="q", mask=mask, boost_error=False, micro=False)
        for mask in range(8)
    ]
    assert ours in [tuple(tuple(map(bool, row)) for row in each.matrix) for each in theirs]


@given(some.text(ALPHANUMERIC, min_size=1, max_size=67))
@settings(max_examples=40)
def test_two_decoders_read_what_was_written(text: str) -> None:
    grey = np.where(np.pad(np.array(symbol(text)), 4), 0, 255).astype(np.uint8)
    large = np.kron(grey, np.ones((8, 8), np.uint8))
    (read,) = zxingcpp.read_barcodes(large)
    assert read.text == text
    assert read.extra["ECLevel"] == "Q"
    assert cv2.QRCodeDetector().detectAndDecode(large)[0] in (text, "")


@pytest.mark.parametrize("size", SIZES)
def test_both_decoders_read_a_clean_sticker(size: LabelSize) -> None:
    each = label(size, caution=GAS)
    grey = np.array(Image.open(BytesIO(png(each, 508))))
    assert [read.text for read in zxingcpp.read_barcodes(grey)] == [each.address]
    assert cv2.QRCodeDetector().detectAndDecode(grey)[0] == each.address


def test_an_address_that_no_symbol_holds_is_refused_with_the_numbers() -> None:
    with pytest.raises(HandoverError) as refused:
        symbol(f"HTTPS://{'G' * 43}/Q/{CODE}")
    assert str(refused.value).endswith(
        "has 68 characters; the largest symbol of a sticker (version 4, level Q) holds 67. "
        "Shorten the development's web address by 1."
    )


@pytest.mark.parametrize("strange", ["https://a.example", "HTTPS://Ä.EXAMPLE", "A_B", ""])
def test_an_address_outside_the_alphanumeric_set_is_refused(strange: str) -> None:
    with pytest.raises(HandoverError, match="cannot be a sticker's address"):
        symbol(strange)


def test_the_outline_paints_exactly_the_dark_modules() -> None:
    matrix = symbol(LONGEST)
    side = len(matrix) * 4
    painted = np.zeros((side, side), np.uint8)
    for loop in outline(matrix):
        for (across, down), (next_across, next_down) in pairwise((*loop, loop[0])):
            assert (across == next_across) != (down == next_down)
            if across == next_across:
                top, bottom = sorted((down * 4, next_down * 4))
                painted[top:bottom, across * 4 :] ^= 1
    assert np.array_equal(painted, np.kron(np.array(matrix, np.uint8), np.ones((4, 4), np.uint8)))


@pytest.mark.parametrize("size", SIZES)
def test_sizes_hold_the_largest_symbol_and_say_how_far_they_scan(size: LabelSize) -> None:
    layout = lay_out(label(size, address=LONGEST))
    assert layout.module >= 0.5
    assert layout.symbol.width == pytest.approx(33 * layout.module)
    assert layout.quiet.left >= 0 <= layout.quiet.top
    assert layout.quiet.bottom <= layout.height
    assert layout.scan_distance == pytest.approx(10 * layout.symbol.width)


WORDS = some.text(min_size=1, max_size=130)
READABLE = some.lists(some.text("abcdefgWMil .", min_size=1, max_size=18), min_size=1, max_size=14)


@given(
    size=some.sampled_from(sorted(SIZES)),
    host=some.integers(1, 42),
    equipment=WORDS | READABLE.map(" ".join),
    room=WORDS,
    plot=WORDS,
    caution=some.none() | WORDS | READABLE.map(" ".join),
)
@settings(max_examples=150)
def test_no_text_leaves_the_label_or_touches_another(
    size: LabelSize, host: int, equipment: str, room: str, plot: str, caution: str | None
) -> None:
    each = label(
        size,
        address=f"HTTPS://{'G' * host}/Q/{CODE}",
        equipment=equipment,
        room=room,
        plot=plot,
        caution=caution,
    )
    layout = lay_out(each)
    assert_in_place(layout)
    assert grouped(CODE) in [line.text for line in layout.lines]
    ElementTree.fromstring(svg(each))


def assert_in_place(layout: LabelLayout) -> None:
    rim = SIZES["small"].edge - 1e-6
    for line in layout.lines:
        assert line.left >= layout.quiet.right
        assert line.left + line.width <= layout.width - rim
        assert top(line) >= rim - 0.01
        assert bottom(line) <= layout.height - rim + 0.01
    for upper, lower in pairwise(sorted(layout.lines, key=lambda line: line.baseline)):
        assert bottom(upper) <= top(lower) + 1e-6
    for patch in layout.patches:
        for across, down in patch.corners:
            assert layout.quiet.right <= across <= layout.width - rim
            assert rim <= down <= layout.height - rim
    light = [line for line in layout.lines if line.light]
    if light:
        (left, upper), _, (right, lower), _ = layout.patches[0].corners
        assert all(left < line.left and line.left + line.width <= right for line in light)
        assert all(upper < top(line) and bottom(line) < lower for line in light)


def top(line: LabelLine) -> float:
    return line.baseline - 0.86 * line.size


def bottom(line: LabelLine) -> float:
    return line.baseline + 0.25 * line.size


@pytest.mark.parametrize("size", ["standard", "large"])
def test_a_caution_is_printed_whole(size: LabelSize) -> None:
    each = label(size, address=LONGEST, equipment="Gas emergency valve", caution=GAS)
    said = " ".join(line.text for line in lay_out(each).lines if line.light)
    assert said == GAS


def test_a_caution_with_too_little_room_keeps_whole_sentences() -> None:
    each = label("small", address=LONGEST, caution="Pipes are hot. " * 20)
    said = " ".join(line.text for line in lay_out(each).lines if line.light)
    assert re.fullmatch(r"(Pipes are hot\. ?)+", said)


def test_a_plot_that_is_cut_keeps_its_number() -> None:
    each = label("small", address=LONGEST, equipment="Valve " * 20, plot="Long " * 20 + ", plot 7")
    assert any(re.fullmatch("….*, plot 7", line.text) for line in lay_out(each).lines)


def test_svg_is_in_millimetres_with_one_path_and_words_as_text() -> None:
    each = label("large", equipment="Fuses & <switches>", caution="Never take off the cover.")
    tree = ElementTree.fromstring(svg(each))
    assert tree.attrib["width"] == "99mm"
    assert tree.attrib["height"] == "57mm"
    assert tree.attrib["viewBox"] == "0 0 99 57"
    (path,) = tree.iter(f"{SVG}path")
    numbers = [float(number) for number in re.findall(r"[\d.]+", path.attrib["d"])]
    symbol_box = lay_out(each).symbol
    assert min(numbers[::2]) == pytest.approx(symbol_box.left, abs=0.001)
    assert max(numbers[::2]) == pytest.approx(symbol_box.right, abs=0.001)
    words = " ".join(text.text or "" for text in tree.iter(f"{SVG}text"))
    assert "Fuses & <switches> Hall Mill Lane, plot 7" in words
    assert "7K3M 9QXA 2B4C 5D Never take off the cover." in words
    title = tree.findtext(f"{SVG}title")
    assert title == "Fuses & <switches>, Hall, Mill Lane, plot 7"
    assert each.address in (tree.findtext(f"{SVG}desc") or "")


@pytest.mark.parametrize("size", SIZES)
def test_png_modules_are_whole_pixels_where_the_dpi_allow_it(size: LabelSize) -> None:
    """At 508 dots per inch a millimetre is 20 pixels."""
    each = label(size)
    layout = lay_out(each)
    picture = Image.open(BytesIO(png(each, 508)))
    assert picture.size == (layout.width * 20, layout.height * 20)
    assert picture.info["dpi"] == pytest.approx((508, 508), abs=0.1)
    pixels = round(layout.module * 20)
    left, upper = round(layout.symbol.left * 20), round(layout.symbol.top * 20)
    side = len(layout.matrix) * pixels
    drawn = np.array(picture)[upper : upper + side, left : left + side] == 0
    assert np.array_equal(drawn, np.kron(np.array(layout.matrix), np.ones((pixels, pixels), bool)))


@pytest.mark.parametrize("dpi", [300, 203, 96])
def test_png_keeps_the_symbols_size_where_they_do_not(dpi: int) -> None:
    layout = lay_out(label("small"))
    drawn = np.array(Image.open(BytesIO(png(label("small"), dpi)))) == 0
    part = drawn[:, : int(layout.quiet.right * dpi / 25.4)]
    columns = np.flatnonzero(part.any(axis=0))
    side = (columns[-1] - columns[0] + 1) * 25.4 / dpi
    assert side == pytest.approx(layout.symbol.width, abs=25.4 / dpi)


@pytest.mark.parametrize("dpi", [0, -1, 1201])
def test_png_refuses_senseless_resolutions(dpi: int) -> None:
    with pytest.raises(HandoverError, match="1 to 1200"):
        png(label(), dpi)


def test_the_same_label_gives_the_same_bytes() -> None:
    assert svg(label()) == svg(label())
    assert png(label(), 300) == png(label(), 300)
