"""What goes wrong with one plot is told of that plot, and all others are checked, built and printed."""

import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from PIL import Image

from builder.build import papers, plot_writing
from builder.cli import main
from builder.preparing import Preparing
from tests.conftest import COTTAGE

BOTH = ("riverside/01", "riverside/02")


@pytest.fixture
def workspace(tmp_path: Path) -> Path:
    return Path(shutil.copytree(COTTAGE, tmp_path / "cottage"))


def run(command: str, workspace: Path, *options: str) -> Result:
    given = [command, "--workspace", str(workspace), "--date", "2026-11-25", *options]
    return CliRunner().invoke(main, given)


def failing(holder: Any, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Have a step of the work end in a mistake of ours for the first plot."""
    step = getattr(holder, name)

    def stumbling(*given: Any, **named: Any) -> Any:
        if any(getattr(each, "reference", each) == BOTH[0] for each in given) or any(
            getattr(getattr(each, "plot", None), "reference", "") == BOTH[0] for each in given
        ):
            raise ZeroDivisionError("the rest is\nnot said")
        return step(*given, **named)

    monkeypatch.setattr(holder, name, stumbling)


SAID = "ZeroDivisionError: the rest is not said"
REPORT = "This is a mistake of the builder. Report it in these words; the other plots are done."


def test_a_check_goes_on(workspace: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    failing(Preparing, "_prepared", monkeypatch)
    result = run("check", workspace)
    assert result.exit_code == 1
    assert "plots.csv:2:1: error plot.unforeseen" in result.output
    assert f"Plot 'riverside/01' cannot be checked: {SAID}" in result.output
    assert REPORT in result.output
    assert "1 of 2 plots can be published." in result.output


def test_a_build_goes_on(workspace: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    failing(plot_writing.Bench, "_files", monkeypatch)
    result = run("build", workspace, "--out", str(workspace.parent / "public"))
    assert result.exit_code == 1
    assert f"Plot 'riverside/01' cannot be built: {SAID}" in result.output
    assert "1 guide published.\nLeft as they were: riverside/01.\n" in result.output
    assert len(list((workspace.parent / "public" / "g").iterdir())) == 1


def test_a_print_goes_on(workspace: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    failing(papers.PrintingHouse, "printable", monkeypatch)
    out = workspace.parent / "paper"
    result = run("print", workspace, "--paper", "emergency", "--out", str(out))
    assert result.exit_code == 1
    assert f"Plot 'riverside/01' cannot be printed: {SAID}" in result.output
    assert "1 paper printed.\nNot printed: riverside/01.\n" in result.output
    assert [each.name for each in out.rglob("*.pdf")] == ["emergency-card.pdf"]


def test_a_picture_that_is_cut_short_after_the_check(workspace: Path) -> None:
    """Checked by its place in the data; a build and a print leave that plot and say why."""
    Image.linear_gradient("L").save(workspace / "housetypes" / "valve.jpg")
    whole = (workspace / "housetypes" / "valve.jpg").read_bytes()
    (workspace / "housetypes" / "valve.jpg").write_bytes(whole[: len(whole) // 2])
    house_type = workspace / "housetypes" / "cottage.yaml"
    house_type.write_text(
        house_type.read_text().replace("make: Tarn", "make: Tarn, photo: valve")
        + "photos:\n  valve: {file: housetypes/valve.jpg, shows: The stopcock}\n"
    )
    said = "'housetypes/valve.jpg' is cut short: part of the picture is missing."
    for command, out in (
        ("check", ()),
        ("build", ("--out", "public")),
        ("print", ("--out", "paper")),
    ):
        given = tuple(
            str(workspace.parent / each) if each in ("public", "paper") else each for each in out
        )
        result = run(command, workspace, *given)
        assert result.exit_code == 1
        assert said in result.output, result.output
        assert "Copy the file again, whole." in result.output


def test_a_target_that_is_full_ends_the_run(workspace: Path) -> None:
    (workspace.parent / "paper").write_text("a file", encoding="utf-8")
    result = run("print", workspace, "--out", str(workspace.parent / "paper" / "here"))
    assert result.exit_code == 1
    assert result.output.endswith("cannot be made: Not a directory.\n"), result.output
