"""Every mistake is a clear finding: exact words, exit code 1, nothing published touched."""

import re
from pathlib import Path

import pytest

from tests.broken_workspaces import BROKEN, EXPECTED, lay, names, run

NOT_EVERY_PLOT = {
    name
    for name in names()
    if "0 of" not in (BROKEN / name / EXPECTED).read_text(encoding="utf-8").splitlines()[-1]
}
"""Mistakes that leave some plots sound: those are published, the others left as they were."""
IN_NO_GUIDE = r"stickers/|content/model-words/|developments/[^/]+/columns\.yaml"
"""Files that a build does not read: a check alone tells what is wrong in them."""


@pytest.mark.parametrize("name", names())
def test_the_mistake_is_reported_exactly(name: str, tmp_path: Path) -> None:
    result = run("check", "--workspace", str(lay(name, tmp_path)))
    expected = (BROKEN / name / EXPECTED).read_text(encoding="utf-8")
    assert result.output == expected
    errors = re.search(r"^[1-9]\d* errors?\b|^Error: ", expected, re.MULTILINE)
    assert result.exit_code == (1 if errors else 0)


@pytest.mark.parametrize("name", sorted(set(names()) - NOT_EVERY_PLOT))
def test_nothing_published_is_touched(name: str, tmp_path: Path) -> None:
    workspace = lay(name, tmp_path)
    out = tmp_path / "public"
    guide = out / "g" / "6GHK85M55R7P4E"
    guide.mkdir(parents=True)
    (guide / "index.html").write_text("published earlier", encoding="utf-8")
    (out / "_headers").write_text("published earlier", encoding="utf-8")
    before = {path: path.read_bytes() for path in workspace.rglob("*") if path.is_file()}
    result = run("build", "--workspace", str(workspace), "--out", str(out))
    assert result.exit_code == 1
    assert isinstance(result.exception, SystemExit)
    assert {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()} == {
        "_headers", "g/6GHK85M55R7P4E/index.html"
    }  # fmt: skip
    assert (guide / "index.html").read_text(encoding="utf-8") == "published earlier"
    assert before == {path: path.read_bytes() for path in workspace.rglob("*") if path.is_file()}


@pytest.mark.parametrize("name", sorted(NOT_EVERY_PLOT))
def test_a_build_publishes_what_the_check_says_can_be(name: str, tmp_path: Path) -> None:
    workspace, out = lay(name, tmp_path), tmp_path / "public"
    *told, said = (BROKEN / name / EXPECTED).read_text(encoding="utf-8").splitlines()
    result = run("build", "--workspace", str(workspace), "--out", str(out), "--date", "2026-03-01")
    assert isinstance(result.exception, SystemExit | None), result.exception
    assert len(list((out / "g").iterdir())) == int(said.split(" of ")[0])
    errors = {line for line in told if " error " in line and not re.match(IN_NO_GUIDE, line)}
    assert errors <= {*result.output.splitlines()}


def test_a_mistake_in_one_plot_leaves_the_other_published(tmp_path: Path) -> None:
    workspace = lay("unknown-option", tmp_path)
    out = tmp_path / "public"
    result = run("build", "--workspace", str(workspace), "--out", str(out), "--date", "2026-03-01")
    assert result.exit_code == 1
    assert "Left as they were: riverside/02." in result.output
    assert len(list((out / "g").iterdir())) == 1


def test_a_register_with_a_mistake_is_left_as_it_is(tmp_path: Path) -> None:
    workspace = lay("register-line", tmp_path)
    register = workspace / "developments" / "riverside" / "register.csv"
    before = register.read_bytes()
    result = run("build", "--workspace", str(workspace), "--out", str(tmp_path / "public"))
    assert result.exit_code == 1
    assert "'6GHK85M55R7P4X' is not a code: a letter was lost or changed." in result.output
    assert register.read_bytes() == before
