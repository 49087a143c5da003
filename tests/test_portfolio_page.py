"""The team's page of all plots: what it says is true, and it stands where nobody uploads it."""

import json
import shutil
from datetime import date
from pathlib import Path

import html5lib
import pytest
from bs4 import BeautifulSoup, Tag

from builder.build.building import publish
from builder.build.manifest import Records
from builder.build.report import Target
from builder.errors import HandoverError
from builder.shipped import layered
from builder.writers.portfolio.page import FOLDER, PlotLine, Portfolio, page_of
from tests.broken_workspaces import run
from tests.conftest import PROJECT
from tests.test_publish import contents

DAY, LATER = "2026-03-01", "2026-04-06"
TEMPLATES = layered(PROJECT, FOLDER)


def built(workspace: Path, out: Path, day: str, *plots: str) -> dict[str, object]:
    """What a build says as JSON; it must agree with the page in every plot."""
    result = run(
        "build", *plots, "--workspace", str(workspace), "--out", str(out), "--date", day,
        "--format", "json",
    )  # fmt: skip
    told: dict[str, object] = json.loads(result.stdout)
    return told


def page(out: Path) -> BeautifulSoup:
    text = (out.with_name(f".{out.name}.records") / "portfolio.html").read_text(encoding="utf-8")
    html5lib.HTMLParser(strict=True).parse(text)
    return BeautifulSoup(text, "html.parser")


def rows(soup: BeautifulSoup) -> dict[str, list[str]]:
    """The cells of each plot's row by its number."""
    found = {}
    for row in soup.select("tbody tr"):
        number, *cells = (" ".join(each.get_text(" ").split()) for each in row.select("th, td"))
        found[number] = cells
    return found


def totals(soup: BeautifulSoup) -> dict[str, int]:
    return {each.get_text(): int(_next(each).get_text()) for each in soup.select("dl.totals dt")}


def _next(tag: Tag) -> Tag:
    found = tag.find_next_sibling("dd")
    assert isinstance(found, Tag)
    return found


def test_the_page_follows_what_builds_do(cottage: Path, tmp_path: Path) -> None:
    out = tmp_path / "public"
    first = built(cottage, out, DAY, "riverside/01")
    code = next(Records(out).all()).code
    address = f"https://guides.example/g/{code}/"
    pages = str(len(list((out / "g" / code).rglob("*.html"))))
    assert rows(page(out)) == {
        "01": ["The Cottage", "Published", pages, "0", "1 March 2026", address],
        "02": ["The Cottage", "Not asked for", "None", "0", "Never", "None yet"],
    }
    assert first["totals"] == {
        "plots": 2, "published": 1, "up to date": 0, "left as it was": 0, "not asked for": 1,
        "guides": 1, "pages": int(pages), "warnings": 0,
    }  # fmt: skip
    assert totals(page(out))["With a guide"] == 1
    own = cottage / "developments" / "riverside" / "plots" / "02.yaml"
    sound = own.read_text()
    own.write_text(sound.replace("room: hall", "room: attic"))
    second = built(cottage, out, LATER)
    assert rows(page(out))["01"] == [
        "The Cottage",
        "Up to date",
        pages,
        "0",
        "1 March 2026",
        address,
    ]
    shown = rows(page(out))["02"]
    assert shown[1] == (
        "Left as it was developments/riverside/plots/02.yaml:7:26: There is no 'attic' in rooms."
    )
    assert shown[2:] == ["None", "0", "Never", "None yet"]
    said = second["plots"]
    assert isinstance(said, list)
    assert [each["state"] for each in said] == ["up to date", "left as it was"]
    assert shown[1] == f"Left as it was {' '.join(said[1]['why'])}"
    assert second["findings"]
    own.write_text(sound)
    path = cottage / "content" / "articles" / "water-off.md"
    path.write_text(f"{path.read_text()}\nShow your visitors too.\n")
    built(cottage, out, LATER)
    changed = {number: (cells[1], cells[4]) for number, cells in rows(page(out)).items()}
    assert changed == {
        "01": ("Published", "6 April 2026"),
        "02": ("Published", "6 April 2026"),
    }


def test_the_page_is_private_whole_and_the_same_each_time(cottage: Path, tmp_path: Path) -> None:
    out = tmp_path / "public"
    publish(Target(cottage, (), out, date.fromisoformat(DAY)))
    records = out.with_name(".public.records")
    before = (records / "portfolio.html").read_bytes()
    assert not any("portfolio" in name for name in contents(out))
    soup = page(out)
    assert not soup.select("script, link, img, iframe, [src]")
    assert "default-src 'none'" in soup.select_one("meta[http-equiv]")["content"]
    assert [each["scope"] for each in soup.select("thead th")] == ["col"] * 7
    assert [each["scope"] for each in soup.select("tbody th")] == ["row"] * 2
    for region in soup.select("[role=region]"):
        assert soup.find(id=region["aria-labelledby"]) is not None
    assert "@media print" in soup.style.get_text()
    shutil.rmtree(out)
    shutil.rmtree(records)
    publish(Target(cottage, (), out, date.fromisoformat(DAY)))
    assert (records / "portfolio.html").read_bytes() == before


def line(**said: object) -> PlotLine:
    whole = {
        "reference": "a/1", "development": "A", "number": "1", "house_type": "T",
        "state": "left as it was", "why": (), "pages": 0, "warnings": 0, "address": "",
        "changed": None, **said,
    }  # fmt: skip
    return PlotLine(**whole)  # type: ignore[arg-type]


def test_signs_of_html_are_shown_and_long_lists_are_cut() -> None:
    lines = (
        line(
            development="Fish & Chips <b>", why=("'<i>' is one.", "Two.", "Three.", "Four.", "5.")
        ),
        line(number="2", development="Elsewhere", state="up to date", warnings=3),
    )
    text = page_of(Portfolio(date(2026, 3, 1), lines), TEMPLATES)
    soup = BeautifulSoup(text, "html.parser")
    assert [each.get_text() for each in soup.select("h2")] == ["Elsewhere", "Fish & Chips <b>"]
    assert [each.get_text() for each in soup.select("li")] == [
        "'<i>' is one.", "Two.", "Three.", "And 2 more.",
    ]  # fmt: skip
    assert totals(soup)["Warnings"] == 3


def test_a_template_that_cannot_be_used_is_named(tmp_path: Path) -> None:
    own = tmp_path / FOLDER
    own.mkdir(parents=True)
    (own / "page.html").write_text("{{ nothing }}", encoding="utf-8")
    with pytest.raises(HandoverError, match=r"page.html' cannot be used: 'nothing' is undefined"):
        page_of(Portfolio(date(2026, 3, 1), ()), layered(tmp_path, FOLDER))
