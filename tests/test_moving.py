"""A plot that moves to another development, over years: what was printed for it goes on leading to it,
and every slip on the way is told."""

import csv
import shutil
from pathlib import Path

import pytest
from bs4 import BeautifulSoup

from builder.build.manifest import Records
from builder.deploy.verifying import verify
from builder.errors import Findings
from builder.sources.folder import Folder
from builder.sources.records import records_of
from builder.sources.workspace import read_workspace
from tests.broken_workspaces import run
from tests.demonstrations import signed, whole_record, workspace_sheet
from tests.test_one_place import RIVERSIDE, built, changed, said

LAKESIDE = "developments/lakeside"
MOVED = "formerly: [riverside/02]\n"


def rows(folder: Path, *kept: str) -> None:
    """Write a table of plots with these rows below the line of columns."""
    header = (folder / "plots.csv").read_text(encoding="utf-8").splitlines()[0]
    (folder / "plots.csv").write_text("\n".join([header, *kept, ""]), encoding="utf-8")


def row_of(folder: Path, number: str) -> str:
    table = (folder / "plots.csv").read_text(encoding="utf-8").splitlines()
    return next(each for each in table if each.startswith(f"{number},"))


def issued(folder: Path) -> list[dict[str, str]]:
    """Every line of a register, read by nothing of the builder's."""
    with (folder / "register.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def page_of(out: Path, code: str) -> str:
    """What stands on the page of a code, of a sticker or a guide."""
    (page,) = [each for each in (out / "Q" / code, out / "g" / code) if each.is_dir()]
    text = (page / "index.html").read_text(encoding="utf-8")
    return BeautifulSoup(text, "html.parser").get_text(" ")


def guides(workspace: Path) -> dict[str, str]:
    return {each.reference: each.code for each in Records(workspace / "public").all() if each.made}


@pytest.fixture
def moved(cottage: Path) -> Path:
    """Plot riverside/02 was published with its stickers, and is lakeside/12 today. Nothing is built yet."""
    said(cottage, "stickers", "issue")
    built(cottage)
    river, lake = cottage / RIVERSIDE, cottage / LAKESIDE
    (lake / "plots").mkdir(parents=True)
    for name in ("plots.csv", "development.yaml"):
        shutil.copy(river / name, lake / name)
    changed(lake / "development.yaml", "name: Riverside", "name: Lakeside")
    rows(lake, row_of(river, "02").replace("02,2 Riverside", "12,2 Lakeside"))
    rows(river, row_of(river, "01"))
    shutil.move(river / "plots" / "02.yaml", lake / "plots" / "12.yaml")
    own = lake / "plots" / "12.yaml"
    own.write_text(MOVED + own.read_text(encoding="utf-8"), encoding="utf-8")
    return cottage


def test_all_that_was_printed_leads_to_the_home_for_years(moved: Path) -> None:
    out, river, lake = moved / "public", moved / RIVERSIDE, moved / LAKESIDE
    printed, before, register = issued(river), guides(moved), (river / "register.csv").read_bytes()
    assert "1 guide published" in built(moved)
    assert guides(moved) == {"riverside/01": before["riverside/01"], "lakeside/12": before["riverside/02"]}  # fmt: skip
    assert "2 Lakeside" in page_of(out, before["riverside/02"])
    assert "0 new codes issued." in said(moved, "stickers", "issue")
    assert not (lake / "register.csv").exists(), "what has codes gets no others"
    assert "0 guides published" in built(moved)

    rows(lake, row_of(lake, "12").replace("12,", "14,"))
    (lake / "plots" / "12.yaml").rename(lake / "plots" / "14.yaml")
    changed(lake / "plots" / "14.yaml", MOVED, "formerly: ['12', riverside/02]\n")
    stopcock = next(each["code"] for each in printed if each["plot"] == "02" and each["equipment"] == "stopcock")  # fmt: skip
    said(moved, "stickers", "void", stopcock)
    assert "A new code: handover stickers issue lakeside/14\n" in said(moved, "stickers", "void", stopcock)  # fmt: skip
    assert "1 new code issued." in said(moved, "stickers", "issue", "lakeside/14")
    built(moved)
    (new,) = issued(lake)
    assert (new["plot"], new["equipment"]) == ("14", "stopcock")
    assert "This sticker is no longer valid" in page_of(out, stopcock)

    lake.rename(moved / "developments" / "lakebank")
    changed(moved / "developments" / "lakebank" / "plots" / "14.yaml", "formerly: [", "formerly: [riverside/01, ")  # fmt: skip
    rows(river)
    built(moved)
    assert guides(moved).keys() == {"lakebank/14"}
    for each in (*printed, new):
        assert page_of(out, each["code"])
    assert not verify(out).problems
    assert (river / "register.csv").read_bytes().startswith(register), "no line was changed"


def test_another_address_makes_the_one_before_dead_wherever_it_was_issued(moved: Path) -> None:
    before = guides(moved)["riverside/02"]
    built(moved)
    told = said(moved, "new", "address", "lakeside/12")
    (new,) = issued(moved / LAKESIDE)
    assert told.startswith(f"lakeside/12 has a new address, /g/{new['code']}/.\n")
    built(moved)
    assert "This address is no longer used" in page_of(moved / "public", before)
    assert "2 Lakeside" in page_of(moved / "public", new["code"])
    assert "0 guides published" in built(moved)


def test_its_records_follow_it(moved: Path, tmp_path: Path) -> None:
    """A record that was signed before the move counts for the plot, and so does one that comes late."""
    kept = moved / RIVERSIDE / "records" / "02" / "2026-03-31-demonstration.json"
    whole = whole_record(workspace_sheet(moved, "lakeside/12"))
    kept.parent.mkdir(parents=True)
    kept.write_text(signed({**whole, "plot": "riverside/02"}), encoding="utf-8")
    late = tmp_path / "late.json"
    late.write_text(
        signed({**whole, "plot": "riverside/02", "day": "2026-04-01"}), encoding="utf-8"
    )
    told = run("record", str(late), "--workspace", str(moved), "--date", "2026-04-01")
    assert f"Kept: {(moved / LAKESIDE).as_posix()}/records/12/2026-04-01-demonstration.json." in told.output  # fmt: skip
    assert "record.no-plot" not in told.output
    (plot,) = [each for each in read_workspace(moved, Findings()).plots.values() if each.number == "12"]  # fmt: skip
    found = records_of(Folder(moved), plot.references, Findings())
    assert [each.record.day.isoformat() for each in found] == ["2026-03-31", "2026-04-01"]


def test_what_is_left_behind_is_told_though_only_one_folder_changed(moved: Path) -> None:
    """Each of these is one change in one of the two folders, after a build that found all well."""
    own = moved / LAKESIDE / "plots" / "12.yaml"
    built(moved)
    changed(own, MOVED, "")
    gone = (
        f"{RIVERSIDE}/register.csv:4:1: error register.orphan\n"
        "  Plot '02' is gone from plots.csv, and 2 codes were issued for it.\n"
        "  Put its row back in plots.csv, or name it in 'formerly' of the plot that it became, "
        "in another development as 'riverside/02'. Plots are: 01.\n"
    )
    assert gone in built(moved, code=1)
    changed(own, "departures:", f"{MOVED}departures:")
    rows(moved / RIVERSIDE, row_of(moved / RIVERSIDE, "01"), "02,2 Riverside,ZZ99 9ZZ,cottage,opposite,car-charger,")  # fmt: skip
    twice = (
        f"{LAKESIDE}/plots/12.yaml:1:1: error plots.number-claimed-twice at formerly\n"
        "  'riverside/02' is a number of plot 'riverside/02' too, and codes follow numbers.\n"
        "  Leave it in 'formerly' of one plot, and give no other plot that number.\n"
    )
    assert twice in built(moved, code=1)
    assert twice in said(moved, "check", code=1)


@pytest.mark.parametrize(
    ("written", "told"),
    [
        (
            "formerly: [riversid/02]",
            "error plots.from-nowhere at formerly\n"
            "  There is no development 'riversid', so that the codes of 'riversid/02' are in no register.\n"
            "  Put its folder back, with its register: codes stay where they were issued. Did you mean 'riverside/02'?\n",
        ),
        (
            "formerly: [riverside/02/a]",
            "error data.form at formerly[0]\n"
            "  'riverside/02/a' cannot be the number of a plot.\n"
            "  Write letters and digits, joined by hyphens: 07, 7a or 2-07; of another development mill-lane/07.\n",
        ),
    ],
)
def test_slips_are_told(written: str, told: str, moved: Path) -> None:
    changed(moved / LAKESIDE / "plots" / "12.yaml", MOVED, f"{written}\n")
    assert told in said(moved, "check", code=1)


def test_a_row_that_went_to_another_table_is_asked_for_there(moved: Path) -> None:
    """Rows were cut from one table and pasted into another, and nobody wrote where the plot was before."""
    own = moved / LAKESIDE / "plots" / "12.yaml"
    changed(own, MOVED, "")
    own.rename(own.with_name("02.yaml"))
    rows(moved / LAKESIDE, row_of(moved / LAKESIDE, "12").replace("12,", "02,"))
    assert (
        "  Plot '02' is gone from plots.csv, and 2 codes were issued for it.\n"
        "  Put its row back. If plot 'lakeside/02' is the same home, "
        f"add to {LAKESIDE}/plots/02.yaml: formerly: ['riverside/02']\n"
    ) in said(moved, "check", code=1)


def test_registers_of_two_branches_go_together_after_a_move(moved: Path, tmp_path: Path) -> None:
    """What a development published is asked of the register that issued it."""
    built(moved)
    rows(
        moved / LAKESIDE,
        row_of(moved / LAKESIDE, "12"),
        "13,3 Lakeside,ZZ99 9ZZ,cottage,opposite,,",
    )
    said(moved, "stickers", "issue", "lakeside/13")
    other = tmp_path / "register.csv"
    shutil.copy(moved / LAKESIDE / "register.csv", other)
    for name in ("lakeside", "riverside"):
        assert ", sealed." in said(moved, "stickers", "merge", name)
    assert ", sealed." in said(moved, "stickers", "merge", "lakeside", str(other))
