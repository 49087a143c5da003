"""Publishing: whole or not at all, with photographs that tell nothing but what they show."""

import io
import json
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import html5lib
import pytest
from bs4 import BeautifulSoup
from PIL import Image

from builder.build.building import publish
from builder.build.manifest import records_folder
from builder.build.report import Target
from tests.broken_workspaces import run
from tests.conftest import PROJECT

DAY = date(2026, 3, 1)


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_a_rebuild_never_moves_a_guide(cottage: Path, tmp_path: Path) -> None:
    out = tmp_path / "public"
    first = publish(Target(cottage, (), out, DAY))
    before = contents(out)
    again = publish(Target(cottage, (), out, date(2027, 1, 1)))
    assert again.published == ()
    assert again.unchanged == tuple(each.reference for each in first.published)
    assert contents(out) == before
    shutil.rmtree(records_folder(out))
    made_again = publish(Target(cottage, (), out, date(2027, 1, 1)))
    assert [each.address for each in made_again.published] == [
        each.address for each in first.published
    ]
    assert contents(out) == before
    assert sorted(path.name for path in out.iterdir()) == [
        "404.html",
        "_headers",
        "assets",
        "g",
        "robots.txt",
    ]


def test_building_one_plot_leaves_the_others(cottage: Path, tmp_path: Path) -> None:
    out = tmp_path / "public"
    publish(Target(cottage, (), out, DAY))
    before = contents(out)
    publish(Target(cottage, (*["riverside/02"],), out, DAY))
    assert contents(out) == before


def test_a_target_that_cannot_be_written(cottage: Path, tmp_path: Path) -> None:
    (tmp_path / "public").write_text("a file", encoding="utf-8")
    result = run("build", "--workspace", str(cottage), "--out", str(tmp_path / "public" / "here"))
    assert result.exit_code == 1
    assert "cannot be written" in result.output
    assert result.exception is None or isinstance(result.exception, SystemExit)


def test_photographs_lose_place_time_and_camera(cottage: Path, tmp_path: Path) -> None:
    """A picture with a place in it (GPS tags of Exif 2.32, from memory) is published without it."""
    picture = Image.new("RGB", (3000, 1500), "grey")
    exif = Image.Exif()
    exif[0x010F] = "CANARY camera"
    exif.get_ifd(0x8825)[1] = "N"
    picture.save(cottage / "housetypes" / "stopcock.jpg", exif=exif)
    house_type = cottage / "housetypes" / "cottage.yaml"
    house_type.write_text(
        house_type.read_text().replace("make: Tarn", "make: Tarn, photo: valve")
        + "photos:\n  valve: {file: housetypes/stopcock.jpg, shows: The brass stopcock under the sink}\n"
    )
    report = publish(Target(cottage, (*["riverside/01"],), tmp_path / "public", DAY))
    guide = report.published[0].folder
    for name, size in (("valve.jpg", (1200, 600)), ("small/valve.jpg", (640, 320))):
        published = (guide / "photos" / name).read_bytes()
        assert b"CANARY" not in published
        with Image.open(io.BytesIO(published)) as shown:
            assert not shown.getexif()
            assert shown.size == size
    page = (guide / "equipment" / "stopcock" / "index.html").read_text()
    assert 'alt="The brass stopcock under the sink"' in page


def test_hosts_are_told_to_be_strict(cottage: Path, tmp_path: Path) -> None:
    publish(Target(cottage, (), tmp_path / "public", DAY))
    headers = (tmp_path / "public" / "_headers").read_text()
    assert "default-src 'none'" in headers
    assert headers.count("sha256-") <= 12, "the same few scripts in every guide, however many"
    assert "unsafe" not in headers
    assert "noindex" in headers
    assert (tmp_path / "public" / "robots.txt").read_text() == "User-agent: *\nDisallow: /\n"


def test_a_picture_that_is_none_is_a_clear_error(cottage: Path, tmp_path: Path) -> None:
    (cottage / "housetypes" / "stopcock.jpg").write_bytes(b"not a picture")
    house_type = cottage / "housetypes" / "cottage.yaml"
    house_type.write_text(
        house_type.read_text().replace("make: Tarn", "make: Tarn, photo: valve")
        + "photos:\n  valve: {file: housetypes/stopcock.jpg, shows: The stopcock}\n"
    )
    result = run("check", "--workspace", str(cottage))
    assert result.exit_code == 1
    assert "'housetypes/stopcock.jpg' is not a picture that can be read." in result.output


@pytest.mark.parametrize(
    ("template", "message"),
    [
        ("# {{ page.title }}\n{{ nothing }}\n", "emergency.md:2:1: error plot.stopped\n  The template cannot be filled in: 'nothing' is undefined\n"),
        ("# {{ page.title }}\n{% if %}\n", "emergency.md:2:1: error plot.stopped\n  The template cannot be read: "),
    ],
)  # fmt: skip
def test_a_mistake_in_a_page_template_names_its_line(
    template: str, message: str, cottage: Path, tmp_path: Path
) -> None:
    shutil.copytree(PROJECT / "site_templates", cottage / "site_templates")
    shutil.copyfile(PROJECT / "mkdocs.yml", cottage / "mkdocs.yml")
    (cottage / "site_templates" / "pages" / "emergency.md").write_text(template, encoding="utf-8")
    result = run("build", "--workspace", str(cottage), "--out", str(tmp_path / "public"))
    assert result.exit_code == 1
    assert message in result.output
    assert not (tmp_path / "public" / "g").exists()


