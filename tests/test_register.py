"""The register is the one file that has to live for fifteen years: nothing that happens to it passes.

What is lost, changed, moved or put together by hand is found by reading alone; what a run writes is
read again first; and whenever a run is stopped, the register is whole.
"""

import json
import os
import random
import shutil
import signal
import subprocess
from collections.abc import Callable, Iterator
from datetime import date
from functools import partial
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.errors import Findings, FindingsError, HandoverError
from builder.model.characters import hidden_in
from builder.register.codes import REGISTER, SEAL, draw
from builder.register.lines import COLUMNS, Register, WantedCode
from builder.register.merging import merge
from builder.register.reading import read_register
from builder.register.register import issue, take_back
from builder.sources.folder import Folder
from tests.broken_workspaces import run
from tests.test_safety import Steps, at_step, ended, forked, kill_self

DAY = date(2026, 3, 1)
DEVELOPMENT = Path("developments") / "riverside"
PLOTS = tuple(f"{number:02}" for number in range(1, 6))
RESTORE = "Put the file back as it was, from the history of the project."


def stickers(register: Register, plots: tuple[str, ...] = PLOTS) -> Iterator[WantedCode]:
    """A guide and two stickers for each plot that has none."""
    for plot in plots:
        if register.guide([plot]) is None:
            yield WantedCode("guide", plot)
            yield WantedCode("sticker", plot, "boiler", "boiler", "kitchen", 'Tarn "Beck", Ltd')
            yield WantedCode("sticker", plot, "stopcock", "stopcock", "hall", "")


