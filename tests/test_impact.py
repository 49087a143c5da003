"""``handover impact``: no page that a real change reaches goes unnamed, and what is named says why.

What a change really does is read from guides that ``prepare`` composes before and after it, page
by page, as the site writer writes them.
"""

import csv
import io
import json
import shutil
from collections.abc import Iterator, Mapping
from datetime import date
from functools import cache
from pathlib import Path

import pytest
from PIL import Image

from builder.cli.impact_forms import COLUMNS
from builder.guide.pages import Guide, Page
from builder.guide.parts import layouts_through
from builder.guide.sticker_pages import StickerRecord
from builder.preparing import prepare
from builder.questions.edits import GONE, Edit, edited
from builder.questions.files import layouts_of, target_of
from builder.questions.homes import read_homes
from builder.questions.impact import Impact, impact_of
from builder.shipped import layered
from builder.writers.site.pages import Pages as SitePages
from tests.broken_workspaces import run
from tests.conftest import COTTAGE, PROJECT

Pages = frozenset[tuple[str, str]]
"""Plots and ids of their pages."""

TEMPLATES = PROJECT / "site_templates" / "pages"
HOUSE, STANDARD = "housetypes/cottage.yaml", "housetypes/standard.yaml"
OPTION, OWN = "housetypes/options/car-charger.yaml", "developments/riverside/plots/02.yaml"
SITE, TABLE = "developments/riverside/development.yaml", "developments/riverside/plots.csv"
WATER, THERMOSTATS, FLATS = (
    f"content/articles/{name}.md" for name in ("water-off", "thermostats", "flats")
)

CHANGES = [
    # words and numbers
    (HOUSE, "place: high on the back wall", "place: over the hob"),
    (HOUSE, "name: Bedroom, kind", "name: Blue room, kind"),
    (HOUSE, "[[2, 0], [6, 0], [6, 5], [2, 5]]", "[[2, 0], [7, 0], [7, 5], [2, 5]]"),
    # choices and ids
    (HOUSE, "owner: this-home", "owner: neighbour"),
    (HOUSE, "form: house", "form: apartment"),
    (HOUSE, "kind: stopcock, room: kitchen", "kind: stopcock, room: bedroom"),
    (HOUSE, "room: kitchen, at: [4, 5]", "room: bedroom, at: [4, 5]"),
    (HOUSE, "hall-alarm: {kind: smoke-alarm", "hall-alarm: {kind: stopcock"),
    (HOUSE, "emitters:\n      bedroom: {kind: radiator", "emitters:\n      bedroom: {kind: extract-fan"),
    # taken away
    (HOUSE, ", make: Tarn", ""),
    (HOUSE, "fences:\n  left: {side: left, kind: Timber fence, owner: this-home}\n", ""),
    (HOUSE, "  bedroom-alarm: {kind: smoke-alarm, room: bedroom, place: on the ceiling, at: [3, 2.5], height: 2.4}\n", ""),
    # added
    (HOUSE, "at: [0.2, 3]", "at: [0.2, 3], note: It is set to 19."),
    (HOUSE, "equipment:\n", "equipment:\n  loft-alarm: {kind: smoke-alarm, room: bedroom, place: by the hatch}\n"),
    (HOUSE, "keys:\n", "keys:\n  back-door: {name: Back door key, count: 1, opens: the back door}\n"),
    (STANDARD, "turns_off: electricity, ", ""),
    (STANDARD, "call_for: faults", "call_for: faults and questions, hours: all day"),
    (STANDARD, "{name: Water, summary", "{name: Cold water, summary"),
    (OPTION, "power: 7.4", "power: 11"),
    (OPTION, "room: outside", "room: hall"),
    (OWN, "low on the {right}", "high on the {left}"),
    (OWN, "room: hall, ", ""),
    (SITE, "name: Riverside", "name: Riverbank"),
    (TABLE, "2 Riverside", "2 River View"),
    (TABLE, "car-charger,", ","),
    (TABLE, "01,1 Riverside,ZZ99 9ZZ,cottage,as-drawn", "01,1 Riverside,ZZ99 9ZZ,cottage,opposite"),
    (WATER, "{{ piece.where }}", "It is here: {{ piece.where }}"),
    (WATER, "every: 6 months", "closes: 2 weeks"),
    (WATER, "system: water", "system: heating"),
    (WATER, "first_weeks: 1\n", "urgent: true\n"),
    (WATER, "equipment: [stopcock]\n", "when: {form: apartment}\n"),
    (THERMOSTATS, "One for each zone.", "One for each part of your home."),
    (FLATS, "when: {form: apartment}", "when: {form: house}"),
]  # fmt: skip


