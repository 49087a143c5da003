"""Sheets of stickers: stocks as data, every label read back, and how much wear a sticker survives."""

import errno
import os
import re
import resource
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
import pytest
import zxingcpp

from builder.disk import save
from builder.errors import Findings, HandoverError, UsageError
from builder.guide.labels import Label, LabelSize
from builder.guide.wall.view import Walls
from builder.home.survey import Survey
from builder.proof.sheets import ExpectedLabel, proof_of_sheet
from builder.register.codes import ALPHABET
from builder.sources.checking import check
from builder.sources.yaml_reader import read_yaml
from builder.writers.stickers.drawing import description
from builder.writers.stickers.layout import SIZES
from builder.writers.stickers.sheet import STYLE, TEMPLATE, PlacedLabel, places, write_sheet
from builder.writers.stickers.stock import (
    SHIPPED_STOCKS,
    Stock,
    StockFile,
    chosen,
    fitting,
    shelf,
)
from tests.papers import structure
from tests.rule_cases import home_with
from tests.wear import WEARS, Shot, worn

PROJECT = Path(__file__).parent.parent
SHEET = PROJECT / TEMPLATE
HOST = "HTTPS://ML.LARKFIELD.EXAMPLE/Q/"
STOCK_OF: Mapping[LabelSize, str] = {
    "small": "a4-48-of-45x21",
    "standard": "a4-21-of-63x38",
    "large": "a4-10-of-99x57",
}
LEAST = {
    "none": 1.0,
    "rotated": 1.0,
    "blurred": 1.0,
    "torn 15 %, free corner": 1.0,
    "torn 15 %, anywhere": 0.05,
    "low light": 1.0,
    "glare": 1.0,
    "glare, burnt out": 0.7,
    "at an angle": 1.0,
    "angle, turned, dim, soft": 1.0,
}
"""The least share that zxing-cpp must read after each kind of wear, whatever the size. No decoder
can help where a finder pattern is gone: torn off anywhere, or burnt out."""


def read_stocks(text: str, file: str, findings: Findings) -> StockFile | None:
    entry = read_yaml(text, file, findings)
    return check(entry, StockFile, findings) if entry else None


@pytest.fixture(scope="module")
def stocks() -> Mapping[str, Stock]:
    findings = Findings()
    text = (PROJECT / SHIPPED_STOCKS).read_text(encoding="utf-8")
    file = read_stocks(text, SHIPPED_STOCKS, findings)
    assert not list(findings)
    assert file is not None
    return shelf(file)


def labels(count: int, size: LabelSize = "standard") -> tuple[Label, ...]:
    return tuple(_label(number, size) for number in range(count))


def _label(number: int, size: LabelSize) -> Label:
    mixed = number * 2654435761 % 32**7
    code = "".join(ALPHABET[mixed >> (5 * place) & 31] for place in range(7)) * 2
    caution = "Never take off the cover. Call a registered electrician." if number % 3 else None
    return Label(code, HOST + code, "Mill Lane, plot 7", f"Consumer unit {number}", "Hall", "left of the front door", caution, size)  # fmt: skip


def expected(placed: Sequence[PlacedLabel]) -> list[ExpectedLabel]:
    return [
        ExpectedLabel(
            each.label.address,
            each.page,
            each.position,
            each.place.left,
            each.place.top,
            each.place.width,
            each.place.height,
            each.module,
        )
        for each in placed
    ]


def pages(pdf: bytes, dpi: int) -> list[np.ndarray]:
    document = pypdfium2.PdfDocument(pdf)
    return [page.render(scale=dpi / 72, grayscale=True).to_numpy().copy() for page in document]


def codes_of(found: Sequence[object]) -> list[str]:
    return [each.code for each in found]  # type: ignore[attr-defined]


# Stocks


def test_shipped_stocks_are_named_by_their_dimensions(stocks: Mapping[str, Stock]) -> None:
    for name, stock in stocks.items():
        paper, count, width, height = re.fullmatch(r"(a\d)-(\d+)-of-(\d+)x(\d+)", name).groups()  # type: ignore[union-attr]
        assert (stock.page_width, stock.page_height) == {"a4": (210, 297), "a5": (148, 210)}[paper]
        assert (stock.count, int(stock.label_width), int(stock.label_height)) == (
            int(count),
            int(width),
            int(height),
        )
        last = stock.label(stock.count)
        assert stock.page_width - last.right == pytest.approx(stock.left, abs=0.3)
        assert stock.page_height - last.bottom == pytest.approx(stock.top, abs=1.0)


