"""Saves: all files or none, two people at once, history and the way back, in git and without."""

import os
import stat
import subprocess
import sys
import threading
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from builder.cli import main
from builder.errors import UnwritableError, UsageError
from builder.saving import placing
from builder.saving.changes import Body, Cells, Gone, Picture, Put, Save, Whole
from builder.saving.merging import Contest
from builder.saving.repository import GitError, Repository, repository_of
from builder.saving.saves import Saved, Saves
from builder.saving.store import PENDING, JournalEntry, SaveStore
from builder.saving.trying import tried

NOON = datetime(2031, 11, 28, 12, 0, tzinfo=UTC)
PLOT = "developments/riverside/plots/02.yaml"
TABLE = "developments/riverside/plots.csv"
ARTICLE = "content/articles/water-off.md"


def save_of(saves: Saves, file: str, *changes: object, reason: str = "Because", role: str = "sales") -> Save:  # fmt: skip
    return Save(role, reason, {file: changes}, {file: saves.opened(file).digest})  # type: ignore[dict-item]


def saved(saves: Saves, file: str, *changes: object, reason: str = "Because") -> Saved:
    done = saves.save(save_of(saves, file, *changes, reason=reason), NOON)
    assert isinstance(done, Saved), done
    return done


def git(folder: Path, *arguments: str) -> str:
    done = subprocess.run(["git", "-c", "user.name=A", "-c", "user.email=a@b.example", *arguments], cwd=folder, capture_output=True, text=True, check=True)  # fmt: skip
    return done.stdout


@pytest.fixture
def plain(cottage: Path) -> Saves:
    return Saves(cottage)


@pytest.fixture
def in_git(cottage: Path) -> Saves:
    """The workspace in a folder of a repository that holds other things too."""
    git(cottage.parent, "init", "-q")
    (cottage.parent / "notes.txt").write_text("one\n")
    git(cottage.parent, "add", ".")
    git(cottage.parent, "commit", "-q", "-m", "First")
    return Saves(cottage)


# What is written


def test_a_save_changes_its_files_and_says_who_and_why(plain: Saves) -> None:
    done = saved(plain, TABLE, Cells("02", {"completion": "2026-12-01"}), reason="The buyer asked")
    assert done.entry is not None
    assert "2026-12-01" in (plain.root / TABLE).read_text()
    (entry,) = plain.history(TABLE)
    assert (entry.role, entry.reason, list(entry.files)) == ("sales", "The buyer asked", [TABLE])
    assert datetime.fromisoformat(entry.when) == NOON
    assert any(line.startswith("+02,") and "2026-12-01" in line for line in plain.compared(entry, TABLE))  # fmt: skip


def test_a_save_that_changes_nothing_is_no_entry(plain: Saves) -> None:
    text = (plain.root / ARTICLE).read_text()
    assert saved(plain, ARTICLE, Whole(text)) == Saved(None)
    assert plain.history() == ()


def test_what_is_kept_of_saves_is_for_the_owner_alone(plain: Saves) -> None:
    saved(plain, TABLE, Cells("02", {"completion": "2026-12-01"}))
    folder = plain.root / ".handover/saves"
    for path in (folder, *folder.rglob("*")):
        assert not stat.S_IMODE(path.stat().st_mode) & 0o077, path
    assert (folder / ".gitignore").read_text() == "*\n"


@pytest.mark.parametrize(
    "name",
    [
        "../outside.yaml", "/etc/passwd", "developments/riverside/register.csv", "developments/riverside/records/02/a.yaml",
        "developments/riverside/plots/../../../x.yaml", "mkdocs.yml", "site_templates/pages/home.md", ".git/config",
        "developments/riverside/plots/.hidden.yaml", "developments/riverside/plots/02.yaml/", "housetypes\\a.yaml",
        "content/articles/x.html", "developments/riverside/photos/a.svg", "housetypes/UPPER.yaml", "a\0b.yaml", "", ".",
        "content/library.yaml/x.yaml", "C:/x.yaml", "developments//plots.csv", "developments/riverside/plots.csv\n",
    ],
)  # fmt: skip
def test_what_nobody_may_write_is_refused(plain: Saves, name: str) -> None:
    with pytest.raises(UsageError):
        plain.save(Save("sales", "", {name: (Whole("a: 1\n"),)}, {name: ""}), NOON)


