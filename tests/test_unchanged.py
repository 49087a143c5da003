"""A build looks only at the developments that a change reaches, and says the same of all others."""

import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from builder.build.building import publish
from builder.build.last_build import origin_now
from builder.build.manifest import Records, records_folder
from builder.build.report import Report, Target
from builder.build.source_files import SourceFiles
from builder.build.unchanged import nothing_changed, untouched
from builder.deploy.verifying import verify
from tests.broken_workspaces import run
from tests.conftest import COTTAGE
from tests.test_publish import contents

DAY, LATER = date(2026, 3, 1), date(2026, 7, 1)
ALL = ("hillside/01", "hillside/02", "riverside/01", "riverside/02")
WAIVER = """waivers:
  alarm:
    rule: essentials.gas
    reason: The valve is fitted with the meter in May.
    by: Technical manager
    until: 2026-06-30
"""


def target(folder: Path, day: date = DAY, *, afresh: bool = False) -> Target:
    return Target(folder / "workspace", (), folder / "public", day, afresh=afresh)


def looked_at(folder: Path, day: date = DAY) -> set[str] | None:
    """The developments that the next build looks at; nothing where it looks at all."""
    asked = target(folder, day)
    now = origin_now(asked, SourceFiles(asked.root))
    found = untouched(asked, Records(asked.out), now)
    return None if found is None else set(found.scope.developments)


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workspace of two developments, and what a build of all plots published."""
    folder = tmp_path_factory.mktemp("built")
    shutil.copytree(COTTAGE, folder / "workspace")
    developments = folder / "workspace" / "developments"
    shutil.copytree(developments / "riverside", developments / "hillside")
    publish(target(folder))
    return folder


@pytest.fixture
def folder(built: Path, tmp_path: Path) -> Path:
    """The like, to change."""
    return Path(shutil.copytree(built, tmp_path / "here"))


def inside(folder: Path, name: str) -> Path:
    return folder / "workspace" / name


def edit(name: str, old: str, new: str) -> Callable[[Path], None]:
    def change(folder: Path) -> None:
        path = inside(folder, name)
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")

    return change


def add(name: str, text: str) -> Callable[[Path], None]:
    def change(folder: Path) -> None:
        path = inside(folder, name)
        before = path.read_text(encoding="utf-8") if path.is_file() else ""
        path.write_text(before + text, encoding="utf-8")

    return change


def new_development(folder: Path) -> None:
    shutil.copytree(
        inside(folder, "developments/hillside"),
        inside(folder, "developments/meadow"),
        ignore=shutil.ignore_patterns("register.*"),
    )


HILL = "developments/hillside"
REACHING: dict[str, tuple[Callable[[Path], None], set[str] | None]] = {
    "a plot's row": (edit(f"{HILL}/plots.csv", "1 Riverside", "1 Hillside"), {"hillside"}),
    "a plot's own file": (edit(f"{HILL}/plots/02.yaml", "CANARY", "OTHER"), {"hillside"}),
    "a development": (edit(f"{HILL}/development.yaml", "Anytown", "Elsewhere"), {"hillside"}),
    "a new development": (new_development, {"meadow"}),
    "issued codes": (
        add(f"{HILL}/register.csv", "sticker,ABCDEFGH23456789,01,stopcock,stopcock,hall,,2026-03-01\n"),
        {"hillside"},
    ),
    "a house type": (edit("housetypes/cottage.yaml", "name: ", "name: New "), None),
    "an article": (add("content/articles/water-off.md", "\nDo it twice a year.\n"), None),
    "a picture of a development": (add(f"{HILL}/site.png", "picture"), None),
}  # fmt: skip


@pytest.mark.parametrize("name", REACHING)
def test_a_build_looks_at_the_developments_that_a_change_reaches(folder: Path, name: str) -> None:
    change, expected = REACHING[name]
    assert looked_at(folder) == set()
    change(folder)
    assert looked_at(folder) == expected


@pytest.mark.parametrize(
    "name", ["a plot's row", "a plot's own file", "a development", "a new development"]
)
def test_what_is_published_is_what_a_build_of_all_would_publish(folder: Path, name: str) -> None:
    REACHING[name][0](folder)
    report = publish(target(folder))
    again = Path(shutil.copytree(folder, folder.with_name("again")))
    whole = publish(target(again, afresh=True))
    assert contents(folder / "public") == contents(again / "public")
    assert records(folder) == records(again)
    assert told(report) == told(whole)
    assert {each.reference.split("/")[0] for each in report.published} <= (
        looked := REACHING[name][1] or set()
    )
    assert {each.split("/")[0] for each in report.unchanged} >= {"hillside", "riverside"} - looked
    assert not verify(folder / "public").problems


def records(folder: Path) -> dict[str, bytes]:
    return contents(records_folder(folder / "public") / "guides")


def told(report: Report) -> tuple[object, ...]:
    """What a report says of each plot, whatever the build did for it; and what was found."""
    lines = [replace(each, state="published") for each in report.portfolio.plots]
    return lines, list(map(str, report.findings))


def test_a_mistake_stops_its_plot_and_all_others_stay_up_to_date(folder: Path) -> None:
    before = contents(folder / "public")
    edit(f"{HILL}/plots.csv", "as-drawn", "as-drawm")(folder)
    report = publish(target(folder))
    assert report.left == ("hillside/01",)
    assert report.unchanged == ("hillside/02", "riverside/01", "riverside/02")
    (finding,) = report.findings.errors
    assert finding.plots == ("hillside/01",)
    assert contents(folder / "public") == before
    # Such a build is nothing to start from: the one before it is, and what it published stands.
    assert looked_at(folder) == {"hillside"}
    edit(f"{HILL}/plots.csv", "as-drawm", "as-drawn")(folder)
    mended = publish(target(folder))
    assert (mended.left, mended.unchanged) == ((), ALL)


def test_a_near_miss_is_known_of_what_was_read_before(folder: Path) -> None:
    edit(f"{HILL}/plots.csv", "cottage", "cotage")(folder)
    report = publish(target(folder))
    assert {each.right for each in report.findings.errors} == {"Did you mean 'cottage'?"}


def test_on_another_day_waivers_are_looked_at_again(folder: Path) -> None:
    assert looked_at(folder, LATER) == set()
    add(f"{HILL}/development.yaml", WAIVER)(folder)
    publish(target(folder))
    assert (looked_at(folder), looked_at(folder, LATER)) == (set(), {"hillside"})
    add("housetypes/cottage.yaml", "# waivers\n")(folder)
    publish(target(folder))
    assert (looked_at(folder), looked_at(folder, LATER)) == (set(), None)


def test_all_plots_are_looked_at_where_a_guide_is_gone(folder: Path) -> None:
    page = next((folder / "public" / "g").glob("*/index.html"))
    page.unlink()
    asked = target(folder)
    assert nothing_changed(asked, SourceFiles(asked.root)) is None
    assert looked_at(folder) is None
    publish(asked)
    assert page.is_file()


def test_an_order_of_plots_or_a_build_afresh_looks_at_all(folder: Path) -> None:
    now = origin_now(target(folder), SourceFiles(folder / "workspace"))
    named = replace(target(folder), references=("hillside/01",))
    for asked in (named, target(folder, afresh=True)):
        assert untouched(asked, Records(asked.out), now) is None


def test_a_development_that_is_gone_is_no_longer_told_of(folder: Path) -> None:
    shutil.rmtree(inside(folder, HILL))
    report = publish(target(folder))
    assert [each.reference for each in report.portfolio.plots] == ["riverside/01", "riverside/02"]


def test_findings_of_plots_that_are_not_looked_at_are_still_told(folder: Path) -> None:
    before = list(map(str, publish(target(folder, afresh=True)).findings))
    edit(f"{HILL}/plots.csv", "1 Riverside", "1 Hillside")(folder)
    after = list(map(str, publish(target(folder)).findings))
    assert before
    assert after == before


def test_what_editors_name_may_stand_in_a_development_that_did_not_change(folder: Path) -> None:
    kind = "kinds:\n  sauna: {name: Sauna, system: heating, what: Hot air to sit in.}\n"
    add("developments/riverside/development.yaml", kind)(folder)
    edit("content/articles/water-off.md", "equipment: [", "mentions: [sauna]\nequipment: [")(folder)
    assert not publish(target(folder)).findings.errors
    edit(f"{HILL}/plots.csv", "1 Riverside", "1 Hillside")(folder)
    report = publish(target(folder))
    assert not report.findings.errors
    assert [each.reference for each in report.published] == ["hillside/01"]


def test_the_command_says_how_many_guides_are_up_to_date(folder: Path) -> None:
    edit(f"{HILL}/plots/02.yaml", "low on the", "high on the")(folder)
    workspace, out = str(folder / "workspace"), str(folder / "public")
    done = run("build", "--workspace", workspace, "--out", out, "--date", DAY.isoformat())
    assert done.exit_code == 0, done.output
    assert done.output.splitlines()[-2:] == ["1 guide published.", "3 guides up to date."]
