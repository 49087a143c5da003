"""The run sheet: nothing left out, the words of the site, on paper and on a terminal."""

import json
import re
from pathlib import Path

import pypdfium2
import pypdfium2.raw as pdfium
import pytest
import yaml
from bs4 import BeautifulSoup

from builder.demonstration.sheet import RunSheet
from builder.rules.words import hedges_in
from builder.writers.demonstration.paper import TEMPLATE, paper_of
from builder.writers.demonstration.text import text_of
from tests.broken_workspaces import run
from tests.conftest import COTTAGE
from tests.demo import Demo, independent_layers
from tests.demonstrations import (
    GOLDEN,
    PROJECT,
    demo_script,
    demo_sheet,
    golden_file,
    prepared_demo,
    things,
    workspace_sheet,
)

PLOTS = tuple(prepared_demo().homes)
OWN = "content/demonstration/ours.yaml"


@pytest.mark.parametrize("plot", GOLDEN)
def test_the_sheet_reads_as_expected(plot: str) -> None:
    """To write these again: python -m tests.demonstrations."""
    assert text_of(demo_sheet(plot)) == golden_file(plot).read_text(encoding="utf-8")


@pytest.mark.parametrize("plot", PLOTS)
def test_nothing_that_has_something_to_show_is_left_out(plot: str) -> None:
    home = prepared_demo().homes[plot].traced.home
    shown = [thing.id for _, thing in things(demo_sheet(plot))]
    assert len(shown) == len(set(shown)), "and nothing is shown twice"
    outer = {name for name, room in home.rooms.items() if not home.room_kinds[room.kind].inside}
    wanted = {f"equipment.{name}" for name in home.equipment}
    wanted |= {f"windows.{name}" for name, window in home.windows.items() if window.kind != "fixed"}
    wanted |= {f"doors.{name}" for name, door in home.doors.items() if door.fire_rating}
    wanted |= {
        f"doors.{name}"
        for name, door in home.doors.items()
        if outer & {*door.between} and door.kind != "garage"
    }
    for section in ("fences", "lawns", "gates", "stores", "communal", "parking"):
        wanted |= {f"{section}.{name}" for name in getattr(home, section)}
    assert len(wanted) > 40
    assert wanted <= set(shown), wanted - set(shown)
    emitters = sum(1 for name in shown if ".emitters." in name)
    standing = sum(1 for piece in home.equipment.values() if piece.kind == "panel-heater")
    assert emitters == sum(len(zone.emitters) for zone in home.zones.values()) - standing


@pytest.mark.parametrize("plot", PLOTS)
def test_each_thing_is_shown_in_its_own_room(plot: str) -> None:
    """What is in the loft is shown at its hatch, and what is outside on the way in or at the end."""
    home = prepared_demo().homes[plot].traced.home
    hatch = [piece.room for piece in home.equipment.values() if piece.kind == "loft-hatch"]
    pieces = 0
    for stop, thing in things(demo_sheet(plot)):
        if thing.id.startswith("equipment."):
            room = home.equipment[thing.id.removeprefix("equipment.")].room
            expected = {"loft": set(hatch), "outside": {"outside", "arrival"}}.get(room, {room})
            assert stop in expected, thing.id
            assert thing.above == (room == "loft")
            pieces += 1
    assert pieces == len(home.equipment)


def test_nobody_is_led_into_a_loft() -> None:
    (above,) = (
        item
        for stop in demo_sheet("mill-lane/06").stops
        for item in stop.items
        if item.id == "kinds.solar-inverter.above"
    )
    assert above.title == "Solar inverter, shown from below"
    assert above.tries is None
    assert above.cautions[0] == (
        "People fall through the ceiling where no boards lie. Do not climb in. Look from below."
    )