def issued(root: Path, *plots: str, day: date = DAY) -> Register:
    return issue(Folder(root), "riverside", partial(stickers, plots=plots or PLOTS), day)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A folder with one register of fifteen codes, and its seal."""
    (tmp_path / DEVELOPMENT).mkdir(parents=True)
    issued(tmp_path)
    return tmp_path


def register_of(root: Path) -> Path:
    return root / DEVELOPMENT / REGISTER


def read(root: Path) -> tuple[Register, list[str]]:
    """What a register says, and what is wrong with it."""
    findings = Findings()
    register = read_register(Folder(root), "riverside", findings)
    return register, [f"{each.place.line}: {each.wrong}" for each in findings.errors]


def refused(root: Path) -> str:
    """What is said where no code is issued; the register is left as it is."""
    before = register_of(root).read_bytes()
    with pytest.raises(HandoverError) as stopped:
        issued(root, "06")
    assert register_of(root).read_bytes() == before
    return str(stopped.value)


# ---- what happens to a file in fifteen years ---------------------------------------------------


def test_a_whole_register_is_sound_and_readable_in_an_editor(root: Path) -> None:
    register, wrong = read(root)
    assert wrong == []
    assert len(register.codes) == 15
    first, second, *_ = register_of(root).read_text(encoding="utf-8").splitlines()
    assert first == "code,issued,leads_to,plot,equipment,kind,room,make,chain"
    assert second.startswith(f"{register.codes[0].code},2026-03-01,guide,01,,,,,")
    assert (root / DEVELOPMENT / SEAL).read_text(encoding="utf-8").splitlines()[2] == "lines 15"


def test_a_line_that_is_lost_is_found_wherever_it_was(root: Path) -> None:
    lines = register_of(root).read_bytes().splitlines(keepends=True)
    for number in range(1, len(lines)):
        register_of(root).write_bytes(b"".join(lines[:number] + lines[number + 1 :]))
        _, (wrong,) = read(root)
        if number == len(lines) - 1:
            assert wrong == "15: The last line is lost: the seal says that 15 codes were issued, and 14 stand here."  # fmt: skip
        else:
            assert "does not follow" in wrong or "follows" in wrong or "is void" in wrong
        assert refused(root)


@pytest.mark.parametrize("left", range(1, 15))
def test_lost_last_lines_are_counted(root: Path, left: int) -> None:
    lines = register_of(root).read_bytes().splitlines(keepends=True)
    register_of(root).write_bytes(b"".join(lines[: left + 1]))
    _, (wrong,) = read(root)
    assert f"{15 - left} lines are lost" in wrong or "The last line is lost" in wrong


def test_two_lines_or_two_codes_that_change_places_are_found(root: Path) -> None:
    lines = register_of(root).read_text(encoding="utf-8").splitlines()
    for one in range(1, len(lines)):
        for two in range(one + 1, len(lines)):
            moved, swapped = list(lines), list(lines)
            moved[one], moved[two] = lines[two], lines[one]
            swapped[one] = lines[two][:14] + lines[one][14:]
            swapped[two] = lines[one][:14] + lines[two][14:]
            for changed in (moved, swapped):
                register_of(root).write_text("\n".join(changed) + "\n", encoding="utf-8")
                assert len(read(root)[1]) == 1, (one, two)
    assert "does not follow the one above it" in refused(root)


def test_a_cell_that_is_changed_is_found_whatever_it_says(root: Path) -> None:
    lines = register_of(root).read_text(encoding="utf-8").splitlines()
    others = (draw(), "2026-03-02", "void", "02", "hob", "hob", "attic", "Beck", "0" * 16)
    seen = 0
    for number, line in enumerate(lines[1:], 1):
        for column, other in enumerate(others):
            cells = line.split(",")
            if '"' in line and column > 6:
                continue
            cells[column] = other
            if ",".join(cells) == line:
                continue
            changed = [*lines[:number], ",".join(cells), *lines[number + 1 :]]
            register_of(root).write_text("\n".join(changed) + "\n", encoding="utf-8")
            assert len(read(root)[1]) == 1, (number, column)
            seen += 1
    assert seen > 100


@given(st.data())
def test_no_change_of_any_byte_passes_for_a_sound_register(data: st.DataObject) -> None:
    """Where nothing is found, the register says what it said."""
    content = SOUND[0]
    at = data.draw(st.integers(0, len(content) - 1))
    other = data.draw(st.integers(0, 255))
    changed = content[:at] + bytes([other]) + content[at + 1 :]
    (SOUND[1] / DEVELOPMENT / REGISTER).write_bytes(changed)
    register, wrong = read(SOUND[1])
    assert wrong or [each.cells for each in register.lines] == SOUND[2]


@pytest.fixture(scope="module", autouse=True)
def _sound(tmp_path_factory: pytest.TempPathFactory) -> None:
    root = tmp_path_factory.mktemp("sound")
    (root / DEVELOPMENT).mkdir(parents=True)
    cells = [each.cells for each in issued(root).lines]
    SOUND[:] = [register_of(root).read_bytes(), root, cells]


SOUND: list[object] = []


def test_a_register_that_is_gone_or_empty_is_found(root: Path) -> None:
    path = register_of(root)
    whole = path.read_bytes()
    said = "The first line is not 'code,issued,leads_to,plot,equipment,kind,room,make,chain'."
    for content, wrong in (
        (b"", said),
        (b"\n", said),
        (whole.split(b"\n")[0] + b"\n", "This register holds no line: the codes that were issued are lost."),
        (",".join(COLUMNS).encode(), "This register holds no line: the codes that were issued are lost."),
    ):  # fmt: skip
        path.write_bytes(content)
        assert read(root)[1] == [f"1: {wrong}"]
        assert wrong in refused(root)
    path.unlink()
    assert read(root)[1] == [
        "1: This register is gone, and its seal says that 15 codes were issued."
    ]
    with pytest.raises(FindingsError):
        issued(root, "06")
    assert not path.exists()


@pytest.mark.parametrize("damage", ["x" * 200_000, "\0" * 200_000, '"' + "y" * 200_000])
def test_a_first_line_without_end_is_found(root: Path, damage: str) -> None:
    register_of(root).write_text(damage, encoding="utf-8")
    assert refused(root)


def test_a_seal_that_is_gone_or_changed_is_found(root: Path) -> None:
    seal = root / DEVELOPMENT / SEAL
    whole = seal.read_text(encoding="utf-8")
    for text in ("", "lines 3\n", whole + whole, whole.replace("lines 15", "lines many")):
        seal.write_text(text, encoding="utf-8")
        findings = Findings()
        read_register(Folder(root), "riverside", findings)
        (found,) = findings
        assert (found.code, found.place.file) == ("register.seal", f"{DEVELOPMENT}/{SEAL}")
        assert refused(root)
    seal.write_text(whole.replace("lines 15", "lines 14"), encoding="utf-8")
    assert "is not the one that was sealed" in read(root)[1][0]
    seal.unlink()
    assert "'register.seal' is missing beside this register" in read(root)[1][0]
    merge(Folder(root), "riverside", (), DAY)
    assert seal.read_text(encoding="utf-8") == whole
    assert read(root)[1] == []


def test_a_line_that_stands_twice_or_was_added_by_hand_is_found(root: Path) -> None:
    content = register_of(root).read_text(encoding="utf-8")
    lines = content.splitlines()
    register_of(root).write_text(f"{content}{lines[3]}\n", encoding="utf-8")
    assert read(root)[1] == [f"17: '{lines[3][:14]}' stands here twice; the first is on line 4."]
    register_of(root).write_text(f"{content}{draw()},2026-03-01,guide,09,,,,\n", encoding="utf-8")
    assert read(root)[1] == ["17: This line has 8 cells; 9 are wanted."]
    register_of(root).write_text(f"{content}{draw()},2026-03-01,guide,09,,,,,\n", encoding="utf-8")
    assert "17: This line does not follow the one above it" in read(root)[1][0]


@pytest.mark.parametrize(
    "saved", [
        lambda each: each.replace(b"\n", b"\r\n"),
        lambda each: each.replace(b"\n", b"\r"),
        lambda each: b"\xef\xbb\xbf" + each,
        lambda each: each.rstrip(b"\n"),
        lambda each: each + b"\n\n  \n",
        lambda each: each.replace(b"2026-03-01", b'"2026-03-01"'),
        lambda each: each.replace(b"code,issued", b'"code",issued'),
    ],
)  # fmt: skip
def test_how_an_editor_saved_it_is_all_the_same(
    root: Path, saved: Callable[[bytes], bytes]
) -> None:
    before, _ = read(root)
    register_of(root).write_bytes(saved(register_of(root).read_bytes()))
    after, wrong = read(root)
    assert wrong == []
    assert [each.cells for each in after.lines] == [each.cells for each in before.lines]
    assert len(issued(root, "06").codes) == 18
    assert read(root)[1] == []
    content = register_of(root).read_bytes()
    assert content.count(b"\r\n") in (0, content.count(b"\n"))


def test_dates_as_a_spreadsheet_writes_them_are_found_once(root: Path) -> None:
    text = register_of(root).read_text(encoding="utf-8")
    register_of(root).write_text(text.replace("2026-03-01", "01/03/2026"), encoding="utf-8")
    assert "2: '01/03/2026' is not a date." in read(root)[1]
    register_of(root).write_text(text.replace("2026-03-01", "2026-03-02"), encoding="utf-8")
    assert read(root)[1] == [
        "2: This line does not follow the one above it: one of them was changed, or a line between "
        "them was lost or moved. So it is with 14 more lines."
    ]


# ---- what is no file ---------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["folder", "fifo", "device", "dangling link", "link outside"])
@pytest.mark.parametrize("name", [REGISTER, SEAL])
def test_what_is_no_file_is_told_and_left(root: Path, tmp_path: Path, kind: str, name: str) -> None:
    path = root / DEVELOPMENT / name
    outside = tmp_path.with_name(f"{tmp_path.name}-outside")
    path.rename(outside)
    {
        "folder": path.mkdir,
        "fifo": lambda: os.mkfifo(path),
        "device": lambda: path.symlink_to("/dev/zero"),
        "dangling link": lambda: path.symlink_to("nowhere"),
        "link outside": lambda: path.symlink_to(outside),
    }[kind]()
    findings = Findings()
    read_register(Folder(root), "riverside", findings)
    assert findings.errors
    before = path.lstat()
    with pytest.raises(HandoverError):
        issued(root, "06")
    assert path.lstat().st_mode == before.st_mode
    outside.unlink()


def test_a_register_that_is_a_link_in_the_workspace_stays_one(root: Path) -> None:
    place = root / "codes.csv"
    register_of(root).rename(place)
    register_of(root).symlink_to("../../codes.csv")
    assert len(issued(root, "06").codes) == 18
    assert register_of(root).is_symlink()
    assert place.read_bytes().count(b"\n") == 19


# ---- what a run writes -------------------------------------------------------------------------

NASTY = (
    "Tarn\nX", "Tarn\rX", "Tarn\r\nX", "\n", "a\u2028b\u2029c\x85d", "\0\x01\x7f\x9f", "\ufeffx\uffff",
    '"', '""', 'a"b', "a,b", "'", "\\", "é 名前 \U0001f600", " x ", "=1+1", "<<<<<<< ours", "\ud800",
    f"\nZZZZZZZZZZZZZZ,2026-03-01,guide,99,,,,,{'0' * 16}\n", "x" * 200_000,
)  # fmt: skip


def test_what_is_written_can_be_read_whatever_a_home_says(root: Path) -> None:
    for number, text in enumerate(NASTY):
        plot = f"{number + 10}"

        def wanted(register: Register, plot: str = plot, text: str = text) -> Iterator[WantedCode]:
            yield WantedCode("guide", plot)
            yield WantedCode("sticker", plot, "boiler", text, text, text)

        before = len(read(root)[0].codes)
        try:
            after = issue(Folder(root), "riverside", wanted, DAY)
        except HandoverError:
            assert len(read(root)[0].codes) == before, text[:20]
            continue
        assert read(root)[1] == []
        assert len(after.codes) == before + 2
        one_line = " ".join(text.split("\n"))
        made = after.codes[-1].wanted.make
        assert made == text or made.split() != one_line.split() or len(made.split("\n")) == 1
        assert "99" not in after.guides


@given(st.lists(st.text().filter(lambda text: hidden_in(text) is None), min_size=1, max_size=4))
def test_any_text_is_kept_on_its_own_line(makes: list[str]) -> None:
    root = SOUND[1] / "any"
    shutil.rmtree(root, ignore_errors=True)
    (root / DEVELOPMENT).mkdir(parents=True)

    def wanted(_: Register) -> Iterator[WantedCode]:
        for number, make in enumerate(makes):
            yield WantedCode("sticker", "01", f"piece-{number}", "kind", "room", make)

    assert len(issue(Folder(root), "riverside", wanted, DAY).codes) == len(makes)
    assert read(root)[1] == []
    assert register_of(root).read_bytes().count(b"\n") == len(makes) + 1


def test_a_register_may_be_of_any_length(root: Path) -> None:
    """At ten codes a home, the two million bytes of other files are full at about 1,460 homes."""

    def wanted(_: Register) -> Iterator[WantedCode]:
        for number in range(30_000):
            yield WantedCode("sticker", f"{number}", "boiler", "boiler", "kitchen", "Tarn and Beck")

    issue(Folder(root), "riverside", wanted, DAY)
    assert register_of(root).stat().st_size > 2 * 1024 * 1024
    assert len(issued(root, "06").codes) == 30_018
    assert read(root)[1] == []


def test_a_clock_that_goes_back_changes_no_line_above(root: Path) -> None:
    before = register_of(root).read_bytes()
    issued(root, "06", day=date(1970, 1, 1))
    assert register_of(root).read_bytes().startswith(before)
    assert read(root)[1] == []


def from_step(number: int, act: Callable[[], None]) -> Callable[[int, bool], None]:
    return lambda count, takes_room: act() if takes_room and count >= number else None


def no_room() -> None:
    raise OSError(28, "No space left on device")


@pytest.mark.parametrize("first", [True, False])
@pytest.mark.parametrize("act", [kill_self, no_room])
def test_a_run_that_is_stopped_at_any_step_leaves_a_whole_register(
    tmp_path: Path, first: bool, act: Callable[[], None]
) -> None:
    """The first codes of a development, and further ones; the next run goes on as if nothing was."""
    step, seen, said = 1, set[int](), ""
    while said != "issued":
        root = tmp_path / str(step)
        (root / DEVELOPMENT).mkdir(parents=True)
        before = () if first else issued(root).codes

        def issuing(root: Path = root, step: int = step) -> str:
            Steps(tmp_path, (at_step if act is kill_self else from_step)(step, act)).listen()
            try:
                issued(root, "06")
            except HandoverError as error:
                return str(error)
            return "issued"

        status, said = ended(*forked(issuing))
        assert status == 0 or (status == -signal.SIGKILL and act is kill_self), said
        register, wrong = read(root)
        assert wrong == []
        assert register.codes[: len(before)] == before
        assert len(register.codes) - len(before) in (0, 3)
        seen.add(len(register.codes) - len(before))
        assert said in ("", "issued") or "No space left on device" in said
        again = issued(root, "06")
        assert len(again.codes) == len(before) + 3
        assert read(root)[1] == []
        step += 1
    assert seen == {0, 3}
    assert step > 5


# ---- the earlier form --------------------------------------------------------------------------


def as_before(root: Path) -> None:
    """The same register in the form that had no digests, without a seal."""
    lines = register_of(root).read_text(encoding="utf-8").splitlines()
    text = "".join(f"{line.rpartition(',')[0]}\n" for line in lines)
    register_of(root).write_text(text, encoding="utf-8")
    (root / DEVELOPMENT / SEAL).unlink()


def test_a_register_of_the_earlier_form_is_taken_over_once(cottage: Path) -> None:
    place = ("--workspace", str(cottage))
    assert run("stickers", "issue", *place, "--date", "2026-03-01").exit_code == 0
    whole = register_of(cottage).read_bytes()
    for command in (("stickers", "issue"), ("build", "--out", str(cottage / "public"))):
        as_before(cottage)
        checked = run("check", "--notes", *place)
        assert checked.exit_code == 0
        assert f"{DEVELOPMENT}/register.csv:1:1: note register.earlier\n" in checked.output
        first = run(*command, *place, "--date", "2026-03-01")
        assert first.exit_code == 0, first.output
        assert f"{DEVELOPMENT}/register.csv:1:1: note register.taken-over\n" in first.output
        assert (
            "This register was of the earlier form, and is taken over. Each of its 4 lines carries "
            "a digest now, and register.seal beside it seals them."
        ) in first.output
        assert register_of(cottage).read_bytes() == whole
        again = run(*command, *place, "--date", "2026-03-01")
        assert "taken" not in again.output
        assert "register.earlier" not in run("check", "--notes", *place).output


def test_an_earlier_file_put_back_is_held_against_the_seal(root: Path) -> None:
    seal = (root / DEVELOPMENT / SEAL).read_bytes()
    as_before(root)
    (root / DEVELOPMENT / SEAL).write_bytes(seal)
    assert read(root)[1] == []
    lines = register_of(root).read_bytes().splitlines(keepends=True)
    register_of(root).write_bytes(b"".join(lines[:-2]))
    assert "The last 2 lines are lost" in read(root)[1][0]


# ---- two branches of a project -----------------------------------------------------------------


def git(root: Path, *arguments: str) -> int:
    about = ("-c", "user.name=A", "-c", "user.email=a@b.example")
    return subprocess.run(
        ["git", "-C", str(root), *about, *arguments], check=False, capture_output=True
    ).returncode


def branches(root: Path, ours: tuple[str, ...], theirs: tuple[str, ...]) -> tuple[set[str], bytes]:
    """A project in which two branches issue codes, as git leaves it; all codes, and their register."""
    git(root, "init", "-q", "-b", "main")
    git(root, "add", ".")
    git(root, "commit", "-qm", "Begin")
    git(root, "checkout", "-qb", "other")
    codes = {each.code for each in issued(root, *theirs, day=date(2026, 3, 3)).codes}
    other = register_of(root).read_bytes()
    git(root, "commit", "-qam", "Issue more")
    git(root, "checkout", "-q", "main")
    codes |= {each.code for each in issued(root, *ours, day=date(2026, 3, 2)).codes}
    git(root, "commit", "-qam", "Issue others")
    assert git(root, "merge", "other") == 1, "both added lines at the end"
    return codes, other


needs_git = pytest.mark.skipif(shutil.which("git") is None, reason="asks git itself")


@needs_git
def test_two_branches_are_put_together_and_nothing_is_lost(root: Path) -> None:
    codes, other = branches(root, ("06", "07"), ("08",))
    findings = Findings()
    read_register(Folder(root), "riverside", findings)
    told = {(each.code, each.wrong) for each in findings}
    assert told == {
        ("register.line", "Two branches added codes, and git left its marks between their lines."),
        ("register.seal", "This seal was changed, or two versions of it were put together."),
    }
    result = run("stickers", "merge", "riverside", "--workspace", str(root))
    assert result.exit_code == 0, result.output
    assert result.output == "riverside: 21 of one version, 3 more of another; 24 lines, sealed.\n"
    register, wrong = read(root)
    assert wrong == []
    assert {each.code for each in register.codes} == codes
    git(root, "commit", "-qam", "Merge")
    again = run("stickers", "merge", "riverside", "--workspace", str(root))
    assert "24 of one version, 0 more of another; 24 lines, sealed." in again.output
    (root / "other.csv").write_bytes(other)
    named = run("stickers", "merge", "riverside", str(root / "other.csv"), "--workspace", str(root))
    assert "24 of one version, 0 more of another; 24 lines, sealed." in named.output
    assert git(root, "diff", "--quiet") == 0


@needs_git
@pytest.mark.parametrize("kept", [0, 1])
def test_two_guide_codes_for_one_plot_need_a_decision(root: Path, kept: int) -> None:
    branches(root, ("06",), ("06",))
    place = ("--workspace", str(root), "--date", "2026-03-05")
    asked = run("stickers", "merge", "riverside", *place)
    assert asked.exit_code == 1
    assert "Both versions gave plot '06' a guide code: '" in asked.output
    assert "Name the one that its buyer was given: --keep CODE." in asked.output
    codes = [word for word in asked.output.split("'") if len(word) == 14]
    done = run("stickers", "merge", "riverside", "--keep", codes[kept], *place)
    assert done.output == (
        f"Plot 06: {codes[kept]} stays, and {codes[1 - kept]} is taken back.\n"
        "riverside: 18 of one version, 3 more of another; 22 lines, sealed.\n"
    )
    register, wrong = read(root)
    assert wrong == []
    assert register.guide(["06"]) == codes[kept]
    assert register.void == {codes[1 - kept]}


@needs_git
def test_the_code_that_is_published_stays(root: Path) -> None:
    branches(root, ("06",), ("06",))
    asked = run("stickers", "merge", "riverside", "--workspace", str(root))
    codes = [word for word in asked.output.split("'") if len(word) == 14]
    guides = root / ".public.records" / "guides"
    guides.mkdir(parents=True)
    record = {
        "form": "handover-guide-record",
        "version": 1,
        "reference": "riverside/06",
        "code": codes[1],
    }
    record |= {"inputs": {}, "files": {}, "findings": [], "changes": []}
    (guides / f"{codes[1]}.json").write_text(json.dumps(record))
    done = run("stickers", "merge", "riverside", "--workspace", str(root))
    assert f"Plot 06: {codes[1]} stays, and {codes[0]} is taken back." in done.output


@needs_git
def test_branches_of_which_one_was_taken_over_are_put_together(root: Path) -> None:
    as_before(root)
    git(root, "init", "-q", "-b", "main")
    git(root, "add", ".")
    git(root, "commit", "-qm", "Begin")
    git(root, "checkout", "-qb", "other")
    text = register_of(root).read_text(encoding="utf-8")
    line = f"{draw()},2026-03-03,guide,08,,,,\n"
    register_of(root).write_text(text + line, encoding="utf-8")
    git(root, "commit", "-qam", "Issue with an earlier version")
    git(root, "checkout", "-q", "main")
    issued(root, "06")
    git(root, "add", ".")
    git(root, "commit", "-qm", "Issue")
    assert git(root, "merge", "other") == 1
    assert run("stickers", "merge", "riverside", "--workspace", str(root)).exit_code == 0
    register, wrong = read(root)
    assert wrong == []
    assert len(register.codes) == 19
    assert register.guide(["08"]) == line[:14]


def test_lines_that_were_kept_of_both_by_hand_are_put_together(root: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    shutil.copytree(root / "developments", other / "developments")
    issued(root, "06"), issued(other, "07")
    new = register_of(other).read_bytes().splitlines(keepends=True)[16:]
    register_of(root).write_bytes(register_of(root).read_bytes() + b"".join(new))
    assert read(root)[1] == [
        "20: This line follows line 16, not the one above it: two versions of this register were put together by hand."
    ]
    merge(Folder(root), "riverside", (), DAY)
    register, wrong = read(root)
    assert wrong == []
    assert {*register.guides} == {*PLOTS, "06", "07"}


def test_nothing_that_was_changed_or_lost_is_put_together(root: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    shutil.copytree(root / "developments", other / "developments")
    issued(other, "07")
    whole = register_of(other).read_text(encoding="utf-8").splitlines(keepends=True)
    chance = random.Random(7)
    for _ in range(30):
        lines = list(whole)
        number = chance.randrange(1, len(lines) - 1)
        if chance.random() < 0.5:
            del lines[number]
        else:
            lines[number] = lines[number].replace("2026", "2025")
        register_of(other).write_text("".join(lines), encoding="utf-8")
        before = register_of(root).read_bytes()
        with pytest.raises(FindingsError):
            merge(Folder(root), "riverside", [register_of(other)], DAY)
        assert register_of(root).read_bytes() == before
    register_of(root).write_text("".join(whole[:9]), encoding="utf-8")
    with pytest.raises(FindingsError, match="15 lines were sealed, of which the last is in none"):
        merge(Folder(root), "riverside", (), DAY)


@needs_git
def test_a_line_that_is_lost_between_the_marks_of_git_is_missed(root: Path) -> None:
    """Both seals are of one number of lines, so that git's marks stand inside the seal."""
    branches(root, ("06",), ("07",))
    lines = register_of(root).read_text(encoding="utf-8").splitlines(keepends=True)
    middle = next(number for number, line in enumerate(lines) if line.startswith("======="))
    register_of(root).write_text("".join([*lines[: middle - 1], *lines[middle:]]), encoding="utf-8")
    with pytest.raises(FindingsError, match="lines were sealed, of which the last is in none"):
        merge(Folder(root), "riverside", (), DAY)