@pytest.mark.parametrize("size", SIZES)
def test_every_size_has_a_stock(size: LabelSize, stocks: Mapping[str, Stock]) -> None:
    assert STOCK_OF[size] in fitting(stocks, [size])


OWN = "{page_width: 100, page_height: 100, columns: 2, rows: 1, label_width: 50, label_height: 30, left: 0, top: 0, "


@pytest.mark.parametrize(
    ("changed", "wrong"),
    [
        ("left: 5}", "The last label ends 5.0 mm beyond the page's right edge at 100 mm."),
        ("rows: 4}", "The last label ends 20.0 mm beyond the page's bottom edge at 100 mm."),
        ("pitch_across: 45}", "The labels overlap: their pitch across is 45 mm, and one is 50 mm."),
        ("corner: 20}", "A corner of 20 mm is more than half of the label's 30 mm."),
        ("rows: 0}", "'0' is too small."),
        ("gap: 2}", "'gap' is not known here."),
    ],
)
def test_an_impossible_stock_is_a_finding_at_its_line(changed: str, wrong: str) -> None:
    key = changed.partition(":")[0]
    line = re.sub(rf"\b{key}: \d+, ", "", OWN) + changed
    findings = Findings()
    assert read_stocks(f"stocks:\n  mine: {line}\n", "stickers/stock.yaml", findings) is None
    (found,) = findings
    if found.code == "data.range":
        assert found.wrong.startswith(("'0'", "0"))
    else:
        assert found.wrong == wrong
    assert found.place.file == "stickers/stock.yaml"
    assert found.place.line == 2


def test_a_stock_of_the_workspace_is_added_and_replaces(stocks: Mapping[str, Stock]) -> None:
    findings = Findings()
    text = f"stocks:\n  mine: {OWN}corner: 1}}\n  a4-21-of-63x38: {OWN}corner: 3}}\n"
    own = read_stocks(text, "stickers/stock.yaml", findings)
    assert own is not None
    both = shelf(StockFile(stocks=stocks), own)
    assert set(both) == {*stocks, "mine"}
    assert chosen(both, "a4-21-of-63x38").corner == 3


def test_an_unknown_stock_is_refused_with_a_near_miss(stocks: Mapping[str, Stock]) -> None:
    with pytest.raises(UsageError, match="Did you mean 'a4-21-of-63x38'"):
        chosen(stocks, "a4-21-of-63x83")


# Sheets


def test_a_sticker_too_large_for_the_stock_is_refused_with_the_numbers(
    stocks: Mapping[str, Stock],
) -> None:
    with pytest.raises(HandoverError) as refused:
        write_sheet(labels(1, "large"), stocks["a4-21-of-63x38"], 1, SHEET)
    assert str(refused.value) == (
        "A large sticker is 99 mm wide and 57 mm high; this stock's labels are 63.5 mm by 38.1 mm. "
        "They take stickers that are small or standard."
    )


@pytest.mark.parametrize("start", [0, 22, -1])
def test_a_start_beyond_the_sheet_is_refused(start: int, stocks: Mapping[str, Stock]) -> None:
    with pytest.raises(UsageError, match=f"labels 1 to 21; it cannot start at {start}"):
        write_sheet(labels(1), stocks["a4-21-of-63x38"], start, SHEET)


def test_nothing_to_print_is_refused(stocks: Mapping[str, Stock]) -> None:
    with pytest.raises(HandoverError, match="no sticker to print"):
        write_sheet((), stocks["a4-21-of-63x38"], 1, SHEET)


def test_a_missing_or_broken_template_is_named(stocks: Mapping[str, Stock], tmp_path: Path) -> None:
    stock, template = stocks["a4-21-of-63x38"], tmp_path / "sheet.typ"
    with pytest.raises(HandoverError, match=r"sheet\.typ' is missing"):
        write_sheet(labels(1), stock, 1, template)
    template.write_text("#nonsense")
    with pytest.raises(HandoverError, match=r"(?s)sheet\.typ' cannot be set: .*unknown variable"):
        write_sheet(labels(1), stock, 1, template)