@pytest.mark.parametrize("plot", PLOTS)
def test_the_walk_begins_at_the_meters_and_ends_at_the_front_door(plot: str) -> None:
    sheet = demo_sheet(plot)
    home = prepared_demo().homes[plot].traced.home
    assert sheet.stops[0].id == "arrival"
    early = {thing.id for stop in sheet.stops[:2] for item in stop.items for thing in item.things}
    pieces = home.equipment
    outside = {meter.id for meter in sheet.meters if not home.room_kinds[home.rooms[pieces[meter.id].room].kind].inside}  # fmt: skip
    assert {f"equipment.{meter}" for meter in outside} <= early
    every = {thing.id for stop in sheet.stops for item in stop.items for thing in item.things}
    assert sheet.meters
    assert {f"equipment.{meter.id}" for meter in sheet.meters} <= every
    assert "doors.front-door" in early
    halls = [stop.id for stop in sheet.stops if stop.id in home.rooms]
    inside = [name for name in halls if home.room_kinds[home.rooms[name].kind].inside]
    assert inside[0] == "hall"
    assert sheet.end == home.doors["front-door"].name
    # A garage, and a room that is come to from outside alone, are shown after all floors.
    ways = {name: [set(door.between) - {name} for door in home.doors.values() if name in door.between] for name in inside}  # fmt: skip
    after = {name for name, beyond in ways.items() if name == "garage" or all(each == {"outside"} for each in beyond)}  # fmt: skip
    levels = [
        home.floors[home.rooms[name].floor or ""].level for name in inside if name not in after
    ]
    assert levels == sorted(levels), "floor by floor"


@pytest.mark.parametrize("plot", PLOTS)
def test_it_says_where_to_go_and_how_long_it_takes(plot: str) -> None:
    sheet = demo_sheet(plot)
    script = demo_script()
    changes = len({stop.floor for stop in sheet.stops if stop.floor and stop.id != "garage"}) - 1
    fixed = 5 + 5 + 8 + 5 + 2 * len(sheet.meters) + max(changes, 0)
    shown = sum(item.minutes for stop in sheet.stops for item in stop.items)
    assert fixed + shown <= sheet.minutes < fixed + shown + 1
    assert 60 < sheet.minutes < 180
    assert script.times.floor == 1
    ups = [stop for stop in sheet.stops if stop.way.startswith("Go up to the")]
    assert len(ups) == changes if changes > 0 else not ups


def test_the_second_of_a_sort_is_pointed_out_and_its_caution_stays() -> None:
    radiators = [
        item
        for stop in demo_sheet("mill-lane/01").stops
        for item in stop.items
        if item.id == "kinds.radiator"
    ]
    first, *others = radiators
    assert (first.say is None, first.tries is None, first.as_at) == (False, False, None)
    assert len(others) > 3
    for item in others:
        assert (item.say, item.tries, item.as_at) == (None, None, "Downstairs toilet")
        assert item.minutes < first.minutes
        assert item.cautions == first.cautions


def test_nobody_sets_the_valve_of_a_radiator_that_has_none() -> None:
    hall = next(stop for stop in demo_sheet("mill-lane/01").stops if stop.title == "Hall")
    shown = {item.id: item for item in hall.items if "radiator" in item.id}
    assert list(shown) == ["subjects.steady-radiator"]
    assert shown["subjects.steady-radiator"].tries is None


def test_every_escape_window_is_tried() -> None:
    windows = [
        item
        for stop in demo_sheet("mill-lane/03").stops
        for item in stop.items
        if item.id == "subjects.escape-window"
    ]
    assert len(windows) == 4
    assert all(item.tries for item in windows)


@pytest.mark.parametrize("plot", ["mill-lane/01", "harbour-view/05"])
def test_keys_meters_serials_and_alarms_are_those_of_the_data(plot: str) -> None:
    """Against the YAML files, read by a plain reader."""
    sheet = demo_sheet(plot)
    layers = independent_layers(plot)
    keys = {name: key for layer in layers for name, key in (layer.get("keys") or {}).items()}  # type: ignore[attr-defined]
    assert {key.id: key.count for key in sheet.keys} == {
        name: key["count"] for name, key in keys.items() if key is not None
    }
    development, number = plot.split("/")
    own = PROJECT / "developments" / development / "plots" / f"{number}.yaml"
    serials = yaml.safe_load(own.read_text(encoding="utf-8")).get("serials") or {}
    assert {
        thing.id.removeprefix("equipment."): thing.serial
        for _, thing in things(sheet)
        if thing.serial
    } == serials
    text = text_of(sheet)
    assert all(f"Serial number: {serial}" in text for serial in serials.values())
    home = prepared_demo().homes[plot].traced.home
    alarms = {name for name in home.kinds if name.endswith("-alarm")}
    assert {alarm.id for alarm in sheet.alarms} == {
        name for name, piece in home.equipment.items() if piece.kind in alarms
    }


