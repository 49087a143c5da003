"""Pages that a process keeps for the next guide are what it would write for that guide alone."""

import re
import shutil
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from builder.build.building import packed, publish
from builder.build.manifest import Records
from builder.build.report import Target
from builder.errors import Findings
from builder.guide.pages import Guide
from builder.guide.schedule.apart import days_apart
from builder.model.late import MARK, LateValueError
from builder.preparing import prepare
from builder.shipped import shipped
from builder.sources.workspace import PlotSource, read_workspace
from builder.writers.site.markdown import PageTemplates
from tests.conftest import PROJECT
from tests.test_editions import differences

DAY = date(2026, 11, 25)
PAGES = shipped("site_templates") / "pages"
DATED = ("page:dates", "page:care")
WRITTEN = re.compile(r"\d{4}-\d{2}-\d{2}|\d{1,2} [A-Z][a-z]+ 20\d{2}")
"""A day as pages write it, for machines or in words."""


@cache
def guides() -> dict[str, Guide]:
    preparation = prepare(PROJECT, [], DAY)
    return {reference: plot.guide for reference, plot in preparation.plots.items()}


def test_guides_written_one_after_the_other_are_as_each_alone() -> None:
    together = PageTemplates(PAGES)
    for _ in range(2):
        for reference, guide in list(guides().items())[::2]:
            assert together.write(guide) == PageTemplates(PAGES).write(guide), reference


def test_a_page_hears_what_its_guide_answers() -> None:
    """The same page in a guide without some other page: it leads there no more."""
    guide = next(iter(guides().values()))
    others = tuple(page for page in guide.pages if page.id != "page:plan")
    without = replace(guide, pages=others)
    templates = PageTemplates(PAGES)
    whole, less = templates.write(guide), templates.write(without)
    assert less == PageTemplates(PAGES).write(without)
    home, home_without = whole[0].markdown, less[0].markdown
    assert "(plan.md)" in home
    assert "(plan.md)" not in home_without


def test_a_template_may_ask_its_guide_for_anything(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(PAGES, tmp_path / "pages"))
    (folder / "contacts.md").write_text("# {{ page.title }}\n\n{{ guide.title }} {{ guide.pages | length }}\n")  # fmt: skip
    templates = PageTemplates(folder)
    for guide in list(guides().values())[:6]:
        (written,) = templates.write_some(guide, [each for each in guide.pages if each.id == "page:contacts"])  # fmt: skip
        assert written.markdown.endswith(f"{guide.title} {len(guide.pages)}\n")


@pytest.mark.parametrize("page", DATED)
def test_days_that_are_taken_out_and_put_back(page: str) -> None:
    templates = PageTemplates(PAGES)
    for reference, guide in guides().items():
        whole = guide.page(page)
        assert whole is not None
        apart, days = days_apart(whole)
        (plain,) = templates.write_some(guide, (whole,))
        (marked,) = templates.write_some(guide, (apart,))
        filled = MARK.sub(lambda found, days=days: str(days.get(found[1])), marked.markdown)  # type: ignore[misc]
        assert filled == plain.markdown, reference
        assert not WRITTEN.search(marked.markdown), reference


def test_nothing_but_the_last_of_marked_spans_can_be_asked_for() -> None:
    dates = next(iter(guides().values())).page("page:dates")
    assert dates is not None
    apart, _ = days_apart(dates)
    spans = next(each.spans for each in apart.values["rhythms"] if each.spans)
    assert spans
    assert str(spans[-1].first).startswith("\ue000day")
    for ask in (list, len, lambda found: found[0], lambda found: found == ()):
        with pytest.raises(LateValueError, match="The spans of an entry are filled in late"):
            ask(spans)


def test_a_template_that_looks_at_a_day_gets_the_day(cottage: Path, tmp_path: Path) -> None:
    pages = Path(shutil.copytree(PAGES, cottage / "site_templates" / "pages"))
    path = pages / "dates.md"
    path.write_text(f"{path.read_text('utf-8')}\nThe year of {{{{ completion.year }}}}.\n", encoding="utf-8")  # fmt: skip
    plots = cottage / "developments" / "riverside" / "plots.csv"
    text = plots.read_text("utf-8")
    assert text.endswith("car-charger,\n")
    plots.write_text(text.replace("car-charger,", "car-charger,2025-05-03"), encoding="utf-8")
    out = tmp_path / "public"
    report = publish(Target(cottage, (), out, DAY))
    assert not report.left, list(map(str, report.findings))
    for record in Records(out).all():
        page = (out / "g" / record.code / "dates" / "index.html").read_text("utf-8")
        assert f"The year of {2026 if record.reference == 'riverside/01' else 2025}." in page
    assert list(differences(cottage, out, ["riverside/01", "riverside/02"])) == []


def house_type(plot: PlotSource) -> str:
    said = plot.row.children["plot"].child("house_type")
    return str(said.value if said else "")


def test_plots_of_one_house_type_go_to_one_worker() -> None:
    plots = list(read_workspace(PROJECT, Findings()).plots.values())
    editions = [[plot] for plot in plots]
    for size in (1, 5, 100):
        orders = list(packed(editions, size))
        assert sorted(plot.reference for order in orders for (plot,) in order) == sorted(
            plot.reference for plot in plots
        )
        assert all(len(order) <= size for order in orders)
        assert all(len({house_type(plot) for (plot,) in order}) == 1 for order in orders)
    assert len(list(packed(editions, 100))) == len(set(map(house_type, plots)))
