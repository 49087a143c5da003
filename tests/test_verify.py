"""``handover verify``: every file as recorded, none missing, none besides; records read safely."""

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from builder.build.manifest import GuideRecord, Records, records_folder, stay_inside
from builder.cli.commands import main
from builder.craft.typesetting import set_files
from builder.deploy.verifying import verify, without_code
from builder.deploy.verifying_papers import Fault, TreeProblem
from builder.errors import HandoverError
from tests.hand_made_trees import guide, page, publish

ONE, TWO = "7K3MABCDEFGH2", "9QRSTVWXYZ234"
SHARED = {"robots.txt": b"Disallow: /\n", "assets/0a1b2c3d/theme.css": b"p{}", "404.html": page()}


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    out = tmp_path / "public"
    front = {"index.html": page("water/index.html"), "water/index.html": page("../index.html")}
    guides = {
        ("mill-lane/01", ONE): guide(ONE, front, "STICKER0000AA"),
        ("mill-lane/02", TWO): guide(TWO, front),
    }
    publish(out, guides, SHARED)
    return out


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, ["verify", *map(str, arguments)])


def test_a_tree_as_it_was_built(tree: Path) -> None:
    result = run(tree)
    assert result.output == "2 guides, 9 files: all as recorded.\n"
    assert result.exit_code == 0


def test_each_fault_is_told_by_plot(tree: Path) -> None:
    (tree / f"g/{ONE}/water/index.html").write_bytes(b"changed")
    (tree / f"g/{TWO}/index.html").unlink()
    (tree / f"g/{TWO}/extra.html").write_bytes(b"stray")
    (tree / "g/UNKNOWN000000").mkdir()
    (tree / "g/UNKNOWN000000/index.html").write_bytes(b"stray")
    (tree / "robots.txt").write_bytes(b"Allow: /\n")
    result = run(tree)
    assert result.exit_code == 1
    assert result.output == (
        "plot                 missing  differs  stray  unreadable record  of other homes\n"
        "mill-lane/01               0        1      0                  0               0\n"
        "mill-lane/02               1        0      1                  0               0\n"
        "of no record               0        0      1                  0               0\n"
        "shared by all plots        0        1      0                  0               0\n"
        "\n"
        "mill-lane/01: differs: g/7K3M…/water/index.html\n"
        "mill-lane/02: missing: g/9QRS…/index.html\n"
        "mill-lane/02: stray: g/9QRS…/extra.html\n"
        "of no record: stray: g/UNKN…/index.html\n"
        "shared by all plots: differs: robots.txt\n"
        "\n"
        "2 guides, 9 files recorded: 5 problems. Build with --afresh to mend them.\n"
    )


@pytest.mark.parametrize("form", ["text", "json"])
def test_no_code_is_shown_whole(tree: Path, form: str) -> None:
    for path in [each for each in tree.rglob("*") if each.is_file()]:
        path.write_bytes(b"changed")
    result = run(tree, "--format", form)
    assert result.exit_code == 1
    assert "mill-lane/01" in result.output
    for code in (ONE, TWO, "STICKER0000AA", "sticker0000aa"):
        assert code not in result.output


def test_json_counts_all_and_lists_twenty(tree: Path) -> None:
    for number in range(30):
        (tree / f"g/{ONE}/extra-{number:02}.html").write_bytes(b"stray")
    told = json.loads(run(tree, "--format", "json").output)
    assert told["problems"] == 30
    assert len(told["listed"]) == 20
    assert told["listed"][0] == {"plot": "mill-lane/01", "fault": "stray", "path": "g/7K3M…/extra-00.html"}  # fmt: skip
    assert told["plots"] == [{"plot": "mill-lane/01", "missing": 0, "differs": 0, "stray": 30, "unreadable record": 0, "of other homes": 0}]  # fmt: skip


def test_more_than_twenty_are_counted_in_the_list_and_in_the_table(tmp_path: Path) -> None:
    codes = [f"CODE{number:09}" for number in range(25)]
    publish(tmp_path / "public", {(f"mill-lane/{code[-2:]}", code): guide(code, {"index.html": page()}) for code in codes}, {})  # fmt: skip
    shutil.rmtree(tmp_path / "public" / "g")
    lines = run(tmp_path / "public").output.splitlines()
    assert lines.count("… and 5 more.") == 2
    assert "25 guides, 25 files recorded: 25 problems. Build with --afresh to mend them." in lines


