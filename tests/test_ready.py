"""Readiness: what a plot lacks, who owes it, and that nothing private leaves with it."""

import csv
import io
import json
import re
import time
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any, get_args

import jsonschema
import pytest
import yaml
from bs4 import BeautifulSoup
from click.testing import CliRunner
from pydantic import BaseModel

from builder.build.building import publish
from builder.build.report import Target
from builder.cli import main
from builder.cli.ready_forms import as_csv, as_json
from builder.errors import Findings
from builder.guide.terms import spoken_day
from builder.model.handover import Handover, OwedBy
from builder.model.shape import bare, fields
from builder.preparing import Preparation, prepare
from builder.readiness.assess import (
    NEEDS,
    MissingNeed,
    NeedQuestion,
    Readiness,
    Stickers,
    assess,
    case_of,
    lacking,
    written_of,
)
from builder.readiness.need import Case, Stage
from builder.readiness.recorded import Recorded
from builder.register.issuing import sticker_days
from builder.register.reading import read_register
from builder.rules.handover import handover_record_mistakes
from builder.sources.yaml_reader import read_yaml
from tests.conftest import PROJECT
from tests.demonstrations import signed, whole_record, workspace_sheet
from tests.readiness_cases import AIR, CASES, ENOUGH, GAS, WAIVED, Lacking, guide_of, with_findings
from tests.ready_demo import ASKED, KEPT, ask

DAY = date(2026, 9, 30)
BY_ID = {need.id: need for need in NEEDS}


@pytest.fixture(scope="module")
def prepared() -> Preparation:
    return prepare(PROJECT, [GAS, AIR], DAY)


@pytest.fixture(scope="module")
def demo_prepared() -> Preparation:
    return prepare(PROJECT, [], DAY)


@pytest.fixture(scope="module")
def judged(demo_prepared: Preparation) -> tuple[Readiness, ...]:
    """Every plot of the demo."""
    return assess(demo_prepared, stickers(demo_prepared), DAY)


def stickers(preparation: Preparation) -> Stickers:
    """When the stickers of the demo were issued, by its registers."""
    return {
        name: sticker_days(
            each, read_register(preparation.workspace.folder, each.plot.development, Findings())
        )
        for name, each in preparation.homes.items()
    }


@pytest.fixture(scope="module")
def whole(prepared: Preparation) -> Mapping[str, Case]:
    """The two closed plots of the demo, which lack nothing but what trade rules say today."""
    issued = stickers(prepared)
    return {
        name: case_of(
            each, Recorded(each.traced.home, written_of(each)), (WAIVED,),
            issued[name], DAY,
        )
        for name, each in prepared.homes.items()
    }  # fmt: skip


@pytest.mark.parametrize("plot", [GAS, AIR])
@pytest.mark.parametrize("need", NEEDS, ids=lambda need: need.id)
def test_a_plot_that_has_it_lacks_nothing(need: Any, plot: str, whole: Mapping[str, Case]) -> None:
    assert [lack.says for lack in need.check(whole[plot])] == []


@pytest.mark.parametrize("lacks", CASES, ids=lambda case: case.need)
def test_a_plot_that_lacks_it_is_told(lacks: Lacking, whole: Mapping[str, Case]) -> None:
    found = list(BY_ID[lacks.need].check(lacks.change(whole[lacks.plot])))
    assert tuple(lack.says for lack in found) == lacks.says
    assert all(lack.file or lack.path for lack in found), "nobody is told where to write it"


def test_every_need_has_a_plot_that_lacks_it() -> None:
    assert {case.need for case in CASES} == BY_ID.keys()


@pytest.mark.parametrize("need", ENOUGH)
def test_one_article_that_says_it_is_enough(need: str, whole: Mapping[str, Case]) -> None:
    plot, articles = ENOUGH[need]
    assert list(BY_ID[need].check(guide_of(*articles)(whole[plot]))) == []