@pytest.mark.parametrize("size", SIZES)
def test_every_label_is_read_back_at_300_dpi(size: LabelSize, stocks: Mapping[str, Stock]) -> None:
    """Two sheets of each size, the first begun at label 4. The proof measures to 0.2 mm."""
    stock = stocks[STOCK_OF[size]]
    printed, start = labels(stock.count, size), 4
    placed = places(printed, stock, start)
    assert [(each.page, each.position) for each in placed[:2]] == [(1, 4), (1, 5)]
    assert (placed[-1].page, placed[-1].position) == (2, 3)
    pdf = write_sheet(printed, stock, start, SHEET)
    assert list(proof_of_sheet(pdf, expected(placed), "sheet.pdf")) == []


def test_all_sizes_go_on_one_sheet_and_every_shipped_stock_prints(
    stocks: Mapping[str, Stock],
) -> None:
    for stock in stocks.values():
        fit = [
            size for size in SIZES if stock in [stocks[name] for name in fitting(stocks, [size])]
        ]
        printed = [_label(number, size) for number, size in enumerate(fit * 2)]
        pdf = write_sheet(printed, stock, 1, SHEET)
        assert list(proof_of_sheet(pdf, expected(places(printed, stock)), "sheet.pdf")) == []


def test_another_reader_measures_the_same_module(stocks: Mapping[str, Stock]) -> None:
    """By run lengths in one row of the raster, without any decoder: the top edge of a finder."""
    stock, dpi = stocks[STOCK_OF["large"]], 600
    (placed,) = places(labels(1, "large"), stock)
    (sheet, _) = pages(write_sheet([placed.label], stock, 1, SHEET), dpi)
    scale = dpi / 25.4
    row = sheet[round((placed.symbol.top + placed.module / 2) * scale)] < 128
    dark = np.flatnonzero(row[: round(placed.symbol.right * scale) + 20])
    assert dark[0] / scale == pytest.approx(placed.symbol.left, abs=0.1)
    finder = np.flatnonzero(~row[dark[0] :])[0] / scale
    assert finder == pytest.approx(7 * placed.module, abs=0.1)
    assert (dark[-1] + 1 - dark[0]) / scale == pytest.approx(29 * placed.module, abs=0.2)


def test_text_stays_inside_its_label_in_the_printed_fonts(stocks: Mapping[str, Stock]) -> None:
    wide = [
        Label("WWWWWWWWWWWWWW", HOST + "WWWWWWWWWWWWWW", "Mill Lane, plot WWWW", "WWWWWWW WWWWWW MMMMMM", "MMMMMMMM", "there", "WWWW MMMM WWWW MMMM.", size)
        for size in ("small", "standard")
    ]  # fmt: skip
    stock = stocks["a4-21-of-63x38"]
    document = pypdfium2.PdfDocument(write_sheet(wide, stock, 1, SHEET))
    words = document[0].get_textpage()
    for number in range(words.count_rects()):
        left, low, right, high = (each * 25.4 / 72 for each in words.get_rect(number))
        boxes = [each for each in places(wide, stock) if each.place.left <= left < each.place.right]
        (box,) = boxes
        assert left > box.symbol.right + 3.9 * box.module
        assert right < box.place.right - 0.9
        assert box.place.top + 0.9 < stock.page_height - high
        assert stock.page_height - low < box.place.bottom - 0.9


def test_the_fixing_list_names_every_sticker_in_order(stocks: Mapping[str, Stock]) -> None:
    stock = stocks["a4-48-of-45x21"]
    printed = labels(60, "small")
    document = pypdfium2.PdfDocument(write_sheet(printed, stock, 10, SHEET))
    text = " ".join(
        " ".join(page.get_textpage().get_text_range().split()) for page in list(document)[2:]
    )
    assert "This bar is 50 mm long" in text
    places_in_text = [text.index(f"Consumer unit {number} ") for number in range(60)]
    assert places_in_text == sorted(places_in_text)
    first = printed[0].code
    assert (
        f"1 1 10 Consumer unit 0 Hall left of the front door Mill Lane, plot 7 {first[:4]}" in text
    )
    assert "40 2 1 Consumer unit 39 Hall" in text
    assert "On the walls" not in text, "no wall is known of these"


