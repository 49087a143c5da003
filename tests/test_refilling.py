"""A page of which only late values differ is filled again from the published one, and comes out as if
it had been made."""

import hashlib
import json
import shutil
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.build.manifest import records_folder
from builder.deploy.verifying import verify
from builder.model.late import CLOSES, OPENS
from builder.writers.site.filling import cut
from builder.writers.site.refilling import gaps_of, names_in, refilled_bytes
from tests.test_standing import INDEX, build, files, guide

HALL, CONTACTS, DATES = "rooms/hall/index.html", "contacts/index.html", "dates/index.html"
NAMES = st.sampled_from(["plot.number", "plot.address", "plot.completion+2 years:spoken"])
FIXED = st.text(st.characters(exclude_characters=OPENS + CLOSES, exclude_categories=["Cs"]))


class Given(dict[str, str]):
    """Values by the names of their marks."""

    def in_bytes(self, name: str) -> bytes:
        return self[name].encode()


VALUES = st.builds(Given, st.fixed_dictionaries(dict.fromkeys(
    ("plot.number", "plot.address", "plot.completion+2 years:spoken"), st.text(max_size=8)
)))  # fmt: skip


@given(FIXED, st.lists(st.tuples(NAMES, FIXED), min_size=1), VALUES, VALUES)
def test_a_text_is_filled_again(
    start: str, rest: list[tuple[str, str]], old: Given, new: Given
) -> None:
    text = cut(start + "".join(f"{OPENS}{name}{CLOSES}{fixed}" for name, fixed in rest))
    gaps = gaps_of(text)
    assert names_in(gaps) == tuple(name for name, _ in rest)
    assert refilled_bytes(text.filled(old), gaps, old, new) == text.filled(new)
    assert refilled_bytes(text.filled(old) + b"!", gaps, old, new) is None


def test_how_gaps_are_written() -> None:
    text = cut(f"Plot {OPENS}plot.number{CLOSES}, {OPENS}plot.address{CLOSES}.")
    assert gaps_of(text) == "5{plot.number}2{plot.address}1"
    assert gaps_of(cut("No value.")) == ""


@pytest.mark.parametrize(
    "gaps",
    ["", "5", "5{plot.number}", "{plot.number}5", "5{plot.number}x", "5{}2", "5{plot.number}2{", "4{plot.number}6", "5{plot.number}4", "-5{plot.number}6"],
)  # fmt: skip
def test_gaps_that_do_not_fit_fill_nothing(gaps: str) -> None:
    old, new = Given({"plot.number": "12"}), Given({"plot.number": "7"})
    assert refilled_bytes(b"Plot 12, there", "5{plot.number}7", old, new) == b"Plot 7, there"
    assert refilled_bytes(b"Plot 12, there", gaps, old, new) is None


