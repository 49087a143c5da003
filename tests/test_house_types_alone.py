"""House types before there is any development: looked at as drawn, without blame for what developments say."""

import shutil
from pathlib import Path

from builder.cli.preview_plan import page_of
from tests.broken_workspaces import HERE, WHOLE, run

DEMO = HERE.parent


def _alone(of: Path, to: Path) -> Path:
    for folder in ("housetypes", "content"):
        shutil.copytree(of / folder, to / folder)
    return to


def test_a_sound_house_type_is_blamed_for_nothing(tmp_path: Path) -> None:
    result = run("check", "--workspace", str(_alone(WHOLE, tmp_path)))
    assert result.output == (
        "1 note. Add --notes to read the notes.\n"
        "0 of 0 plots can be published.\n"
        "There is no plot yet: 1 house type looked at as drawn.\n"
    )
    assert result.exit_code == 0


def test_house_types_of_every_nation_are_blamed_for_nothing(tmp_path: Path) -> None:
    result = run("check", "--workspace", str(_alone(DEMO, tmp_path)))
    assert "error" not in result.output, result.output
    assert ": warning" not in result.output, result.output


def test_what_is_wrong_wherever_it_is_built_is_told(tmp_path: Path) -> None:
    file = _alone(WHOLE, tmp_path) / "housetypes" / "cottage.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("{kind: stopcock, room: kitchen", "{kind: stopcock, room: kitchn"))
    result = run("check", "--workspace", str(tmp_path))
    assert "housetypes/cottage.yaml:37:36: error home.unknown-reference" in result.output
    assert "There is no 'kitchn' in rooms.\n  Did you mean 'kitchen'?" in result.output
    assert "Concerns" not in result.output
    assert result.exit_code == 1


def test_what_a_rule_finds_wherever_it_is_built_is_told(tmp_path: Path) -> None:
    file = _alone(WHOLE, tmp_path) / "housetypes" / "cottage.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("thermostat: hall-thermostat", "thermostat: bedroom-thermostat"))
    result = run("check", "--workspace", str(tmp_path))
    assert "error heating.thermostat-outside-its-zone" in result.output, result.output


def test_its_plan_can_be_looked_at(tmp_path: Path) -> None:
    assert "<svg" in page_of(_alone(WHOLE, tmp_path), "cottage")
