"""What an editor asks of the library: articles, sources, and what a change changed in whose guide."""

import csv
import io
import subprocess
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from click.testing import CliRunner, Result

from builder.cli import main

WATER = "content/articles/water-off.md"


def run(command: str, *arguments: str, workspace: Path) -> Result:
    return CliRunner().invoke(main, [command, *arguments, "--workspace", str(workspace)])


def change(workspace: Path, old: str, new: str) -> None:
    path = workspace / WATER
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def names(output: str) -> list[str]:
    return [line.split()[0] for line in output.splitlines()[1:-1]]


def test_every_article_is_listed_with_who_reads_it(cottage: Path) -> None:
    result = run("articles", "flats", "thermostats", "water-off", workspace=cottage)
    assert result.exit_code == 0
    head, *lines, total = result.output.splitlines()
    assert head.split("  ")[0] == "article"
    cells = {line.split()[0]: line.split()[1:] for line in lines}
    # No apartment stands in the workspace; both of its plots are of one house type.
    assert cells["flats"][:4] == ["0", "0", "2026-09-01", "2029-09-01"]
    assert cells["water-off"][:4] == ["1", "2", "2026-09-01", "2029-09-01"]
    assert cells["water-off"][-1] == "en"
    assert total == "3 of 3 articles."


def test_articles_that_nobody_gets(cottage: Path) -> None:
    assert names(run("articles", "--unused", workspace=cottage).output) == ["flats"]


@pytest.mark.parametrize(("day", "due"), [("2029-08-31", 0), ("2029-09-01", 3)])
def test_articles_whose_review_is_due(day: str, due: int, cottage: Path) -> None:
    output = run("articles", "--due", "--date", day, workspace=cottage).output
    assert len(names(output)) == due


def test_articles_for_a_spreadsheet(cottage: Path) -> None:
    change(cottage, "summary:", "words: [tap]\nsummary:")
    output = run("articles", "water-off", "--csv", workspace=cottage).output
    (row,) = csv.DictReader(io.StringIO(output.lstrip("\ufeff")))
    assert row["named plots"] == "riverside/01 riverside/02"
    assert (row["common practice"], row["published"], row["file"]) == ("1", "0", WATER)


def test_an_article_that_is_not_there(cottage: Path) -> None:
    result = run("articles", "water-of", workspace=cottage)
    assert result.exit_code == 2
    assert result.output == "Error: There is no article 'water-of'. Did you mean 'water-off'?\n"


def test_sources_say_what_rests_on_them(cottage: Path) -> None:
    published = "basis: published, document: Tap Act 1901, edition: fifth, where: section 2}"
    change(cottage, "does not seize., basis: common practice}", f"does not seize., {published}")
    listed = run("sources", workspace=cottage).output
    assert any(line.split("  ")[0] == "Tap Act 1901" for line in listed.splitlines())
    told = run("sources", "tap", "act", workspace=cottage).output
    assert told == (
        "Tap Act 1901, fifth: 1 fact\n"
        f"  {WATER}:11:3: article 'water-off': A stopcock that is turned does not seize. (section 2)\n"
    )
    rows = run("sources", "tap", "act", "--csv", workspace=cottage).output.lstrip("\ufeff")
    (row,) = csv.DictReader(io.StringIO(rows))
    assert (row["edition"], row["said by"], row["line"]) == ("fifth", "article 'water-off'", "11")


def test_sources_of_rules_are_listed_too(cottage: Path) -> None:
    told = run("sources", "Approved Document F", workspace=cottage).output
    assert "builder/rules/reference/england-ventilation-2021.yaml" in told


def test_a_source_that_nobody_names(cottage: Path) -> None:
    result = run("sources", "Kettle", "Act", workspace=cottage)
    assert result.exit_code == 2
    assert "No source is called 'Kettle Act'." in result.output


@pytest.fixture
def kept(cottage: Path) -> Path:
    """The whole example in a folder of a git repository, with one commit."""
    git(cottage.parent, "init", "--quiet")
    git(cottage.parent, "add", ".")
    git(cottage.parent, "commit", "--quiet", "--message", "first")
    return cottage


def git(folder: Path, *arguments: str) -> None:
    author = ("-c", "user.name=An editor", "-c", "user.email=editor@words.example")
    subprocess.run(["git", "-C", str(folder), *author, *arguments], check=True, capture_output=True)


def test_a_changed_sentence_is_shown_in_all_guides_that_have_it(kept: Path) -> None:
    change(kept, "Turn the stopcock clockwise.", "Turn it clockwise, until it stops.")
    result = run("compare", "HEAD", workspace=kept)
    assert result.exit_code == 0
    heading, where, *_ = result.output.split("articles/water-off: ")[1].splitlines()
    assert heading == "Turn off your water"
    assert where == "  changed in 2 plots: riverside/01, riverside/02"
    lines = [line.strip() for line in result.output.splitlines()]
    assert "- 1. Turn the stopcock clockwise." in lines or "- Turn the stopcock clockwise." in lines
    assert any(line.startswith("+") and "until it stops" in line for line in lines)


def test_nothing_changed(kept: Path) -> None:
    result = run("compare", "HEAD", workspace=kept)
    assert (result.exit_code, result.output) == (0, "0 pages changed, in 0 of 2 plots.\n")


def test_a_new_article_is_a_new_page(kept: Path) -> None:
    text = (kept / WATER).read_text(encoding="utf-8").replace("Turn off your water", "Again")
    (kept / "content/articles/again.md").write_text(text, encoding="utf-8")
    output = run("compare", "HEAD", "riverside/01", workspace=kept).output
    assert "articles/again: Again\n  new in 1 plot: riverside/01\n" in output


def test_both_sides_on_one_page(kept: Path, tmp_path: Path) -> None:
    change(kept, "Turn the stopcock clockwise.", "Turn it clockwise & stop.")
    page = tmp_path / "changes.html"
    result = run("compare", "HEAD", "--html", str(page), workspace=kept)
    assert result.output.startswith(f"{page} shows both sides.\n")
    soup = BeautifulSoup(page.read_text(encoding="utf-8"), "html.parser")
    assert not soup.find(["script", "link", "img"])
    assert "changed, of 2 plots." in soup.text
    row = next(each for each in soup.find_all("tr") if "clockwise & stop." in each.text)
    was, now = row.find_all("td")
    assert was.text.endswith("Turn the stopcock clockwise.")
    assert [each.text for each in was.find_all("del")] == ["the stopcock clockwise."]
    assert [each.text for each in now.find_all("ins")] == ["it clockwise & stop."]
    assert [each.text for each in soup.find("thead").find_all("th")] == ["HEAD", "now"]
    assert [each.text for each in soup.find_all("h2")].count("Turn off your water") == 1


def test_a_plot_that_has_no_guide_now(kept: Path) -> None:
    change(kept, "system: water", "system: waters")
    result = run("compare", "HEAD", workspace=kept)
    assert result.exit_code == 3
    assert "had a guide then and have none now: riverside/01, riverside/02." in result.output


def test_a_revision_that_is_not_there(kept: Path) -> None:
    result = run("compare", "--", "--output=x", workspace=kept)
    assert result.exit_code == 2
    assert run("compare", "HEAD~9", workspace=kept).exit_code == 2
    assert not (kept / "x").exists()


def test_a_workspace_without_history(cottage: Path) -> None:
    result = run("compare", "HEAD", workspace=cottage)
    assert result.exit_code == 2
    assert "is in no git repository" in result.output