@pytest.fixture(scope="module")
def first_edition(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the cottage and its published tree, with its records."""
    folder = tmp_path_factory.mktemp("first")
    shutil.copytree(Path(__file__).parent / "workspaces" / "cottage", folder / "cottage")
    build(folder)
    return folder


@pytest.fixture
def published(first_edition: Path, tmp_path: Path) -> Path:
    """The like, to change."""
    return Path(shutil.copytree(first_edition, tmp_path / "published"))


def replaced(path: str, old: str, new: str) -> Callable[[Path], None]:
    """A change of one text in one file of a workspace."""

    def change(workspace: Path) -> None:
        file = workspace / path
        text = file.read_text("utf-8")
        assert text.count(old) == 1
        file.write_text(text.replace(old, new), encoding="utf-8")

    return change


PLOTS, STANDARD = "developments/riverside/plots.csv", "housetypes/standard.yaml"
address = replaced(PLOTS, "1 Riverside", "11 Long Riverside")
shorter_address = replaced(PLOTS, "11 Long Riverside", "3 River")
telephone = replaced(STANDARD, "01632 960100", "01632 960177")
completion = replaced(PLOTS, "2026-03-31", "2026-02-28")
name = replaced("developments/riverside/development.yaml", "name: Riverside", "name: Overwater")


def both(*changes: Callable[[Path], None]) -> Callable[[Path], None]:
    """Several changes at once."""

    def change(workspace: Path) -> None:
        for each in changes:
            each(workspace)

    return change


@pytest.mark.parametrize(
    "changes",
    [
        (address,), (telephone,), (completion,), (name,), (address, shorter_address),
        (both(address, telephone, completion, name),), (telephone, address, completion),
    ],
)  # fmt: skip
def test_what_is_filled_again_is_what_would_be_made(
    published: Path, tmp_path: Path, changes: tuple[Callable[[Path], None], ...]
) -> None:
    """After each change, tree and records are those of a build that makes every page."""
    again = Path(shutil.copytree(published, tmp_path / "again"))
    for change in changes:
        for folder, afresh in ((published, False), (again, True)):
            change(folder / "cottage")
            build(folder, afresh=afresh)
        assert files(published / "public") == files(again / "public")
        assert records(published) == records(again)
        assert verify(published / "public").problems == ()


def records(folder: Path) -> dict[str, bytes]:
    return files(records_folder(folder / "public") / "guides")


def test_a_page_is_filled_from_the_published_one(published: Path) -> None:
    """Its text stays as it was published, because nobody writes it again."""
    place = altered(published, HALL, "Hall", "Pall")
    address(published / "cottage")
    build(published)
    page = (place / HALL).read_text("utf-8")
    assert "11 Long Riverside" in page
    assert "Pall" in page
    assert "11 Long Riverside" in (place / DATES).read_text("utf-8")


def test_a_page_whose_own_text_shows_the_value_is_made(published: Path) -> None:
    """A search finds the new value, and the old one no more."""
    place = altered(published, CONTACTS, "Customer care", "Customer cave")
    telephone(published / "cottage")
    build(published)
    assert "cave" not in (place / CONTACTS).read_text("utf-8")
    entries = json.loads((place / INDEX).read_bytes())["docs"]
    said = " ".join(each["text"] for each in entries)
    assert "01632 960177" in said
    assert "01632 960100" not in said


def test_a_page_with_other_values_than_recorded_is_made(published: Path) -> None:
    place = altered(published, HALL, "1 Riverside", "2 Riverside")
    whole = (place / HALL).read_text("utf-8")
    address(published / "cottage")
    build(published)
    filled = (place / HALL).read_text("utf-8")
    assert "2 Riverside" not in filled
    assert filled == whole.replace("2 Riverside", "11 Long Riverside")


@pytest.mark.parametrize(
    "damage",
    [
        {"gaps": {}}, {"gaps": {"room:hall": "12{plot.number"}}, {"values": {}},
        {"gaps": {"room:hall": "12{no.such.value}7"}}, {"values": {"plot.address": "Elsewhere"}},
        {"gaps": {"room:hall": "0{none}7"}, "values": {"none": ""}},
        {"gaps": {"room:hall": "9" * 5000 + "{plot.number}7"}},
    ],
)  # fmt: skip
def test_a_damaged_record_changes_no_page(
    published: Path, tmp_path: Path, damage: Mapping[str, Any]
) -> None:
    again = Path(shutil.copytree(published, tmp_path / "again"))
    rewrite_record(published, lambda record: record.update(damage))
    for folder, afresh in ((published, False), (again, True)):
        address(folder / "cottage")
        build(folder, afresh=afresh)
    assert files(published / "public") == files(again / "public")
    assert records(published) == records(again)


def altered(folder: Path, file: str, old: str, new: str) -> Path:
    """A guide with another text in one of its pages, which its record knows of."""
    place = guide(folder)
    page = place / file
    text = page.read_text("utf-8")
    assert old in text
    page.write_text(text.replace(old, new), encoding="utf-8")
    digest = hashlib.sha256(page.read_bytes()).hexdigest()

    def know(record: dict[str, Any]) -> None:
        record["files"][f"g/{record['code']}/{file}"] = digest

    rewrite_record(folder, know)
    return place


def rewrite_record(folder: Path, change: Callable[[dict[str, Any]], object]) -> None:
    path = records_folder(folder / "public") / "guides" / f"{guide(folder).name}.json"
    record = json.loads(path.read_bytes())
    change(record)
    path.write_text(json.dumps(record), encoding="utf-8")