def test_what_a_running_build_keeps_is_passed_over_and_other_dotfiles_are_not(tree: Path) -> None:
    (tree / ".building-x1").mkdir()
    (tree / ".building-x1" / "index.html").write_bytes(b"half")
    (tree / f"g/{ONE}/.index.html.new").write_bytes(b"half")
    assert verify(tree).problems == ()
    (tree / ".hidden").write_bytes(b"")
    (tree / f"g/{ONE}/new").write_bytes(b"")
    found = [(each.about, each.fault, each.path) for each in verify(tree).problems]
    assert found == [("mill-lane/01", Fault.STRAY, f"g/{ONE}/new"), ("of no record", Fault.STRAY, ".hidden")]  # fmt: skip


def test_a_copied_tree_is_held_against_records_that_are_named(tree: Path, tmp_path: Path) -> None:
    copy = tmp_path / "elsewhere" / "site"
    shutil.copytree(tree, copy)
    refused = run(copy)
    assert refused.exit_code == 2
    assert refused.output == (
        f"Error: There are no records of '{copy}': nothing was found in '{copy.with_name('.site.records')}'. "
        "Build the guides again, or, for a tree that was copied, name its records: --records DIR.\n"
    )
    assert run(copy, "--records", records_folder(tree)).exit_code == 0
    wrong = run(copy, "--records", tmp_path)
    assert wrong.output == (
        f"Error: There are no records of '{copy}': nothing was found in '{tmp_path}'. "
        "Name the folder that holds 'guides' and 'shared.json'.\n"
    )


def test_a_tree_that_is_not_there(tmp_path: Path) -> None:
    result = run(tmp_path / "nothing")
    assert result.exit_code == 2
    assert result.output == f"Error: There is no folder '{tmp_path / 'nothing'}'. Build the guides first, or name their tree.\n"  # fmt: skip


UNREADABLE = {
    "cut off": lambda text: text[:40],
    "not text": lambda text: "\udcff",
    "another form": lambda text: text.replace("handover-guide-record", "another"),
    "a later version": lambda text: text.replace('"version": 1', '"version": 2'),
    "another guide's": lambda text: text.replace(f'"code": "{ONE}"', f'"code": "{TWO}"'),
    "no digest": lambda text: text.replace('index.html": "', 'index.html": "zz', 1),
    "a way out": lambda text: text.replace(f'"g/{ONE}/water', f'"g/{ONE}/../../../water'),
    "a list": lambda _: "[]",
}


@pytest.mark.parametrize("damage", UNREADABLE)
def test_a_record_that_cannot_be_read_is_none_and_is_told(tree: Path, damage: str) -> None:
    path = records_folder(tree) / "guides" / f"{ONE}.json"
    text = path.read_text()
    damaged = UNREADABLE[damage](text)
    assert damaged != text
    path.write_text(damaged, errors="surrogateescape")
    assert Records(tree).read(ONE) is None
    assert [each.code for each in Records(tree).all()] == [TWO]
    assert TreeProblem("of no record", Fault.UNREADABLE, f"g/{ONE}/") in verify(tree).problems


def test_records_come_back_as_they_were_written(tmp_path: Path) -> None:
    records = Records(tmp_path / "public")
    record = GuideRecord(
        "mill-lane/01", ONE, {"home": "1"}, {f"g/{ONE}/ä.html": "0" * 64},
        ({"code": "x", "place": {"line": 1}},), ({"what": "moved"},),
    )  # fmt: skip
    records.write(record)
    first = {path: path.read_bytes() for path in records.folder.rglob("*.json")}
    records.write(record)
    assert records.read(ONE) == record
    assert {
        path: path.read_bytes() for path in records.folder.rglob("*") if path.is_file()
    } == first
    assert records.folder == tmp_path / ".public.records"
    assert records.read("NOTTHERE00000") is None
    assert records.read("../guides/" + ONE) is None
    assert records.shared() == {}


def test_records_of_an_unsound_code_are_not_written(tmp_path: Path) -> None:
    with pytest.raises(HandoverError, match=r"^'\.\./x' is no code of a guide\. Codes are of letters and digits\.$"):  # fmt: skip
        Records(tmp_path / "public").write(GuideRecord("mill-lane/01", "../x", {}, {}))


