"""``handover stickers`` as people type it: issue, print, draw, take back."""

from pathlib import Path

import numpy
import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from builder.register import printing
from tests.broken_workspaces import run
from tests.conftest import COTTAGE

STOCK = "a4-10-of-99x57"


def stickers(workspace: Path, *arguments: str) -> tuple[int, str]:
    result = run("stickers", *arguments, "--workspace", str(workspace))
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.output


def register_of(workspace: Path) -> list[list[str]]:
    file = workspace / "developments" / "riverside" / "register.csv"
    return [line.split(",") for line in file.read_text(encoding="utf-8").splitlines()[1:]]


def code_of(workspace: Path, plot: str) -> str:
    return next(row[0] for row in register_of(workspace) if row[2:4] == ["sticker", plot])


@pytest.fixture
def issued(cottage: Path) -> Path:
    assert stickers(cottage, "issue", "--date", "2026-03-01") == (
        0,
        "riverside/01  1 sticker\nriverside/02  1 sticker\n4 new codes issued.\n"
        "A sticker leads to its page after the next build: build and deploy before you stick it on.\n",
    )
    return cottage


def test_issuing_again_issues_nothing(issued: Path) -> None:
    before = register_of(issued)
    code, output = stickers(issued, "issue", "--date", "2027-03-01")
    assert code == 0
    assert output.endswith("0 new codes issued.\n")
    assert register_of(issued) == before


def test_a_sheet_is_printed_and_every_code_decodes(issued: Path, tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    code, output = stickers(issued, "sheet", "--stock", STOCK, "--start", "3", "--out", str(out))
    assert code == 0, output
    assert output.startswith(
        f"{out}: 2 stickers on 1 sheet, every code read back.\nlarge: scans from "
    )
    document = pypdfium2.PdfDocument(out)
    page = numpy.array(document[0].render(scale=300 / 72, grayscale=True).to_pil())
    assert {read.text for read in zxingcpp.read_barcodes(page)} == {
        f"HTTPS://GUIDES.EXAMPLE/Q/{code_of(issued, plot)}" for plot in ("01", "02")
    }
    listed = document[len(document) - 1].get_textpage().get_text_bounded()
    document.close()
    assert "Fixing list" in listed
    assert "in the cupboard, low on the left" in " ".join(listed.split())


def test_one_sticker_is_printed_again(issued: Path, tmp_path: Path) -> None:
    typed = code_of(issued, "02").lower().replace("0", "o")
    out = tmp_path / "again.pdf"
    code, output = stickers(issued, "sheet", "--code", typed, "--stock", STOCK, "--out", str(out))
    assert code == 0, output
    assert "1 sticker on 1 sheet," in output


def test_one_sticker_is_drawn(issued: Path, tmp_path: Path) -> None:
    code = code_of(issued, "01")
    assert stickers(issued, "draw", code, "--out", str(tmp_path / "one.svg"))[0] == 0
    assert "mm" in (tmp_path / "one.svg").read_text(encoding="utf-8")
    assert stickers(issued, "draw", code, "--out", str(tmp_path / "one.png"))[0] == 0
    with Image.open(tmp_path / "one.png") as picture:
        assert [read.text for read in zxingcpp.read_barcodes(picture)] == [
            f"HTTPS://GUIDES.EXAMPLE/Q/{code}"
        ]
    assert stickers(issued, "draw", code, "--out", str(tmp_path / "one.gif"))[0] == 2


def test_a_code_is_taken_back(issued: Path, tmp_path: Path) -> None:
    code = code_of(issued, "01")
    assert stickers(issued, "void", code, "--date", "2027-03-01") == (
        0,
        f"{code} is void. Build the plot again, and issue a new code for it.\n",
    )
    assert register_of(issued)[-1][:5] == [code, "2027-03-01", "void", "01", "stopcock"]
    assert stickers(issued, "void", code.lower()) == (
        0,
        f"{code} was void already. A new code: handover stickers issue riverside/01\n",
    )
    code_again, output = stickers(
        issued, "sheet", "--code", code, "--stock", STOCK, "--out", str(tmp_path / "s.pdf")
    )
    assert code_again == 1
    assert f"No sticker of these plots has the code '{code}'." in output


def test_the_address_of_a_guide_is_no_sticker(issued: Path) -> None:
    code = next(line[0] for line in register_of(issued) if line[2:4] == ["guide", "01"])
    assert stickers(issued, "void", code) == (
        2,
        f"Error: '{code}' is the address of the guide of riverside/01, and no sticker. "
        "For another address: handover new address riverside/01\n",
    )


def test_no_code_is_looked_for_in_a_damaged_register(issued: Path) -> None:
    """And mistakes in other data keep nobody from taking a stolen sticker back."""
    code = code_of(issued, "01")
    house = issued / "housetypes" / "cottage.yaml"
    house.write_text(house.read_text(encoding="utf-8") + "\nwrong: [", encoding="utf-8")
    register = issued / "developments" / "riverside" / "register.csv"
    whole = register.read_bytes()
    register.write_bytes(b"".join(whole.splitlines(keepends=True)[:-1]))
    status, output = stickers(issued, "void", code)
    assert (status, "error register.line" in output) == (1, True)
    register.write_bytes(whole)
    assert stickers(issued, "void", code)[0] == 0


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        (
            ("void", "6GHK85M55R7P4X"),
            2,
            "'6GHK85M55R7P4X' is not a code: a letter was lost or changed.",
        ),
        (("void", "6GHK85M55R7P4E"), 2, "No sticker has the code '6GHK85M55R7P4E'."),
        (
            ("sheet",),
            2,
            "Name a label stock and a file: --stock NAME --out FILE.pdf. Stocks that fit: a4-10-of-99x57",
        ),
        (
            ("sheet", "--stock", "a4-10-of-99x56", "--out", "s.pdf"),
            2,
            "Did you mean 'a4-10-of-99x57'?",
        ),
        (
            ("sheet", "--stock", STOCK, "--out", "s.pdf", "--start", "11"),
            2,
            "labels 1 to 10; it cannot start at 11",
        ),
        (
            ("sheet", "--stock", STOCK, "--out", "s.pdf", "--size", "small"),
            1,
            "There is no sticker to print.",
        ),
    ],
)
def test_slips_are_told(arguments: tuple[str, ...], code: int, message: str, issued: Path) -> None:
    assert stickers(issued, *arguments)[0] == code
    assert message in stickers(issued, *arguments)[1]