@pytest.mark.parametrize("plot", GOLDEN)
def test_the_sheet_agrees_with_the_site(plot: str, demo: Demo) -> None:
    """Each piece has the name and the place that its published page has, read as HTML."""
    compared = 0
    for _, thing in things(demo_sheet(plot)):
        page = demo.guides[plot] / thing.id.replace(".", "/") / "index.html"
        if thing.id.startswith("equipment.") and page.exists():
            soup = BeautifulSoup(page.read_text(encoding="utf-8"), "html.parser")
            article = soup.find("main")
            assert article is not None
            said = " ".join(article.get_text(" ").split())
            assert thing.title in said, thing.id
            assert thing.where in said, thing.id
            compared += 1
    assert compared > 35


def test_every_kind_of_the_standard_has_words_of_its_own() -> None:
    standard = yaml.safe_load((PROJECT / "housetypes" / "standard.yaml").read_text("utf-8"))
    assert set(standard["kinds"]) <= set(demo_script().kinds)


def test_words_are_plain_and_say_where_they_come_from() -> None:
    script = demo_script()
    showings = [*script.kinds.values(), *script.subjects.values(), *script.room_kinds.values()]
    assert len(showings) > 80
    for each in showings:
        assert each.basis
        for text in filter(None, (each.show, each.say, each.try_, each.caution)):
            assert not list(hedges_in(text)), text
            assert text.endswith((".", "?")), text
            assert max(len(sentence.split()) for sentence in re.split(r"[.?:]", text)) <= 25, text


def test_what_burns_falls_or_shocks_is_cautioned_first() -> None:
    script = demo_script()
    kinds = prepared_demo().homes["mill-lane/01"].traced.home.kinds
    for name in (
        "consumer-unit",
        "gas-emergency-valve",
        "loft-hatch",
        "boiling-tap",
        "home-battery",
    ):
        assert script.kinds[name].caution or kinds[name].caution
    text = text_of(demo_sheet("mill-lane/01"))
    valve = text.index("[ ] Gas emergency valve.")
    assert text.rindex(
        "Take care: Turn it off and leave if you smell gas. Only a registered gas engineer",
        0,
        valve,
    )
    assert "lever" not in (script.kinds["sprinkler-valve"].try_ or "")


# ---- a workspace's own words -------------------------------------------------------------------


def own_words(cottage: Path, text: str) -> None:
    file = cottage / OWN
    file.parent.mkdir(parents=True)
    file.write_text(text, encoding="utf-8")


def test_own_words_are_laid_over_those_that_ship(cottage: Path) -> None:
    own_words(
        cottage,
        "kinds:\n"
        "  stopcock: {show: Here it is., say: Ours., minutes: 9, basis: common practice}\n"
        "  extract-fan: null\n"
        "subjects: {fences: null}\n"
        "times: {greeting: 30}\n",
    )
    before = workspace_sheet(COTTAGE, "riverside/01")
    sheet = workspace_sheet(cottage, "riverside/01")
    items = {item.id: item for stop in sheet.stops for item in stop.items}
    assert (items["kinds.stopcock"].show, items["kinds.stopcock"].say) == ("Here it is.", "Ours.")
    assert items["kinds.stopcock"].tries is None
    fan = items["kinds.extract-fan"]
    assert fan.show == "Where it is. Takes damp air out of a room.", "its record speaks for it"
    assert "subjects.fences" not in items
    assert sheet.minutes == before.minutes + (9 - 4) + (30 - 5) - 2
    assert sheet.mark != before.mark