def test_every_need_has_a_basis_and_an_id_of_its_own() -> None:
    assert len(BY_ID) == len(NEEDS)
    known = ("common practice", "from memory", "regulation", "Approved Document", "own")
    for need in NEEDS:
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*\.[a-z]+(-[a-z]+)*", need.id)
        assert need.says.endswith(".")
        assert any(word in need.basis for word in known), need.id


def test_the_basis_of_a_warning_and_of_a_paper_is_its_own(whole: Mapping[str, Case]) -> None:
    case = CASES[0].change(whole[GAS])
    (missing,) = lacking(case)
    assert (missing.basis, missing.write_in) == ("Approved Document B", "housetypes/a.yaml:3:5")


def test_a_waived_rule_does_not_stand_in_the_way(whole: Mapping[str, Case]) -> None:
    assert not list(lacking(with_findings(WAIVED)(whole[GAS])))


def test_the_bath_limit_is_the_one_of_the_regulation() -> None:
    """Approved Document G, 2015 edition with 2016 amendments, paragraph 3.65: 48 °C."""
    words = [each for case in CASES for each in case.says if "scald" in each]
    assert words
    assert all("the most is 48 °C" in each for each in words)


@pytest.mark.parametrize("name", ASKED)
def test_the_demo_is_told_word_for_word(name: str) -> None:
    assert ask(*ASKED[name]).stdout == (KEPT / name).read_text(encoding="utf-8")


def test_the_demo_has_plots_at_every_stage(judged: tuple[Readiness, ...]) -> None:
    told = json.loads(as_json(judged, DAY, NeedQuestion()))
    ready = {each["plot"]: each["ready"] for each in told["plots"]}
    assert len(ready) == 36
    assert all(each["published"] for each in ready.values())
    closed = {name for name, each in ready.items() if each["closed"]}
    handed_over = {name for name, each in ready.items() if each["handed-over"]}
    assert {"mill-lane/01", "mill-lane/02", "harbour-view/01"} == closed
    assert closed | {"mill-lane/03", "mill-lane/05", "harbour-view/02"} == handed_over


def test_the_exit_code_says_whether_all_is_ready() -> None:
    assert ask("mill-lane/01").exit_code == 0
    assert ask("mill-lane/05").exit_code == 1
    assert ask("mill-lane/05", "--stage", "handed-over").exit_code == 0
    assert ask("mill-lane/05", "--owed-by", "site").exit_code == 0
    assert ask("mill-lane/05", "--owed-by", "site", "--owed-by", "customer-care").exit_code == 1
    assert ask("mill-lane/05", "--stage", "published").exit_code == 0
    assert ask("mill-lane/99").exit_code == 2
    assert "Exit code 0 when all that was asked for is ready" in " ".join(
        CliRunner().invoke(main, ["ready", "--help"]).output.split()
    )


def test_owing_nothing_is_not_being_ready() -> None:
    """Who asks for the site alone is not told that a plot is ready for which others owe."""
    shown = ask("mill-lane/05", "--owed-by", "site").stdout
    assert shown.splitlines()[1].split("  ")[-1].strip() == "nothing owed"
    assert "Of 1 plot: 1 can be published, 1 can be handed over, 0 can be closed." in shown
    assert "Nothing is owed." in shown


def test_details_are_for_plots_that_are_named(cottage: Path) -> None:
    assert "Nothing is missing." in ask("mill-lane/01").stdout
    command = ["ready", "riverside", "--workspace", str(cottage)]
    assert "[ ]" not in CliRunner().invoke(main, command).stdout
    assert (
        "[ ] Front door key: not counted"
        in CliRunner().invoke(main, [*command, "--details"]).stdout
    )


def test_what_is_to_be_added_is_yaml_that_the_plot_file_takes() -> None:
    """An example value is no value: … is refused where a number or a day is wanted."""
    told = json.loads(ask("harbour-view/03", "--format", "json").stdout)
    added = [yaml.safe_load(each["add"]) for each in told["plots"][0]["missing"] if each["path"]]
    assert len(added) > 20
    for each in added:
        assert each.keys() <= {"serials", "handover"}
        for section in each.get("handover", {}):
            assert section in Handover.model_fields


