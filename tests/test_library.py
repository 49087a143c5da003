"""What ships is the lowest layer: a workspace lays its own over it by id or by file, and copies nothing."""

import shutil
from datetime import date
from pathlib import Path

import pytest
from bs4 import BeautifulSoup

import builder.shipped
from builder.build.building import publish
from builder.build.report import Report, Target
from builder.build.source_files import SourceFiles
from builder.errors import Findings
from builder.preparing import prepare
from builder.shipped import LAYER, layered, shipped
from builder.sources.workspace import read_workspace
from tests.conftest import PROJECT
from tests.test_commands import handover

DAY = date(2026, 11, 25)
OWN = """---
title: Candles
summary: Where candles may stand.
system: electrical
sources:
  candles: {fact: Candles set homes on fire., basis: common practice}
reviewed: 2026-09-01
---
{% if has_article('no-electricity') %}Read [this](article:no-electricity).{% endif %} Use a torch.
"""


@pytest.fixture
def workspace(cottage: Path) -> Path:
    """The small example with its own three articles over the library."""
    (cottage / "content" / "library.yaml").unlink()
    return cottage


def built(root: Path, out: Path) -> Report:
    return publish(Target(root, (), out, DAY))


def installed(folder: Path) -> Path:
    """What ships, as an installed package holds it."""
    package = folder / "package"
    for name in ("content", "site_templates"):
        shutil.copytree(PROJECT / name, package / "shipped" / name)
    shutil.copy(PROJECT / "mkdocs.yml", package / "shipped")
    return package


def page(out: Path, path: str) -> BeautifulSoup:
    found = sorted(out.glob(f"g/*/{path}/index.html"))
    return BeautifulSoup(found[0].read_text(encoding="utf-8"), "html.parser")


def write(root: Path, name: str, text: str) -> None:
    (root / name).parent.mkdir(parents=True, exist_ok=True)
    (root / name).write_text(text, encoding="utf-8")


def test_one_own_article_needs_no_copies(workspace: Path, tmp_path: Path) -> None:
    write(workspace, "content/articles/candles.md", OWN)
    assert not built(workspace, tmp_path / "public").findings.errors
    assert len(list((workspace / "content" / "articles").iterdir())) == 4
    candles = page(tmp_path / "public", "articles/candles")
    (way,) = [each for each in candles.select("main a") if each.get_text() == "this"]
    assert way["href"].startswith("../no-electricity")
    assert "105" in page(tmp_path / "public", "articles/no-electricity").get_text()


def test_why_names_the_layer(workspace: Path) -> None:
    def said(article: str) -> str:
        return handover(workspace, "why", "riverside/01", "--article", article)[1].split("\n")[1]

    assert said("no-electricity") == "  from the shipped library (shipped/content/articles/no-electricity.md)"  # fmt: skip
    assert said("water-off") == "  from this workspace (content/articles/water-off.md)"
    write(workspace, "content/articles/fire/no-electricity.md", OWN)
    assert said("no-electricity") == (
        "  from this workspace (content/articles/fire/no-electricity.md), "
        "instead of shipped/content/articles/no-electricity.md"
    )
    write(workspace, "content/library.yaml", "articles:\n  consumer-unit: null\n")
    assert handover(workspace, "why", "riverside/01", "--article", "consumer-unit") == (
        0,
        "consumer-unit is in no guide of this workspace\n"
        "  the shipped library has it, and this workspace takes it away (content/library.yaml:2:3)\n",
    )


def test_null_takes_an_article_away_and_ways_to_it_become_words(
    workspace: Path, tmp_path: Path
) -> None:
    assert "consumer-unit" in read_workspace(workspace, Findings()).articles
    write(workspace, "content/library.yaml", "articles: {water-leak: null}\n")
    report = built(workspace, tmp_path / "public")
    assert not report.findings.errors
    assert not list((tmp_path / "public").glob("g/*/articles/water-leak"))
    read = prepare(workspace, ["riverside/01"], DAY).homes["riverside/01"].guide
    assert not [each.id for each in read.pages if "article:water-leak" in each.body]


