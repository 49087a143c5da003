"""COBie out and in: every key of every demo home, by a checker written from the standard."""

from datetime import date
from pathlib import Path

import openpyxl
import pytest
import yaml
from click.testing import CliRunner, Result

from builder.cli import main
from tests.cobie_checker import mistakes, read
from tests.demo import independent_layers, rows

ROOT = Path(__file__).parent.parent
DEVELOPMENTS = ("mill-lane", "harbour-view")


def run(*arguments: str) -> Result:
    return CliRunner(catch_exceptions=False).invoke(main, list(arguments))


@pytest.fixture(scope="module", params=DEVELOPMENTS)
def exported(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[str, Path]:
    file = tmp_path_factory.mktemp("cobie") / f"{request.param}.xlsx"
    told = run(
        "export",
        "cobie",
        request.param,
        "--out",
        str(file),
        "--workspace",
        str(ROOT),
        "--date",
        "2026-11-28",
    )
    assert told.exit_code == 0, told.output
    return request.param, file


def test_no_key_is_broken_in_any_demo_home(exported: tuple[str, Path]) -> None:
    _, file = exported
    assert list(mistakes(file)) == []


def test_everything_of_each_home_is_in_it(exported: tuple[str, Path]) -> None:
    development, file = exported
    sheets = read(file)
    components = {row["ExtIdentifier"]: row for row in sheets["Component"]}
    for plot in rows(development):
        pieces = {
            name
            for layer in independent_layers(f"{development}/{plot}")
            for name in layer.get("equipment", {})
        }  # type: ignore[attr-defined]
        there = {name for name in pieces if f"{development}/{plot}/equipment/{name}" in components}
        assert len(there) > 0.9 * len(pieces)  # what a higher layer took away is in no home
        own = ROOT / "developments" / development / "plots" / f"{plot}.yaml"
        serials = (
            (yaml.safe_load(own.read_text(encoding="utf-8")) or {}).get("serials", {})
            if own.is_file()
            else {}
        )
        for name, serial in serials.items():
            assert components[f"{development}/{plot}/equipment/{name}"]["SerialNumber"] == str(
                serial
            )
    assert {row["Name"] for row in sheets["Facility"]} == {
        yaml.safe_load(
            (ROOT / "developments" / development / "development.yaml").read_text(encoding="utf-8")
        )["development"]["name"]
    }


def test_bar_codes_are_the_codes_of_stickers(exported: tuple[str, Path]) -> None:
    development, file = exported
    issued = (ROOT / "developments" / development / "register.csv").read_text(encoding="utf-8")
    codes = [str(row["BarCode"]) for row in read(file)["Component"] if row["BarCode"] != "n/a"]
    assert len(codes) > 100
    assert len(set(codes)) == len(codes)
    assert all(code in issued for code in codes)


def test_the_same_homes_give_the_same_bytes_and_one_home_is_whole(tmp_path: Path) -> None:
    for name in ("a.xlsx", "b.xlsx"):
        told = run(
            "export",
            "cobie",
            "mill-lane/07",
            "--out",
            str(tmp_path / name),
            "--workspace",
            str(ROOT),
            "--date",
            "2026-11-28",
        )
        assert told.exit_code == 0
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()
    assert list(mistakes(tmp_path / "a.xlsx")) == []
    sheets = read(tmp_path / "a.xlsx")
    assert [row["Name"] for row in sheets["Floor"]] == ["Ground floor", "First floor", "Site"]
    kitchen = next(row for row in sheets["Space"] if row["Name"] == "Kitchen")
    assert kitchen["NetArea"] == pytest.approx(2.4 * 3.3)


def test_a_workbook_brings_makes_serials_and_says_what_it_does_not_know(
    cottage: Path, tmp_path: Path
) -> None:
    file, where = tmp_path / "cobie.xlsx", ("--workspace", str(cottage))
    assert (
        run(
            "export", "cobie", "riverside/01", "--out", str(file), *where, "--date", "2026-11-28"
        ).exit_code
        == 0
    )
    same = run("import", "cobie", str(file), "riverside/01", *where)
    assert same.exit_code == 0, same.output
    assert "Nothing to change." in same.output
    book = openpyxl.load_workbook(file)
    sheet, heads = book["Component"], {cell.value: cell.column for cell in book["Component"][1]}
    for row in sheet.iter_rows(min_row=2):
        if row[heads["Name"] - 1].value == "kitchen-fan":
            row[heads["SerialNumber"] - 1].value = "KF-0071"
            row[heads["ExtIdentifier"] - 1].value = "n/a"
        if row[heads["Name"] - 1].value == "stopcock":
            row[heads["SerialNumber"] - 1].value, row[heads["Name"] - 1].value = 4711, "Valve 1"
            row[heads["ExtIdentifier"] - 1].value = "n/a"
    sheet.append(["Lift motor", *["n/a"] * (len(heads) - 1)])
    for row in book["Type"].iter_rows(min_row=2):
        if str(row[0].value).startswith("Stopcock"):
            row[7].value = "Quarter turn 15"
    book.save(file)
    told = run("import", "cobie", str(file), "riverside/01", *where, "--date", "2026-11-29")
    assert told.exit_code == 0, told.output
    assert "Lift motor" in told.output
    own = yaml.safe_load(
        (cottage / "developments/riverside/plots/01.yaml").read_text(encoding="utf-8")
    )
    assert own["serials"] == {"stopcock": "4711", "kitchen-fan": "KF-0071"}
    assert own["departures"]["cobie"] == {
        "note": "As fitted, from cobie.xlsx.", "date": date(2026, 11, 29),
        "changes": {"equipment": {"stopcock": {"model": "Quarter turn 15"}}},
    }  # fmt: skip
    assert run("check", *where).exit_code == 0


def test_a_workbook_that_is_no_cobie_is_refused(tmp_path: Path, cottage: Path) -> None:
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active.append(["Name"])
    book.save(tmp_path / "x.xlsx")
    told = run(
        "import", "cobie", str(tmp_path / "x.xlsx"), "riverside/01", "--workspace", str(cottage)
    )
    assert told.exit_code == 1
    assert "This workbook has no sheet Component and no sheet Type." in told.output
