"""What changed in a guide: all of it, nothing else, and the same bytes as MkDocs alone."""

import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from bs4 import BeautifulSoup, Tag

from builder.build.building import publish
from builder.build.change_log import contents_as_kept, kept_log, log_after, log_as_kept
from builder.build.manifest import GuideRecord, Records
from builder.build.report import Target
from builder.guide.changes import CHANGES, Content, compared, logged, with_day, without_changes
from builder.guide.find_pages import FIND
from builder.guide.pages import ChangedDay, ChangedPage, Guide, Page
from builder.preparing import prepare
from builder.writers.site.engine import HeldEngine, SiteWriter
from builder.writers.site.offline import LISTING
from builder.writers.site.pages import MadePage, MadePart
from tests.conftest import COTTAGE
from tests.test_publish import contents

FIRST, SECOND, THIRD = date(2026, 3, 1), date(2026, 3, 5), date(2026, 4, 6)
NOTHING = "Nothing has changed since your guide was first published."


def said(folder: Path) -> list[tuple[str, list[str]]]:
    """Each day on the page of changes, and what it says of that day."""
    found: list[tuple[str, list[str]]] = []
    for each in article(folder).select("dt, dd"):
        if each.name == "dt":
            found.append((each.get_text(strip=True), []))
        else:
            found[-1][1].append(each.get_text(strip=True))
    return found


def article(folder: Path) -> Tag:
    text = (folder / "changes" / "index.html").read_text(encoding="utf-8")
    found = BeautifulSoup(text, "html.parser").select_one("main")
    assert found is not None
    return found


def guides(workspace: Path, out: Path, day: date) -> dict[str, Path]:
    report = publish(Target(workspace, (), out, day))
    assert not report.left, list(map(str, report.findings))
    return {each.reference: each.folder for each in report.published}


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def add_to_water(workspace: Path, words: str) -> None:
    path = workspace / "content" / "articles" / "water-off.md"
    path.write_text(f"{path.read_text(encoding='utf-8')}\n{words}\n", encoding="utf-8")


