"""A new edition of a guide takes the pages that would come out the same, and nothing else."""

import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from builder.build.building import publish
from builder.build.manifest import Records, records_folder
from builder.build.report import Report, Target
from builder.deploy.verifying import verify
from builder.proof.allowed import PageKinds
from builder.proof.guides import GuideFiles, Reader
from builder.shipped import shipped
from tests.conftest import COTTAGE

DAY = date(2026, 3, 1)
CALENDAR, INDEX, WORKER, KEPT = "calendar.ics", "find/words.json", "worker.js", "kept.json"
BESIDE = {CALENDAR, INDEX, WORKER, KEPT}
"""Files of a guide that are no pages."""
WATER = "articles/water-off/index.html"
LOG = "changes/index.html"


def build(folder: Path, *, afresh: bool = False) -> Report:
    report = publish(Target(folder / "cottage", (), folder / "public", DAY, afresh=afresh))
    assert not report.left, list(map(str, report.findings))
    return report


@pytest.fixture(scope="module")
def first_edition(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the cottage and its published tree, with its records."""
    folder = tmp_path_factory.mktemp("first")
    shutil.copytree(COTTAGE, folder / "cottage")
    build(folder)
    return folder


@pytest.fixture
def published(first_edition: Path, tmp_path: Path) -> Path:
    """A copy of it, to change."""
    return Path(shutil.copytree(first_edition, tmp_path / "published"))


def guide(folder: Path, reference: str = "riverside/01") -> Path:
    (code,) = (
        each.code for each in Records(folder / "public").all() if each.reference == reference
    )
    return folder / "public" / "g" / code


def files(place: Path) -> dict[str, bytes]:
    found = (each for each in sorted(place.rglob("*")) if each.is_file())
    return {each.relative_to(place).as_posix(): each.read_bytes() for each in found}


def new_files(folder: Path, change: Callable[[Path], None], *, afresh: bool = False) -> set[str]:
    """The files of a guide that a build after a change has written, and not taken."""
    place = guide(folder)
    before = {name: (place / name).stat().st_ino for name in files(place)}
    # What stands is held while the new one is made, so that no new file gets the number of an old.
    held = [(place / name).open("rb") for name in before]
    change(folder / "cottage")
    build(folder, afresh=afresh)
    for each in held:
        each.close()
    return {name for name in files(place) if (place / name).stat().st_ino != before.get(name)}


def say_more(workspace: Path) -> None:
    path = workspace / "content" / "articles" / "water-off.md"
    path.write_text(f"{path.read_text('utf-8')}\nShow your visitors too.\n", encoding="utf-8")


def move_the_stopcock(workspace: Path) -> None:
    path = workspace / "housetypes" / "cottage.yaml"
    text = path.read_text("utf-8")
    assert "under the sink" in text
    path.write_text(text.replace("under the sink", "behind the low panel"), encoding="utf-8")


def own_templates(workspace: Path) -> None:
    pages = workspace / "site_templates" / "pages"
    shutil.copytree(shipped("site_templates") / "pages", pages)
    path = pages / "room.html"
    path.write_text(f"{path.read_text('utf-8')}\n<p>A line of ours.</p>\n", encoding="utf-8")


def test_one_article_makes_its_page_and_the_log_of_changes(published: Path) -> None:
    assert new_files(published, say_more) == {WATER, LOG, INDEX, WORKER, KEPT}
    assert "Show your visitors too." in (guide(published) / WATER).read_text("utf-8")
    assert "\\nvisitors " in (guide(published) / INDEX).read_text("utf-8")


def test_a_home_that_differs_keeps_the_pages_that_say_nothing_of_it(published: Path) -> None:
    found = new_files(published, move_the_stopcock)
    shown = {
        name for name, text in files(guide(published)).items() if b"ehind the low panel" in text
    }
    assert found - BESIDE == {each for each in shown if each.endswith(".html")} | {LOG}


def test_a_guide_in_two_languages(first_edition: Path, tmp_path: Path) -> None:
    """Each page has a file of its own in each language, and what is taken is what would be made."""
    shutil.copytree(first_edition / "cottage", tmp_path / "cottage")
    path = tmp_path / "cottage" / "developments" / "riverside" / "development.yaml"
    path.write_text(f"{path.read_text('utf-8')}\nlanguages: [cy]\n", encoding="utf-8")
    build(tmp_path)
    pages = {name for name in files(guide(tmp_path)) if name.endswith(".html")}
    second = {name.removeprefix("cy/") for name in pages if name.startswith("cy/")}
    assert second == {name for name in pages if not name.startswith("cy/")}
    again = Path(shutil.copytree(tmp_path, tmp_path / "again"))
    found = new_files(tmp_path, say_more)
    both = {WATER, LOG, INDEX, f"cy/{WATER}", f"cy/{INDEX}", WORKER, KEPT}
    assert found == both
    say_more(again / "cottage")
    build(again, afresh=True)
    assert files(tmp_path / "public") == files(again / "public")


def test_a_build_afresh_takes_nothing(published: Path) -> None:
    assert new_files(published, say_more, afresh=True) == set(files(guide(published)))


def test_other_templates_make_every_page_again(published: Path) -> None:
    found = new_files(published, own_templates)
    assert found >= {name for name in files(guide(published)) if name.endswith(".html")}


@pytest.mark.parametrize("change", [say_more, move_the_stopcock, own_templates])
def test_what_is_taken_is_what_would_be_made(
    published: Path, tmp_path: Path, change: Callable[[Path], None]
) -> None:
    """Tree and records are those of a build that makes every page."""
    again = Path(shutil.copytree(published, tmp_path / "again"))
    for folder, afresh in ((published, False), (again, True)):
        change(folder / "cottage")
        build(folder, afresh=afresh)
    assert files(published / "public") == files(again / "public")
    assert files(records_folder(published / "public") / "guides") == files(
        records_folder(again / "public") / "guides"
    )
    assert verify(published / "public").problems == ()


@pytest.mark.parametrize("name", ["index.html", "dates/index.html", CALENDAR, INDEX])
def test_what_somebody_altered_is_made_again(published: Path, name: str) -> None:
    """That file alone."""
    whole = (guide(published) / name).read_bytes()
    (guide(published) / name).write_bytes(whole[:100])
    found = new_files(published, say_more)
    assert found - {CALENDAR} == {WATER, LOG, INDEX, WORKER, KEPT, name} - {CALENDAR}
    assert name == INDEX or (guide(published) / name).read_bytes() == whole


@pytest.mark.parametrize(
    ("places", "replaced", "sound"),
    [
        ({"b"}, {"top"}, True),
        (set(), {"top"}, False),  # a new page leads to a place that a taken one has not
        ({"b"}, {"top", "gone"}, False),  # a new page has lost a place: taken ones may lead there
    ],
)
def test_places_that_new_and_taken_pages_need(
    places: set[str], replaced: set[str], sound: bool
) -> None:
    new, taken = "g/X/one/index.html", "g/X/two/index.html"
    text = '<!doctype html><html><body><main><h1 id="top">One</h1><a href="../two/#b">b</a></main></body></html>'

    def page(found: set[str]) -> bytes:
        named = "".join(f'<p id="{each}"></p>' for each in sorted(found))
        return f"<!doctype html><html><body><main>{named}</main></body></html>".encode()

    published = {taken: page(places), new: page(replaced)}
    guide = GuideFiles({new: (text,)}, frozenset({new, taken}), published.get)
    assert Reader(PageKinds()).is_sound(guide) is sound


@pytest.mark.parametrize(
    ("target", "sound"),
    [("../../g/X/one/", True), ("../../g/X/one/#top", True), ("../../g/X/two/", False),
     ("../../g/X/one/#gone", False), ("../../g/Y/one/", False), ("https://other.example/", False)],
)  # fmt: skip
def test_a_sticker_leads_to_a_page_of_its_guide(target: str, sound: bool) -> None:
    def page(inside: str) -> str:
        return f"<!doctype html><html><body><main>{inside}</main></body></html>"

    one = "g/guide/one/index.html"
    stickers = {"Q/S/index.html": page(f'<a href="{target}">One</a>')}
    guide = GuideFiles(
        {one: (page('<h1 id="top">One</h1>'),)}, frozenset({one}), {}.get, stickers, "g/X/"
    )
    assert Reader(PageKinds()).is_sound(guide) is sound
