"""Stickers that work for fifteen years: codes, pages, and what becomes of them."""

import gzip
import random
import re
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from bs4 import BeautifulSoup

from builder.build.building import publish
from builder.build.manifest import records_folder
from builder.build.report import Target
from builder.errors import Findings, FindingsError
from builder.preparing import prepare
from builder.register.issuing import issue_stickers
from builder.register.labelling import labels_of
from builder.register.lines import Register
from builder.register.reading import read_register
from builder.register.register import take_back
from builder.sources.folder import Folder
from tests.conftest import COTTAGE
from tests.demo import Demo

DAY, LATER = date(2026, 3, 1), date(2031, 3, 1)
FIRST_WINDOW = 14_600
"""Ten segments of 1,460 bytes: the initial window of RFC 6928 (from memory)."""


def issue(workspace: Path) -> Register:
    preparation = prepare(workspace, [], DAY)
    return issue_stickers(preparation.workspace, preparation.plots.values(), DAY)["riverside"]


def page_of(out: Path, code: str) -> BeautifulSoup:
    return BeautifulSoup((out / "Q" / code / "index.html").read_text(encoding="utf-8"), "lxml")


def words(page: BeautifulSoup) -> str:
    assert page.body is not None
    return " ".join(page.body.get_text(" ").split())


def code_of(register: Register, plot: str, equipment: str) -> str:
    return next(
        each.code
        for each in register.codes
        if (each.wanted.plot, each.wanted.equipment) == (plot, equipment)
    )


def change(workspace: Path, file: str, *changes: tuple[str, str]) -> None:
    path = workspace / file
    text = path.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")


def add_second_kind(workspace: Path) -> None:
    """Another kind that a stopcock can turn into, served by the same article."""
    kind = "second-stopcock: {name: Second stopcock, system: water, what: Turns off water., "
    kind += "turns_off: water, sticker: large, article: water-off}"
    change(
        workspace,
        "housetypes/standard.yaml",
        ("  consumer-unit: {", f"  {kind}\n  consumer-unit: {{"),
    )
    article = "content/articles/water-off.md"
    change(workspace, article, ("equipment: [stopcock]", "equipment: [stopcock, second-stopcock]"))


HOUSE_TYPE = "housetypes/cottage.yaml"
STOPCOCK = '  stopcock: {kind: stopcock, room: kitchen, place: "under the sink, on the {left}", at: [2.5, 4.8], make: Tarn}\n'


def test_each_piece_that_wants_a_sticker_has_one_code(cottage: Path) -> None:
    register = issue(cottage)
    assert [
        (each.wanted.leads_to, each.wanted.plot, each.wanted.equipment) for each in register.codes
    ] == [
        ("guide", "01", ""),
        ("sticker", "01", "stopcock"),
        ("guide", "02", ""),
        ("sticker", "02", "stopcock"),
    ]
    assert issue(cottage) == register


def test_a_piece_may_want_what_its_kind_does_not(cottage: Path) -> None:
    change(
        cottage,
        HOUSE_TYPE,
        ("make: Tarn", "sticker: none"),
        ("height: 1.4", "height: 1.4, sticker: small"),
    )
    register = issue(cottage)
    assert {each.wanted.equipment for each in register.codes} == {"", "consumer-unit"}
    prepared = prepare(cottage, [], DAY).plots["riverside/01"]
    assert [
        (each.equipment, each.size, each.address) for each in labels_of(prepared, register)
    ] == [
        (
            "Consumer unit",
            "small",
            f"HTTPS://GUIDES.EXAMPLE/Q/{code_of(register, '01', 'consumer-unit')}",
        )
    ]


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """Where guides are published: not where their sources are."""
    return tmp_path / "public"