def test_a_record_has_a_line_for_each_file(tree: Path) -> None:
    text = (records_folder(tree) / "guides" / f"{ONE}.json").read_text()
    for path in Records(tree).read(ONE).files:  # type: ignore[union-attr]
        assert sum(path in line for line in text.splitlines()) == 1


@pytest.mark.parametrize(
    "path", ["", "/etc/x", "../x", "g/../../x", "g//x", "g/./x", "g/..", "g\\x", "g/\0", "g/\nx", "g/"]
)  # fmt: skip
def test_paths_that_leave_a_tree_are_refused(path: str) -> None:
    assert stay_inside(["g/A/index.html", "Q/..x/a..b"])
    assert not stay_inside(["g/A/index.html", path])


def test_codes_in_paths_are_cut_short() -> None:
    assert without_code(f"g/{ONE}/water/index.html") == "g/7K3M…/water/index.html"
    assert without_code(f"redirects/old.example/q/{ONE}/index.html") == "redirects/old.example/q/7K3M…/index.html"  # fmt: skip
    assert without_code("assets/0a1b2c3d/theme.css") == "assets/0a1b2c3d/theme.css"


def paper_of(says: str) -> bytes:
    return set_files({"main": f"#set document(title: [Card])\n{says}".encode()}, "A card")


@pytest.fixture
def papers(tree: Path, tmp_path: Path) -> Path:
    """Papers of both homes: the first has no heat pump, and neither has a lift."""
    for code, others in (
        (ONE, {"heat pump": "Heat pump", "the lift": "Lift"}),
        (TWO, {"the lift": "Lift"}),
    ):
        record = Records(tree).read(code)
        assert record
        Records(tree).write(replace(record, others=others))
    folder = tmp_path / "paper"
    for plot in ("01", "02"):
        (folder / "mill-lane" / plot).mkdir(parents=True)
        (folder / "mill-lane" / plot / "emergency-card.pdf").write_bytes(
            paper_of("The heat\npump hums.")
        )
    (folder / "mill-lane_01-run-sheet.txt").write_text("Show the lift.")
    (folder / "mill-lane_02-run-sheet.json").write_text(
        '{"stops": [{"say": "Show the heat pump."}]}'
    )
    (folder / "stickers.pdf").write_bytes(paper_of("The lift, HOST/q/STICKER0000AA"))
    return folder


def test_papers_say_nothing_of_other_homes(tree: Path, papers: Path) -> None:
    found = verify(tree, papers=[papers])
    assert found.papers == 5
    assert found.problems == (
        TreeProblem("mill-lane/01", Fault.OTHERS, "mill-lane/01/emergency-card.pdf: 'heat pump' is for homes with this: Heat pump"),
        TreeProblem("mill-lane/01", Fault.OTHERS, "mill-lane_01-run-sheet.txt: 'the lift' is for homes with this: Lift"),
        TreeProblem("mill-lane/01", Fault.OTHERS, "stickers.pdf: 'the lift' is for homes with this: Lift"),
    )  # fmt: skip
    told = run(tree, "--papers", papers).output
    assert told.endswith(
        "3 problems. Mend the texts that say what other homes may read, and build again.\n"
    )


def test_papers_of_nobody_and_papers_that_cannot_be_read_are_told(
    tree: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "paper"
    (folder / "hill" / "07").mkdir(parents=True)
    (folder / "hill" / "07" / "keys.txt").write_text("Two keys.")
    (folder / "broken.pdf").write_bytes(b"no paper")
    (folder / "photograph.jpg").write_bytes(b"not read")
    result = run(tree, "--papers", folder)
    assert result.exit_code == 1
    assert "of no record: stray: hill/07/keys.txt" in result.output
    assert "of no record: unreadable record: broken.pdf" in result.output
    assert "2 guides, 9 files, 2 papers recorded: 2 problems." in result.output


def test_a_folder_of_papers_that_is_not_there(tree: Path, tmp_path: Path) -> None:
    result = run(tree, "--papers", tmp_path / "none")
    assert result.exit_code == 2
    assert "Name the one that the papers were written to." in result.output
