"""What is private is for its owner alone, and two homes never share the name of a file."""

import os
import shutil
import stat
import subprocess
from pathlib import Path

import pytest

from builder.disk import left_out_of_git
from tests.broken_workspaces import run
from tests.conftest import COTTAGE

DAY = ("--date", "2026-04-01")


def did(*arguments: str) -> str:
    result = run(*arguments)
    assert result.exit_code == 0, result.output
    return result.output


def modes(folder: Path) -> dict[str, int]:
    """The mode of a folder and of all that it holds."""
    return {
        path.relative_to(folder).as_posix(): stat.S_IMODE(path.lstat().st_mode)
        for path in (folder, *folder.rglob("*"))
    }


@pytest.fixture
def twins(cottage: Path) -> Path:
    """Two homes whose names are the same but for where the stroke stands."""
    shutil.copytree(
        cottage / "developments" / "riverside", cottage / "developments" / "riverside-2"
    )
    for name, row in (("riverside", "2-07"), ("riverside-2", "07")):
        folder = cottage / "developments" / name
        head = (folder / "plots.csv").read_text(encoding="utf-8").splitlines()[0]
        (folder / "plots.csv").write_text(
            f"{head}\n{row},{row} {name},ZZ99 9ZZ,cottage,as-drawn,,2026-05-01\n", encoding="utf-8"
        )
        shutil.rmtree(folder / "plots")
    return cottage


PLOTS = ("riverside/2-07", "riverside-2/07")


def test_papers_of_two_homes_never_lie_in_one_folder(twins: Path, tmp_path: Path) -> None:
    out = tmp_path / "paper"
    said = did("print", "--paper", "keys", "--workspace", str(twins), "--out", str(out), *DAY)
    assert "2 papers printed." in said
    found = sorted(path.relative_to(out).as_posix() for path in out.rglob("*.pdf"))
    assert found == [
        "riverside-2/07/keys-and-documents.pdf", "riverside/2-07/keys-and-documents.pdf",
    ]  # fmt: skip


def test_run_sheets_of_two_homes_never_have_one_name(twins: Path, tmp_path: Path) -> None:
    out = tmp_path / "sheets"
    for plot in PLOTS:
        did("demonstration", plot, "--workspace", str(twins), "--out", str(out), *DAY)
    assert len(list(out.iterdir())) == 4
    script = (COTTAGE.parents[2] / "site_templates/demonstration/page.js").read_text("utf-8")
    assert '.replace("/", "_")' in script, "nor have the records that two tablets export"


def test_run_sheets_and_the_records_of_a_tree_are_for_their_owner_alone(
    cottage: Path, tmp_path: Path
) -> None:
    before = os.umask(0o022)
    try:
        out, public = tmp_path / "sheets", tmp_path / "public"
        did("demonstration", "riverside/01", "--workspace", str(cottage), "--out", str(out), *DAY)
        for _ in range(2):
            did("build", "--workspace", str(cottage), "--out", str(public), *DAY)
        did("deploy", str(tmp_path / "host"), "--from", str(public))
    finally:
        os.umask(before)
    assert set(modes(out).values()) == {0o700, 0o600}
    records = tmp_path / ".public.records"
    assert len(modes(records)) > 8
    for name, mode in modes(records).items():
        assert mode == (0o700 if (records / name).is_dir() else 0o600), name
    assert (tmp_path / "host" / "robots.txt").stat().st_mode & 0o044 == 0o044, "guides are public"


def test_what_was_open_to_all_is_closed_by_the_next_build(cottage: Path, tmp_path: Path) -> None:
    public = tmp_path / "public"
    did("build", "--workspace", str(cottage), "--out", str(public), *DAY)
    records = tmp_path / ".public.records"
    for path in (records, *records.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
    did("build", "--afresh", "--workspace", str(cottage), "--out", str(public), *DAY)
    assert {name for name, mode in modes(records).items() if mode & 0o077} == set()


def test_a_note_that_a_full_disk_left_without_a_word_is_written_again(tmp_path: Path) -> None:
    """Else git would take what is private into the history; a note that somebody wrote stays."""
    note = tmp_path / ".gitignore"
    for before, after in ((None, "*\n"), ("", "*\n"), ("kept-by-hand\n", "kept-by-hand\n")):
        note.unlink(missing_ok=True)
        if before is not None:
            note.write_text(before, encoding="utf-8")
        left_out_of_git(tmp_path)
        assert note.read_text(encoding="utf-8") == after
    assert [each.name for each in tmp_path.iterdir()] == [".gitignore"]


@pytest.mark.skipif(shutil.which("git") is None, reason="asks git itself")
def test_git_leaves_out_what_is_private_of_a_workspace_that_was_begun_here(tmp_path: Path) -> None:
    """By the file that ``handover new`` writes; an own file keeps its lines and gets the others."""
    root = tmp_path / "homes"
    root.mkdir()
    (root / ".gitignore").write_text("*.bak\n/paper/", encoding="utf-8")
    place = ("--workspace", str(root))
    for thing in (("housetype", "cottage"), ("development", "riverside"), ("plot", "riverside/01")):
        did("new", *thing, *place)
    kept = (root / ".gitignore").read_text(encoding="utf-8")
    assert kept.startswith("*.bak\n/paper/\n# Private, or made again")
    assert kept.count("/paper/") == 1
    did("build", *place, "--out", str(root / "public"), *DAY)
    did("stickers", "issue", *place, *DAY)
    did("demonstration", "riverside/01", *place, "--out", str(root), *DAY)
    private = (
        "developments/riverside/records/01/x.json",
        "records/a/01/x.json",
        "paper/a/01/x.pdf",
    )
    for name in private:
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).touch()
    subprocess.run(["git", "init", "-q", str(root)], check=True)
    listed = subprocess.run(
        ["git", "-C", str(root), "ls-files", "--others", "--exclude-standard"],
        check=True, capture_output=True, text=True,
    ).stdout.split()  # fmt: skip
    top = {name.split("/")[0] for name in listed}
    assert top == {".gitignore", "developments", "housetypes", "schemas"}
    assert not [name for name in listed if "records" in name or "lock" in name]
    assert "developments/riverside/register.csv" in listed