SCHEMA = {
    "type": "object",
    "additionalProperties": False,
    "required": ["day", "stages", "owed_by", "plots"],
    "properties": {
        "day": {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"},
        "stages": {"type": "array", "items": {"enum": [each.value for each in Stage]}},
        "owed_by": {"type": "array", "items": {"enum": list(get_args(OwedBy))}},
        "plots": {
            "type": "array",
            "items": {
                "type": "object",
                "additionalProperties": False,
                "required": ["plot", "address", "judged", "ready", "missing"],
                "properties": {
                    "plot": {"type": "string"},
                    "address": {"type": "string"},
                    "judged": {"type": "boolean"},
                    "ready": {"type": "object", "additionalProperties": {"type": "boolean"}},
                    "missing": {
                        "type": "array",
                        "items": {
                            "type": "object",
                            "additionalProperties": False,
                            "required": ["stage", "need", "needs", "missing", "owed_by", "basis", "write_in", "path", "add"],
                            "properties": {
                                "stage": {"enum": [each.value for each in Stage]},
                                "owed_by": {"enum": list(get_args(OwedBy))},
                                "need": {"type": "string", "minLength": 3},
                                "needs": {"type": "string", "minLength": 3},
                                "missing": {"type": "string", "minLength": 3},
                                "basis": {"type": "string", "minLength": 3},
                                "write_in": {"type": "string", "minLength": 3},
                                "path": {"type": "string"},
                                "add": {"type": "string"},
                            },
                        },
                    },
                },
            },
        },
    },
}  # fmt: skip


def test_json_has_one_shape_for_all_plots(judged: tuple[Readiness, ...]) -> None:
    told = json.loads(as_json(judged, DAY, NeedQuestion()))
    jsonschema.validate(told, SCHEMA)
    assert sum(len(each["missing"]) for each in told["plots"]) > 400


def test_csv_has_a_row_for_each_item_of_the_json(judged: tuple[Readiness, ...]) -> None:
    text = as_csv(judged, NeedQuestion()).removeprefix("\ufeff")
    rows = list(csv.DictReader(io.StringIO(text)))
    told = json.loads(as_json(judged, DAY, NeedQuestion()))
    items = [
        (plot["plot"], each["need"], each["missing"], each["owed_by"].replace("-", " "))
        for plot in told["plots"]
        for each in plot["missing"]
    ]
    assert [(r["plot"], r["need"], r["missing"], r["owed by"]) for r in rows] == items
    assert [*rows[0]] == ["plot", "stage", "need", "missing", "owed by", "write it in", "basis"]


@pytest.mark.parametrize("begins", ["=", "+", "-", "@", "\t", "\r"])
def test_no_cell_of_the_table_begins_a_formula(begins: str) -> None:
    evil = f'{begins}HYPERLINK("https://elsewhere.example","open, please")'
    item = MissingNeed("a.need", "It is.", Stage.PUBLISHED, evil, "site", evil, evil)
    text = as_csv([Readiness("a/01", "", judged=True, missing=(item,))], NeedQuestion())
    (_, row) = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""))
    assert row[3] == f"'{evil}"
    assert all(not cell.startswith(("=", "+", "-", "@", "\t", "\r")) for cell in row)


def test_24_plots_are_judged_quickly(demo_prepared: Preparation) -> None:
    began = time.process_time()
    assert len(assess(demo_prepared, {}, DAY)) == 36
    assert time.process_time() - began < 5


# The table, the house type and the record of a plot: each mistake goes to who keeps the file.


def _ready(workspace: Path, *arguments: str) -> Any:
    command = ["ready", *arguments, "--workspace", str(workspace), "--date", "2026-03-01"]
    result = CliRunner().invoke(main, [*command, "--format", "json"])
    return json.loads(result.stdout), result