def test_a_development_that_is_none_is_told(cottage: Path) -> None:
    result = run("stickers", "merge", "riversid", "--workspace", str(cottage))
    assert result.exit_code == 2
    assert "There is no development 'riversid'. Did you mean 'riverside'?" in result.output


# ---- what was published ------------------------------------------------------------------------


def test_codes_that_were_published_are_missed_though_register_and_seal_are_gone(
    cottage: Path, tmp_path: Path
) -> None:
    """By the records of the tree, in the workspace or where it is built to."""
    place = ("--workspace", str(cottage), "--date", "2026-03-01")
    assert run("stickers", "issue", *place).exit_code == 0
    for out in (cottage / "public", tmp_path / "elsewhere" / "public"):
        assert run("build", "--out", str(out), *place).exit_code == 0
        kept = {name: (cottage / DEVELOPMENT / name).read_bytes() for name in (REGISTER, SEAL)}
        for name in kept:
            (cottage / DEVELOPMENT / name).unlink()
        built = run("build", "--out", str(out), *place)
        assert built.exit_code == 1
        assert (
            f"{DEVELOPMENT}/register.csv:1:1: error register.lost\n"
            "  4 codes that were published are not in this register: of 'riverside/01', 'riverside/02'.\n"
        ) in built.output
        assert not register_of(cottage).exists()
        if out.parent == cottage:
            for command in (("check",), ("stickers", "issue")):
                told = run(*command, *place)
                assert told.exit_code == 1
                assert "register.lost" in told.output
            shutil.rmtree(cottage / ".public.records")
        for name, content in kept.items():
            (cottage / DEVELOPMENT / name).write_bytes(content)
    assert run("build", "--out", str(out), *place).exit_code == 0