def test_nothing_to_print_before_codes_are_issued(tmp_path: Path) -> None:
    code, output = stickers(COTTAGE, "sheet", "--stock", STOCK, "--out", str(tmp_path / "s.pdf"))
    assert code == 1
    assert "Run: handover stickers issue riverside/01, riverside/02" in output


def test_a_host_that_is_too_long_is_told_with_the_numbers(cottage: Path) -> None:
    file = cottage / "developments" / "riverside" / "development.yaml"
    file.write_text(file.read_text().replace("guides.example", f"{'long-' * 9}guides.example"))
    code, output = stickers(cottage, "issue")
    assert code == 1
    assert "developments/riverside/development.yaml:4:13" in output
    assert "Stickers would hold 84 characters; at most 67 fit." in output
    assert "Use a host that is 17 characters shorter." in output
    assert not (cottage / "developments" / "riverside" / "register.csv").exists()


def test_a_sheet_that_reads_back_wrong_is_not_handed_out(
    issued: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A printer's fault, played by swapping two stickers: the label's position is named."""
    out = tmp_path / "sheet.pdf"
    out.write_bytes(b"the sheet of before")
    write_sheet = printing.write_sheet
    monkeypatch.setattr(
        printing, "write_sheet", lambda labels, *rest: write_sheet(labels[::-1], *rest)
    )
    code, output = stickers(issued, "sheet", "--stock", STOCK, "--out", str(out))
    assert code == 1
    assert "proof.sheet" in output
    assert "label 1" in output.lower()
    assert out.read_bytes() == b"the sheet of before"


def test_a_full_disk_while_printing_leaves_the_old_sheet_and_the_register(
    issued: Path, tmp_path: Path
) -> None:
    """A folder that is not there stands for any write that fails."""
    before = register_of(issued)
    code, output = stickers(
        issued, "sheet", "--stock", STOCK, "--out", str(tmp_path / "no" / "s.pdf")
    )
    assert code == 1
    assert "cannot be written" in output
    assert register_of(issued) == before


def test_a_stock_that_ships_is_taken_away(issued: Path, tmp_path: Path) -> None:
    own = issued / "stickers" / "stock.yaml"
    own.parent.mkdir()
    own.write_text("stocks: {a4-10-of-99x57: null}\n")
    asked = ("sheet", "--stock", "a4-10-of-99x57", "--out", str(tmp_path / "a.pdf"))
    code, output = stickers(issued, *asked)
    assert code == 2
    assert "There is no label stock 'a4-10-of-99x57'." in output
    assert run("check", "--workspace", str(issued)).exit_code == 0
    own.write_text("stocks:\n  a4-10-of-99x75: null\n")
    for told in (stickers(issued, *asked)[1], run("check", "--workspace", str(issued)).output):
        assert (
            "stickers/stock.yaml:2:3: error stickers.unknown-stock at stocks.a4-10-of-99x75" in told
        )
        assert "Did you mean 'a4-10-of-99x57'?" in told


def test_a_stock_of_one_s_own(issued: Path, tmp_path: Path) -> None:
    own = issued / "stickers" / "stock.yaml"
    own.parent.mkdir()
    own.write_text(
        "stocks:\n  roll-of-ours: {page_width: 110, page_height: 70, columns: 1, rows: 1,"
        " label_width: 105, label_height: 65, left: 2.5, top: 2.5, corner: 2}\n"
    )
    out = tmp_path / "roll.pdf"
    code, output = stickers(issued, "sheet", "--stock", "roll-of-ours", "--out", str(out))
    assert code == 0, output
    assert "2 stickers on 2 sheets" in output
    own.write_text(own.read_text().replace("columns: 1", "colums: 1"))
    code, output = stickers(issued, "sheet", "--stock", "roll-of-ours", "--out", str(out))
    assert code == 1
    assert "stickers/stock.yaml:2:" in output
    assert "Did you mean 'columns'?" in output