def test_whoever_takes_an_article_away_is_not_told_that_it_is_missing(workspace: Path) -> None:
    write(workspace, "content/library.yaml", "articles: {boiler-care: null}\n")
    standard = workspace / "housetypes" / "standard.yaml"
    standard.write_text(standard.read_text(encoding="utf-8").replace("article: water-off", "article: boiler-care"), encoding="utf-8")  # fmt: skip
    code, said = handover(workspace, "check")
    assert "kinds.unknown-article" not in said
    write(workspace, "content/library.yaml", "articles: {airing-your-home: null}\n")
    standard.write_text(standard.read_text(encoding="utf-8").replace("article: boiler-care", "article: boiler-car"), encoding="utf-8")  # fmt: skip
    assert "  There is no article 'boiler-car'.\n  Did you mean 'boiler-care'?\n" in handover(workspace, "check")[1]  # fmt: skip
    assert code == 0


def test_null_for_all_leaves_the_own_ones(workspace: Path) -> None:
    write(workspace, "content/library.yaml", "articles:\n")
    assert set(read_workspace(workspace, Findings()).articles) == {"flats", "thermostats", "water-off"}  # fmt: skip


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "articles: {no-electricty: null}\n",
            "content/library.yaml:1:12: error library.unknown-article at articles.no-electricty\n"
            "  No article 'no-electricty' ships, so there is nothing to take away.\n"
            "  Did you mean 'no-electricity'?\n",
        ),
        (
            "articles:\n  no-electricity: {title: Dark}\n",
            "content/library.yaml:2:19: error ",
        ),
        ("article: {}\n", "content/library.yaml:1:1: error data.unknown-key at article\n"),
        ("articles: [no-electricity]\n", "content/library.yaml:1:11: error "),
    ],
)
def test_mistakes_in_the_library_file(workspace: Path, text: str, message: str) -> None:
    write(workspace, "content/library.yaml", text)
    code, said = handover(workspace, "check")
    assert code == 1
    assert message in said