def test_the_page_says_what_people_scan_for(cottage: Path, out: Path) -> None:
    register = issue(cottage)
    report = publish(Target(cottage, (), out, DAY))
    assert [each.stickers for each in report.published] == [1, 1]
    page = page_of(out, code_of(register, "02", "stopcock"))
    shown = words(page)
    order = ["2 Riverside", "Stopcock", "Turns off all cold water.", "What to do now",
             "Turn the stopcock clockwise.", "Whom to call", "Orrinvale Water", "999",
             "Where it is", "Hall, ground floor: in the cupboard, low on the left",
             "Read on", "In an emergency"]  # fmt: skip
    places = [shown.index(each) for each in order]
    assert places == sorted(places), shown
    assert [link["href"] for link in page.select("a[href^='tel:']")] == [
        "tel:01632960100",
        "tel:01632960210",
        "tel:999",
    ]


def test_the_page_is_one_file_in_one_round_trip(cottage: Path, out: Path) -> None:
    register = issue(cottage)
    publish(Target(cottage, (), out, DAY))
    code = code_of(register, "01", "stopcock")
    printed, typed = out / "Q" / code, out / "q" / code.lower()
    assert (printed / "index.html").read_bytes() == (typed / "index.html").read_bytes()
    assert [path.name for path in printed.iterdir()] == ["index.html"]
    page = page_of(out, code)
    assert not page.select("script, img, iframe, link[rel=stylesheet], source, object")
    assert [link["href"] for link in page.select("link")] == ["data:,"]
    for link in page.select("nav a"):
        place = str(link["href"]).partition("#")[0]
        assert ((printed / place) / "index.html").resolve().is_file(), link


def test_every_sticker_page_of_the_demo_fits_the_budget(demo: Demo) -> None:
    pages = list(demo.public.glob("Q/*/index.html"))
    assert len(pages) >= 24 * 5
    heaviest = max(len(gzip.compress(page.read_bytes())) for page in pages)
    assert heaviest <= FIRST_WINDOW


@pytest.mark.parametrize(
    ("changes", "title", "said"),
    [
        ([("  stopcock: {kind", "  main-tap: {formerly: [stopcock], kind")], "Stopcock", ""),
        ([("room: kitchen, place: \"under the sink", "room: bedroom, place: \"under the bed")], "Stopcock",
         "What has changed It has moved. Before, it was here: kitchen."),
        ([("make: Tarn", "make: Beck")], "Stopcock",
         "What has changed It was replaced. Before, it was a Tarn. It is now a Beck."),
        ([("{kind: stopcock, room", "{kind: second-stopcock, room")], "Second stopcock",
         "When this sticker was made, this was a stopcock. Now it is: second stopcock."),
        ([(STOPCOCK, STOPCOCK.replace("  stopcock:", "  other-stopcock:"))], "Stopcock: no longer in this home",
         "It was taken out after this sticker was made. Please take the sticker off."),
    ],
    ids=["renamed", "moved", "replaced", "another kind", "removed"],
)  # fmt: skip
def test_the_page_says_what_has_changed(
    changes: list[tuple[str, str]], title: str, said: str, cottage: Path, out: Path
) -> None:
    (cottage / "developments" / "riverside" / "plots" / "02.yaml").unlink()
    add_second_kind(cottage)
    code = code_of(issue(cottage), "01", "stopcock")
    change(cottage, HOUSE_TYPE, *changes)
    issue(cottage)
    report = publish(Target(cottage, (), out, LATER))
    assert report.published, list(map(str, report.findings))
    page = page_of(out, code)
    assert page.h1 is not None
    assert page.h1.get_text() == title
    assert said in words(page)
    assert ("What has changed" in words(page)) == said.startswith(("What has changed", "When"))


def test_a_void_sticker_gives_only_help(cottage: Path, out: Path) -> None:
    register = issue(cottage)
    code = code_of(register, "01", "stopcock")
    take_back(Folder(cottage), "riverside", code, LATER)
    again = issue(cottage)
    new = [
        each.code
        for each in again.codes
        if each.wanted.equipment == "stopcock" and each.wanted.plot == "01"
    ]
    assert new[0] == code
    assert len(new) == 2
    publish(Target(cottage, (), out, LATER))
    page = page_of(out, code)
    assert "This sticker is no longer valid" in words(page)
    assert page.select("a[href='tel:999']")
    assert not page.select("nav")
    assert "Riverside" not in words(page)
    assert "under the sink" in words(page_of(out, new[1]))
    prepared = prepare(cottage, [], DAY).plots["riverside/01"]
    assert [label.code for label in labels_of(prepared, again)] == [new[1]]


