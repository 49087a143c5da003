"""What is made up reaches no real home: it stops a development that does not say so on every page."""

import shutil
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner

from builder import cli
from builder.cli import main
from builder.errors import Finding, Findings
from builder.home.roles import MADE_UP
from builder.preparing import prepare
from builder.rules.invented import SHIPPED_NAMES, invented_values
from builder.shipped import shipped
from builder.sources.nations import NATIONS
from builder.sources.workspace import read_workspace

COTTAGE = Path(__file__).parent / "workspaces" / "cottage"
BEGUN = Path(cli.__file__).parent / "scaffolds" / "development.yaml"
DAY = date(2026, 3, 1)
REAL = (
    ("https://guides.example", "https://guides.riverside.invalid"),
    ("01632 960210", "0800 028 2011"),
    ("01632 960220", "0800 028 2011"),
    ("01632 960100", "0300 2000 100"),
    ("Fennimarsh Homes", "Homes by the River"),
    ("Anytown", "Riverford"),
)


@pytest.fixture
def cottage(tmp_path: Path) -> Path:
    root = tmp_path / "cottage"
    shutil.copytree(COTTAGE, root)
    return root


def change(root: Path, *pairs: tuple[str, str]) -> None:
    for path in root.rglob("*"):
        if path.suffix in (".yaml", ".csv"):
            text = path.read_text(encoding="utf-8")
            for old, new in pairs:
                text = text.replace(old, new)
            path.write_text(text, encoding="utf-8")


def found(root: Path) -> list[Finding]:
    return list(invented_values(read_workspace(root, Findings())))


def test_a_development_that_says_so_may_have_it_and_every_page_tells(cottage: Path) -> None:
    assert found(cottage) == []
    preparation = prepare(cottage, (), DAY)
    assert preparation.plots
    assert all(MADE_UP in each.guide.builder for each in preparation.plots.values())


def test_in_another_it_stops_every_plot_and_each_file_tells_all_of_it(cottage: Path) -> None:
    change(cottage, ("  invented: true\n", ""))
    preparation = prepare(cottage, (), DAY)
    assert not preparation.plots
    told = {each.place.file: each for each in found(cottage) if each.path != "plot.postcode"}
    development = told["developments/riverside/development.yaml"]
    assert "base_url: https://guides.example" in development.wrong
    assert "contacts.water-company.telephone: 01632 960210" in development.wrong
    assert development.right.startswith("Write what is real. While you try things out, write")
    assert (
        "contacts.customer-care.telephone: 01632 960100" in told["housetypes/standard.yaml"].wrong
    )


def test_a_postcode_of_no_place_is_told_of_its_plot(cottage: Path) -> None:
    change(cottage, ("  invented: true\n", ""), *REAL)
    postcodes = found(cottage)
    assert {each.path for each in postcodes} == {"plot.postcode"}
    assert all(len(each.plots) == 1 for each in postcodes)
    assert postcodes[0].wrong == "No postcode begins with ZZ: 'ZZ99 9ZZ' is of no place."


def test_what_is_real_is_let_pass(cottage: Path) -> None:
    change(cottage, ("  invented: true\n", ""), *REAL, ("ZZ99 9ZZ", "LS0 0AA"))
    assert found(cottage) == []
    preparation = prepare(cottage, (), DAY)
    assert not any(MADE_UP in each.guide.builder for each in preparation.plots.values())


def test_a_number_that_a_development_replaces_is_not_told(cottage: Path) -> None:
    change(cottage, ("  invented: true\n", ""), *REAL[:3], *REAL[4:], ("ZZ99 9ZZ", "LS0 0AA"))
    path = cottage / "developments" / "riverside" / "development.yaml"
    own = "  customer-care: {telephone: 0300 2000 100}\n"
    path.write_text(path.read_text(encoding="utf-8") + own, encoding="utf-8")
    assert found(cottage) == []


def test_a_name_that_a_first_file_invents_is_told_beside_numbers_that_are_real(
    cottage: Path,
) -> None:
    real = (*REAL[:5], ("ZZ99 9ZZ", "LS0 0AA"), ("Orrinvale Water", "Anytown Water"))
    change(cottage, ("  invented: true\n", ""), *real)
    path = cottage / "developments" / "riverside" / "development.yaml"
    own = "utilities:\n  power: {name: Electricity, supplier: Anytown Power}\n"
    path.write_text(path.read_text(encoding="utf-8") + own, encoding="utf-8")
    assert [each.wrong for each in found(cottage)] == [
        "Nobody can be reached by these, because they are made up. "
        "contacts.water-company.name: Anytown Water; contacts.council.name: Anytown Council; "
        "development.address: Riverside, Anytown; utilities.power.supplier: Anytown Power."
    ]


def test_the_names_that_ship_are_known() -> None:
    begun = BEGUN.read_text(encoding="utf-8")
    standard = shipped("housetypes/standard.yaml").read_text(encoding="utf-8")
    assert all(f"name: {name}" in standard + begun for name in SHIPPED_NAMES)


@pytest.mark.parametrize("nation", NATIONS)
def test_a_new_workspace_is_one_for_trying_out(nation: str, tmp_path: Path) -> None:
    run = CliRunner()
    where = ("--workspace", str(tmp_path))
    for words in (
        ("new", "housetype", "cottage"),
        ("new", "development", "riverside", "--nation", nation),
        ("new", "plot", "riverside/01"),
    ):
        result = run.invoke(main, [*words, *where])
        assert result.exit_code == 0, result.output
    preparation = prepare(tmp_path, (), DAY)
    home = preparation.homes["riverside/01"].traced.home
    assert home.development.nation == nation
    assert home.development.invented
    codes = {each.code for each in preparation.findings}
    assert not codes & {"editions.no-table", "editions.not-named", "invented.name-or-number"}