def test_a_kind_that_nobody_wrote_of_is_shown_by_its_record(cottage: Path) -> None:
    (cottage / "housetypes" / "options" / "car-charger.yaml").write_text(
        "option: {name: Rain tank, summary: A tank.}\n"
        "kinds:\n"
        "  rain-tank: {name: Rain tank, system: water, what: Keeps rain., caution: It is deep.}\n"
        "  twin-alarm: {name: Twin alarm, system: emergency, what: Warns., counts_as: [smoke-alarm]}\n"
        "equipment:\n"
        "  tank: {kind: rain-tank, room: outside, place: behind the house}\n"
        "  twin: {kind: twin-alarm, room: hall, place: on the ceiling}\n"
    )
    sheet = workspace_sheet(cottage, "riverside/02")
    (tank,) = (item for item in sheet.stops[-1].items if item.id == "kinds.rain-tank")
    assert tank.show == "Where it is. Keeps rain."
    assert tank.cautions == ("It is deep.",)
    assert "twin" in {alarm.id for alarm in sheet.alarms}, "it does the work of a smoke alarm"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "kinds:\n  stopcok: {show: Here., say: That., basis: common practice}\n",
            f"{OWN}:2:3: error demonstration.unknown-kind at kinds.stopcok\n"
            "  There is no 'stopcok' in kinds.\n  Did you mean 'stopcock'?\n",
        ),
        (
            "kinds:\n  stopcock: {show: Here., basis: common practice, minuts: 3}\n",
            f"{OWN}:2:3: error data.missing at kinds.stopcock.say\n"
            "  'say' is missing.\n  Add a line 'say: …'.\n"
            f"{OWN}:2:51: error data.unknown-key at kinds.stopcock.minuts\n"
            "  'minuts' is not known here.\n  Did you mean 'minutes'?\n",
        ),
        (
            "subjects:\n  fence: {show: Here., say: That., basis: common practice}\n",
            f"{OWN}:2:3: error data.choice at subjects.fence\n"
            "  'fence' is not one of the choices.\n",
        ),
        (
            "kinds:\n  stopcock: {show: Here., say: That., minutes: 61, basis: x}\n",
            f"{OWN}:2:48: error data.range at kinds.stopcock.minutes\n"
            "  '61' is too large.\n  Write 60 or less.\n",
        ),
    ],
)
def test_slips_in_own_words_are_told(text: str, said: str, cottage: Path) -> None:
    own_words(cottage, text)
    result = run("demonstration", "riverside/01", "--workspace", str(cottage))
    assert result.exit_code == 1
    assert said in result.output


def test_two_files_do_not_speak_of_one_thing(cottage: Path) -> None:
    words = "kinds:\n  stopcock: {show: Here., say: That., basis: common practice}\n"
    own_words(cottage, words)
    (cottage / OWN).with_name("zzz.yaml").write_text(words)
    result = run("demonstration", "riverside/01", "--workspace", str(cottage))
    assert (
        "content/demonstration/zzz.yaml:2:3: error demonstration.twice at kinds.stopcock\n"
        f"  'stopcock' stands in two files; the first is {OWN}.\n  Keep one of them.\n"
    ) in result.output


# ---- on paper ----------------------------------------------------------------------------------


@pytest.fixture(scope="module", params=GOLDEN)
def paper(request: pytest.FixtureRequest) -> tuple[RunSheet, bytes]:
    sheet = demo_sheet(request.param)
    return sheet, paper_of(sheet, PROJECT / TEMPLATE)


def test_the_paper_holds_every_stop_and_every_box(paper: tuple[RunSheet, bytes]) -> None:
    sheet, pdf = paper
    document = pypdfium2.PdfDocument(pdf)
    pages = [" ".join(page.get_textpage().get_text_range().split()) for page in document]
    whole = " ".join(pages)
    for number, stop in enumerate(sheet.stops, 1):
        assert f"{number}. {stop.title}" in whole
    for _, thing in things(sheet):
        assert thing.title in whole
    for key in sheet.keys:
        assert f"{key.name} {key.opens} {key.count}" in whole
    wanted = (
        sum(len(item.things) + bool(item.tries) for stop in sheet.stops for item in stop.items)
        + sum(map(len, (sheet.before, sheet.meters, sheet.alarms, sheet.keys, sheet.documents)))
        + len(sheet.outstanding)
    )
    assert sum(map(boxes, document)) == wanted
    for number, text in enumerate(pages, 1):
        assert f"Demonstration: {sheet.address} Private" in text
        assert f"{number} / {len(pages)}" in text
        assert f"{sheet.plot}, sheet {sheet.mark}" in text
    for word in ("Buyer", "Second buyer", "For the builder", "Date", "Still to be done"):
        assert word in pages[-1] or word in pages[-2]
    document.close()


def boxes(page: pypdfium2.PdfPage) -> int:
    """Squares of 6 mm with their lines, drawn as paths: the boxes to tick."""
    found = 0
    for drawn in page.get_objects([pdfium.FPDF_PAGEOBJ_PATH], max_depth=9):
        left, bottom, right, top = drawn.get_bounds()
        sides = ((right - left) * 25.4 / 72, (top - bottom) * 25.4 / 72)
        found += all(6 < side < 7 for side in sides)
    return found