def truth(workspace: Path) -> Mapping[tuple[str, str], str]:
    """Every page of every guide as it is written, by plot and id."""
    return {
        (reference, page.id): write(prepared.guide, page)
        for reference, prepared in prepare(workspace, (), date(2026, 9, 1)).homes.items()
        for page in prepared.guide.pages
    }


@cache
def site_pages() -> SitePages:
    return SitePages(layered(PROJECT, "site_templates/pages"))


def write(guide: Guide, page: Page) -> str:
    """A page as written; one with a dead link, which a check refuses, is written as no other is."""
    try:
        return site_pages().one(guide, page).markdown
    except KeyError as dead:
        return f"a link to {dead}"


@cache
def before() -> Mapping[tuple[str, str], str]:
    return truth(COTTAGE)


def changed(workspace: Path, file: str, old: str, new: str) -> Pages:
    """The pages that really differ after a change of a workspace like the cottage."""
    path = workspace / file
    text = path.read_text(encoding="utf-8")
    assert old in text, old
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    after = truth(workspace)
    assert {plot for plot, _ in after} == {"riverside/01", "riverside/02"}, "the change is sound"
    return frozenset(each for each, written in before().items() if after.get(each) != written)


def asked(
    workspace: Path, named: str, stickers: Mapping[str, tuple[StickerRecord, ...]] | None = None
) -> Impact:
    homes = read_homes(workspace, ())
    return impact_of(homes, target_of(workspace, named), write, stickers or {})


RECORDS = {
    "riverside/01": (
        StickerRecord("A1", "stopcock", "kitchen", "Tarn", "stopcock", void=False),
        StickerRecord("A2", "consumer-unit", "hall", "", "consumer-unit", void=False),
    ),
    "riverside/02": (
        StickerRecord("B1", "stopcock", "kitchen", "Tarn", "stopcock", void=False),
        StickerRecord("B2", "car-charger", "outside", "", "car-charger", void=False),
    ),
}


@cache
def of_cottage(named: str) -> Impact:
    return asked(COTTAGE, named, RECORDS)


def pages_in(impact: Impact) -> Pages:
    return frozenset((plot.plot, page.id) for plot in impact.plots for page in plot.pages)


def near_in(impact: Impact) -> Pages:
    return frozenset(
        (plot.plot, page.id) for plot in impact.plots for page in plot.pages if page.near
    )


@pytest.mark.parametrize(("file", "old", "new"), CHANGES)
def test_no_page_that_a_change_reaches_goes_unnamed(
    cottage: Path, file: str, old: str, new: str
) -> None:
    really = changed(cottage, file, old, new)
    assert really, "a change that reaches nothing proves nothing"
    assert really <= pages_in(of_cottage(file))


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        (HOUSE, "place: high on the back wall", "place: over the hob"),
        (HOUSE, "kind: stopcock, room: kitchen", "kind: stopcock, room: bedroom"),
        (HOUSE, "owner: this-home", "owner: neighbour"),
        (STANDARD, "turns_off: electricity, ", ""),
        (OWN, "room: hall, ", ""),
    ],
)
def test_one_line_reaches_less_and_misses_nothing(
    cottage: Path, file: str, old: str, new: str
) -> None:
    text = (COTTAGE / file).read_text(encoding="utf-8")
    line = text[: text.index(old)].count("\n") + 1
    really = changed(cottage, file, old, new)
    of_line = of_cottage(f"{file}:{line}")
    assert really <= pages_in(of_line)
    assert pages_in(of_line) <= pages_in(of_cottage(file))
    if file == HOUSE:
        assert len(near_in(of_line)) * 1.5 < len(near_in(of_cottage(file)))