def test_a_plot_that_is_gone_stops_the_build_and_is_named(cottage: Path, tmp_path: Path) -> None:
    register = issue(cottage)
    out = tmp_path / "public"
    publish(Target(cottage, (), out, DAY))
    before = {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}
    table = cottage / "developments" / "riverside" / "plots.csv"
    table.write_text("".join(table.read_text().splitlines(keepends=True)[:2]))
    (cottage / "developments" / "riverside" / "plots" / "02.yaml").unlink()
    with pytest.raises(FindingsError) as stopped:
        publish(Target(cottage, (), out, LATER))
    codes = [each for each in register.codes if each.wanted.plot == "02"]
    assert [each.wrong for each in stopped.value.findings] == [
        f"Plot '02' is gone from plots.csv, and {len(codes)} codes were issued for it."
    ]
    assert before == {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}


def test_a_plot_with_a_new_number_keeps_its_codes(cottage: Path, out: Path) -> None:
    register = issue(cottage)
    change(cottage, "developments/riverside/plots.csv", ("02,2 Riverside", "12,2 Riverside"))
    plots = cottage / "developments" / "riverside" / "plots"
    (plots / "02.yaml").rename(plots / "12.yaml")
    change(
        cottage,
        "developments/riverside/plots/12.yaml",
        ("departures:", "formerly: ['02']\ndepartures:"),
    )
    assert issue(cottage) == register
    report = publish(Target(cottage, (), out, LATER))
    assert [each.address.split("/")[-2] for each in report.published] == [
        register.guide(["01"]), register.guide(["02"])
    ]  # fmt: skip
    assert "2 Riverside" in words(page_of(out, code_of(register, "02", "stopcock")))


def test_codes_survive_a_change_of_host(cottage: Path, out: Path) -> None:
    register = issue(cottage)
    change(cottage, "developments/riverside/development.yaml", (
        "base_url: https://guides.example",
        "base_url: https://homes.example\n  former_base_urls: [https://guides.example]"))  # fmt: skip
    publish(Target(cottage, (), out, LATER))
    assert not (out / "redirects").exists(), "it would name every code to anyone"
    old = records_folder(out) / "redirects" / "guides.example"
    rules = (old / "_redirects").read_text()
    for each in register.codes:
        path = f"g/{each.code}" if each.wanted.leads_to == "guide" else f"Q/{each.code}"
        assert f"/{path} https://homes.example/{path}/ 301\n" in rules
        page = BeautifulSoup((old / path / "index.html").read_text(), "lxml")
        assert page.a is not None
        assert page.a["href"] == f"https://homes.example/{path}/"
        assert (out / path / "index.html").is_file()


