"""Plots from the spreadsheets of sales teams: what each row does, and that nothing else is touched."""

import csv
import io
import json
import shutil
import time
from codecs import BOM_UTF8
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner, Result
from openpyxl.utils.datetime import CALENDAR_WINDOWS_1900

from builder.cli import main
from builder.importers.spreadsheets.sheets import Sheet, read_sheets
from builder.importers.spreadsheets.values import RefusedCellError, day_of
from builder.sources.table import read_cell
from tests.desk.attacks import workbook_with

ROOT = Path(__file__).parent.parent
HEADINGS = (
    "Plot No.",
    "Site Address",
    "Post Code",
    "House Type",
    "Handing",
    "Extras",
    "Legal Completion Date",
)


def run(*arguments: str) -> Result:
    return CliRunner(catch_exceptions=False).invoke(main, list(arguments))


def workbook(path: Path, rows: Sequence[Sequence[Any]], **about: Any) -> Path:
    """A workbook as a sales system writes it. ``above``: rows over the headings, merged over three cells."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = about.get("title", "Reservations")
    for text in about.get("above", ()):
        sheet.append([text])
        sheet.merge_cells(
            start_row=sheet.max_row, end_row=sheet.max_row, start_column=1, end_column=3
        )
    for row in rows:
        sheet.append(list(row))
    for number in about.get("hidden", ()):
        sheet.row_dimensions[number].hidden = True
    if "beside" in about:
        other = book.create_sheet("Notes", 0)
        for row in about["beside"]:
            other.append(list(row))
    book.save(path)
    return path


def imported(cottage: Path, file: Path, *more: str) -> Result:
    return run("import", "plots", str(file), "riverside", "--workspace", str(cottage), *more)


def table(cottage: Path) -> list[dict[str, str]]:
    text = (cottage / "developments/riverside/plots.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(io.StringIO(text)))


def effects(told: Result) -> list[tuple[int, str, str]]:
    return [(each["row"], each["plot"], each["effect"]) for each in json.loads(told.stdout)["rows"]]


def test_a_sheet_as_sales_teams_have_it_is_taken_row_by_row(cottage: Path, tmp_path: Path) -> None:
    file = workbook(
        tmp_path / "sales.xlsx",
        [
            (*HEADINGS, "Purchaser", "Serials.consumer-unit"),
            (1, "1 Riverside", "ZZ99 9ZZ", "The Cottage", "AS", None, datetime(2026, 3, 31), "A. Person", None),
            ("2", "2 Riverside", "ZZ99 9ZZ", "cottage", "Opp.", "Car charger", 46173, "B. Person", 4711),
            (3.0, "3 Riverside", "zz999zz", "Cottage", "opposite hand", "", "30 June 2026", "C. Person", None),
            (None, "Total", None, None, None, None, None, None, None),
        ],
        above=("Riverside: reservations", "Printed for the sales meeting"), hidden=(5,),
        beside=[("To do",), ("Ring the printers",)],
    )  # fmt: skip
    told = imported(cottage, file, "--dry-run")
    assert told.exit_code == 1
    assert "hand (column E): 'Opp.'" in told.output
    book = openpyxl.load_workbook(file)
    book["Reservations"]["E5"] = "Opp"
    book.save(file)
    told = imported(cottage, file, "--dry-run", "--report", "json")
    data = json.loads(told.stdout)
    assert effects(told) == [(4, "01", "unchanged"), (5, "02", "changed"), (6, "03", "new")]
    assert data["sheet"] == "Reservations"
    assert data["not_read"] == ["Purchaser", "Serials.consumer-unit"]
    changed = data["rows"][1]
    assert changed["hidden"]
    assert changed["differences"] == [{"field": "completion", "before": "", "now": "2026-05-31"}]
    assert "Row 7 ('Total') names no plot and was left out." in data["said"]
    assert "Hidden rows were read like the others: 1." in data["said"]
    assert "Sheet 'Reservations' has merged cells: A1:C1, A2:C2." in data["said"]


def test_nothing_is_written_until_the_headings_are_confirmed_and_then_they_are_known(
    cottage: Path, tmp_path: Path
) -> None:
    folder = cottage / "developments/riverside"
    before = (folder / "plots.csv").read_bytes()
    rows = [
        HEADINGS,
        (1, "1 Riverside", "ZZ99 9ZZ", "cottage", "as", "", date(2026, 4, 2)),
        (2, "2 Riverside", "ZZ99 9ZZ", "cottage", "opp", "car-charger", None),
    ]
    file = workbook(tmp_path / "sales.xlsx", rows)
    told = imported(cottage, file)
    assert told.exit_code == 2
    assert "Are these headings right? Say so with --yes. Nothing was written." in told.output
    assert (folder / "plots.csv").read_bytes() == before
    assert imported(cottage, file, "--yes").exit_code == 0
    assert table(cottage)[0]["completion"] == "2026-04-02"
    second = before.decode().splitlines(keepends=True)[2]
    assert (folder / "plots.csv").read_text(encoding="utf-8").splitlines(keepends=True)[2] == second
    files = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    again = imported(cottage, file)
    assert again.exit_code == 0
    assert "0 new, 0 changed, 2 unchanged, 0 refused.\nNothing to change." in again.output
    (cottage / "content/model-words").mkdir()
    (cottage / "content/model-words/latin.yaml").write_text(
        "language: Latin\nrooms: {kitchen: [culina]}\n"
    )
    assert "file.unread" not in run("check", "--workspace", str(cottage)).output
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == files


def test_headings_that_were_confirmed_wrongly_are_told_and_kept(cottage: Path) -> None:
    folder = cottage / "developments" / "riverside"
    remembered = "columns: {Plot: plot, Street: adress}\n"
    (folder / "columns.yaml").write_text(remembered)
    file = cottage / "list.csv"
    file.write_text("Plot,Street\n02,2 Riverside\n")
    result = imported(cottage, file, "--yes")
    assert result.exit_code == 1
    assert (
        "developments/riverside/columns.yaml:1:31: error columns.no-field at columns.Street"
        in result.output
    )
    assert (folder / "columns.yaml").read_text() == remembered


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        ((3, "3 Riverside", "ZZ99 9ZZ", "Cotage", "as", "", ""), "house_type (column D): There is no house type 'Cotage'. Did you mean 'cottage'?"),
        ((3, "3 Riverside", "ZZ99 9ZZ", "cottage", "as", "car charger, sauna", ""), "options (column F): There is no option 'sauna'."),
        ((3, "3 Riverside", "ZZ99 9ZZ", "cottage", "as", "", "31/02/2026"), "completion (column G): '31/02/2026' is no day. Write it as 2026-03-31 or 31/03/2026."),
        ((3, "3 Riverside", "ZZ99 9ZZ", "cottage", "as", "", "soon"), "completion (column G): 'soon' is no day."),
        ((3, "3 Riverside", "", "cottage", "", "", ""), "It is a new plot and has no postcode (column C), hand (column E)."),
        ((2, "2 Riverside", "ZZ99 9ZZ", "cottage", "opp", "", ""), "Plot '02' stands in row 3 already."),
        ((3, "#N/A", "ZZ99 9ZZ", "cottage", "as", "", ""), "address (column B): '#N/A' is what a spreadsheet shows for a formula that is broken. Write the value."),
        ((3, "3 Riverside", "ZZ99 9ZZ", "cottage", "as", "", "#REF!"), "completion (column G): '#REF!' is what a spreadsheet shows for a formula that is broken. Write the value."),
    ],
)  # fmt: skip
def test_one_row_that_is_refused_keeps_all_others_back(
    cells: tuple[Any, ...], says: str, cottage: Path, tmp_path: Path
) -> None:
    before = (cottage / "developments/riverside/plots.csv").read_bytes()
    rows = [
        HEADINGS,
        (1, "9 Riverside", "ZZ99 9ZZ", "cottage", "as", "", ""),
        (2, "2 Riverside", "ZZ99 9ZZ", "cottage", "opp", "", ""),
        cells,
    ]
    told = imported(cottage, workbook(tmp_path / "sales.xlsx", rows), "--yes")
    assert told.exit_code == 1
    assert says in told.output
    assert "has no house_type" not in told.output, (
        "what is written wrongly is not said to be missing"
    )
    assert "1 row refused. Nothing was written." in told.output
    assert (cottage / "developments/riverside/plots.csv").read_bytes() == before


def test_all_that_is_refused_is_named_first_however_long_the_file_is(
    cottage: Path, tmp_path: Path
) -> None:
    def row(number: int) -> tuple[Any, ...]:
        house = "cotage" if number % 66 == 0 else "cottage"
        return (f"{number:04}", f"{number} Riverside", "ZZ99 9ZZ", house, "as", "", "")

    file = workbook(tmp_path / "sales.xlsx", [HEADINGS, *(row(each) for each in range(1, 2001))])
    told = imported(cottage, file, "--yes")
    assert told.exit_code == 1
    lines = told.output.splitlines()
    start = lines.index(" row  plot  refused, because")
    assert lines[start + 1 : start + 32] == [
        *(f"{each + 1:4}  {each:04}  house_type (column D): There is no house type 'cotage'. Did you mean 'cottage'?" for each in range(66, 2001, 66)),
        "row  plot  effect  field       from  to",
    ]  # fmt: skip
    assert lines[-2:] == [
        "In plots.csv and not in this file: 01, 02.",
        "30 rows refused. Nothing was written.",
    ]


@pytest.mark.parametrize(
    "written",
    [
        "2027-03-31", "2027/03/31", "2027.3.31", "2027-03-31T00:00:00", "31/03/2027", "31.3.2027",
        "31-Mar-27", "31 Mar 2027", "31st March 2027", "31 March, 2027", 46477, 46477.0, date(2027, 3, 31),
    ],
)  # fmt: skip
def test_a_day_is_read_as_spreadsheets_write_it(written: Any) -> None:
    sheet = Sheet("", (), CALENDAR_WINDOWS_1900)
    cell = float(written) if isinstance(written, int) else written
    assert day_of(cell, sheet) == date(2027, 3, 31)


@pytest.mark.parametrize(
    "written",
    ["3/31/2027", "31/3/27", "27/03/31", "2027-03/31", "31-Mar-1927", "31 Mar 027", "March 2027", "TBC"],
)  # fmt: skip
def test_a_day_that_may_be_another_is_refused(written: str) -> None:
    with pytest.raises(RefusedCellError, match="is no day"):
        day_of(written, Sheet("", (), CALENDAR_WINDOWS_1900))


@pytest.mark.parametrize(
    ("written", "hand"),
    [("handed", "opposite"), ("Mirrored", "opposite"), ("OPP", "opposite"), ("as", "as-drawn")],
)
def test_the_hand_in_the_words_of_a_site(
    written: str, hand: str, cottage: Path, tmp_path: Path
) -> None:
    row = (3, "3 Riverside", "ZZ99 9ZZ", "cottage", written, "", "")
    told = imported(cottage, workbook(tmp_path / "sales.xlsx", [HEADINGS, row]), "--yes")
    assert told.exit_code == 0
    assert table(cottage)[2]["hand"] == hand


def test_a_plot_that_vanished_is_asked_about_and_stays(cottage: Path, tmp_path: Path) -> None:
    file = workbook(
        tmp_path / "sales.xlsx",
        [HEADINGS, (1, "1a Riverside", "ZZ99 9ZZ", "cottage", "as", "", "")],
    )
    told = imported(cottage, file, "--dry-run")
    assert "In plots.csv and not in this file: 02." in told.output
    assert imported(cottage, file).exit_code == 2
    assert imported(cottage, file, "--yes").exit_code == 0
    assert [(row["plot"], row["address"]) for row in table(cottage)] == [
        ("01", "1a Riverside"),
        ("02", "2 Riverside"),
    ]


def test_csv_of_any_usual_form_is_read(cottage: Path, tmp_path: Path) -> None:
    text = ";".join(HEADINGS) + '\n7;"7 Riverside, Café Row";ZZ99 9ZZ;cottage;OPP;;01/07/2026\n'
    for mark, encoding in (
        (b"", "utf-8-sig"),
        (b"", "cp1252"),
        (b"", "utf-16"),
        (BOM_UTF8, "cp1252"),
    ):
        (tmp_path / "sales.csv").write_bytes(mark + text.encode(encoding))
        told = imported(cottage, tmp_path / "sales.csv", "--dry-run", "--report", "json")
        row = json.loads(told.stdout)["rows"][0]
        assert (row["plot"], row["effect"]) == ("07", "new")
        assert {each["field"]: each["now"] for each in row["differences"]} == {
            "address": "7 Riverside, Café Row", "postcode": "ZZ99 9ZZ", "house_type": "cottage",
            "hand": "opposite", "completion": "2026-07-01",
        }  # fmt: skip


def test_a_cell_may_hold_what_ends_a_line_of_text(tmp_path: Path) -> None:
    file = tmp_path / "sales.csv"
    file.write_text(
        "plot,address\n03,3 Riverside\x0bAnytown\n04,4 Riverside\u2028Anytown\n", "utf-8"
    )
    assert [(each.number, len(each.cells)) for each in read_sheets(file)[0].rows] == [(1, 2), (2, 2), (3, 2)]  # fmt: skip


def test_what_is_not_read_of_a_workbook_is_told(cottage: Path, tmp_path: Path) -> None:
    """A sheet of the second phase, and formulas that no spreadsheet has worked out yet."""
    row = (3, "3 Riverside", "ZZ99 9ZZ", "cottage", "as", "", "")
    file = workbook(tmp_path / "sales.xlsx", [HEADINGS, row])
    book = openpyxl.load_workbook(file)
    book["Reservations"]["B2"] = '="3 "&"Riverside"'
    for each in (HEADINGS, row):
        (book["Phase 2"] if "Phase 2" in book else book.create_sheet("Phase 2")).append(each)
    book.save(file)
    said = json.loads(imported(cottage, file, "--dry-run", "--report", "json").stdout)["said"]
    assert said == [
        "1 formula saved without a value (B2): open the file in a spreadsheet, save it there, and import it again.",
        "Sheet 'Phase 2' names plots too and was not read: --sheet 'Phase 2'",
    ]


def test_serial_numbers_and_keys_go_into_the_files_of_plots_and_comments_stay(
    cottage: Path, tmp_path: Path
) -> None:
    own = cottage / "developments/riverside/plots/02.yaml"
    own.write_text(
        "# Kept by hand.\n"
        + own.read_text(encoding="utf-8").replace("CANARY-4711", "CANARY-4711  # read twice"),
        encoding="utf-8",
    )
    before = own.read_text(encoding="utf-8").splitlines()
    rows = [
        (
            "plot",
            "serials.stopcock",
            "handover.keys.front-door",
            "handover.commissioning.heating.pressure",
        ),
        ("02", "00417", 3, 1.25),
    ]
    told = imported(cottage, workbook(tmp_path / "sales.xlsx", rows), "--yes")
    assert told.exit_code == 1
    assert (
        "handover.commissioning.heating.day" in told.output
    )  # a pressure without its day is no record
    rows = [
        (*rows[0], "handover.commissioning.heating.day", "handover.commissioning.heating.by"),
        (*rows[1], date(2026, 3, 2), "heating-engineer"),
    ]
    told = imported(cottage, workbook(tmp_path / "sales.xlsx", rows), "--yes")
    assert told.exit_code == 0, told.output
    after = own.read_text(encoding="utf-8")
    assert [line for line in after.splitlines() if line in before] == before
    assert '  stopcock: "00417"' in after
    assert "front-door: 3" in after
    assert run("check", "--workspace", str(cottage)).exit_code == 0
    refused = imported(
        cottage,
        workbook(tmp_path / "sales.xlsx", [("plot", "serials.sauna"), ("02", "1")]),
        "--yes",
    )
    assert (
        "serials.sauna (column B): house type 'cottage' has no equipment 'sauna'." in refused.output
    )


@pytest.mark.parametrize("development", ["mill-lane", "harbour-view"])
def test_the_workbook_that_is_exported_imports_again_unchanged(
    development: str, tmp_path: Path
) -> None:
    for folder in ("housetypes", "developments", "content"):
        shutil.copytree(ROOT / folder, tmp_path / "workspace" / folder)
    where = ("--workspace", str(tmp_path / "workspace"))
    file = tmp_path / "plots.xlsx"
    assert run("export", "plots", development, "--out", str(file), *where).exit_code == 0
    first = file.read_bytes()
    assert run("export", "plots", development, "--out", str(file), *where).exit_code == 0
    assert file.read_bytes() == first
    told = run("import", "plots", str(file), development, *where)
    assert told.exit_code == 0, told.output
    assert "0 new, 0 changed" in told.output
    assert "Nothing to change." in told.output
    sheet = openpyxl.load_workbook(file)["Plots"]
    days = [cell.value for cell in sheet["G"][1:] if cell.value]
    assert days
    assert all(isinstance(each, datetime) for each in days)


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("sales.xlsx", b"PK\x03\x04 and no more", "sheet.unreadable"),
        (
            "sales.xls",
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
            "This is a workbook of before 2007, or one with a password.",
        ),
        ("sales.csv", b"\x00\x01\x02\xff\xfe\x00", "sheet.unreadable"),
        ("sales.csv", b"name,colour\nx,y\n", "No row of this file names the columns of plots."),
        ("sales.csv", b"", "No row of this file names the columns of plots."),
        (
            "sales.csv",
            b'plot,address,hand\n03,3 Riverside,as\n04,"4 Riverside,as\n05,5 Riverside,as\n',
            "This table cannot be read: unexpected end of data, in the row that begins on line 3.",
        ),
        (
            "sales.csv",
            b"plot,address,postcode,house type,hand\n03,3 Riverside, Anytown,ZZ99 9ZZ,cottage,as\n",
            "It has 6 cells, and row 1 names 5 columns. Put quotes round a cell that holds the separator.",
        ),
    ],
)
def test_what_is_no_table_of_plots_is_refused_in_plain_words(
    name: str, content: bytes, says: str, cottage: Path, tmp_path: Path
) -> None:
    (tmp_path / name).write_bytes(content)
    told = imported(cottage, tmp_path / name)
    assert told.exit_code == 1
    assert says in told.output


@pytest.mark.parametrize(
    ("at", "value"), [(10, 99), (8, 1)], ids=["packed in another way", "with a password"]
)
def test_a_workbook_that_cannot_be_unpacked_is_told(
    at: int, value: int, cottage: Path, tmp_path: Path
) -> None:
    """Bytes that were changed say so of its sheet, 46 bytes before its name (APPNOTE.TXT 4.3.12, from memory)."""
    file = workbook(tmp_path / "sales.xlsx", [HEADINGS])
    content = bytearray(file.read_bytes())
    content[content.rindex(b"xl/worksheets/sheet1.xml") - 46 + at] = value
    file.write_bytes(content)
    told = imported(cottage, file)
    assert (told.exit_code, "error sheet.unreadable" in told.output) == (1, True)


def test_a_sheet_whose_last_cell_is_far_out_is_read_at_once(tmp_path: Path) -> None:
    """A stray cell makes a sheet a million rows long; those that hold nothing are not made."""
    book = openpyxl.Workbook()
    for name in ("Reservations", "Notes"):
        sheet = book.create_sheet(name)
        sheet.append(["plot", "address"])
        sheet["B40000"] = "stray"
        sheet["XFD1048576"] = "out of reach"
    book.save(tmp_path / "sales.xlsx")
    before = time.process_time()
    sheets = read_sheets(tmp_path / "sales.xlsx")
    assert time.process_time() - before < 2
    assert [each.name for each in sheets] == ["Reservations", "Notes"]
    assert [(row.number, row.cells) for row in sheets[0].rows] == [
        (1, ("plot", "address")),
        (40_000, (None, "stray")),
    ]


def test_a_small_file_that_is_millions_of_cells_is_not_unpacked(
    cottage: Path, tmp_path: Path
) -> None:
    file = tmp_path / "sales.xlsx"
    file.write_bytes(workbook_with(b"<worksheet><sheetData>" + b"<row><c><v>1</v></c></row>" * 600_000 + b"</sheetData></worksheet>"))  # fmt: skip
    assert file.stat().st_size < 200_000
    told = imported(cottage, file)
    assert told.exit_code == 1
    assert "sales.xlsx:1:1: error sheet.too-large" in told.output
    assert "This workbook holds more than 500,000 cells." in told.output


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (("--column", "Foo=plot"), "There is no heading 'Foo'. Headings in row 1: "),
        (("--column", "Site adress=plot"), "There is no heading 'Site adress'. Did you mean 'Site Address'?"),
        (("--column", "Site Address=plot", "--column", "Post Code=plot"), "'Site Address' and 'Post Code' cannot both be plot."),
        (("--sheet", "Reservation"), "There is no sheet 'Reservation'. Did you mean 'Reservations'?"),
        (("--sheet", "zzz"), "There is no sheet 'zzz'. Sheets of this file: "),
    ],
)  # fmt: skip
def test_nothing_that_is_said_of_columns_goes_unheard(
    more: tuple[str, ...], says: str, cottage: Path, tmp_path: Path
) -> None:
    row = (3, "3 Riverside", "ZZ99 9ZZ", "cottage", "as", "", "")
    file = workbook(tmp_path / "sales.xlsx", [HEADINGS, row])
    told = imported(cottage, file, "--yes", *more)
    assert told.exit_code == 2
    assert says in told.output
    assert not (cottage / "developments/riverside/columns.yaml").exists()


def test_a_column_that_is_said_goes_before_one_that_is_called_so(
    cottage: Path, tmp_path: Path
) -> None:
    """The plot stands under a heading of the team's own, and another column is called Plot."""
    file = tmp_path / "sales.csv"
    file.write_text("Plot,Our number,Address,Postcode,House type,Hand\nNE corner,3,3 Riverside,ZZ99 9ZZ,cottage,as\n")  # fmt: skip
    told = imported(cottage, file, "--yes", "--column", "Our number=plot", "--column", "Plot=")
    assert told.exit_code == 0
    assert [each["plot"] for each in table(cottage)] == ["01", "02", "03"]
    again = imported(cottage, file, "--yes", "--column", "Our number=plot")
    assert "0 new, 0 changed, 1 unchanged, 0 refused." in again.output


@pytest.mark.parametrize(
    ("word", "bearing"),
    [("SW", 225.0), ("south west", 225.0), ("NNW", 337.5), ("North-North-East", 22.5), ("137", 137.0)],
)  # fmt: skip
def test_where_a_front_faces_in_words(word: str, bearing: float) -> None:
    assert read_cell("front_faces", word) == bearing