def test_a_line_with_a_name_is_all_that_stands_under_it(cottage: Path) -> None:
    """Line 2 of the plot's file names its departure; without it, the stopcock is in the kitchen."""
    text = (cottage / OWN).read_text(encoding="utf-8")
    departure = text[text.index("  moved-stopcock") : text.index("serials:")]
    really = changed(cottage, OWN, f"departures:\n{departure}", "")
    assert ("riverside/02", "room:kitchen") in really
    assert really <= near_in(of_cottage(f"{OWN}:2"))


def test_an_option_names_its_pages_and_no_others() -> None:
    assert near_in(of_cottage(OPTION)) == {
        ("riverside/02", page)
        for page in (
            "page:home", "page:plan", "page:details", "page:wrong", "page:find", "page:report",
            "page:emergency", "page:contacts", "symptom:car-charger-dead",
            "system:electrical", "room:outside", "equipment:car-charger",
            *("page:round", "stop:arrival", "stop:hall", "stop:kitchen", "stop:bedroom", "stop:outside"),
        )
    }  # fmt: skip
    assert of_cottage(OPTION).reading.plots == ("riverside/02",)


def test_each_page_says_by_which_change() -> None:
    """The thermostats' page links to the water's: it notices only when that is taken away."""
    (first, *_) = of_cottage(WATER).plots
    sorts = {page.id: page.sorts for page in first.pages if page.near}
    assert sorts["article:thermostats"] == ("taken away",)
    assert sorts["article:water-off"] == ("changed", "taken away", "added")
    assert "page:details" not in sorts


def test_an_article_that_no_home_has_comes_only_with_other_conditions() -> None:
    impact = of_cottage(FLATS)
    assert impact.near == ()
    assert {page.sorts for plot in impact.plots for page in plot.pages} == {("given to it",)}
    result = run("impact", str(COTTAGE / FLATS), "--workspace", str(COTTAGE))
    assert result.exit_code == 0
    assert "it can come to more plots: 2: riverside/01, riverside/02." in result.output


@pytest.mark.parametrize(
    ("file", "codes"),
    [
        (OPTION, {"B2"}),
        (OWN, {"B1"}),
        (WATER, {"A1", "B1"}),
        (f"{HOUSE}:37", {"A1", "B1"}),
        (f"{STANDARD}:21", {"A1", "A2", "B1"}),  # the drawing of its wall shows both pieces
        (THERMOSTATS, set()),
    ],
)
def test_the_pages_behind_stickers(file: str, codes: set[str]) -> None:
    impact = of_cottage(file)
    assert {each.code for plot in impact.plots for each in plot.stickers} == codes


@pytest.mark.parametrize(
    ("template", "layouts"),
    [
        ("equipment.html", {"equipment"}),
        ("_dates.html", {"dates", "care", "home", "report"}),
    ],
)
def test_a_page_template_reaches_the_pages_of_its_layout(
    cottage: Path, template: str, layouts: set[str]
) -> None:
    shutil.copytree(TEMPLATES, cottage / "site_templates" / "pages")
    assert layouts_of(cottage, f"site_templates/pages/{template}") >= layouts
    shown = {(plot, page) for plot, page in before() if page.split(":")[-1] in layouts or page.split(":")[0] in layouts}  # fmt: skip
    assert pages_in(asked(cottage, f"site_templates/pages/{template}")) == shown
    assert shown


def test_a_part_that_every_template_takes_in_reaches_all_of_them(cottage: Path) -> None:
    """Really: a line added to the part shows on each page that is named, where its macro is used."""
    shutil.copytree(TEMPLATES, cottage / "site_templates" / "pages")
    takers = {
        layout
        for path in TEMPLATES.glob("*.md")
        if "_parts.md" in path.read_text("utf-8")
        for layout in layouts_through(path.name)
    }
    assert takers
    assert takers <= layouts_of(cottage, "site_templates/pages/_parts.md")


def test_a_photograph_reaches_the_pages_that_show_it(cottage: Path) -> None:
    photos = cottage / "developments" / "riverside" / "photos"
    photos.mkdir()
    Image.new("RGB", (40, 30)).save(photos / "tap.jpg")
    house = cottage / HOUSE
    text = house.read_text(encoding="utf-8").replace(", make: Tarn}", ", make: Tarn, photo: tap}")
    house.write_text(
        f"{text}photos:\n  tap: {{file: developments/riverside/photos/tap.jpg, shows: The stopcock}}\n",
        encoding="utf-8",
    )
    really = {each for each, written in truth(cottage).items() if "photos/tap.jpg" in written}
    assert really
    assert pages_in(asked(cottage, "developments/riverside/photos/tap.jpg")) == really