def test_the_fixing_list_draws_each_wall_once_with_the_numbers_of_its_stickers(
    stocks: Mapping[str, Stock],
) -> None:
    """Two things on the wall of the living room to the hall, one on its front wall, one on the ceiling; and
    the first of them in another plot too, which is another wall."""
    spots = {"one": [5.1, 3.6], "two": [5.1, 5.5], "front": [8.6, 0.1], "ceiling": [7, 3]}
    changes = {"windows": {"living-window": None}, "equipment": {name: {"kind": "doorbell", "room": "living", "place": "somewhere", "height": 1.2, "at": at} for name, at in spots.items()}}  # fmt: skip
    home = home_with(changes).home
    walls = Walls(Survey(home))
    views = [walls.view(home.equipment[name]) for name in spots]
    printed = [replace(label, wall=view) for label, view in zip(labels(5), [*views, views[0]], strict=True)]  # fmt: skip
    printed[4] = replace(printed[4], plot="Mill Lane, plot 8")
    style = (PROJECT / STYLE).read_text(encoding="utf-8")
    pdf = pypdfium2.PdfDocument(write_sheet(printed, stocks["a4-21-of-63x38"], 1, SHEET, style))
    text = " ".join(pdf[len(pdf) - 1].get_textpage().get_text_range().split())
    hall = "Living room: face the wall towards the hall."
    assert text.count(hall) == 2
    assert f"Mill Lane, plot 7 {hall} 1. Consumer unit 0. It is about 1.2 m above the floor, and about 20 cm to the right of the door. 2. Consumer unit 1. It is about 1.2 m above the floor, and about 45 cm from the" in text  # fmt: skip
    assert "face the wall at the front of the home. 3. Consumer unit 2. It is about 1.2 m" in text
    assert "4. Consumer unit 3" not in text, "nothing is drawn of what is on no wall"
    assert f"Mill Lane, plot 8 {hall} 5. Consumer unit 4. It is about" in text


def test_fonts_are_inside_and_the_symbols_are_not_pictures(stocks: Mapping[str, Stock]) -> None:
    pdf = write_sheet(labels(3), stocks["a4-21-of-63x38"], 1, SHEET)
    kinds = {each.type for page in pypdfium2.PdfDocument(pdf) for each in page.get_objects()}
    assert pypdfium2.raw.FPDF_PAGEOBJ_IMAGE not in kinds
    assert pdf.count(b"/FontFile") >= 2
    assert b"/MarkInfo" in pdf
    assert b"pdfuaid" in pdf


def test_a_roll_of_labels_gets_a_list_wide_enough_to_read() -> None:
    roll = Stock(page_width=100, page_height=60, columns=1, rows=1, label_width=100, label_height=60, left=0, top=0)  # fmt: skip
    pdf = write_sheet(labels(3, "large"), roll, 1, SHEET)
    assert list(proof_of_sheet(pdf, expected(places(labels(3, "large"), roll)), "s.pdf")) == []
    sizes = [page.get_size() for page in pypdfium2.PdfDocument(pdf)]
    assert [round(width * 25.4 / 72) for width, _ in sizes] == [100, 100, 100, 210]


def test_the_same_labels_give_the_same_bytes_in_another_process(
    stocks: Mapping[str, Stock], tmp_path: Path
) -> None:
    stock = stocks["a4-21-of-63x38"]
    program = (
        "import sys; from pathlib import Path; from tests.test_sticker_sheets import *; "
        f"stock = Stock.model_validate_json({stock.model_dump_json()!r}); "
        f"save(Path({str(tmp_path / 'other.pdf')!r}), write_sheet(labels(5), stock, 2, SHEET))"
    )
    elsewhere = {**os.environ, "TZ": "Asia/Tokyo", "PYTHONHASHSEED": "7"}
    subprocess.run([sys.executable, "-c", program], check=True, cwd=PROJECT, env=elsewhere)
    assert (tmp_path / "other.pdf").read_bytes() == write_sheet(labels(5), stock, 2, SHEET)