def test_two_developments_that_left_one_host_are_both_sent_on(
    cottage: Path, tmp_path: Path
) -> None:
    """Also where later builds look at one of them alone; and a host that is named no longer goes."""
    out = tmp_path / "public"
    (out / "redirects" / "guides.example").mkdir(parents=True)
    (out / "redirects" / "guides.example" / "_redirects").write_text("as earlier versions wrote it")
    records_folder(out).mkdir()
    second = cottage / "developments" / "hillside"
    shutil.copytree(
        cottage / "developments" / "riverside", second, ignore=shutil.ignore_patterns("register.*")
    )
    for name in ("riverside", "hillside"):
        change(cottage, f"developments/{name}/development.yaml", (
            "base_url: https://guides.example",
            "base_url: https://homes.example\n  former_base_urls: [https://guides.example]"))  # fmt: skip
    list_of_codes = records_folder(out) / "redirects" / "guides.example" / "_redirects"

    def codes() -> set[str]:
        folder = Folder(cottage)
        return {
            each.code
            for name in ("riverside", "hillside")
            for each in read_register(folder, name, Findings()).codes
        }

    for references in ((), ("hillside/01",), ("riverside",)):
        publish(Target(cottage, references, out, LATER))
        assert set(re.findall(r"^/[gQ]/(\w+) ", list_of_codes.read_text(), re.MULTILINE)) == codes()
    assert not (out / "redirects").exists()
    change(cottage, "developments/hillside/development.yaml", ("  former_base_urls: [https://guides.example]", ""))  # fmt: skip
    publish(Target(cottage, (), out, LATER))
    left = set(re.findall(r"^/[gQ]/(\w+) ", list_of_codes.read_text(), re.MULTILINE))
    assert left == {each.code for each in read_register(Folder(cottage), "riverside", Findings()).codes}  # fmt: skip


CHANGES = ("rename", "move", "make", "kind", "replace", "void", "renumber", "host")


def reorganise(workspace: Path, what: str, step: int, chance: random.Random) -> None:
    """One change that years bring, to the workspace as it stands now."""
    house_type = workspace / HOUSE_TYPE
    text = house_type.read_text(encoding="utf-8")
    piece = re.search(r"^  (\S+): (\{.*kind: (?:second-)?stopcock, .*\})$", text, re.MULTILINE)
    assert piece is not None
    name, record = piece[1], piece[2]
    if what == "rename":
        formers = re.search(r"formerly: \[(.*?)\]", record)
        older = f"{formers[1]}, {name}" if formers else name
        bare = re.sub(r"formerly: \[.*?\], ", "", record)
        house_type.write_text(
            text.replace(piece[0], f"  tap-{step}: {{formerly: [{older}], {bare[1:]}")
        )
    elif what == "move":
        room, spot = chance.choice((("hall", 0.5), ("kitchen", 2.5), ("bedroom", 2.5)))
        moved = re.sub(r"room: \w+", f"room: {room}", record)
        moved = re.sub(r"at: \[[\d.]+,", f"at: [{spot},", moved)
        house_type.write_text(text.replace(piece[0], f"  {name}: {moved}"))
    elif what == "make":
        house_type.write_text(
            text.replace(
                piece[0], f"  {name}: " + re.sub(r"make: \w+", f"make: Make{step}", record)
            )
        )
    elif what == "kind":
        kind = "stopcock" if "kind: second-stopcock" in record else "second-stopcock"
        house_type.write_text(
            text.replace(piece[0], f"  {name}: " + re.sub(r"kind: [\w-]+", f"kind: {kind}", record))
        )
    elif what == "replace":
        bare = re.sub(r"formerly: \[.*?\], ", "", record)
        house_type.write_text(text.replace(piece[0], f"  new-{step}: {bare}"))
    elif what == "void":
        register = read_register(Folder(workspace), "riverside", Findings())
        stickers = [each.code for each in register.codes if each.wanted.leads_to == "sticker"]
        take_back(Folder(workspace), "riverside", chance.choice(stickers), LATER)
    elif what == "renumber":
        renumber(workspace, step)
    else:
        file = workspace / "developments" / "riverside" / "development.yaml"
        data = file.read_text()
        now = re.search(r"base_url: (\S+)", data)
        formers = re.search(r"former_base_urls: \[(.*)\]", data)
        assert now is not None
        older = f"{formers[1]}, {now[1]}" if formers else now[1]
        data = re.sub(r"\n  former_base_urls: .*", "", data)
        file.write_text(
            data.replace(
                now[0], f"base_url: https://host{step}.example\n  former_base_urls: [{older}]"
            )
        )