def told(workspace: Path, *files: str, code: int) -> str:
    result = run(
        "impact", *(str(workspace / each) for each in files), "--workspace", str(workspace)
    )
    assert result.exit_code == code, result.output
    return result.output


def test_files_that_no_page_shows(cottage: Path) -> None:
    for name, text in (
        ("content/documents.yaml", "documents: {}\n"),
        ("notes.txt", "Nothing.\n"),
        ("developments/riverside/register.csv", "code,kind,plot,equipment\n"),
    ):  # fmt: skip
        (cottage / name).parent.mkdir(parents=True, exist_ok=True)
        (cottage / name).write_text(text, encoding="utf-8")
    assert told(cottage, "notes.txt", code=1) == (
        "notes.txt: Nothing reads it.\nNo page and no sticker page of a plot changes.\n"
    )
    assert told(cottage, "content/documents.yaml", code=1).startswith(
        "content/documents.yaml: 'handover ready' asks for these papers. No page shows them.\n"
    )
    assert "printed stickers lead there" in told(
        cottage, "developments/riverside/register.csv", code=1
    )


def test_words_of_the_walk_reach_the_pages_of_the_walk(cottage: Path) -> None:
    """Only one home has a charger to show."""
    path = cottage / "content" / "demonstration" / "own.yaml"
    path.parent.mkdir(parents=True)
    words = "{show: The lead., say: It is live., basis: common practice}"
    path.write_text(f"kinds:\n  car-charger: {words}\n", encoding="utf-8")
    said = told(cottage, "content/demonstration/own.yaml", code=0)
    assert "Run sheets of the demonstration and the walk round in each guide are written from it." in said  # fmt: skip
    assert said.endswith("1 round page and 5 stop pages in 1 of 2 plots.\n")


def test_words_of_the_walk_that_ship_reach_homes_that_have_such_things(cottage: Path) -> None:
    """Both homes have a consumer unit; neither has an appliance of the kitchen to show."""
    for file, code, says in (
        ("electrical", 0, " in 2 of 2 plots.\n"),
        ("kitchen", 1, "Nothing reads it.\nNo page and no sticker page of a plot changes.\n"),
    ):
        named = f"shipped/content/demonstration/{file}.yaml"
        result = run("impact", named, "--workspace", str(cottage))
        assert (result.exit_code, result.output.endswith(says)) == (code, True), result.output


def test_a_name_that_no_file_can_have_is_told(cottage: Path) -> None:
    said = told(cottage, "x" * 5_000, code=1)
    assert said.endswith("cannot be used: File name too long.\n")


def test_what_dresses_every_page(cottage: Path) -> None:
    shutil.copy(PROJECT / "mkdocs.yml", cottage / "mkdocs.yml")
    assert pages_in(asked(cottage, "mkdocs.yml")) == before().keys()


@pytest.mark.parametrize(
    ("file", "message"),
    [
        ("housetypes/cotage.yaml", "Did you mean 'housetypes/cottage.yaml'?"),
        ("water-off.md", "Did you mean 'content/articles/water-off.md'?"),
        ("qqq", "There is no file 'qqq' in the workspace"),
        (str(PROJECT / "README.md"), "is outside the workspace"),
    ],
)
def test_a_file_that_is_not_there(file: str, message: str) -> None:
    result = run("impact", file, "--workspace", str(COTTAGE))
    assert result.exit_code == 2
    assert message in result.output


