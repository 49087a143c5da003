"""``handover export json`` and ``handover kinds``: what other programs and authors are told."""

import json
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator
from shapely import Polygon

from builder.cli import main
from builder.cli.schemas import schema_text

ROOT = Path(__file__).parent.parent


def run(*arguments: str) -> Result:
    return CliRunner(catch_exceptions=False).invoke(main, list(arguments))


@pytest.mark.parametrize("plot", ["mill-lane/07", "mill-lane/04", "harbour-view/01"])
def test_a_home_as_json_has_the_published_shape(plot: str) -> None:
    told = run("export", "json", plot, "--workspace", str(ROOT), "--date", "2026-11-28")
    assert told.exit_code == 0, told.output
    whole = json.loads(told.stdout)
    Draft202012Validator(json.loads(schema_text("home"))).validate(whole)
    assert not any("serial" in piece for piece in whole["home"]["equipment"].values())
    assert whole["reference"] == plot


def test_the_plan_is_that_of_the_homes_own_hand_in_metres() -> None:
    drawn = yaml.safe_load((ROOT / "housetypes/tormentil.yaml").read_text(encoding="utf-8"))[
        "rooms"
    ]
    for plot, way in (("mill-lane/01", 1), ("mill-lane/02", -1)):
        whole = json.loads(run("export", "json", plot, "--workspace", str(ROOT)).stdout)
        for floor in whole["plan"].values():
            for name, room in floor["rooms"].items():
                said = Polygon([(way * x, y) for x, y in drawn[name]["outline"]])
                here = Polygon(room["ring"])
                moved = Polygon([(x - here.bounds[0] + said.bounds[0], y) for x, y in room["ring"]])
                assert moved.symmetric_difference(said).area < 0.05, (plot, name)
                assert room["area"] == pytest.approx(said.area, abs=0.001)


def test_serial_numbers_are_given_only_to_whom_asks_for_them(cottage: Path) -> None:
    where = ("--workspace", str(cottage))
    assert "CANARY-4711" not in run("export", "json", "riverside/02", *where).stdout
    assert "CANARY-4711" in run("export", "json", "riverside/02", "--private", *where).stdout


def test_kinds_are_listed_with_their_facts_and_units() -> None:
    every = run("kinds", "--workspace", str(ROOT)).output
    assert "gas-combination-boiler" in every
    assert "bedroom" in every
    one = run("kinds", "extract-fan", "--workspace", str(ROOT)).output
    assert "  fact rate: Air it moves (number, in l/s)" in one
    assert "facts: {rate: 1}" in one
    assert run("kinds", "bedroom", "--workspace", str(ROOT)).output.startswith(
        "bedroom: Bedroom, a kind of room\n  lived in, slept in\n"
    )


def test_a_kind_that_is_not_there_is_met_with_the_nearest() -> None:
    told = run("kinds", "radiatr", "--workspace", str(ROOT))
    assert told.exit_code == 2
    assert "There is no kind 'radiatr'. Did you mean 'radiator'?" in told.output


def test_the_plan_of_a_house_type_is_drawn_again_with_its_findings(cottage: Path) -> None:
    from builder.cli.preview_plan import house_type_of, page_of, version_of  # noqa: PLC0415

    file = cottage / "housetypes" / "cottage.yaml"
    assert house_type_of(cottage, Path("housetypes/cottage.yaml")) == "cottage"
    before, version = page_of(cottage, "cottage"), version_of(cottage, "cottage")
    assert before.count("<svg") == 2
    assert f'data-version="{version}"' in before
    file.write_text(
        file.read_text(encoding="utf-8").replace(
            "[6, 0], [6, 5], [2, 5]]", "[6, 0], [6, 5], [1, 5]]"
        ),
        encoding="utf-8",
    )
    after = page_of(cottage, "cottage")
    assert version_of(cottage, "cottage") != version
    assert "&#39;Hall&#39; and &#39;Kitchen&#39; overlap by 2.50 m²." in after
    file.write_text("rooms: [", encoding="utf-8")
    assert "There is nothing to draw until its mistakes are mended." in page_of(cottage, "cottage")
