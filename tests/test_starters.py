"""``handover new housetype`` near to the house that is wanted: sound at once, in its own nation."""

import json
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner, Result

from builder.cli import main
from builder.cli.starters import HEATS, NATIONS, VENTILATIONS

WISHES = (
    "--storeys 3 --garage --heat heat-pump --ventilation heat-recovery --nation wales",
    "--storeys 3 --garage --heat gas-system --ventilation continuous-extract",
    "--storeys 1 --heat electric --ventilation continuous-extract",
    "--storeys 1 --garage --ventilation heat-recovery",
    "--heat heat-pump --garage --ventilation heat-recovery",
    "--storeys 1 --garage",
    "--nation scotland",
    "--nation scotland --storeys 1 --ventilation continuous-extract --heat electric",
    "--nation scotland --storeys 3 --ventilation heat-recovery",
    "--storeys 3 --nation northern-ireland --heat electric",
)
_NOBODY_READ = ("not-made.", "editions.warrant-day")
"""Findings about a nation whose values nobody has read yet: of the development, not of the house."""


def run(*arguments: str) -> Result:
    return CliRunner(catch_exceptions=False).invoke(main, list(arguments))


@pytest.mark.parametrize("wish", WISHES)
def test_a_house_near_to_the_one_that_is_wanted_is_sound_at_once(wish: str, tmp_path: Path) -> None:
    said = wish.split()
    where = ("--workspace", str(tmp_path))
    nation = said[said.index("--nation") + 1] if "--nation" in said else "england"
    assert run("new", "development", "riverside", "--nation", nation, *where).exit_code == 0
    assert run("new", "housetype", "cottage", *said, *where).exit_code == 0
    assert run("new", "plot", "riverside/1", "--housetype", "cottage", *where).exit_code == 0
    told = run("check", "--format", "json", *where)
    found = [
        each
        for each in json.loads(told.stdout)
        if each["severity"] != "note" and not each["code"].startswith(_NOBODY_READ)
    ]
    assert [(each["code"], each["wrong"]) for each in found] == []
    house = yaml.safe_load((tmp_path / "housetypes/cottage.yaml").read_text(encoding="utf-8"))
    assert ("garage" in house) == ("--garage" in said)
    if "--storeys" in said:
        assert len(house["floors"]) == int(said[said.index("--storeys") + 1])
    if "--ventilation" in said:
        assert house["ventilation"]["system"] == said[said.index("--ventilation") + 1]


def test_comments_of_the_scaffold_stay(tmp_path: Path) -> None:
    assert (
        run("new", "housetype", "cottage", "--garage", "--workspace", str(tmp_path)).exit_code == 0
    )
    text = (tmp_path / "housetypes/cottage.yaml").read_text(encoding="utf-8")
    assert "# Corners in order. Rooms of a floor share walls and leave no gaps." in text
    assert "# Rates in litres a second, as commissioned." in text


def test_every_choice_is_a_file_or_the_plain_scaffold() -> None:
    folder = Path(__file__).parent.parent / "builder/cli/scaffolds/starters"
    known = {f"heat-{each}" for each in HEATS} | {f"ventilation-{each}" for each in VENTILATIONS}
    known |= {f"nation-{each}" for each in NATIONS} | {"garage", "storeys-1", "storeys-3"}
    assert {path.stem for path in folder.glob("*.yaml")} <= known


def test_a_model_and_a_wish_are_one_too_many(tmp_path: Path) -> None:
    told = run(
        "new",
        "housetype",
        "cottage",
        "--garage",
        "--from",
        "house.ifc",
        "--workspace",
        str(tmp_path),
    )
    assert told.exit_code == 2
    assert "A model says what the house is like" in told.output