def test_the_paper_is_tagged_a4_and_the_same_every_time(paper: tuple[RunSheet, bytes]) -> None:
    sheet, pdf = paper
    assert pdf == paper_of(sheet, PROJECT / TEMPLATE)
    document = pypdfium2.PdfDocument(pdf)
    assert pdfium.FPDFCatalog_IsTagged(document)
    assert {tuple(round(side) for side in page.get_size()) for page in document} == {(595, 842)}
    assert document.get_metadata_value("Title") == f"Demonstration: {sheet.title}"
    document.close()


# ---- as people type it -------------------------------------------------------------------------


def test_paper_and_page_are_written_into_a_folder(tmp_path: Path) -> None:
    out = tmp_path / "sheets"
    result = run("demonstration", "riverside/01", "--workspace", str(COTTAGE), "--out", str(out))
    assert result.exit_code == 0, result.output
    names = ["riverside_01-run-sheet.html", "riverside_01-run-sheet.pdf"]
    assert sorted(path.name for path in out.iterdir()) == names
    assert (out / names[1]).read_bytes().startswith(b"%PDF-")
    again = run(
        "demonstration", "riverside/01", "--workspace", str(COTTAGE), "--out", str(tmp_path)
    )
    assert again.exit_code == 0
    for name in names:
        assert (tmp_path / name).read_bytes() == (out / name).read_bytes()


def test_each_form_is_written_by_its_name(tmp_path: Path) -> None:
    place = ("--workspace", str(COTTAGE))
    text = run("demonstration", "riverside/02", *place)
    assert text.output.startswith("Demonstration: Plot 02, 2 Riverside\n")
    assert "Serial number: CANARY-4711" in text.output
    file = tmp_path / "sheet.json"
    assert run("demonstration", "riverside/02", *place, "--out", str(file)).exit_code == 0
    told = json.loads(file.read_text(encoding="utf-8"))
    shown = run("demonstration", "riverside/02", *place, "--format", "json")
    assert json.loads(shown.output) == told
    assert [stop["id"] for stop in told["stops"]] == [
        "arrival",
        "hall",
        "kitchen",
        "bedroom",
        "outside",
    ]


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        (("riverside/03",), 2, "There is no plot 'riverside/03'. Did you mean 'riverside/02'?"),
        (
            ("riverside",),
            2,
            "'riverside' is a development; name one plot, as <development>/<plot>.",
        ),
        (("riverside/01", "--format", "pdf"), 2, "Name a file or a folder: --out FILE.pdf."),
        (
            ("riverside/01", "--out", "x.doc"),
            2,
            "'x.doc' ends in none of .pdf, .html, .txt, .json.",
        ),
        (
            ("riverside/01", "--out", "x.pdf", "--format", "page"),
            2,
            "'x.pdf' does not end in .html.",
        ),
    ],
)
def test_slips_are_told(arguments: tuple[str, ...], code: int, message: str) -> None:
    result = run("demonstration", *arguments, "--workspace", str(COTTAGE))
    assert result.exit_code == code
    assert message in result.output


def test_a_mistake_in_the_plot_stops_its_sheet(cottage: Path) -> None:
    file = cottage / "developments" / "riverside" / "plots" / "02.yaml"
    file.write_text(file.read_text().replace("room: hall", "room: hal"))
    result = run("demonstration", "riverside/02", "--workspace", str(cottage))
    assert result.exit_code == 1
    assert "There is no 'hal' in rooms." in result.output
    assert "[ ]" not in result.output


def test_a_sheet_is_never_written_into_a_published_tree(cottage: Path, tmp_path: Path) -> None:
    public = tmp_path / "public"
    built = run("build", "riverside/01", "--workspace", str(cottage), "--out", str(public))
    assert built.exit_code == 0, built.output
    for place in (public, public / "g", public / "sheet.pdf"):
        result = run(
            "demonstration", "riverside/01", "--workspace", str(cottage), "--out", str(place)
        )
        assert result.exit_code == 2
        assert f"'{public}' is a published tree, and a run sheet is private." in result.output
    assert not list(public.rglob("*run-sheet*"))
