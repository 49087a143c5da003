"""``handover record``: what is kept, what is refused with which words, and what never gets out."""

import hashlib
import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from builder.errors import Findings
from builder.sources.folder import Folder
from builder.sources.records import digest_of, records_of
from tests.broken_workspaces import run
from tests.demonstrations import canonical, signed, whole_record, workspace_sheet

PLOT = "riverside/02"
KEPT = "developments/riverside/records/02/2026-03-31-demonstration.json"


def record(file: Path, workspace: Path, *arguments: str) -> tuple[int, str]:
    result = run(
        "record", str(file), *arguments, "--workspace", str(workspace), "--date", "2026-04-01"
    )
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.output


@pytest.fixture
def whole(cottage: Path) -> dict[str, Any]:
    return whole_record(workspace_sheet(cottage, PLOT))


@pytest.fixture
def write(tmp_path: Path) -> Callable[[str], Path]:
    def written(text: str) -> Path:
        file = tmp_path / "tablet" / "export.json"
        file.parent.mkdir(exist_ok=True)
        file.write_text(text, encoding="utf-8", newline="\n")
        return file

    return written


Write = Callable[[str], Path]


def test_a_whole_record_is_kept_as_it_came(
    cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    text = signed(whole)
    assert record(write(text), cottage) == (
        0,
        "No findings.\n"
        "Demonstrated on 31 March 2026, by the site manager.\n"
        f"Kept: {(cottage / KEPT).as_posix()}. It is private: never put it on the web.\n",
    )
    assert (cottage / KEPT).read_text(encoding="utf-8") == text
    code, output = record(write(text), cottage, PLOT)
    assert (code, "Kept already: " in output) == (0, True)
    assert [path.name for path in (cottage / KEPT).parent.iterdir()] == [Path(KEPT).name]


def test_another_record_of_that_day_is_never_put_in_its_place(
    cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    first = signed(whole)
    assert record(write(first), cottage)[0] == 0
    other = signed({**whole, "by": "sales"})
    code, output = record(write(other), cottage)
    assert code == 1
    assert (
        f"'{(cottage / KEPT).as_posix()}' holds another record of that day, and is left as it is. "
        "Move it away first if the new one is right."
    ) in output.replace("\n", " ")
    assert (cottage / KEPT).read_text(encoding="utf-8") == first
    later = signed({**whole, "day": "2026-04-01"})
    assert record(write(later), cottage)[0] == 0, "a second walk on another day"


def test_readiness_reads_the_day_from_what_is_kept(
    cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    for day in ("2026-04-01", "2026-03-31"):
        assert record(write(signed({**whole, "day": day})), cottage)[0] == 0
    findings = Findings()
    found = records_of(Folder(cottage), "riverside", ("02", "2"), findings)
    assert [each.record.day.isoformat() for each in found] == ["2026-03-31", "2026-04-01"]
    assert found[0].record.by == "site-manager"
    assert not list(findings)
    (cottage / KEPT).write_text("{}", encoding="utf-8")
    assert len(records_of(Folder(cottage), "riverside", ("02",), findings)) == 1
    (damaged,) = findings
    assert (damaged.place.file, damaged.code) == (KEPT, "record.foreign")


def damaged(whole: dict[str, Any]) -> Iterator[tuple[str, str, str]]:
    """Name, text and message of each file that is refused before it is compared with a plot."""
    good = signed(whole)
    again = "  Export the record again on the tablet, and use that file as it is.\n"
    yield (
        "changed", good.replace('"00417"', '"00471"').replace('"front-door": 3', '"front-door": 2'),
        " error record.changed at digest\n"
        "  The record was changed or damaged after it was exported: its digest does not fit.\n" + again,
    )  # fmt: skip
    yield (
        "cut short", good[: len(good) // 2].rstrip(),
        " error record.damaged\n  The record breaks off or is damaged here.\n" + again,
    )  # fmt: skip
    yield ("empty", "", "export.json:1:1: error record.damaged\n")
    yield (
        "older", signed({**whole, "version": 0}),
        "export.json:1:1: error record.version at version\n"
        "  This record is of version 0; this builder reads version 1.\n"
        "  Make the run sheet again with this builder, and fill it in there.\n",
    )  # fmt: skip
    yield (
        "newer", signed({**whole, "version": 2}),
        "  This record is of version 2; this builder reads version 1.\n"
        "  Record it with the builder that made its run sheet.\n",
    )  # fmt: skip
    yield (
        "foreign", '{"form": "something-else"}',
        "export.json:1:1: error record.foreign\n"
        "  This file is no record of a demonstration.\n"
        "  Name the file that the tablet page exported.\n",
    )  # fmt: skip
    yield ("a list", "[1]", "error record.foreign")
    yield (
        "nested", "[" * 100_000, "error record.",
    )  # fmt: skip
    yield (
        "a stranger's key", signed({**whole, "colour": "blue"}),
        "error data.unknown-key at colour\n  'colour' is not known here.\n",
    )  # fmt: skip
    yield (
        "a role that is none", signed({**whole, "by": "site-manger"}),
        "export.json:7:8: error data.choice at by\n"
        "  'site-manger' is not one of the choices.\n  Did you mean 'site-manager'?\n",
    )  # fmt: skip
    yield (
        "twice", good.replace(' "by":', ' "day": "2026-03-30",\n "by":'),
        "error yaml.duplicate-key\n  'day' stands here twice; the first is on line 6.\n",
    )  # fmt: skip


def test_damaged_changed_and_foreign_files_are_refused(
    cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    seen = 0
    for name, text, message in damaged(whole):
        code, output = record(write(text), cottage)
        assert code == 1, name
        assert message in output, f"{name}: {output}"
        assert not (cottage / "developments" / "riverside" / "records").exists(), name
        seen += 1
    assert seen == 11


@pytest.mark.parametrize("part", ["day", "by", "plot", "keys", "signatures", "stops"])
def test_no_part_can_be_changed_unseen(
    part: str, cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    text = json.loads(signed(whole))
    other = {"day": "2026-03-30", "by": "sales", "plot": "riverside/01"}
    text[part] = other.get(part, {})
    code, output = record(write(json.dumps(text)), cottage)
    assert code == 1
    assert "its digest does not fit" in output


def refused(whole: dict[str, Any]) -> Iterator[tuple[dict[str, Any], str]]:
    """Records that are whole, and do not belong to this plot's sheet."""
    yield (
        {"plot": "riverside/01"},
        " error record.unknown at stops.outside.shown[0]\n"
        "  There is nothing 'equipment.car-charger' at the stop 'outside'.\n",
    )
    yield ({"plot": "riverside/09"}, "There is no plot 'riverside/09'.")
    yield (
        {"stops": {"kitchn": {"shown": [], "tried": [], "note": ""}}},
        " error record.unknown at stops.kitchn\n"
        f"  The run sheet of plot '{PLOT}' has no stop 'kitchn'.\n  Did you mean 'kitchen'?\n",
    )
    yield (
        {"keys": {"front-dor": 3}},
        f" error record.unknown at keys.front-dor\n  The run sheet of plot '{PLOT}' has no keys 'front-dor'.\n",
    )
    yield (
        {"alarms": ["attic-alarm"]},
        f"The run sheet of plot '{PLOT}' has no alarm 'attic-alarm'.",
    )
    yield ({"documents": ["deed"]}, f"The run sheet of plot '{PLOT}' has no paper 'deed'.")
    yield (
        {"meters": {"gas": {"reading": "1", "day": "2026-03-31"}}},
        f"The run sheet of plot '{PLOT}' has no meter 'gas'.",
    )
    yield (
        {"day": "2026-05-01"},
        " error record.future at day\n  2026-05-01 is yet to come.\n"
        "  Set the tablet's date right, and export the record again.\n",
    )


def test_a_record_of_another_home_is_refused(
    cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    seen = 0
    for changes, message in refused(whole):
        code, output = record(write(signed({**whole, **changes})), cottage)
        assert code in (1, 2), changes
        assert message in output, output
        assert not (cottage / "developments" / "riverside" / "records").exists()
        seen += 1
    assert seen == 8
    code, output = record(write(signed(whole)), cottage, "riverside/01")
    assert code == 2
    assert f"This record is of plot '{PLOT}', not of 'riverside/01'." in output


def test_what_did_not_go_well_is_told_and_kept(
    cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    add_meter(cottage)
    whole = whole_record(workspace_sheet(cottage, PLOT))
    assert list(whole["meters"]) == ["meter"]
    whole["stops"]["kitchen"]["shown"].remove("equipment.kitchen-fan")
    whole["stops"]["kitchen"]["tried"].remove("kinds.extract-fan")
    whole |= {
        "sheet": "0" * 12, "keys": {"front-door": 2}, "alarms": ["hall-alarm"], "documents": [],
        "outstanding": {"found-1": {"note": "A scratch on the door"}},
        "signatures": {"buyer": {"name": "  ", "strokes": []}},
    }  # fmt: skip
    whole["meters"]["meter"]["serial"] = "OTHER-1"
    code, output = record(write(signed(whole)), cottage)
    assert code == 0
    for said in (
        "warning record.not-shown at stops.kitchen\n  Not shown at 'Kitchen': Extract fan.\n",
        "note record.not-tried at stops.kitchen\n  Not tried at 'Kitchen': Extract fan.\n",
        "warning record.keys at keys.front-door\n  'Front door key': 2 counted, and the schedule says 3.\n",
        "warning record.alarms at alarms\n  Not sounded: Smoke alarm, Bedroom.\n",
        "warning record.documents at documents\n  Not handed over: Electrical installation certificate;",
        "warning record.no-day at outstanding.found-1\n",
        "  It is not signed by the buyer.\n",
        "  It is not signed by the builder.\n",
        "warning record.sheet at sheet\n  It was written on sheet 000000000000, and the home now makes sheet ",
        "warning record.serial at meters.meter.serial\n",
    ):
        assert said in output, output
    assert "CANARY" not in output, "a serial number is not printed"
    assert (cottage / KEPT).exists()
    whole |= {"meters": {}, "keys": {}, "day": "2026-04-01"}
    _, output = record(write(signed(whole)), cottage)
    assert "  'Front door key': not counted, and the schedule says 3.\n" in output
    assert "  'Electricity meter' has no reading.\n" in output


def add_meter(cottage: Path) -> None:
    """An electricity meter for every plot, with a serial number in the file of plot 02."""
    housetype = cottage / "housetypes" / "cottage.yaml"
    housetype.write_text(
        housetype.read_text()
        .replace("equipment:\n", "equipment:\n  meter: {kind: electric-meter, room: outside, place: in the white box}\n")
    )  # fmt: skip
    standard = cottage / "housetypes" / "standard.yaml"
    standard.write_text(
        standard.read_text().replace(
            "\nkinds:\n",
            "\nkinds:\n  electric-meter: {name: Electricity meter, system: electrical, what: Counts.}\n",
            1,
        )
    )
    own = cottage / "developments" / "riverside" / "plots" / "02.yaml"
    own.write_text(own.read_text().replace("serials:\n", "serials:\n  meter: CANARY-METER\n"))


def test_the_digest_is_that_of_canonical_json() -> None:
    """RFC 8785, sections 3.2.2 and 3.2.3: the control characters, and keys in order, as told there.

    The browser's own reading of it is tried in test_demonstration_page.py.
    """
    value = {"b": 1, "a": ['é\u2028\u007f\u20ac$\u000f\nA\'B"\\\\"/', None, True], "digest": "x"}
    expected = '{"a":["é\u2028\u007f€$\\u000f\\nA\'B\\"\\\\\\\\\\"/",null,true],"b":1}'
    assert digest_of(value) == hashlib.sha256(expected.encode("utf-8")).hexdigest()
    del value["digest"]
    assert canonical(value) == expected


# ---- what is private stays private -------------------------------------------------------------

CANARIES = {
    "serial": "CANARY-4711",
    "meter's serial": "CANARY-METER",
    "reading": "9071553",
    "certificate": "CANARY-CERTIFICATE",
    "outstanding": "CANARY OUTSTANDING",
    "name": "Canary Signatory",
    "stroke": "417,113 418,114",
    "note": "CANARY NOTE",
    "promise": "CANARY PROMISE",
}
HANDOVER = """
handover:
  commissioning:
    electricity: {day: 2026-03-20, by: electrician, certificate: CANARY-CERTIFICATE}
  meters: {meter: {reading: "9071553", day: 2026-03-31}}
  keys: {front-door: 3}
  outstanding:
    door: {note: CANARY OUTSTANDING, due: 2026-05-01}
  demonstration: {day: 2026-03-31, by: site-manager}
  signed: 2026-03-31
"""


def test_private_fields_reach_no_published_file(
    cottage: Path, tmp_path: Path, write: Write
) -> None:
    add_meter(cottage)
    own = cottage / "developments" / "riverside" / "plots" / "02.yaml"
    own.write_text(own.read_text().rstrip() + HANDOVER)
    sheet = workspace_sheet(cottage, PLOT)
    told = whole_record(sheet)
    told["meters"]["meter"] |= {"reading": "9071553", "serial": "CANARY-METER"}
    told["stops"]["hall"]["note"] = "CANARY NOTE"
    told["outstanding"] = {"found-1": {"note": "CANARY PROMISE", "due": "2026-05-01"}}
    told["signatures"]["buyer"] = {"name": "Canary Signatory", "strokes": ["417,113 418,114"]}
    code, output = record(write(signed(told)), cottage)
    assert code == 0, output
    sheets = tmp_path / "sheets"
    for form in ("", "json", "text"):
        extra = ("--format", form) if form else ()
        place = sheets if not form else sheets / f"sheet.{'json' if form == 'json' else 'txt'}"
        made = run("demonstration", PLOT, "--workspace", str(cottage), "--out", str(place), *extra)
        assert made.exit_code == 0, made.output
    private = b"".join(
        path.read_bytes()
        for path in [own, cottage / KEPT, *sheets.iterdir()]
        if path.suffix != ".pdf"
    )
    for name, canary in CANARIES.items():
        assert canary.encode() in private, f"{name} was not seeded"
    public = tmp_path / "public"
    assert run("stickers", "issue", "--workspace", str(cottage)).exit_code == 0
    built = run("build", "--workspace", str(cottage), "--out", str(public))
    assert built.exit_code == 0, built.output
    assert "2 guides published." in built.output
    files = [path for path in public.rglob("*") if path.is_file()]
    assert len(files) > 40
    for path in files:
        content = path.read_bytes()
        for name, canary in CANARIES.items():
            assert canary.encode() not in content, f"{name} in {path}"
        assert b"run sheet" not in content.lower() or path.suffix in (".css", ".js"), path