def test_a_link_is_not_written_through(plain: Saves, tmp_path: Path) -> None:
    (tmp_path / "outside").mkdir()
    (plain.root / "developments/riverside/photos").symlink_to(tmp_path / "outside")
    name = "developments/riverside/photos/a.jpg"
    with pytest.raises(UsageError, match="is reached by a link"):
        plain.save(Save("site", "", {name: (Picture(b"x"),)}, {name: ""}), NOON)
    assert not list((tmp_path / "outside").iterdir())


def test_a_byte_order_mark_and_windows_line_ends_stay(plain: Saves) -> None:
    path = plain.root / TABLE
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    before = path.read_bytes()
    saved(plain, TABLE, Cells("02", {"completion": "2026-12-01"}))
    after = path.read_bytes()
    assert after.startswith(b"\xef\xbb\xbf")
    assert after.count(b"\r\n") == after.count(b"\n") == before.count(b"\n")


# Two people at once


def test_who_saves_second_keeps_what_the_first_saved(plain: Saves) -> None:
    mine = save_of(plain, TABLE, Cells("02", {"completion": "2026-12-01"}))
    saved(plain, TABLE, Cells("01", {"completion": "2026-12-02"}))
    assert isinstance(plain.save(mine, NOON), Saved)
    text = (plain.root / TABLE).read_text()
    assert "2026-12-01" in text
    assert "2026-12-02" in text


def test_two_who_change_the_same_hear_of_each_other_and_nothing_is_written(plain: Saves) -> None:
    mine = save_of(plain, TABLE, Cells("02", {"completion": "2026-12-01"}))
    saved(plain, TABLE, Cells("02", {"completion": "2026-12-02"}))
    before = (plain.root / TABLE).read_bytes()
    (contest,) = plain.save(mine, NOON)  # type: ignore[misc]
    assert isinstance(contest, Contest)
    assert (contest.about, contest.now, contest.wanted) == ("02, completion", "2026-12-02", "2026-12-01")  # fmt: skip
    assert (plain.root / TABLE).read_bytes() == before


def test_of_two_files_none_is_written_where_one_is_contested(plain: Saves) -> None:
    based = {each: plain.opened(each).digest for each in (TABLE, ARTICLE)}
    saved(plain, TABLE, Cells("02", {"completion": "2026-12-02"}))
    before = (plain.root / ARTICLE).read_bytes()
    changes = {ARTICLE: (Put(("title",), "Other"),), TABLE: (Cells("02", {"completion": "2026-12-01"}),)}  # fmt: skip
    assert not isinstance(plain.save(Save("sales", "", changes, based), NOON), Saved)
    assert (plain.root / ARTICLE).read_bytes() == before


