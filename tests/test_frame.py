"""The frame around every page: the same bytes on all of them, light, and whole without the theme package."""

import json
import re
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree

import pytest
from bs4 import BeautifulSoup

from builder.errors import HandoverError
from builder.proof.crawl import crawl, proof
from builder.writers.site.assets import icon_style
from builder.writers.site.script_data import HOME, home_file
from tests.conftest import COTTAGE, PROJECT
from tests.demo import Demo

ENTRIES = ["Home", "Urgent", "Find", "Plan", "Dates", "Call"]
WITHOUT = "import sys; sys.modules['material'] = None; from mkdocs.__main__ import cli; cli()"
"""The site engine where nothing can be imported of the theme package."""


def frame_of(page: str) -> str:
    """A page without its content, and without all that may differ around it."""
    around = re.sub(r"<main.*</main>", "", page, flags=re.DOTALL)
    around = re.sub(r"<title[^>]*>.*?</title>", "", around)
    around = re.sub(r"(?:\.\./)+", "", around).replace('"./"', '""')
    return around.replace(' aria-current="true"', "")


def test_the_frame_is_the_same_on_every_page(demo: Demo) -> None:
    for guide in demo.guides.values():
        pages = [path.read_text(encoding="utf-8") for path in sorted(guide.rglob("*.html"))]
        languages = {page.partition('<html lang="')[2].partition('"')[0] for page in pages}
        assert len(Counter(map(frame_of, pages))) == len(languages), guide
        assert max(len(frame_of(page)) for page in pages) < 1_750


def test_homes_that_are_alike_have_the_same_pages(demo: Demo) -> None:
    """Two houses of one type and hand on one site: of an article with no place in it, all bytes."""
    first, second = (demo.guides[f"mill-lane/{number}"] for number in ("05", "07"))
    names = [path.relative_to(first) for path in sorted(first.rglob("articles/*/index.html"))]
    both = [name for name in names if (second / name).is_file()]
    same = [name for name in both if (first / name).read_bytes() == (second / name).read_bytes()]
    assert len(same) > len(both) * 0.7 > 50
    assert (first / HOME).read_bytes() != (second / HOME).read_bytes()


def test_a_guide_says_whose_home_it_is_beside_its_pages(demo: Demo) -> None:
    told = (demo.guides["harbour-view/07"] / HOME).read_text(encoding="utf-8")
    assert told == 'window.handover?.belongsTo("Flat 3, Heron Court");\n'


def test_an_address_is_words_in_the_script_that_says_it() -> None:
    told = home_file('1 "Nook" </script>, Line\u2028Row')[HOME].decode("ascii")
    assert (
        json.loads(told.partition("(")[2].rpartition(")")[0]) == '1 "Nook" </script>, Line\u2028Row'
    )
    assert "\n" not in told.rstrip("\n")


def test_one_entry_of_the_bar_is_marked(demo: Demo) -> None:
    marked = Counter[str]()
    for path in demo.guides["mill-lane/01"].rglob("*.html"):
        bar = BeautifulSoup(path.read_text(encoding="utf-8"), "html.parser").select("nav.bar a")
        assert [entry.get_text(strip=True) for entry in bar] == ENTRIES
        (current,) = (each.get_text(strip=True) for each in bar if each.get("aria-current"))
        marked[current] += 1
    assert set(marked) == set(ENTRIES)
    assert marked.most_common(1)[0][0] == "Find"


def test_a_whole_guide_without_the_theme_package(tmp_path: Path) -> None:
    """The list of what is taken from it is empty, and nothing of it can be imported."""
    workspace = Path(shutil.copytree(COTTAGE, tmp_path / "cottage"))
    shutil.copytree(PROJECT / "site_templates", workspace / "site_templates")
    settings = (PROJECT / "mkdocs.yml").read_text(encoding="utf-8")
    settings, emptied = re.subn(r"from_material:\n(?: {4}.*\n)+", "from_material: {}\n", settings)
    assert emptied == 1
    (workspace / "mkdocs.yml").write_text(settings.replace("mill-lane/01", "riverside/01"))
    site = tmp_path / "public" / "g" / "CODE"
    subprocess.run(
        (sys.executable, "-c", WITHOUT, "build", "--quiet", "--site-dir", str(site)),
        cwd=workspace, check=True,
    )  # fmt: skip
    pages = sorted(site.rglob("*.html"))
    assert len(pages) > 20
    for path in pages:
        page = BeautifulSoup(path.read_text(encoding="utf-8"), "html.parser")
        assert [each.get_text(strip=True) for each in page.select("nav.bar a")] == ENTRIES
    assert "--icon" not in (site / "assets/handover.css").read_text(encoding="utf-8")
    (site / "calendar.ics").touch()  # Another writer adds it.
    assert list(proof(crawl(tmp_path / "public"))) == []


def test_an_icon_that_is_not_there() -> None:
    with pytest.raises(HandoverError, match="mkdocs-material has no icon 'material/no-such-icon'"):
        icon_style({"home": "material/no-such-icon"})


def test_each_entry_shows_its_icon_of_the_one_file(demo: Demo) -> None:
    """Each drawing in it is whole, by another reader."""
    (file,) = demo.public.glob("assets/*/handover.css")
    rule = re.compile(r'\.bar-(\w+)\{--icon:url\("data:image/svg\+xml,([^"]+)"\)\}')
    drawn = {name: ElementTree.fromstring(unquote(drawing)) for name, drawing in rule.findall(file.read_text())}  # fmt: skip
    assert [each.tag for each in drawn.values()] == ["{http://www.w3.org/2000/svg}svg"] * 6
    page = (demo.guides["mill-lane/01"] / "plan/index.html").read_text(encoding="utf-8")
    entries = BeautifulSoup(page, "html.parser").select("nav.bar a")
    assert [f"bar-{name}" for name in drawn] == [name for each in entries for name in each["class"]]
    assert f'href="../../../assets/{file.parent.name}/handover.css"' in page