def _put(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")


def _published(told: Any, plot: str) -> list[tuple[str, str]]:
    missing = {each["plot"]: each["missing"] for each in told["plots"]}[plot]
    return [(each["owed_by"], each["write_in"]) for each in missing if each["stage"] == "published"]


def test_a_mistake_in_the_table_is_owed_by_sales(cottage: Path) -> None:
    table = cottage / "developments" / "riverside" / "plots.csv"
    _put(table, "cottage,opposite", "cotage,opposite")
    told, result = _ready(cottage)
    assert _published(told, "riverside/02") == [("sales", "developments/riverside/plots.csv:3:25")]
    assert _published(told, "riverside/01") == []
    assert [each["judged"] for each in told["plots"]] == [True, False]
    assert result.exit_code == 1
    text = CliRunner().invoke(main, ["ready", "riverside/02", "--workspace", str(cottage)]).stdout
    assert "Its data makes no home yet: what else is missing cannot be told." in text


def test_a_mistake_in_a_house_type_is_technical_and_of_every_plot(cottage: Path) -> None:
    _put(cottage / "housetypes" / "cottage.yaml", "kind: stopcock", "kind: stopkock")
    told, _ = _ready(cottage)
    for plot in ("riverside/01", "riverside/02"):
        ((owed_by, place),) = _published(told, plot)
        assert owed_by == "technical"
        assert place.startswith("housetypes/cottage.yaml:")


def test_a_mistake_in_the_record_is_owed_by_the_site(cottage: Path) -> None:
    own = cottage / "developments" / "riverside" / "plots" / "02.yaml"
    own.write_text(own.read_text() + "handover: {keys: {front-doors: 3}}\n", encoding="utf-8")
    told, _ = _ready(cottage)
    assert _published(told, "riverside/02") == [
        ("site", f"{own.relative_to(cottage).as_posix()}:10:19")
    ]


def test_a_mistake_of_no_plot_is_said_too(cottage: Path) -> None:
    (cottage / "developments" / "riverside" / "plots" / "09.yaml").write_text("serials: {}\n")
    _, result = _ready(cottage, "--stage", "published")
    assert "1 mistake concerns none of these plots: see 'handover check'." in result.stderr
    assert result.exit_code == 1


def test_a_workspace_adds_papers_and_takes_some_out(cottage: Path) -> None:
    (cottage / "content" / "documents.yaml").write_text(
        "documents:\n"
        "  manuals: null\n"
        "  flood-plan: {name: Flood plan, owed_by: sales, basis: common practice}\n"
        "  lift-plan: {name: Lift plan, owed_by: sales, basis: common practice, when: {form: apartment}}\n",
        encoding="utf-8",
    )
    told, _ = _ready(cottage, "riverside/01")
    papers = [
        each["path"] for each in told["plots"][0]["missing"] if each["need"] == "documents.given"
    ]
    assert "handover.documents.flood-plan" in papers
    assert "handover.documents.energy-certificate" in papers
    assert not {"handover.documents.manuals", "handover.documents.lift-plan"} & set(papers)


def test_a_mistake_in_the_papers_of_a_workspace_is_told(cottage: Path) -> None:
    (cottage / "content" / "documents.yaml").write_text("documents: {a: {name: A}}\n")
    told, _ = _ready(cottage, "riverside/01")
    places = [place for _, place in _published(told, "riverside/01")]
    assert "content/documents.yaml:1:13" in places


def test_an_unknown_id_in_a_record_is_a_finding_at_its_place(prepared: Preparation) -> None:
    each = prepared.homes[AIR]
    text = (
        "handover:\n  meters:\n    gas-metre: {reading: '1', day: 2026-03-01}\n"
        "  keys: {front-doors: 3}\n  documents: {gas-recrod: 2026-03-01}\n"
        "  commissioning: {ventilation: {day: 2026-03-01, by: site-manager, rates: {kichen: 3}}}\n"
    )
    own = read_yaml(text, "plots/01.yaml", Findings())
    found = list(handover_record_mistakes(each.traced, own))
    assert [(f.code, str(f.place), f.wrong, f.right) for f in found] == [
        ("handover.unknown-meter", "plots/01.yaml:3:5", "This home has no meter 'gas-metre'.", "Did you mean 'gas-meter'?"),
        ("handover.unknown-key", "plots/01.yaml:4:10", "This home has no key 'front-doors'.", "Did you mean 'front-door'?"),
        ("handover.unknown-document", "plots/01.yaml:5:15", "There is no document 'gas-recrod'.", "Did you mean 'gas-record'?"),
        ("handover.unknown-air-valve", "plots/01.yaml:6:76", "This home has no air valve or fan 'kichen'.", "Did you mean 'kitchen'?"),
    ]  # fmt: skip
    assert all(f.plots == (AIR,) for f in found)


def test_the_records_of_the_demo_name_what_its_homes_have(demo_prepared: Preparation) -> None:
    preparation = demo_prepared
    recorded = 0
    for each in preparation.homes.values():
        recorded += bool(each.plot.own and each.plot.own.child("handover"))
        assert not list(handover_record_mistakes(each.traced, each.plot.own))
    assert recorded >= 10


# The record of the day: what a tablet exported and 'handover record' kept.

RECORDED = {"meters.reading", "keys.counted", "alarms.tested", "demonstration.given"}
"""The needs of the cottage that a whole record of its demonstration meets."""


@pytest.fixture
def kept(cottage: Path, tmp_path: Path) -> Callable[..., Path]:
    """Keeps a record of the demonstration of riverside/02, and returns where it stands."""
    _seeded(cottage, "")
    _put(
        cottage / "developments" / "riverside" / "plots.csv",
        "car-charger,",
        "car-charger,2026-04-17",
    )
    whole = whole_record(workspace_sheet(cottage, "riverside/02"))

    def keep(**told: object) -> Path:
        file = tmp_path / "export.json"
        file.write_text(signed({**whole, **told}), encoding="utf-8")
        command = ["record", str(file), "--workspace", str(cottage), "--date", "2026-04-20"]
        result = CliRunner().invoke(main, command, catch_exceptions=False)
        assert result.exit_code == 0, result.output
        day = told.get("day", whole["day"])
        return cottage / f"developments/riverside/records/02/{day}-demonstration.json"

    return keep


def _lacking(workspace: Path, day: str = "2026-04-20") -> dict[str, list[str]]:
    command = ["ready", "riverside/02", "--workspace", str(workspace), "--date", day]
    result = CliRunner().invoke(main, [*command, "--format", "json"], catch_exceptions=False)
    (plot,) = json.loads(result.stdout)["plots"]
    found: dict[str, list[str]] = {}
    for each in plot["missing"]:
        found.setdefault(each["need"], []).append(f"{each['missing']} {each['write_in']}")
    return found


def test_a_kept_record_meets_what_it_tells(cottage: Path, kept: Callable[..., Path]) -> None:
    before = _lacking(cottage)
    assert before.keys() >= {*RECORDED, "documents.given", "meters.serial", "handover.signed"}
    open_item = {"tap": {"note": "The tap drips", "due": "2026-05-04"}}
    meters = {"test-meter": {"reading": "00417", "day": "2026-04-17", "serial": "CANARY-seen"}}
    place = kept(day="2026-04-17", outstanding=open_item, meters=meters)
    after = _lacking(cottage)
    assert before.keys() - after.keys() == {
        *RECORDED, "documents.given", "meters.serial", "handover.signed",
    }  # fmt: skip
    assert after.keys() - before.keys() == {"outstanding.done"}
    assert after["outstanding.done"] == [
        "'tap' is not done; it is promised for 2026-05-04. developments/riverside/plots/02.yaml"
    ]
    assert "CANARY" not in json.dumps(after)
    own = cottage / "developments" / "riverside" / "plots" / "02.yaml"
    own.write_text(own.read_text() + "handover: {outstanding: {tap: {done: 2026-05-02}}}\n")
    assert "outstanding.done" not in _lacking(cottage, "2026-05-03")
    assert place.is_file()


def test_a_walk_before_completion_is_not_signed_for(
    cottage: Path, kept: Callable[..., Path]
) -> None:
    """The buyer of riverside/02 completes on 17 April."""
    kept(day="2026-04-16")
    found = _lacking(cottage)
    assert "demonstration.given" not in found
    assert "handover.signed" in found


def test_the_record_of_the_day_stands_and_what_differs_is_told(
    cottage: Path, kept: Callable[..., Path]
) -> None:
    kept(day="2026-04-17")
    own = cottage / "developments" / "riverside" / "plots" / "02.yaml"
    own.write_text(own.read_text() + "handover:\n  keys:\n    front-door: 2\n", encoding="utf-8")
    line = own.read_text().splitlines().index("    front-door: 2") + 1
    found = _lacking(cottage)
    assert "keys.counted" not in found
    assert found["record.agrees"] == [
        "Front door key: the plot's file counts 2, the record of the day 3. The record stands: "
        f"mend the file. developments/riverside/plots/02.yaml:{line}:5"
    ]


def test_a_later_record_stands_over_an_earlier_one(
    cottage: Path, kept: Callable[..., Path]
) -> None:
    early = kept(day="2026-04-16", keys={"front-door": 2})
    assert _lacking(cottage)["keys.counted"] == [
        "Front door key: 2 counted; the schedule says 3. That is what the record says; a later "
        f"record takes its place. {early.relative_to(cottage).as_posix()}"
    ]
    kept(day="2026-04-17", keys={"front-door": 3})
    assert "keys.counted" not in _lacking(cottage)


def test_a_damaged_record_counts_for_nothing_and_is_told(
    cottage: Path, kept: Callable[..., Path]
) -> None:
    place = kept(day="2026-04-17")
    place.write_text(place.read_text().replace('"00417"', '"00418"'), encoding="utf-8")
    found = _lacking(cottage)
    assert found.keys() >= RECORDED
    ((told),) = found["record.whole"]
    assert told.startswith("The record was changed or damaged after it was exported")
    assert place.name in told
    assert "published.no-mistakes" not in found, "a private record never keeps a guide back"


def test_a_record_of_another_plot_counts_for_nothing(
    cottage: Path, kept: Callable[..., Path]
) -> None:
    place = kept(day="2026-04-17")
    other = place.parent.parent / "01" / place.name
    other.parent.mkdir()
    place.rename(other)
    command = ["ready", "riverside/01", "--workspace", str(cottage), "--format", "json"]
    (plot,) = json.loads(CliRunner().invoke(main, command).stdout)["plots"]
    told = {each["need"]: each["missing"] for each in plot["missing"]}
    assert told["record.whole"] == (
        "This record is of plot 'riverside/02', and stands among those of plot 'riverside/01'. "
        "Keep it with 'handover record', which puts it where it belongs."
    )
    assert "demonstration.given" in told


# Private: every field of a record is seeded, and nothing of it is found in what is published.

CANARY_DAY = date(1987, 6, 5)
RECORD = """\
handover:
  commissioning:
    ventilation: {day: 1987-06-05, by: sprinkler-engineer, rates: {kitchen: 947.1}, boost_rates: {kitchen: 947.2}, whole_home_rate: 947.3}
    water: {day: 1987-06-05, by: sprinkler-engineer, stopcock_tried: true, bath_temperature: 47.477}
    heating: {day: 1987-06-05, by: sprinkler-engineer, pressure: 9.477}
    electricity: {day: 1987-06-05, by: sprinkler-engineer, certificate: CANARY-certificate}
    gas: {day: 1987-06-05, by: sprinkler-engineer}
  meters:
    test-meter: {reading: "90471147", day: 1987-06-05, further: {night: "90471148"}}
  keys: {front-door: 947}
  documents: {electrical-certificate: 1987-06-05}
  alarms_tested: 1987-06-05
  stickers: {fixed: 1987-06-05, scanned: 1987-06-05, found: {stopcock: 1987-06-05}}
  demonstration: {day: 1987-06-05, by: sprinkler-engineer}
  outstanding: {canary-item: {note: CANARY-note, due: 1987-06-05, done: 1987-06-05}}
  signed: 1987-06-05
  care_call: 1987-06-05
  snags_closed: 1987-06-05
"""
CANARIES = (
    "CANARY", "canary-item", "sprinkler-engineer", "947.1", "947.2", "947.3", "47.477", "9.477",
    "90471147", "90471148", CANARY_DAY.isoformat(), spoken_day(CANARY_DAY),
)  # fmt: skip


KEYS_COUNTED = 947
NUMBERS_IN_WORDS = (KEYS_COUNTED, CANARY_DAY.year)
"""So few digits may stand in any file by chance, as in a digest: they are looked for in words."""


def _seeded(workspace: Path, added: str = f"  test-meter: CANARY-serial\n{RECORD}") -> Path:
    """The cottage with a meter, so that its record can hold all that a record may."""
    _put(workspace / "housetypes" / "standard.yaml", "\nkinds:\n",
         "\nkinds:\n  test-meter: {name: Test meter, system: electrical, meter: true, what: Counts., page: false}\n")  # fmt: skip
    _put(workspace / "housetypes" / "cottage.yaml", "\nequipment:\n",
         "\nequipment:\n  test-meter: {kind: test-meter, room: hall, place: by the door, at: [0.2, 0.5]}\n")  # fmt: skip
    own = workspace / "developments" / "riverside" / "plots" / "02.yaml"
    text = own.read_text(encoding="utf-8").rstrip("\n")
    own.write_text(f"{text}\n{added}", encoding="utf-8")
    return own


def _leaves_of(record: type[BaseModel], path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    for name, info in fields(record).items():
        inner = bare(info.rebuild_annotation())
        arguments = get_args(inner)
        if isinstance(inner, type) and issubclass(inner, BaseModel):
            yield from _leaves_of(inner, (*path, name))
        elif len(arguments) == 2 and isinstance(bare(arguments[1]), type) and issubclass(bare(arguments[1]), BaseModel):  # fmt: skip
            yield from _leaves_of(bare(arguments[1]), (*path, name, "*"))
        else:
            yield (*path, name)


def _at(told: Any, path: tuple[str, ...]) -> Any:
    for step in path:
        told = next(iter(told.values())) if step == "*" else told[step]
    return told


def test_every_field_of_a_record_is_seeded() -> None:
    told = yaml.safe_load(RECORD)["handover"]
    paths = list(_leaves_of(Handover))
    assert len(paths) >= 30
    for path in paths:
        value = _at(told, path)
        seeded = value is True or any(
            each in str(value) for each in (*CANARIES, *map(str, NUMBERS_IN_WORDS))
        )
        assert seeded or str(CANARY_DAY) in str(value), path


def test_nothing_of_a_record_is_published(cottage: Path, tmp_path: Path) -> None:
    _seeded(cottage)
    out = tmp_path / "public"
    report = publish(Target(cottage, (), out, DAY))
    assert [each.reference for each in report.published] == ["riverside/01", "riverside/02"]
    files = [path for path in out.rglob("*") if path.is_file()]
    assert len(files) > 20
    for path in files:
        content = path.read_bytes()
        for canary in CANARIES:
            assert canary.encode() not in content, f"{canary} in {path}"
        if path.suffix == ".html":
            words = BeautifulSoup(content, "lxml").get_text(" ")
            for number in NUMBERS_IN_WORDS:
                assert not re.search(rf"\b{number}\b", words), f"{number} in {path}"


@pytest.mark.parametrize("form", ["text", "json", "csv"])
def test_no_number_of_a_record_is_shown(form: str, cottage: Path) -> None:
    """Days, and measured values beside their limits, are shown; serials and readings never."""
    _seeded(cottage)
    command = ["ready", "riverside/02", "--workspace", str(cottage), "--format", form]
    shown = CliRunner().invoke(main, command).stdout
    assert "riverside/02" in shown
    for canary in ("CANARY", "90471147", "90471148", "sprinkler-engineer"):
        assert canary not in shown
