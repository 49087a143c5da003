"""A guide of a portfolio build is byte for byte what MkDocs alone makes of that plot."""

import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from builder.build.building import publish
from builder.build.plot_writing import codes_of
from builder.build.report import Report, Target
from builder.errors import Findings
from builder.guide.report_pages import with_codes
from builder.preparing import prepare
from builder.register.issuing import stickers_in
from builder.register.reading import read_register
from builder.sources.folder import Folder
from builder.writers.site.engine import HeldEngine, SiteWriter
from builder.writers.site.offline import LISTING
from tests.bench.generated_portfolio import generate
from tests.demo import Demo

DEMO = Path(__file__).parent.parent
DAY = date(2026, 11, 25)
GENERATED, EVERY = 36, 4
"""Plots of the generated portfolio, and which of them are built alone too. All of 200 are compared
by ``python -m tests.test_sites``."""


def differences(root: Path, out: Path, references: list[str]) -> Iterator[str]:
    """Each file of a published guide that is not as MkDocs alone makes it from the plot's own home."""
    writer = SiteWriter(root, HeldEngine(root).assets)
    preparation = prepare(root, references, DAY)
    alone = out.parent / "alone"
    for reference, prepared in preparation.plots.items():
        register = read_register(Folder(root), prepared.plot.development, Findings())
        code = register.guide(prepared.plot.numbers)
        assert code is not None
        host = prepared.traced.home.development.base_url.rstrip("/")
        stickers = stickers_in(prepared.plot, prepared.traced.home, register)
        guide = with_codes(prepared.guide, prepared.about, codes_of(stickers))
        assert writer.write(guide, alone / code, f"{host}/g/{code}/") == ()
        expected, found = files(alone / code), files(out / "g" / code)
        for beside in ("calendar.ics", LISTING):  # What the build adds to what the engine writes.
            found.pop(beside, None)
        yield from (f"{reference}: {name}" for name in expected.keys() ^ found.keys())
        same = expected.keys() & found.keys()
        yield from (f"{reference}: {name}" for name in same if expected[name] != found[name])
        shutil.rmtree(alone)


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_guides_of_the_demo(demo: Demo) -> None:
    plots = ["mill-lane/01", "harbour-view/05", "mill-lane/13"]
    assert list(differences(DEMO, demo.public, plots)) == []


def test_guides_of_a_generated_portfolio(tmp_path: Path) -> None:
    root, out = tmp_path / "portfolio", tmp_path / "public"
    generate(root, GENERATED, seed=7)
    report: Report = publish(Target(root, (), out, DAY))
    assert len(report.published) == GENERATED
    plots = [each.reference for each in report.published][::EVERY]
    assert list(differences(root, out, plots)) == []


LOOKS = """
{% if contacts['customer-care'].name == 'Customer care' %}Call the number on the door.{% endif %}
{{ home.plot.number | upper }}
"""


def test_a_template_may_look_at_what_differs_from_plot_to_plot(
    cottage: Path, tmp_path: Path
) -> None:
    article = cottage / "content/articles/water-off.md"
    article.write_text(article.read_text() + LOOKS)
    report = publish(Target(cottage, (), tmp_path / "public", DAY))
    assert len(report.published) == 2
    assert list(differences(cottage, tmp_path / "public", ["riverside/01", "riverside/02"])) == []
    for each in report.published:
        page = (each.folder / "articles/water-off/index.html").read_text()
        assert "Call the number on the door." in page


@pytest.mark.parametrize("awkward", ["1 St Mary's & Son", "12. Quay_side", "<none>", "  2  Quay"])
def test_an_address_that_is_escaped_somewhere(awkward: str, cottage: Path, tmp_path: Path) -> None:
    table = cottage / "developments/riverside/plots.csv"
    table.write_text(table.read_text().replace("1 Riverside", awkward))
    report = publish(Target(cottage, (), tmp_path / "public", DAY))
    found = [each.reference for each in report.published]
    assert found or "<" in awkward
    assert list(differences(cottage, tmp_path / "public", found)) == []


def test_a_task_that_hangs_on_the_day_of_completion(cottage: Path, tmp_path: Path) -> None:
    """Two plots that are alike but for that day."""
    article = cottage / "content/articles/water-off.md"
    when = 'when: {equals: {plot.completion: "2026-03-31"}}'
    article.write_text(article.read_text().replace("basis: free}", f"basis: free, {when}}}", 1))
    table = cottage / "developments/riverside/plots.csv"
    rows = table.read_text().splitlines()
    same = rows[1].replace("01,1 Riverside", "03,3 Riverside").replace("2026-03-31", "2026-05-05")
    table.write_text("\n".join([*rows, same, ""]))
    report = publish(Target(cottage, (), tmp_path / "public", DAY))
    assert list(differences(cottage, tmp_path / "public", ["riverside/01", "riverside/03"])) == []
    found = {
        each.reference: "Turn it off" in (each.folder / "dates/index.html").read_text()
        for each in report.published
    }
    assert (found["riverside/01"], found["riverside/03"]) == (True, False)


if __name__ == "__main__":
    GENERATED, EVERY = 200, 1
    with TemporaryDirectory() as folder:
        test_guides_of_a_generated_portfolio(Path(folder))