def test_names_with_signs_of_html_are_shown_letter_by_letter(cottage: Path, tmp_path: Path) -> None:
    """Ampersands, quotes and underscores are ordinary in addresses, names and e-mail."""
    table = cottage / "developments" / "riverside" / "plots.csv"
    table.write_text(table.read_text().replace("1 Riverside", "1 & 2 'The *Old* Mill_House' < 3"))
    standard = cottage / "housetypes" / "standard.yaml"
    standard.write_text(
        standard.read_text()
        .replace("name: Stopcock,", 'name: "Stop & cock \\"A\\"",')
        .replace(
            "telephone: 01632 960100", "telephone: 01632 960100, email: care_team@care.example"
        )
    )
    report = publish(Target(cottage, (*["riverside/01"],), tmp_path / "public", DAY))
    assert report.published, list(map(str, report.findings))
    guide = report.published[0].folder
    first = BeautifulSoup((guide / "index.html").read_text(), "html.parser")
    assert "1 & 2 'The *Old* Mill_House' < 3" in first.select_one("h1").get_text()
    told = (guide / "home.js").read_text()
    assert json.loads(told[told.index("(") + 1 : told.rindex(")")]) == "1 & 2 'The *Old* Mill_House' < 3"  # fmt: skip
    piece = BeautifulSoup(
        (guide / "equipment" / "stopcock" / "index.html").read_text(), "html.parser"
    )
    assert piece.select_one("h1").get_text(strip=True) == 'Stop & cock "A"'
    listed = BeautifulSoup((guide / "find" / "index.html").read_text(), "html.parser")
    assert 'Stop & cock "A"' in [link.get_text(strip=True) for link in listed.select("main a")]
    contacts = BeautifulSoup((guide / "contacts" / "index.html").read_text(), "html.parser")
    assert contacts.select_one("a[href^='mailto:']")["href"] == "mailto:care_team@care.example"
    for page in guide.rglob("*.html"):
        html5lib.HTMLParser(strict=True).parse(page.read_text())


@pytest.fixture
def built(cottage: Path, tmp_path: Path) -> tuple[str, ...]:
    """The command that built the small example, after it has been carried out once."""
    command = ("build", "--workspace", str(cottage), "--out", str(tmp_path / "public"), "--date", "2026-03-01")  # fmt: skip
    assert "2 guides published." in run(*command).output
    return command


def test_what_has_not_changed_is_seen_before_anything_is_loaded(
    built: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = contents(tmp_path / "public")
    looked = run(*built, "--format", "json").output
    monkeypatch.setattr("builder.build.building.publish", None)
    for _ in range(2):
        result = run(*built)
        assert result.exit_code == 0, result.output
        assert result.output.endswith("\n0 guides published.\n2 guides up to date.\n")
        assert run(*built, "--format", "json").output == looked
        assert contents(tmp_path / "public") == before
    page = (tmp_path / ".public.records" / "portfolio.html").read_text(encoding="utf-8")
    assert BeautifulSoup(page, "html.parser").get_text().count("Up to date") >= 2


def lose_a_guide(tmp_path: Path) -> None:
    shutil.rmtree(next((tmp_path / "public" / "g").iterdir()))


def lose_the_theme(tmp_path: Path) -> None:
    shutil.rmtree(tmp_path / "public" / "assets")


def be_killed(tmp_path: Path) -> None:
    (tmp_path / "public" / ".building-1").mkdir()


def damage_the_record(tmp_path: Path) -> None:
    (tmp_path / ".public.records" / "last-build.json").write_text("{", encoding="utf-8")


@pytest.mark.parametrize("harm", [lose_a_guide, lose_the_theme, be_killed, damage_the_record])
def test_what_was_harmed_is_looked_at_and_put_right(
    built: tuple[str, ...], tmp_path: Path, harm: Callable[[Path], None]
) -> None:
    before = contents(tmp_path / "public")
    harm(tmp_path)
    assert run(*built).exit_code == 0
    assert contents(tmp_path / "public") == before
    assert not (tmp_path / "public" / ".building-1").exists()


def test_a_guide_whose_bytes_were_altered_is_mended_afresh(
    built: tuple[str, ...], tmp_path: Path
) -> None:
    before = contents(tmp_path / "public")
    page = next((tmp_path / "public" / "g").glob("*/articles/water-off/index.html"))
    page.write_text("altered", encoding="utf-8")
    assert "Build with --afresh to mend them." in run("verify", str(tmp_path / "public")).output
    assert "2 guides published." in run(*built, "--afresh").output
    assert contents(tmp_path / "public") == before
    assert run("verify", str(tmp_path / "public")).exit_code == 0


def test_a_changed_word_and_an_issued_code_are_seen(built: tuple[str, ...], cottage: Path) -> None:
    article = cottage / "content" / "articles" / "water-off.md"
    article.write_text(article.read_text(encoding="utf-8") + "\nNew words.\n", encoding="utf-8")
    assert "2 guides published." in run(*built).output
    assert run("stickers", "issue", "--workspace", str(cottage)).exit_code == 0
    assert "2 guides published." in run(*built).output
    assert "2 guides up to date." in run(*built).output


def test_the_words_of_an_article_concern_the_homes_that_have_it(
    built: tuple[str, ...], cottage: Path
) -> None:
    """No plot of the small example is a flat; what stands at the top decides that, and is read."""
    article = cottage / "content" / "articles" / "flats.md"
    text = article.read_text(encoding="utf-8")
    article.write_text(f"{text}\nNew words.\n", encoding="utf-8")
    assert "2 guides up to date." in run(*built).output
    article.write_text(text.replace("---\n", "---\n# A remark.\n", 1), encoding="utf-8")
    assert "2 guides published." in run(*built).output