def test_many_at_once_lose_nothing(plain: Saves) -> None:
    digest = plain.opened(PLOT).digest
    failed: list[object] = []

    def work(number: int) -> None:
        change = Put(("serials", f"thing-{number}"), f"S{number}")
        done = Saves(plain.root).save(Save("site", "", {PLOT: (change,)}, {PLOT: digest}), NOON)
        if not isinstance(done, Saved):
            failed.append(done)

    threads = [threading.Thread(target=work, args=(n,)) for n in range(12)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    text = (plain.root / PLOT).read_text()
    assert not failed
    assert all(f"thing-{n}: S{n}" in text for n in range(12))
    assert len(plain.history(PLOT)) == 12


# All or none


_ACTS = ("open", "os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.link", "subprocess.Popen", "fcntl.flock")  # fmt: skip
"""What Python tells of a save's way over the disk: killed between two of these, it has done the same."""


def _killed_before(act: int, work: Callable[[], object]) -> bool:
    """Whether a process that stops dead before one of its acts had said that it was done."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        left = act

        def count(event: str, arguments: tuple[object, ...]) -> None:
            nonlocal left
            reads = event == "open" and not (isinstance(arguments[2], int) and arguments[2] & os.O_ACCMODE)  # fmt: skip
            left -= event in _ACTS and not reads
            if left < 0:
                os._exit(9)

        sys.addaudithook(count)
        work()
        os.write(writing, b"saved")
        os._exit(0)
    os.close(writing)
    said = os.read(reading, 5) == b"saved"
    os.close(reading)
    os.waitpid(child, 0)
    return said


@pytest.mark.filterwarnings("ignore::DeprecationWarning")  # of forking beside threads
@pytest.mark.parametrize("kept", ["plain", "in_git"])
def test_killed_at_any_moment_a_save_is_whole_or_not_there_and_what_was_said_stays(
    kept: str, request: pytest.FixtureRequest
) -> None:
    saves: Saves = request.getfixturevalue(kept)
    saw, number, said = set(), 0, False
    while not said:
        number += 1
        value = f"2026-12-{number % 28 + 1:02}"
        based = {each: saves.opened(each).digest for each in (TABLE, PLOT)}
        changes = {TABLE: (Cells("02", {"completion": value}),), PLOT: (Put(("serials", "boiler"), f"S{number}"),)}  # fmt: skip
        before = [(saves.root / each).read_text() for each in (TABLE, PLOT)]
        count = len(saves.history(most=9_999))
        save = Save("sales", f"Number {number}", changes, based)
        said = _killed_before(number - 1, lambda save=save: Saves(saves.root).save(save, NOON))  # type: ignore[misc]
        Saves(saves.root).recover()
        after = [(saves.root / each).read_text() for each in (TABLE, PLOT)]
        done = [value in after[0] and after[0] != before[0], f"S{number}" in after[1]]
        assert done in ([True, True], [False, False]), number
        assert done[0] or not said, number
        assert done[0] or after == before
        entries = saves.history(most=9_999)
        assert len(entries) - count == done[0], number
        assert not done[0] or entries[0].reason == f"Number {number}"
        assert {each.parent.name for each in saves.root.rglob("*.part")} <= {
            "contents",
            "seen",
            "saves",
        }
        saw.add(done[0])
    assert saw == {True, False}
    assert number > 10


def test_where_the_disk_is_full_every_file_is_as_it_was(plain: Saves, monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    based = {each: plain.opened(each).digest for each in (TABLE, PLOT)}
    before = [(plain.root / each).read_bytes() for each in (TABLE, PLOT)]
    written = placing.save

    def full(path: Path, content: bytes) -> None:
        if path.name == "02.yaml" and b"S1" in content:
            raise UnwritableError("No space left on the disk.")
        written(path, content)

    monkeypatch.setattr(placing, "save", full)
    changes = {TABLE: (Cells("02", {"completion": "2026-12-01"}),), PLOT: (Put(("serials", "boiler"), "S1"),)}  # fmt: skip
    with pytest.raises(UnwritableError, match="No space left"):
        plain.save(Save("sales", "", changes, based), NOON)
    assert [(plain.root / each).read_bytes() for each in (TABLE, PLOT)] == before
    assert plain.history() == ()
    assert plain.recover() is None


# History and the way back


@pytest.mark.parametrize("kept", ["plain", "in_git"])
def test_a_save_is_taken_back_by_another_and_what_came_after_stays(
    kept: str, request: pytest.FixtureRequest
) -> None:
    saves: Saves = request.getfixturevalue(kept)
    original = (saves.root / ARTICLE).read_text()
    first = saved(saves, ARTICLE, Put(("title",), "Another title"), reason="Shorter").entry
    saved(saves, ARTICLE, Body(original.split("---\n", 2)[2] + "\nOne more line.\n"))
    assert first is not None
    listed = next(each for each in saves.history(ARTICLE) if each.reason == "Shorter")
    done = saves.save(saves.undoing(listed, "editor", "It was clearer before"), NOON)
    assert isinstance(done, Saved)
    assert (saves.root / ARTICLE).read_text() == original + "\nOne more line.\n"
    assert saves.history(ARTICLE)[0].undoes == first.id


@pytest.mark.parametrize("kept", ["plain", "in_git"])
def test_a_new_file_is_taken_back_and_brought_again(kept: str, request: pytest.FixtureRequest) -> None:  # fmt: skip
    saves: Saves = request.getfixturevalue(kept)
    name = "developments/riverside/photos/hall.jpg"
    save = Save("site", "A photograph", {name: (Picture(b"\xff\xd8picture"),)}, {name: ""})
    assert isinstance(saves.save(save, NOON), Saved)
    entry = saves.history(name)[0]
    assert saves.before_and_after(entry, name) == (None, b"\xff\xd8picture")
    saves.save(saves.undoing(entry, "site", "Wrong home"), NOON)
    assert not (saves.root / name).exists()
    saves.save(saves.undoing(saves.history(name)[0], "site", "It was right"), NOON)
    assert (saves.root / name).read_bytes() == b"\xff\xd8picture"


def test_taking_back_tells_of_what_somebody_changed_since(plain: Saves) -> None:
    saved(plain, ARTICLE, Put(("title",), "Second"))
    entry = plain.history()[0]
    saved(plain, ARTICLE, Put(("title",), "Third"))
    (contest,) = plain.save(plain.undoing(entry, "editor", ""), NOON)  # type: ignore[misc]
    assert isinstance(contest, Contest)
    assert "Third" in contest.now


# In a git repository


def test_a_save_is_one_commit_of_its_files_by_the_role(in_git: Saves) -> None:
    saved(in_git, TABLE, Cells("02", {"completion": "2026-12-01"}), reason="The buyer asked")
    told = git(in_git.root, "show", "--format=%an|%ae|%cn|%s|%(trailers:key=Role,valueonly)", "--name-only", "HEAD")  # fmt: skip
    assert told.splitlines()[0] == "sales|desk@workspace.invalid|sales|The buyer asked|sales"
    assert told.splitlines()[-1] == f"cottage/{TABLE}"
    assert git(in_git.root, "status", "--porcelain") == ""
    assert not (in_git.root / ".handover/saves/journal.jsonl").exists()


def test_a_desk_that_is_killed_after_its_commit_leaves_nothing_staged(
    in_git: Saves, monkeypatch: pytest.MonkeyPatch
) -> None:
    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(Repository, "_stage", killed)
        with pytest.raises(KeyboardInterrupt):
            saved(in_git, TABLE, Cells("02", {"completion": "2026-12-01"}))
    assert git(in_git.root, "status", "--porcelain") != "", "what was there before is staged"
    Saves(in_git.root).recover()
    assert git(in_git.root, "status", "--porcelain") == ""
    assert git(in_git.root, "rev-list", "--count", "HEAD").strip() == "2"


def test_what_else_the_user_changed_or_staged_is_left_alone(in_git: Saves) -> None:
    (in_git.root.parent / "notes.txt").write_text("two\n")
    (in_git.root / ARTICLE).write_text((in_git.root / ARTICLE).read_text() + "Staged.\n")
    git(in_git.root.parent, "add", f"cottage/{ARTICLE}")
    saved(in_git, TABLE, Cells("02", {"completion": "2026-12-01"}))
    assert git(in_git.root.parent, "status", "--porcelain") == f"M  cottage/{ARTICLE}\n M notes.txt\n"  # fmt: skip


def test_what_was_changed_by_hand_before_is_a_commit_of_its_own(in_git: Saves) -> None:
    path = in_git.root / ARTICLE
    path.write_text(path.read_text() + "By hand.\n")
    saved(in_git, ARTICLE, Put(("title",), "Another title"), reason="Shorter")
    assert [each.reason for each in in_git.history(ARTICLE)] == ["Shorter", f"Changed outside the desk: {ARTICLE}", "First"]  # fmt: skip
    assert not any("By hand" in line and line[0] in "+-" for line in in_git.compared(in_git.history(ARTICLE)[0], ARTICLE))  # fmt: skip


def test_nothing_of_the_repository_is_run(in_git: Saves, tmp_path: Path) -> None:
    ran = tmp_path / "ran"
    script = f"#!/bin/sh\ntouch '{ran}'\ncat\n"
    hooks = in_git.root.parent / ".git/hooks"
    for name in ("pre-commit", "commit-msg", "post-commit", "post-index-change", "reference-transaction"):  # fmt: skip
        (hooks / name).write_text(script)
        (hooks / name).chmod(0o755)
    program = tmp_path / "program"
    program.write_text(script)
    program.chmod(0o755)
    (in_git.root / ".gitattributes").write_text("* filter=own diff=own\n")
    for key in ("filter.own.clean", "filter.own.smudge", "filter.own.process", "diff.own.textconv", "diff.external", "core.fsmonitor", "core.pager", "gpg.program", "core.editor"):  # fmt: skip
        git(in_git.root, "config", key, str(program))
    git(in_git.root, "config", "commit.gpgSign", "true")
    saved(in_git, TABLE, Cells("02", {"completion": "2026-12-01"}))
    entry = in_git.history(TABLE)[0]
    assert list(in_git.compared(entry, TABLE))
    in_git.save(in_git.undoing(entry, "sales", "Back"), NOON)
    repository = repository_of(in_git.root)
    assert repository is not None
    repository.unpack("HEAD", tmp_path / "unpacked")
    assert (tmp_path / "unpacked" / TABLE).read_bytes() == (in_git.root / TABLE).read_bytes()
    assert not ran.exists()


@pytest.mark.parametrize("url", ["ext::{program}", "{root}"])
def test_what_the_repository_lacks_is_fetched_by_no_program_of_its_settings(
    in_git: Saves, tmp_path: Path, url: str
) -> None:
    """A repository may promise that another has the rest, and say how that one is asked."""
    root, ran = in_git.root, tmp_path / "ran"
    program = tmp_path / "program"
    program.write_text(f"#!/bin/sh\ntouch '{ran}'\n")
    program.chmod(0o755)
    lost = git(root, "rev-parse", f"HEAD:./{TABLE}").strip()
    (root.parent / ".git/objects" / lost[:2] / lost[2:]).unlink()
    settings = {"core.repositoryFormatVersion": "1", "extensions.partialClone": "origin", "protocol.ext.allow": "always",
                "remote.origin.promisor": "true", "remote.origin.uploadPack": str(program), "remote.origin.url": url.format(program=program, root=root.parent)}  # fmt: skip
    for key, value in settings.items():
        git(root, "config", key, value)
    subprocess.run(["git", "cat-file", "-p", lost], cwd=root, capture_output=True, check=False)
    assert ran.exists(), "git itself does so"
    ran.unlink()
    repository = repository_of(root)
    assert repository is not None
    assert repository.content("HEAD", TABLE) is None
    with pytest.raises(GitError, match=f"it lacks what '{TABLE}' held"):
        repository.unpack("HEAD", tmp_path / "unpacked")
    assert [each.reason for each in in_git.history(TABLE)] == ["First"]
    assert not ran.exists()


@pytest.mark.parametrize("how", ["ignored", "merging"])
def test_what_git_does_not_take_is_in_the_journal(in_git: Saves, how: str) -> None:
    if how == "ignored":
        (in_git.root / ".gitignore").write_text("plots/\n")
        (in_git.root / PLOT).unlink()
        git(in_git.root, "rm", "-q", "--cached", PLOT)
        git(in_git.root, "commit", "-q", "-m", "Private")
    else:
        (in_git.root.parent / ".git/MERGE_HEAD").write_text(git(in_git.root, "rev-parse", "HEAD"))
    before = git(in_git.root, "rev-parse", "HEAD")
    saved(in_git, PLOT, Put(("serials", "boiler"), "S1"), reason="Read on site")
    assert git(in_git.root, "rev-parse", "HEAD") == before
    assert in_git.history(PLOT)[0].reason == "Read on site"


def test_a_repository_without_a_commit_gets_its_first(cottage: Path) -> None:
    git(cottage, "init", "-q")
    saves = Saves(cottage)
    saved(saves, TABLE, Cells("02", {"completion": "2026-12-01"}), reason="First of all")
    assert [each.reason for each in saves.history(TABLE)] == ["First of all", f"Changed outside the desk: {TABLE}"]  # fmt: skip


# Tried first


def test_a_save_is_tried_without_writing(plain: Saves) -> None:
    files = {path: path.read_bytes() for path in plain.root.rglob("*") if path.is_file()}
    opened = plain.opened(TABLE)
    save = Save("sales", "", {TABLE: (Cells("02", {"house_type": "cotage"}),)}, {TABLE: opened.digest})  # fmt: skip
    found = tried(plain.root, plain.draft(save).becomes, date(2026, 11, 28))
    assert [(each.code, each.path, each.plots) for each in found.new] == [("plots.unknown-house-type", "plot.house_type", ("riverside/02",))]  # fmt: skip
    assert found.at(TABLE, "plot.house_type") == found.new
    assert [(each.plot, each.published_now, each.published_then) for each in found.changing] == [("riverside/02", True, False)]  # fmt: skip
    assert {path: path.read_bytes() for path in plain.root.rglob("*") if path.is_file() and ".handover" not in path.parts} == files  # fmt: skip


def test_trying_names_the_pages_that_would_change(plain: Saves) -> None:
    text = (plain.root / ARTICLE).read_text()
    found = tried(plain.root, {ARTICLE: (text + "\nOne more line.\n").encode()}, date(2026, 11, 28))
    assert found.new == ()
    assert {page.page for each in found.changing for page in each.pages} == {"article:water-off"}
    gone = tried(plain.root, {ARTICLE: None}, date(2026, 11, 28))
    assert ("article:water-off", "gone") in {(page.page, page.how) for each in gone.plots for page in each.pages}  # fmt: skip


def test_a_file_that_is_new_is_read_with_the_others(plain: Saves) -> None:
    name = "housetypes/options/second-tap.yaml"
    text = (plain.root / "housetypes/options/car-charger.yaml").read_bytes()
    table = plain.draft(save_of(plain, TABLE, Cells("01", {"options": "second-tap"}))).becomes[TABLE]  # fmt: skip
    found = tried(plain.root, {name: text, TABLE: table}, date(2026, 11, 28))
    assert "plots.unknown-option" not in {each.code for each in found.findings}
    assert any(page.how == "new" for each in found.changing for page in each.pages)


def test_gone_is_for_files_that_were_seen(plain: Saves) -> None:
    save = save_of(plain, ARTICLE, Gone())
    assert isinstance(plain.save(save, NOON), Saved)
    assert not (plain.root / ARTICLE).exists()


def test_a_revision_is_unpacked_with_links_that_stay_inside(in_git: Saves, tmp_path: Path) -> None:
    root = in_git.root
    targets = {"inside.yaml": "plots.csv", "out": "../../../../outside", "whole": "/etc/passwd", "near": "../riverside/plots.csv"}  # fmt: skip
    for name, target in targets.items():
        (root / "developments/riverside" / name).symlink_to(target)
    git(root, "add", ".")
    git(root, "commit", "-q", "-m", "Links")
    repository = repository_of(root)
    assert repository is not None
    folder = tmp_path / "unpacked"
    repository.unpack("HEAD", folder)
    linked = folder / "developments/riverside"
    assert sorted(each.name for each in linked.iterdir() if each.is_symlink()) == ["inside.yaml", "near"]  # fmt: skip
    assert (linked / "near").read_bytes() == (root / TABLE).read_bytes()
    assert (folder / PLOT).read_bytes() == (root / PLOT).read_bytes()


def test_no_revision_is_unpacked_through_its_own_links(in_git: Saves, tmp_path: Path) -> None:
    """A tree that is made by hand may hold a name twice: as a link, and as the folder that it hides."""
    root = in_git.root.parent

    def kept(kind: str, *arguments: str, given: str) -> str:
        command = ["git", *arguments]
        done = subprocess.run(command, cwd=root, input=given, capture_output=True, text=True, check=True)  # fmt: skip
        return f"{kind} {done.stdout.strip()}"

    written = kept("100644 blob", "hash-object", "-w", "--stdin", given="attack")
    up = kept("120000 blob", "hash-object", "-w", "--stdin", given="..")
    out = kept("120000 blob", "hash-object", "-w", "--stdin", given="x/up/../..")
    inner = kept("040000 tree", "mktree", given=f"{written}\tevil.yaml\n")
    links = kept("040000 tree", "mktree", given=f"{up}\tup\n")
    cottage = kept("040000 tree", "mktree", given=f"{out}\tM\n{inner}\tM\n{links}\tx\n")
    whole = kept("tree", "mktree", given=f"{cottage}\tcottage\n")
    commit = git(root, "commit-tree", "-m", "Attack", whole.split()[1]).strip()
    repository = repository_of(in_git.root)
    assert repository is not None
    folder = tmp_path / "deep" / "unpacked"
    with pytest.raises(GitError, match="'M' cannot be laid down"):
        repository.unpack(commit, folder)
    outside = [each for each in tmp_path.rglob("evil.yaml") if not each.is_relative_to(folder)]
    assert not outside


@pytest.mark.parametrize("name", ["../outside.txt", "/", "register", ".git/hooks/post-commit", "linked/a.yaml"])  # fmt: skip
def test_no_command_finishes_a_save_that_no_desk_began(plain: Saves, name: str) -> None:
    """A workspace that came from somebody writes no file of its receiver's."""
    outside = plain.root.parent / "outside.txt"
    (plain.root / "linked").symlink_to(plain.root.parent)
    register = "developments/riverside/register.csv"
    written = {"/": str(outside), "register": register}.get(name, name)
    digest = SaveStore(plain.root).keep(b"Attack")
    line = JournalEntry(
        "a", "2031-11-28", "sales", "", {TABLE: ("", ""), written: ("", digest)}
    ).line
    (plain.root / PENDING).write_text(line, encoding="utf-8")
    done = CliRunner().invoke(main, ["check", "--workspace", str(plain.root)])
    assert (done.exit_code, type(done.exception)) == (2, SystemExit)
    assert f"Error: '{PENDING}' holds a save that no desk began: '{written[:60]}" in done.output
    assert not outside.exists()
    assert not (plain.root / register).exists()
    assert sorted(each.name for each in plain.root.parent.iterdir()) == ["cottage"]


@pytest.mark.parametrize("content", [b"", b"[" * 90_000, b"null", b'{"files": 1}', None])
def test_a_pending_save_that_nobody_can_read_stops_no_command(plain: Saves, content: bytes | None) -> None:  # fmt: skip
    pending = plain.root / PENDING
    pending.parent.mkdir(parents=True)
    os.mkfifo(pending) if content is None else pending.write_bytes(content)
    done = CliRunner().invoke(main, ["check", "riverside/01", "--workspace", str(plain.root)])
    assert done.exit_code == 0, done.output


def test_a_command_finishes_what_a_killed_desk_began(plain: Saves, monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    save = save_of(plain, TABLE, Cells("02", {"completion": "2026-12-01"}), reason="Cut off")
    with monkeypatch.context() as patched:
        patched.setattr(placing, "finish", killed)
        with pytest.raises(KeyboardInterrupt):
            plain.save(save, NOON)
    assert "2026-12-01" not in (plain.root / TABLE).read_text()
    done = CliRunner().invoke(main, ["check", "riverside/02", "--workspace", str(plain.root)])
    assert done.exit_code == 0, done.output
    assert "2026-12-01" in (plain.root / TABLE).read_text()
    assert plain.history()[0].reason == "Cut off"
