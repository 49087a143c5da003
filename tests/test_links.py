"""Links in a workspace: what is private lies where it says, nothing is written elsewhere, and what is
read by a link counts as read."""

import os
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from builder.build.source_files import SourceFiles
from builder.cli import main
from tests.conftest import COTTAGE
from tests.demonstrations import signed, whole_record, workspace_sheet

DAY = ("--date", "2026-11-26")
RIVERSIDE = Path("developments", "riverside")


@pytest.fixture
def workspace(tmp_path: Path) -> Path:
    return Path(shutil.copytree(COTTAGE, tmp_path / "cottage"))


def run(workspace: Path, *command: str) -> Result:
    return CliRunner().invoke(main, [*command, "--workspace", str(workspace)])


def linked(link: Path, target: Path) -> Path:
    """A link in place of whatever stands there."""
    if link.is_dir():
        shutil.rmtree(link)
    link.unlink(missing_ok=True)
    link.symlink_to(target)
    return target


def test_a_signed_record_is_kept_but_not_where_a_link_leads(
    workspace: Path, tmp_path: Path
) -> None:
    published = tmp_path / "public"
    (published / "g").mkdir(parents=True)
    published.chmod(0o755)
    linked(workspace / RIVERSIDE / "records", published)
    export = tmp_path / "export.json"
    text = signed(whole_record(workspace_sheet(COTTAGE, "riverside/02")))
    export.write_text(text, encoding="utf-8")
    kept = workspace / "records" / "riverside" / "02" / "2026-03-31-demonstration.json"
    result = run(workspace, "record", str(export), *DAY)
    assert (result.exit_code, result.output) == (
        0,
        "developments/riverside/records:1:1: warning record.linked\n"
        "  This is a link, so that the record might lie elsewhere. It is kept in 'records/riverside/02' instead.\n"
        "  Put a folder in place of the link, and keep the record there with 'handover record'.\n"
        "1 warning.\n"
        "Demonstrated on 31 March 2026, by the site manager.\n"
        f"Kept: {kept.as_posix()}. It is private: never put it on the web.\n",
    )
    assert kept.read_text(encoding="utf-8") == text
    assert [path.name for path in published.rglob("*")] == ["g"]
    assert published.stat().st_mode & 0o777 == 0o755, "readers can still read it"
    linked(workspace / "records", published)
    result = run(workspace, "record", str(export), *DAY)
    assert result.exit_code == 1
    assert result.output == (
        f"Error: '{workspace / 'records'}' is a link, and what is written there would lie elsewhere."
        " Put a folder or file of its own in its place.\n"
    )


def test_check_finds_private_folders_that_are_links(workspace: Path, tmp_path: Path) -> None:
    for name in (".handover", "records", f"{RIVERSIDE}/records"):
        linked(workspace / name, tmp_path)
    output = run(workspace, "check", *DAY).output
    for name in (".handover", "records", "developments/riverside/records"):
        assert (
            f"{name}:1:1: error file.private-link\n"
            "  This is a link, and what is private would lie elsewhere.\n"
            "  Put a folder in its place, and what the link led to into that folder.\n"
        ) in output


def test_the_records_of_a_tree_are_never_kept_by_a_link(workspace: Path, tmp_path: Path) -> None:
    out, records = tmp_path / "public", tmp_path / ".public.records"
    out.mkdir()
    linked(records, out)
    result = run(workspace, "build", "--out", str(out), *DAY)
    assert result.exit_code == 1
    assert f"Error: '{records}' is a link, and what is written there would lie elsewhere." in result.output  # fmt: skip
    assert not list(out.iterdir())


@pytest.mark.parametrize(
    ("link", "command"),
    [
        ("content/articles", ("new", "article", "loft")),
        ("developments/riverside/plots", ("new", "plot", "riverside/03")),
        ("schemas", ("schema",)),
        ("housetypes", ("new", "housetype", "heron")),
    ],
)
def test_nothing_is_written_where_a_link_leads_out(
    link: str, command: tuple[str, ...], workspace: Path, tmp_path: Path
) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    linked(workspace / link, outside)
    (outside / "standard.yaml").touch()
    result = run(workspace, *command)
    assert result.exit_code == 1
    assert "is reached by a link that leads out of the workspace. Nothing was written." in result.output  # fmt: skip
    assert [path.name for path in outside.iterdir()] == ["standard.yaml"]


def test_drafts_and_notes_are_written_through_no_link(workspace: Path, tmp_path: Path) -> None:
    precious = tmp_path / "precious"
    precious.write_text("precious", encoding="utf-8")
    for name in (f"{RIVERSIDE}/.register.csv.new", f"{RIVERSIDE}/.gitignore", ".gitignore"):
        linked(workspace / name, precious)
    assert run(workspace, "stickers", "issue", *DAY).exit_code == 0
    assert run(workspace, "new", "article", "loft").exit_code == 0
    assert precious.read_text(encoding="utf-8") == "precious"
    assert not (workspace / RIVERSIDE / "register.csv").is_symlink()


def test_what_is_read_by_a_link_inside_the_workspace_counts(workspace: Path) -> None:
    """A changed departure must never leave a guide as it was."""
    plots, shared = workspace / RIVERSIDE / "plots", workspace / "shared" / "plots"
    shutil.copytree(plots, shared)
    linked(plots, Path("../../shared/plots"))
    (plots / "round").symlink_to(shared.parent)
    name = "developments/riverside/plots/02.yaml"
    before = SourceFiles(workspace).files
    (shared / "02.yaml").write_text("{}\n", encoding="utf-8")
    now = SourceFiles(workspace).files
    assert {each for each in now if now[each] != before.get(each)} == {name}


def test_links_that_lead_round_in_a_circle_are_told(workspace: Path, tmp_path: Path) -> None:
    circle = tmp_path / "circle"
    circle.symlink_to(circle)
    result = run(workspace, "build", "--out", str(circle), *DAY)
    assert (result.exit_code, result.output) == (1, f"Error: '{circle}' cannot be written: File exists.\n")  # fmt: skip
    result = CliRunner().invoke(main, ["deploy", str(circle), "--from", str(tmp_path)])
    assert isinstance(result.exception, SystemExit)


def test_only_true_place_follows_links() -> None:
    """``Path.resolve`` breaks off at a circle of links."""
    said = [
        f"{path.name}: {line.strip()}"
        for path in Path(os.fspath(COTTAGE)).parents[2].joinpath("builder").rglob("*.py")
        for line in path.read_text(encoding="utf-8").splitlines()
        if ".resolve(" in line and "__file__" not in line
    ]
    assert said == []