@pytest.fixture(scope="module")
def first_edition(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the cottage and its published tree, with its records."""
    folder = tmp_path_factory.mktemp("first")
    shutil.copytree(COTTAGE, folder / "cottage")
    guides(folder / "cottage", folder / "public", FIRST)
    return folder


@pytest.fixture
def published(first_edition: Path, tmp_path: Path) -> Path:
    """The like, to change."""
    return Path(shutil.copytree(first_edition, tmp_path / "published"))


def test_from_the_first_edition_to_the_third(published: Path) -> None:
    cottage, out = published / "cottage", published / "public"
    folders = {each.reference: out / "g" / each.code for each in Records(out).all()}
    assert len(folders) == 2
    for folder in folders.values():
        assert NOTHING in article(folder).get_text()
        assert said(folder) == []
        first = BeautifulSoup((folder / "index.html").read_text(), "html.parser")
        assert first.select_one("main a[href='changes/']") is not None
        page = BeautifulSoup((folder / "find" / "index.html").read_text(), "html.parser")
        beside = [each.get_text(strip=True) for each in page.select("main a")]
        assert beside.index("Whom to call") < beside.index("What changed in your guide")
    add_to_water(cottage, "Show your visitors too.")
    assert guides(cottage, out, SECOND) == folders
    before = contents(out)
    for name in ("cottage.yaml", "standard.yaml"):
        path = cottage / "housetypes" / name
        path.write_text(f"# A remark.\n{path.read_text(encoding='utf-8')}", encoding="utf-8")
    assert guides(cottage, out, SECOND + timedelta(1)) == folders
    assert contents(out) == before, "what says the same has the same bytes, log and all"
    for folder in folders.values():
        assert said(folder) == [("5 March 2026", ["Turn off your water: changed."])]
        link = article(folder).select_one("dd a")
        assert link is not None
        assert (folder / "changes" / link["href"] / "index.html").resolve().is_file()
        assert NOTHING not in article(folder).get_text()
    edit(cottage / "developments" / "riverside" / "plots.csv", "opposite,car-charger", "opposite,")
    changed = guides(cottage, out, THIRD)
    assert list(changed) == ["riverside/02"]
    newest, earlier = said(changed["riverside/02"])
    assert earlier == ("5 March 2026", ["Turn off your water: changed."])
    assert newest[0] == "6 April 2026"
    assert "Car charger: taken out." in newest[1]
    assert [each.name for each in article(changed["riverside/02"]).select("dd a")].count("a") < len(
        newest[1]
    ) + len(earlier[1]), "a page that is gone has no link"
    assert said(folders["riverside/01"]) == [("5 March 2026", ["Turn off your water: changed."])]


@pytest.mark.parametrize("usable", [True, False])
def test_mkdocs_alone_makes_the_same_of_the_same_log(
    usable: bool, published: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With pages from the memo, and where each plot is built by the engine itself."""
    cottage, out = published / "cottage", published / "public"
    add_to_water(cottage, "Show your visitors too.")
    monkeypatch.setattr(HeldEngine, "usable", usable)
    folder = guides(cottage, out, SECOND)["riverside/01"]
    record = Records(out).read(folder.name)
    assert record is not None
    assert [each.page for each in kept_log(record)[0].pages] == ["article:water-off"]
    guide = prepare(cottage, ["riverside/01"], SECOND).plots["riverside/01"].guide
    alone = tmp_path / "alone" / folder.name
    writer = SiteWriter(cottage, HeldEngine(cottage).assets)
    writer.write(logged(guide, kept_log(record)), alone, f"https://guides.example/g/{folder.name}/")
    expected = contents(folder)
    for beside in ("calendar.ics", LISTING):  # What the build adds to what the engine writes.
        expected.pop(beside)
    assert contents(alone) == expected
    told = {page.id for page in guide.pages if not page.repeats}
    assert set(record.pages) == told - {CHANGES, FIND}


def test_a_record_from_before_there_was_a_log() -> None:
    """Nobody knows what its pages said, so that no page can be said to have changed."""
    now = pages(a="1", b="1")
    assert log_after(None, now, FIRST) == ()
    assert log_after(GuideRecord("a/1", "X", {}, {}), now, FIRST) == ()
    kept = contents_as_kept({**now, "c": Content("2", "A title of words")})
    known = GuideRecord("a/1", "X", {}, {}, pages=kept)
    gone = ChangedPage("c", "A title of words", "gone")
    assert log_after(known, now, FIRST) == (ChangedDay(FIRST, (gone,)),)


def guide_of(tmp_path: Path) -> Guide:
    shutil.copytree(COTTAGE, tmp_path / "cottage", dirs_exist_ok=True)
    return prepare(tmp_path / "cottage", ["riverside/01"], FIRST).plots["riverside/01"].guide


def test_paper_has_no_log(tmp_path: Path) -> None:
    guide = guide_of(tmp_path)
    assert guide.page(CHANGES) is not None
    printed = without_changes(guide)
    assert printed.page(CHANGES) is None
    assert len(printed.pages) == len(guide.pages) - 1
    assert CHANGES in str(guide.navigation)
    assert CHANGES not in str(printed.navigation)


def pages(**said_now: str) -> dict[str, Content]:
    return {name: Content(text, name.title()) for name, text in said_now.items()}


def test_what_is_new_changed_and_gone() -> None:
    found = compared(pages(a="1", b="1", c="1"), pages(d="1", a="1", b="2"))
    assert found == (
        ChangedPage("d", "D", "new"),
        ChangedPage("b", "B", "changed"),
        ChangedPage("c", "C", "gone"),
    )
    assert compared(pages(a="1"), pages(a="1")) == ()


@pytest.mark.parametrize(
    ("earlier", "later", "both"),
    [
        ("new", "changed", "new"),
        ("new", "gone", None),
        ("changed", "changed", "changed"),
        ("changed", "gone", "gone"),
        ("gone", "new", "changed"),
    ],
)
def test_one_day_is_told_as_one_change(earlier: str, later: str, both: str | None) -> None:
    """Whoever read the guide on the day before sees what differs from then."""
    log = with_day((), FIRST, (ChangedPage("a", "A", earlier),))  # type: ignore[arg-type]
    log = with_day(log, FIRST, (ChangedPage("a", "A now", later),))  # type: ignore[arg-type]
    expected = (ChangedDay(FIRST, (ChangedPage("a", "A now", both),)),)  # type: ignore[arg-type]
    assert log == (expected if both else ())


def test_twenty_days_are_kept_newest_first() -> None:
    log: tuple[ChangedDay, ...] = ()
    for number in range(25):
        log = with_day(log, FIRST + timedelta(number), (ChangedPage("a", "A", "changed"),))
    assert [each.day for each in log] == [FIRST + timedelta(24 - each) for each in range(20)]
    assert with_day(log, THIRD, ()) == log
    assert kept_log(GuideRecord("a/1", "X", {}, {}, (), log_as_kept(log))) == log


@pytest.mark.parametrize(
    "entry",
    [
        {},
        {"day": "soon", "pages": []},
        {"day": "2026-03-01", "pages": [{"page": "a", "title": "A", "how": "lost"}]},
        {"day": "2026-03-01", "pages": None},
        {"day": 7, "pages": []},
    ],
)
def test_an_entry_that_cannot_be_read_is_left_out(entry: dict[str, object]) -> None:
    sound = log_as_kept(with_day((), FIRST, (ChangedPage("a", "A", "new"),)))
    assert len(kept_log(GuideRecord("a/1", "X", {}, {}, (), (entry, *sound)))) == 1


def test_another_photograph_is_a_change() -> None:
    told = {("photograph", "valve"): "![The valve](../photos/valve.jpg)"}
    part = MadePart(
        "equipment/stopcock.md", "![The valve](../photos/valve.jpg)", finished=False, told=told
    )
    page = MadePage(
        Page("equipment:stopcock", "equipment/stopcock", "", "equipment", "", {}), (part,)
    )
    assert page.said({"valve": "1"}) == page.said({"valve": "1"})
    assert page.said({"valve": "1"}) != page.said({"valve": "2"})