# The proof finds what is wrong


@pytest.fixture(scope="module")
def printed_three(stocks: Mapping[str, Stock]) -> tuple[bytes, list[ExpectedLabel]]:
    stock = stocks["a4-21-of-63x38"]
    return write_sheet(labels(3), stock, 5, SHEET), expected(places(labels(3), stock, 5))


def test_the_proof_names_the_label_of_a_wrong_address(
    printed_three: tuple[bytes, list[ExpectedLabel]],
) -> None:
    pdf, right = printed_three
    wrong = [right[0], replace(right[1], address=HOST + "X"), right[2]]
    (found,) = proof_of_sheet(pdf, wrong, "sheet.pdf")
    assert found.code == "proof.sheet-address"
    assert str(found).startswith("sheet.pdf:1:1: error proof.sheet-address\n  Page 1, label 6: ")
    assert right[1].address in found.wrong
    assert HOST + "X" in found.wrong


def test_the_proof_finds_stray_unread_and_missing(
    printed_three: tuple[bytes, list[ExpectedLabel]], stocks: Mapping[str, Stock]
) -> None:
    pdf, right = printed_three
    more = expected(places(labels(30), stocks["a4-21-of-63x38"], 5))
    assert codes_of(list(proof_of_sheet(pdf, right[:2], "s.pdf"))) == ["proof.sheet-stray"]
    unread = list(proof_of_sheet(pdf, [*right, more[5]], "s.pdf"))
    assert codes_of(unread) == ["proof.sheet-unread"]
    assert "Page 1, label 10: no code can be read" in unread[0].wrong
    beyond = [replace(right[0], page=9)]
    assert codes_of(list(proof_of_sheet(pdf, beyond, "s.pdf")))[0] == "proof.sheet-page"
    assert codes_of(list(proof_of_sheet(b"no PDF", right, "s.pdf"))) == ["proof.sheet-file"]


def test_the_proof_measures(printed_three: tuple[bytes, list[ExpectedLabel]]) -> None:
    """0.2 mm over the symbol of 21.75 mm: a module that is 0.01 mm off is found."""
    pdf, right = printed_three
    other = [replace(each, module=each.module + 0.01) for each in right]
    found = list(proof_of_sheet(pdf, other, "s.pdf"))
    assert codes_of(found) == ["proof.sheet-size"] * 6
    assert "a module is 0.75" in found[0].wrong
    narrow = [replace(each, left=each.left + 2.5) for each in right]
    assert codes_of(list(proof_of_sheet(pdf, narrow, "s.pdf"))) == ["proof.sheet-edge"] * 3


def test_the_proof_sees_a_sheet_printed_too_small_and_ink_in_the_quiet_zone(
    stocks: Mapping[str, Stock], tmp_path: Path
) -> None:
    stock, template = stocks["a4-21-of-63x38"], tmp_path / "sheet.typ"
    right = expected(places(labels(2), stock))
    text = SHEET.read_text(encoding="utf-8")
    shrunk = text.replace("let sticker(each) = at(each.left, each.top, {", "let sticker(each) = at(each.left, each.top, scale(97%, origin: top + left, {")  # fmt: skip
    template.write_text(
        shrunk.replace("written(line) }\n})", "written(line) }\n}))"), encoding="utf-8"
    )
    small = write_sheet(labels(2), stock, 1, template)
    assert set(codes_of(list(proof_of_sheet(small, right, "s.pdf")))) == {"proof.sheet-size"}
    inked = text.replace(
        "for patch in each.patches {",
        "at(1.5, 10, rect(width: 0.9mm, height: 9mm, fill: black)); for patch in each.patches {",
    )
    assert shrunk != text != inked
    template.write_text(inked, encoding="utf-8")
    blotted = write_sheet(labels(2), stock, 1, template)
    assert "proof.sheet-quiet" in codes_of(list(proof_of_sheet(blotted, right, "s.pdf")))


# Saving