def test_a_published_code_that_an_earlier_register_has_for_another_plot_is_found(
    cottage: Path,
) -> None:
    """A register of the earlier form has no digests, but what was published tells what was there."""
    place = ("--workspace", str(cottage), "--date", "2026-03-01")
    assert run("build", "--out", str(cottage / "public"), *place).exit_code == 0
    as_before(cottage)
    (cottage / DEVELOPMENT / SEAL).unlink(missing_ok=True)
    assert run("check", *place).exit_code == 0
    head, one, two = register_of(cottage).read_text().splitlines()
    first, second = one.split(",")[0], two.split(",")[0]
    swapped = f"{head}\n{one.replace(first, second)}\n{two.replace(second, first)}\n"
    register_of(cottage).write_text(swapped)
    for command in (("check",), ("build", "--out", str(cottage / "public")), ("stickers", "issue"), ("stickers", "merge", "riverside")):  # fmt: skip
        told = run(*command, *place)
        assert told.exit_code == 1, command
        assert (
            f"{DEVELOPMENT}/register.csv:2:1: error register.moved\n"
            f"  '{second}' stands here for plot '01', and was published for '02'.\n"
            "  Put the file back as it was, from the history of the project: people would be led into another home.\n"
        ) in told.output, command
    assert register_of(cottage).read_text() == swapped
    register_of(cottage).write_text(f"{head}\n{one}\n")
    told = run("stickers", "merge", "riverside", *place)
    assert told.exit_code == 1
    assert f"'{second}', published already, is in none of these versions." in told.output


def test_check_and_build_find_a_damaged_register(cottage: Path, tmp_path: Path) -> None:
    place = ("--workspace", str(cottage), "--date", "2026-03-01")
    out = ("--out", str(tmp_path / "public"))
    assert run("stickers", "issue", *place).exit_code == 0
    assert run("build", *out, *place).exit_code == 0
    lines = register_of(cottage).read_bytes().splitlines(keepends=True)
    for damaged in ([], lines[:1], lines[:-1], [lines[0], lines[2], lines[1], *lines[3:]], None):
        if damaged is None:
            register_of(cottage).unlink()
        else:
            register_of(cottage).write_bytes(b"".join(damaged))
        for command in (("check",), ("build", *out), ("stickers", "issue")):
            result = run(*command, *place)
            assert result.exit_code == 1, (command, result.output)
            assert "error register.line\n" in result.output


def test_take_back_of_a_guide_code_leaves_the_plot_without_one(root: Path) -> None:
    code = read(root)[0].guide(["01"])
    assert code is not None
    register = take_back(Folder(root), "riverside", code, DAY)
    assert register.guide(["01"]) is None
