"""What a later version of the builder knows comes into a standard that was begun with an earlier one."""

from pathlib import Path

import yaml
from click.testing import CliRunner

from builder.cli import main
from builder.shipped import shipped

STANDARD = "housetypes/standard.yaml"


def new_kinds(workspace: Path) -> tuple[int, list[str]]:
    ran = CliRunner().invoke(main, ["new", "kinds", "--workspace", str(workspace)])
    return ran.exit_code, ran.output.splitlines()


def begun(folder: Path) -> Path:
    assert new_kinds(folder)[0] == 0
    return folder / STANDARD


def without(text: str, *names: str) -> str:
    """The standard as it was before these kinds, each on a line of its own, were known."""
    kept = [
        line
        for line in text.splitlines(keepends=True)
        if not line.startswith(tuple(f"  {name}:" for name in names))
    ]
    return "".join(kept)


def test_what_an_earlier_standard_lacks_is_added_and_all_else_stays(tmp_path: Path) -> None:
    standard = begun(tmp_path)
    now = standard.read_text(encoding="utf-8")
    before = without(now, "stopcock", "generator").replace(
        "  radiator: {name: Radiator,", "  # ours, since 2019\n  radiator: {name: Panel,"
    )
    standard.write_text(before, encoding="utf-8")
    assert new_kinds(tmp_path) == (0, ["kinds.stopcock", "kinds.generator"])
    after = standard.read_text(encoding="utf-8")
    assert set(before.splitlines()) <= set(after.splitlines())
    wanted = yaml.safe_load(now)
    wanted["kinds"]["radiator"]["name"] = "Panel"
    assert yaml.safe_load(after) == wanted
    assert new_kinds(tmp_path) == (0, [f"{STANDARD} lacks none that ships."])


def test_what_was_taken_out_stays_out(tmp_path: Path) -> None:
    standard = begun(tmp_path)
    text = without(standard.read_text(encoding="utf-8"), "generator")
    standard.write_text(
        text.replace("\nkinds:\n", "\nkinds:\n  generator: null\n"), encoding="utf-8"
    )
    assert new_kinds(tmp_path) == (0, [f"{STANDARD} lacks none that ships."])


def test_a_standard_that_has_none_of_them_gets_them_all(tmp_path: Path) -> None:
    standard = tmp_path / STANDARD
    standard.parent.mkdir()
    standard.write_text("# ours\nbuilder: {name: Saltmeadow Homes}\n", encoding="utf-8")
    assert new_kinds(tmp_path)[0] == 0
    after, ships = (
        yaml.safe_load(each.read_text(encoding="utf-8")) for each in (standard, shipped(STANDARD))
    )
    assert standard.read_text(encoding="utf-8").startswith(
        "# ours\nbuilder: {name: Saltmeadow Homes}\n"
    )
    assert after["builder"] == {"name": "Saltmeadow Homes"}
    for section in ("systems", "room_kinds", "kinds"):
        assert after[section] == ships[section]


def test_a_standard_with_a_mistake_is_left_as_it_is(tmp_path: Path) -> None:
    standard = tmp_path / STANDARD
    standard.parent.mkdir()
    standard.write_text("kinds: [stopcock\n", encoding="utf-8")
    assert new_kinds(tmp_path) == (
        2,
        [
            f"Error: {STANDARD}: Line 2 cannot be read: The YAML cannot be read: expected ',' or ']',"
            " but got '<stream end>'. Nothing was added."
        ],
    )
    assert standard.read_text(encoding="utf-8") == "kinds: [stopcock\n"


def test_line_ends_of_windows_stay(tmp_path: Path) -> None:
    standard = begun(tmp_path)
    before = without(standard.read_text(encoding="utf-8"), "generator").replace("\n", "\r\n")
    standard.write_bytes(before.encode("utf-8"))
    assert new_kinds(tmp_path) == (0, ["kinds.generator"])
    after = standard.read_bytes()
    assert after.count(b"\n") == after.count(b"\r\n") > before.count("\n")


def test_a_standard_that_is_a_link_out_of_the_workspace_is_not_read(tmp_path: Path) -> None:
    outside, workspace = tmp_path / "other.yaml", tmp_path / "workspace"
    outside.write_text("builder: {name: Saltmeadow Homes}\n", encoding="utf-8")
    (workspace / "housetypes").mkdir(parents=True)
    (workspace / STANDARD).symlink_to(outside)
    code, told = new_kinds(workspace)
    assert code != 0
    assert told[0] == f"Error: {STANDARD}:1:1: error file.outside-workspace"
    assert outside.read_text(encoding="utf-8") == "builder: {name: Saltmeadow Homes}\n"