def test_the_table() -> None:
    assert told(COTTAGE, OPTION, code=0) == (
        "housetypes/options/car-charger.yaml: Homes are made from it.\n"
        "page                     title                                             when something is           plots\n"
        "(first page)             This home                                         changed, taken away, added  1: riverside/02\n"
        "emergency/               In an emergency                                   added                       1: riverside/02\n"
        "plan/                    Plan of this home                                 changed, taken away, added  1: riverside/02\n"
        "report/                  Report a fault                                    changed, taken away, added  1: riverside/02\n"
        "wrong/                   Something is wrong                                changed, taken away, added  1: riverside/02\n"
        "wrong/car-charger-dead/  The car charger does not charge                   changed, taken away, added  1: riverside/02\n"
        "round/                   Show me round                                     changed, taken away, added  1: riverside/02\n"
        "round/arrival/           Show me round, stop 1: Outside, before you go in  changed                     1: riverside/02\n"
        "round/hall/              Show me round, stop 2: Hall                       changed                     1: riverside/02\n"
        "round/kitchen/           Show me round, stop 3: Kitchen                    changed                     1: riverside/02\n"
        "round/bedroom/           Show me round, stop 4: Bedroom                    changed                     1: riverside/02\n"
        "round/outside/           Show me round, stop 5: Outside                    changed, taken away, added  1: riverside/02\n"
        "systems/electrical/      Electricity                                       changed, taken away, added  1: riverside/02\n"
        "rooms/outside/           Outside                                           changed, taken away, added  1: riverside/02\n"
        "equipment/car-charger/   Car charger                                       changed, taken away, added  1: riverside/02\n"
        "details/                 Facts about this home                             changed, taken away, added  1: riverside/02\n"
        "contacts/                Whom to call                                      added                       1: riverside/02\n"
        "find/                    Find                                              changed, taken away, added  1: riverside/02\n"
        "The menu on every page can change too when something is changed, taken away, added: 1: riverside/02.\n"
        "What comes to another room, kind or system changes the pages that it comes to, too.\n"
        "1 home page, 1 emergency page, 1 plan page, 1 report page, 1 wrong page, 1 symptom page, 1 round page, 5 stop pages, 1 system page, 1 room page, 1 equipment page, 1 details page, 1 contacts page and 1 find page in 1 of 2 plots.\n"
    )


def test_json_and_a_file_for_a_spreadsheet() -> None:
    arguments = ("impact", str(COTTAGE / FLATS), "--workspace", str(COTTAGE), "--format")
    (file,) = json.loads(run(*arguments, "json").stdout)
    assert (file["use"], file["plots_asked"]) == ("article", 2)
    output = run(*arguments, "csv").stdout
    assert output.startswith("\ufeff")
    rows = list(csv.DictReader(io.StringIO(output.removeprefix("\ufeff"))))
    assert tuple(rows[0]) == COLUMNS
    pages = [(plot["plot"], page["id"]) for plot in file["plots"] for page in plot["pages"]]
    assert [(row["plot"], row["id"]) for row in rows if row["what"] == "page"] == pages
    assert pages


def test_plots_whose_data_makes_no_home_are_named(cottage: Path) -> None:
    path = cottage / OWN
    path.write_text(path.read_text(encoding="utf-8").replace("room: hall", "room: nowhere"))
    output = told(cottage, WATER, code=3)
    assert (
        "Not asked, because the data makes no home: riverside/02. See 'handover check'." in output
    )


def test_a_file_with_mistakes_is_to_be_mended_first(cottage: Path) -> None:
    path = cottage / WATER
    path.write_text(path.read_text(encoding="utf-8").replace("title:", "titel:"), encoding="utf-8")
    assert "has mistakes, so nobody can say what it reaches." in told(cottage, WATER, code=2)


def _edits() -> Iterator[Edit]:
    yield Edit(("equipment", "stopcock", "make"), "Beck")
    yield Edit(("equipment", "hall-alarm"), GONE)
    yield Edit(("kinds", "tank"), {"name": "Tank", "system": "water", "what": "Holds water."})


def test_edits_touch_nothing_but_what_they_name() -> None:
    merged = read_homes(COTTAGE, ["riverside/01"]).homes["riverside/01"].traced.merged
    other = edited(merged, _edits())
    assert merged.nearest(("equipment", "stopcock", "make")).value == "Tarn"
    assert other.nearest(("equipment", "stopcock", "make")).value == "Beck"
    assert "hall-alarm" not in other.nearest(("equipment",)).present
    assert other.nearest(("kinds", "tank", "what")).value == "Holds water."
    assert other.nearest(("rooms",)) is merged.nearest(("rooms",))