def test_an_article_that_ships_and_cannot_be_filled_in_is_left_out_with_a_warning(
    workspace: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Here the library asks for a contact that the home has not."""
    package = installed(tmp_path)
    write(package, "shipped/content/articles/asking.md", OWN + "{{ contacts['keeper'].name }}\n")
    monkeypatch.setattr(builder.shipped, "_PACKAGE", package)
    report = built(workspace, tmp_path / "public")
    assert not report.findings.errors
    assert not list((tmp_path / "public").glob("g/*/articles/asking"))
    told = [str(each) for each in report.findings if each.path == "asking"]
    assert told
    assert "'contacts' has no 'keeper'. The guide goes without this article, which ships." in told[0]  # fmt: skip


def test_a_mistake_in_words_for_demonstrations_that_ship_is_said_in_every_workspace(
    workspace: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = installed(tmp_path)
    words = "kinds:\n  lamp: {show: The lamp., shows: It., say: It is bright., basis: common practice}\n"
    write(package, "shipped/content/demonstration/wrong.yaml", words)
    monkeypatch.setattr(builder.shipped, "_PACKAGE", package)
    findings = prepare(workspace, (), DAY).findings
    told = [
        str(each)
        for each in findings
        if each.place.file.startswith(f"{LAYER}content/demonstration")
    ]
    assert told == [
        "shipped/content/demonstration/wrong.yaml:2:27: error data.unknown-key at kinds.lamp.shows\n"
        "  'shows' is not known here.\n  Did you mean 'show'?",
    ]


def test_a_workspace_may_have_fewer_kinds_and_systems_than_the_articles_that_ship(
    workspace: Path,
) -> None:
    """The example has twelve kinds and three systems; nothing is said of all the others."""
    _, said = handover(workspace, "check")
    assert "unknown-kind" not in said
    assert "unknown-system" not in said
    assert "fits-no-home" not in said


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("site_templates/pages/contacts.html", "Everyone else", "Whom we call"),
        ("site_templates/theme/main.html", "Skip to the page", "Whom we call"),
    ],
)
def test_one_own_template_stands_over_the_one_that_ships(
    workspace: Path, tmp_path: Path, name: str, old: str, new: str
) -> None:
    text = (PROJECT / name).read_text(encoding="utf-8")
    assert old in text
    write(workspace, name, text.replace(old, new, 1))
    report = built(workspace, tmp_path / "public")
    assert not report.findings.errors
    assert len(report.published) == 2
    assert "Whom we call" in page(tmp_path / "public", "contacts").get_text()
    assert (tmp_path / "public" / "assets").exists()


def test_a_folder_of_templates_is_laid_over_file_by_file(tmp_path: Path) -> None:
    write(tmp_path, "site_templates/pages/room.html", "ours")
    pages = layered(tmp_path, "site_templates/pages")
    assert not pages.ours
    assert pages.path("room.html") == tmp_path / "site_templates/pages/room.html"
    assert pages.path("system.html") == shipped("site_templates/pages/system.html")
    ships = {each.name for each in shipped("site_templates/pages").glob("*.html")}
    assert set(pages.files("*.html")) == ships
    assert layered(tmp_path / "none", "site_templates/pages").ours
    assert layered(PROJECT, "site_templates/pages").folders == (PROJECT / "site_templates/pages",)


def test_what_ships_is_a_source_of_guides(
    workspace: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A later version of the builder has other articles and templates: guides are made again."""
    package = installed(tmp_path)
    monkeypatch.setattr(builder.shipped, "_PACKAGE", package)
    before = SourceFiles(workspace)
    article = f"{LAYER}content/articles/no-electricity.md"
    assert before.paths[article] == package / "shipped/content/articles/no-electricity.md"
    first = before.files[article], before.shipped
    with before.paths[article].open("a", encoding="utf-8") as file:
        file.write("\nMore.\n")
    assert SourceFiles(workspace).files[article] != first[0]
    assert SourceFiles(workspace).shipped == first[1]
    write(package, "shipped/site_templates/pages/room.html", "Another.")
    assert SourceFiles(workspace).shipped != first[1]
    second = SourceFiles(workspace).shipped
    write(workspace, "site_templates/pages/room.html", "Ours.")
    assert SourceFiles(workspace).shipped != second, "the shipped one is covered and counts no more"


def test_impact_and_find_see_the_layer_below(workspace: Path) -> None:
    code, said = handover(workspace, "impact", "shipped/content/articles/no-electricity.md")
    assert code == 0
    assert "riverside/01" in said
    write(workspace, "content/library.yaml", "articles: {no-electricity: null}\n")
    code, said = handover(workspace, "impact", "content/library.yaml")
    assert code == 0
    assert "riverside/01" in said
    write(workspace, "content/library.yaml", "articles: {}\n")
    write(workspace, "content/articles/no-electricity.md", OWN)
    assert handover(workspace, "impact", "shipped/content/articles/no-electricity.md")[0] == 1
    code, said = handover(workspace, "find", "$.articles['consumer-unit'].title")
    assert (code, "riverside/01" in said) == (0, True)


def test_the_working_copy_has_no_layer_below(cottage: Path) -> None:
    workspace = read_workspace(PROJECT, Findings())
    assert not any(each.ships for each in workspace.articles.values())


def test_own_settings_need_no_own_theme(workspace: Path, tmp_path: Path) -> None:
    text = (PROJECT / "mkdocs.yml").read_text(encoding="utf-8")
    write(
        workspace, "mkdocs.yml", text.replace("site_name: Handover guide", "site_name: Our homes")
    )
    report = built(workspace, tmp_path / "public")
    assert not report.findings.errors
    assert list((tmp_path / "public" / "assets").glob("*/**/handover.css"))
