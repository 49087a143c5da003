"""Pages that a process keeps for the next guide are what it would write for that guide alone."""

from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from builder.build.building import packed, publish
from builder.build.manifest import Records
from builder.build.report import Target
from builder.errors import Findings
from builder.guide.pages import Guide
from builder.preparing import prepare
from builder.shipped import Layered, layered
from builder.sources.workspace import PlotSource, read_workspace
from builder.writers.site.pages import Pages, ValueDigests
from builder.writers.site.templates import PageTemplates
from tests.conftest import PROJECT
from tests.test_sites import differences

DAY = date(2026, 11, 25)
PAGES = layered(PROJECT, "site_templates/pages")


@cache
def guides() -> dict[str, Guide]:
    preparation = prepare(PROJECT, [], DAY)
    return {reference: plot.guide for reference, plot in preparation.plots.items()}


def texts(pages: Pages, guide: Guide) -> dict[str, str]:
    return {each.source: each.markdown for each in pages.of(guide)}


def test_guides_written_one_after_the_other_are_as_each_alone() -> None:
    some = dict(list(guides().items())[::3])
    alone = {reference: texts(Pages(PAGES), guide) for reference, guide in some.items()}
    together = Pages(PAGES)
    for _ in range(2):
        for reference, guide in some.items():
            assert texts(together, guide) == alone[reference], reference


def test_a_page_is_told_what_its_guide_has() -> None:
    """The same page in a guide without some other page: it leads there no more."""
    guide = next(iter(guides().values()))
    others = tuple(page for page in guide.pages if page.id != "page:plan")
    without = replace(guide, pages=others)
    pages = Pages(PAGES)
    whole, less = texts(pages, guide), texts(pages, without)
    assert less == texts(Pages(PAGES), without)
    assert 'href="plan/"' in whole["index.md"]
    assert 'href="plan/"' not in less["index.md"]


def test_pages_that_are_made_from_the_same_show_the_same() -> None:
    """Pages of many homes that are known by what they are made from, against all that they show."""
    pages, digests = Pages(PAGES), ValueDigests()
    shown: dict[str, set[str]] = {}
    for guide in list(guides().values())[::3]:
        for page in guide.pages:
            shown.setdefault(pages.origin(page), set()).add(digests.of(page.values))
    assert {len(each) for each in shown.values()} == {1}
    assert len(shown) < sum(len(guide.pages) for guide in list(guides().values())[::3])


def test_plots_share_all_that_says_nothing_of_them_alone() -> None:
    """Two homes of one type and hand: their pages are the very same parts, but for few."""
    one, other = (guides()[name] for name in ("mill-lane/01", "mill-lane/13"))
    pages = Pages(PAGES)
    first = {id(part) for page in pages.of(one) for part in page.parts}
    second = [part for page in pages.of(other) for part in page.parts]
    shared = sum(id(part) in first for part in second)
    assert shared > len(second) / 3


@dataclass(frozen=True)
class Record:
    """Plain data under a name."""

    said: str


def test_digests_tell_values_apart() -> None:
    digests = ValueDigests()
    values: list[object] = [1, 1.0, True, "1", None, (), ("1",), (("1",),), {}, {"1": 1}, Record("1"),
                            (Record("1"), Record("2")), date(2026, 1, 1)]  # fmt: skip
    found = [digests.of({"value": each}) for each in values]
    assert len(set(found)) == len(values)
    assert found == [ValueDigests().of({"value": each}) for each in values]
    assert digests.of({"a": "1,b=2"}) != digests.of({"a": "1", "b": "2"})


@pytest.mark.parametrize("value", [object(), len, (lambda: None,)])
def test_what_cannot_be_told_apart_is_refused(value: object) -> None:
    with pytest.raises(TypeError, match="is no value that a page can show"):
        ValueDigests().of({"value": value})


def test_a_template_that_looks_at_a_day_gets_the_day(cottage: Path, tmp_path: Path) -> None:
    path = cottage / "site_templates" / "pages" / "dates-top.html"
    path.parent.mkdir(parents=True)
    text = (
        PAGES.path("dates-top.html")
        .read_text("utf-8")
        .replace("</section>", "<p>The year of {{ completion.year }}.</p>\n</section>")
    )
    path.write_text(text, encoding="utf-8")  # fmt: skip
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
    for size in (1, 5, 100):
        orders = list(packed(plots, size))
        assert sorted(plot.reference for order in orders for plot in order) == sorted(
            plot.reference for plot in plots
        )
        assert all(len(order) <= size for order in orders)
        assert all(len(set(map(house_type, order))) == 1 for order in orders)
    assert len(list(packed(plots, 100))) == len(set(map(house_type, plots)))


@pytest.mark.parametrize(
    ("text", "looks"),
    [
        ('<p><a href="{{ href("page:wrong") }}">{{ _("Something else is wrong") }}</a></p>', False),
        ("<h1>{{ page.title }}</h1>", True),
        ('<h1>{{ page["title"] }}</h1>', True),
        ('{% from "_parts.html" import top with context %}{{ top() }}', True),
        ('{% include "_top.html" %}', True),
        ('{% extends "_top.html" %}', True),
        ("{% call top() %}{{ caller }}{% endcall %}", True),
    ],
)
def test_a_part_that_looks_at_its_page_is_of_that_page_alone(
    tmp_path: Path, text: str, looks: bool
) -> None:
    (tmp_path / "part.html").write_text(text)
    templates = PageTemplates(Layered((tmp_path,)))
    assert templates.looks_at_page("part.html") is looks
    assert templates.looks_at_page("nothing.html")
    assert templates.looks_at_page("part.md")


def test_symptoms_of_one_home_share_what_does_not_look_at_its_page() -> None:
    guide = next(iter(guides().values()))
    pages = [each for each in Pages(PAGES).of(guide) if each.page.layout == "symptom"]
    without_way = {id(part) for page in pages for part in page.parts if "ways-end" in part.text}
    assert 0 < len(without_way) < len(pages) / 2
    sources = {page.source: {part.source for part in page.parts} for page in pages}
    assert all(source in found for source, found in sources.items())
