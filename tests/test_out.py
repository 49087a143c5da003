"""Where things are written: never over sources, never over what somebody else has made."""

import os
from pathlib import Path

import pytest

from builder.build.outside import keep_off_sources
from builder.errors import UsageError
from tests.broken_workspaces import run

DAY = ("--date", "2026-04-01")
SOURCES = (
    "housetypes",
    "developments",
    "content",
    "developments/riverside",
    "content/articles/new",
    "records",
    "mkdocs.yml",
)


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.mark.parametrize(
    "out",
    [
        ".",
        "..",
        "../..",
        "/",
        "~",
        ".git/x",
        ".handover",
        ".handover/x",
        ".public.records",
        ".public.records/x",
        *SOURCES,
    ],
)
def test_a_build_refuses_what_is_not_its_own(
    cottage: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, out: str
) -> None:
    """Told by the place that is meant, however it is spelled."""
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    place = str(tmp_path / "home") if out == "~" else os.path.join(cottage, out)
    link = tmp_path / "link"
    Path(place).parent.mkdir(parents=True, exist_ok=True)
    link.symlink_to(place)
    before = files(cottage)
    for spelled in (place, f"{cottage}/housetypes/../{out}" if out[0] not in "/~" else place, str(link)):  # fmt: skip
        result = run("build", "--workspace", str(cottage), "--out", spelled, *DAY)
        assert result.exit_code == 2, result.output
        assert result.output.startswith(f"Error: '{Path(spelled)}' "), result.output
        assert files(cottage) == before
        assert not (Path(place) / "g").exists()


def test_a_build_refuses_a_folder_that_others_have_filled(cottage: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    (site / "assets" / "ours").mkdir(parents=True)
    (site / "assets" / "ours" / "logo.svg").write_text("<svg/>")
    (site / "index.html").write_text("Ours")
    place = ("--workspace", str(cottage), "--out", str(site), *DAY)
    before = files(site)
    result = run("build", *place)
    assert result.exit_code == 2
    assert result.output == (
        f"Error: '{site}' holds what no build has written: assets, index.html. "
        "Name an empty folder, or a new one.\n"
    )
    assert files(site) == before
    assert not (tmp_path / ".site.records").exists()


def test_a_build_fills_a_new_folder_an_empty_one_and_one_of_a_repository(
    cottage: Path, tmp_path: Path
) -> None:
    empty, repository = tmp_path / "empty", tmp_path / "pages"
    empty.mkdir()
    (repository / ".git").mkdir(parents=True)
    for out in (empty, repository, cottage / "public", empty):
        assert run("build", "--workspace", str(cottage), "--out", str(out), *DAY).exit_code == 0


@pytest.mark.parametrize("command", [
    ("print", "riverside/01", "--paper", "keys"),
    ("demonstration", "riverside/01", "--format", "page"),
    ("stickers", "sheet", "--stock", "a4-10-of-99x57"),
])  # fmt: skip
def test_nothing_is_written_among_sources(cottage: Path, command: tuple[str, ...]) -> None:
    run("stickers", "issue", "--workspace", str(cottage), *DAY)
    before = files(cottage)
    name = "content/sheet.pdf" if command[0] == "stickers" else "content"
    dated = DAY if command[0] != "stickers" else ()
    result = run(*command, "--workspace", str(cottage), "--out", str(cottage / name), *dated)
    assert result.exit_code == 2, result.output
    assert f"lies in 'content' of '{cottage}', where sources are." in result.output
    assert files(cottage) == before


@pytest.mark.parametrize("command", [
    ("export", "plots", "riverside"), ("export", "cobie", "riverside/01"), ("export", "json", "riverside/01", "--private"),
])  # fmt: skip
def test_nothing_is_exported_to_the_web_or_over_a_source(
    cottage: Path, command: tuple[str, ...]
) -> None:
    tree = cottage / "public"
    (tree / "g").mkdir(parents=True)
    (tree / "_headers").touch()
    before = files(cottage)
    ending = ".json" if command[1] == "json" else ".xlsx"
    for name, says in (
        (f"public/a{ending}", "is a published tree, and what is exported is not for the web."),
        (
            f"public/g/deep/a{ending}",
            "is a published tree, and what is exported is not for the web.",
        ),
        ("developments/riverside/plots.csv", f"does not end in {ending}."),
        (f"developments/riverside/a{ending}", "lies in 'developments' of"),
    ):
        result = run(*command, "--workspace", str(cottage), "--out", str(cottage / name))
        assert result.exit_code == 2, result.output
        assert says in result.output
        assert files(cottage) == before


def test_a_sheet_of_stickers_takes_the_place_of_no_other_file(cottage: Path) -> None:
    place = ("--workspace", str(cottage))
    run("stickers", "issue", *place, *DAY)
    table = cottage / "notes.csv"
    table.write_text("mine")
    result = run("stickers", "sheet", "--stock", "a4-10-of-99x57", "--out", str(table), *place)
    assert result.exit_code == 2
    assert f"'{table}' does not end in .pdf." in result.output
    assert table.read_text() == "mine"


@pytest.mark.parametrize("place", [".", "content", "developments/riverside", "content/articles"])
def test_nothing_is_deployed_among_sources(cottage: Path, tmp_path: Path, place: str) -> None:
    out = tmp_path / "public"
    assert run("build", "--workspace", str(cottage), "--out", str(out), *DAY).exit_code == 0
    before = files(cottage)
    result = run("deploy", str(cottage / place), "--from", str(out))
    assert result.exit_code == 2, result.output
    assert result.output.endswith("Name a folder of its own.\n")
    assert files(cottage) == before


def test_the_root_of_a_disk_is_nobodys() -> None:
    with pytest.raises(UsageError, match="'/' is not a folder for this"):
        keep_off_sources(Path("/"))