def renumber(workspace: Path, step: int) -> None:
    table = workspace / "developments" / "riverside" / "plots.csv"
    header, *rows = table.read_text().splitlines()
    old, rest = rows[0].split(",", 1)
    table.write_text("\n".join([header, f"n{step},{rest}", *rows[1:]]) + "\n")
    own = workspace / "developments" / "riverside" / "plots" / f"{old}.yaml"
    formers = re.findall(r"'(.*?)'", own.read_text()) if own.exists() else []
    own.unlink(missing_ok=True)
    listed = ", ".join(f"'{each}'" for each in [*formers, old])
    own.with_name(f"n{step}.yaml").write_text(f"formerly: [{listed}]\n")


def test_twenty_reorganisations_lose_no_code(cottage: Path, tmp_path: Path) -> None:
    """After each of twenty changes, every code ever issued has its page, and every link a target."""
    chance = random.Random(20260301)
    (cottage / "developments" / "riverside" / "plots" / "02.yaml").unlink()
    add_second_kind(cottage)
    out, ever = tmp_path / "public", set[str]()
    years = [*CHANGES, *CHANGES, *chance.sample(CHANGES, 4)]
    chance.shuffle(years)
    for step, what in enumerate(years):
        register = issue(cottage)
        ever |= {each.code for each in register.codes}
        report = publish(Target(cottage, (), out, LATER))
        dealt_with = [*(each.reference for each in report.published), *report.unchanged]
        assert len(dealt_with) == 2, list(map(str, report.findings))
        assert {each.code for each in register.codes} == ever
        for each in register.codes:
            if each.wanted.leads_to == "guide":
                assert (out / "g" / each.code / "index.html").is_file()
                continue
            page = page_of(out, each.code)
            for link in page.select("nav a"):
                assert (
                    ((out / "Q" / each.code / str(link["href"]).partition("#")[0]) / "index.html")
                    .resolve()
                    .is_file()
                )
        reorganise(cottage, what, step, chance)
    assert len(years) == 20
    assert len(ever) >= 6


def test_the_example_is_not_changed_by_these_tests() -> None:
    assert not (COTTAGE / "developments" / "riverside" / "register.csv").exists()


def test_the_page_shows_the_floor_in_the_hand_of_the_plot(cottage: Path, tmp_path: Path) -> None:
    """Worked by hand: 80 units are a metre, and y grows downwards. The cottage is 6 m by 5 m, its
    outside walls reach 0.12 m beyond (9.6 units), and 14 units are clear. The stopcock of plot 01 is
    drawn at (2.5, 4.8), and that of plot 02 at (0.4, 4.5), which the opposite hand puts at 5.6 m."""
    register = issue(cottage)
    publish(Target(cottage, (), tmp_path / "public", DAY))
    for plot, spot, room in (
        ("01", ("200", "-384"), {(160, 0), (480, 0), (480, -400), (160, -400)}),
        ("02", ("448", "-360"), {(480, 0), (320, 0), (320, -400), (480, -400)}),
    ):
        page = page_of(tmp_path / "public", code_of(register, plot, "stopcock"))
        plan = page.svg
        assert plan is not None
        assert plan["viewbox"] == "-24 -424 528 448"
        ring, here = plan.select_one(".ring"), plan.select_one(".here")
        assert ring is not None
        assert here is not None
        assert (ring["cx"], ring["cy"]) == spot
        assert set(corners(str(here["d"]))) == room
        assert len(plan.select(".here")) == 1
        assert "Seen from above" in str(plan["aria-label"])


def corners(path: str) -> Iterator[tuple[int, int]]:
    """The corners of a closed outline that is drawn in steps: M160 0h320v-400h-320z."""
    x = y = 0
    for step, told in re.findall(r"([Mlhv])([-\d ]+)", path):
        numbers = [int(each) for each in re.findall(r"-?\d+", told)]
        across = numbers[0::2] if step in "Ml" else numbers if step == "h" else [0] * len(numbers)
        down = numbers[1::2] if step in "Ml" else numbers if step == "v" else [0] * len(numbers)
        for right, below in zip(across, down, strict=True):
            x, y = x + right, y + below
            yield x, y