def test_a_full_disk_leaves_the_old_sheet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "sheet.pdf"
    save(path, b"old")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(HandoverError, match=r"No space left on device\. The old file is as it was"):
        save(path, b"new")
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_write_that_breaks_off_leaves_no_half_file(tmp_path: Path) -> None:
    """With a real limit on the size of files, which the system enforces in the middle of a write."""
    path = tmp_path / "sheet.pdf"
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1000, before[1]))
    try:
        with pytest.raises(HandoverError, match=r"File too large\. Nothing was written"):
            save(path, b"x" * 5000)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_missing_is_a_clear_error(tmp_path: Path) -> None:
    with pytest.raises(HandoverError, match="No such file or directory"):
        save(tmp_path / "none" / "sheet.pdf", b"new")


# Wear


def shots(size: LabelSize, stock: Stock, dpi: int = 200) -> list[tuple[str, Shot]]:
    """Twelve labels of one printed sheet as a scanner at 200 dpi sees them, a label each."""
    printed = labels(10 if size == "large" else 12, size)
    placed = places(printed, stock)
    sheet = pages(write_sheet(printed, stock, 1, SHEET), dpi)[0]
    return [(each.label.address, _shot(each, sheet, dpi / 25.4)) for each in placed]


def _shot(placed: PlacedLabel, sheet: np.ndarray, scale: float) -> Shot:
    place, quiet = placed.place, 4 * placed.module
    left, top = round(place.left * scale), round(place.top * scale)
    part = sheet[top : round(place.bottom * scale), left : round(place.right * scale)]
    return Shot(
        np.pad(part, 8, constant_values=255),
        (placed.symbol.left - quiet) * scale - left + 8,
        (placed.symbol.top - quiet) * scale - top + 8,
        (placed.symbol.width + 2 * quiet) * scale,
        scale,
    )


def test_how_many_stickers_survive_wear(stocks: Mapping[str, Stock]) -> None:
    """Prints the table with ``pytest -s``; asserts what must hold for every size."""
    rates = {size: survival(shots(size, stocks[STOCK_OF[size]])) for size in SIZES}
    sys.stdout.write(as_table(rates))
    for size, of_size in rates.items():
        for wear, (rate, _) in of_size.items():
            assert rate >= LEAST[wear], f"{size}, {wear}: {rate:.0%}"
        assert of_size["none"][1] == 1.0, f"{size}: the second decoder"


Survival = Mapping[str, tuple[float, float]]


def survival(seen: Sequence[tuple[str, Shot]]) -> Survival:
    """For each wear: the shares that zxing-cpp and OpenCV read."""
    rates = {}
    for wear in WEARS:
        pictures = [(text, worn(shot, wear, seed)) for seed, (text, shot) in enumerate(seen)]
        first = sum(_zxing(picture) == text for text, picture in pictures)
        second = sum(_opencv(picture, seen[0][1]) == text for text, picture in pictures)
        rates[wear] = (first / len(seen), second / len(seen))
    return rates


def _zxing(picture: np.ndarray) -> str:
    read = zxingcpp.read_barcodes(np.ascontiguousarray(picture))
    return read[0].text if read else ""


def _opencv(picture: np.ndarray, shot: Shot) -> str:
    """It wants about eight pixels a module; small symbols are shown to it in twice their size."""
    times = 2 if shot.side < 200 else 1
    large = cv2.resize(picture, None, fx=times, fy=times, interpolation=cv2.INTER_CUBIC)
    try:
        return cv2.QRCodeDetector().detectAndDecode(large)[0]
    except cv2.error:
        return ""


def as_table(rates: Mapping[LabelSize, Survival]) -> str:
    lines = ["", f"{'survival at 200 dpi':28}" + "".join(f"{size:>20}" for size in rates)]
    for wear in WEARS:
        cells = (of_size[wear] for of_size in rates.values())
        shares = "".join(f"{first:>12.0%} ({second:>4.0%})" for first, second in cells)
        lines.append(f"{wear:28}{shares}")
    return "\n".join((*lines, "zxing-cpp (OpenCV)", ""))


def test_a_reader_by_ear_hears_what_each_symbol_is(stocks: Mapping[str, Stock]) -> None:
    """Read from the PDF's structure by pdfium, which had no part in writing it."""
    printed = labels(3, "standard")
    found = structure(write_sheet(printed, stocks["a4-21-of-63x38"], 1, SHEET))
    heard = [each.alternative for each in found if each.type == "Figure"]
    assert heard == [description(each) for each in printed]
