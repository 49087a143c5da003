"""``handover record``: every record is kept, what is said beside it, and what never gets out."""

import hashlib
import json
import os
import shutil
import signal
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from builder.demonstration.keeping import keep
from builder.errors import Findings, HandoverError
from builder.sources.folder import Folder
from builder.sources.records import digest_of, read_export, records_of
from builder.sources.workspace import read_workspace
from tests.broken_workspaces import run
from tests.demonstrations import canonical, signed, whole_record, workspace_sheet
from tests.test_safety import Steps, at_step, ended, forked, kill_self

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


def test_another_record_of_that_day_is_kept_beside_the_first(
    cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    first = signed(whole)
    assert record(write(first), cottage)[0] == 0
    second = signed({**whole, "by": "sales"})
    code, output = record(write(second), cottage)
    assert code == 0
    assert (
        "export.json:6:9: warning record.same-day at day\n"
        "  Another record of 2026-03-31 was kept before; this one is kept beside it, and stands over it.\n"
        "  See that it is the right one: the other is '2026-03-31-demonstration.json'.\n"
    ) in output
    assert (cottage / KEPT).read_text(encoding="utf-8") == first
    beside = (cottage / KEPT).with_name("2026-03-31-2-demonstration.json")
    assert beside.read_text(encoding="utf-8") == second
    later = signed({**whole, "day": "2026-04-01"})
    assert record(write(later), cottage)[0] == 0, "a second walk on another day"
    findings = Findings()
    found = records_of(Folder(cottage), ("riverside/02",), findings)
    told = [(each.record.day.isoformat(), each.record.by) for each in found]
    assert told == [
        ("2026-03-31", "site-manager"), ("2026-03-31", "sales"), ("2026-04-01", "site-manager"),
    ]  # fmt: skip
    for number in range(3, 12):
        assert record(write(signed({**whole, "sheet": f"{number:012}"})), cottage)[0] == 0
    last = records_of(Folder(cottage), ("riverside/02",), findings)[-2]
    assert last.record.sheet == f"{11:012}", "the eleventh of a day stands over the tenth"


def test_records_are_for_their_owner_alone(
    cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    (cottage / "developments" / "riverside" / "records").mkdir(mode=0o755)
    assert record(write(signed(whole)), cottage)[0] == 0
    kept = cottage / KEPT
    modes = [path.stat().st_mode & 0o777 for path in (kept, kept.parent, kept.parent.parent)]
    assert modes == [0o600, 0o700, 0o700]
    assert (kept.parent.parent / ".gitignore").read_text() == "*\n"


def test_readiness_reads_the_day_from_what_is_kept(
    cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    for day in ("2026-04-01", "2026-03-31"):
        assert record(write(signed({**whole, "day": day})), cottage)[0] == 0
    findings = Findings()
    found = records_of(Folder(cottage), ("riverside/02", "riverside/2"), findings)
    assert [each.record.day.isoformat() for each in found] == ["2026-03-31", "2026-04-01"]
    assert found[0].record.by == "site-manager"
    assert not list(findings)
    (cottage / KEPT).write_text("{}", encoding="utf-8")
    assert len(records_of(Folder(cottage), ("riverside/02",), findings)) == 1
    (damaged,) = findings
    assert (damaged.place.file, damaged.code) == (KEPT, "record.foreign")


def damaged(whole: dict[str, Any]) -> Iterator[tuple[str, str, str]]:
    """Name, text and message of each file that is no sound record of a plot."""
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


FOREIGN = {"empty", "foreign", "a list", "nested"}


def test_what_is_damaged_is_kept_as_it_came_and_told(
    cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    """It was signed, and there may be no other. What is no record at all is not kept."""
    seen = set[str]()
    folder = (cottage / KEPT).parent
    for name, text, message in damaged(whole):
        before = {path.name for path in folder.glob("*.json")}
        code, output = record(write(text), cottage)
        assert code == 1, name
        assert message in output, f"{name}: {output}"
        new = {path.name for path in folder.glob("*.json")} - before
        if name in FOREIGN:
            assert not new, name
            continue
        (kept,) = new
        seen.add(kept)
        assert (folder / kept).read_text(encoding="utf-8") == text, name
        assert "Kept, as it came, though it is damaged: " in output, name
    assert len(seen) == 7
    findings = Findings()
    assert records_of(Folder(cottage), ("riverside/02",), findings) == ()
    assert {each.place.file for each in findings} == {
        f"developments/riverside/records/02/{name}" for name in seen
    }


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


def strange(whole: dict[str, Any]) -> Iterator[tuple[dict[str, Any], str]]:
    """Records that are whole, with what this plot's sheet does not have, or not any more."""
    yield (
        {"plot": "riverside/01"},
        " warning record.unknown at stops.outside.shown[0]\n"
        "  There is nothing 'equipment.car-charger' at the stop 'outside'.\n",
    )
    yield (
        {"plot": "riverside/09"},
        "export.json:4:10: warning record.no-plot at plot\n"
        "  There is no plot 'riverside/09'. The record is kept all the same.\n",
    )
    yield (
        {"plot": "lakeside/09"},
        "  There is no plot 'lakeside/09'. The record is kept all the same.\n",
    )
    yield (
        {"stops": {"kitchn": {"shown": [], "tried": [], "note": ""}}},
        " warning record.unknown at stops.kitchn\n"
        f"  The run sheet of plot '{PLOT}' has no stop 'kitchn'.\n  Did you mean 'kitchen'?\n",
    )
    yield (
        {"keys": {"front-dor": 3}},
        f" warning record.unknown at keys.front-dor\n  The run sheet of plot '{PLOT}' has no keys 'front-dor'.\n",
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
        " warning record.future at day\n  2026-05-01 is yet to come.\n"
        "  Set the tablet's date right, and have the day corrected in a new record.\n",
    )


def test_a_signed_record_is_kept_whatever_has_changed_in_the_home_since(
    cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    seen = 0
    for changes, message in strange(whole):
        text = signed({**whole, **changes})
        code, output = record(write(text), cottage)
        assert code == 0, changes
        assert message in output, output
        kept = [path for path in cottage.rglob("*-demonstration.json") if path.read_text() == text]
        assert len(kept) == 1
        assert "records" in kept[0].parts
        seen += 1
    assert seen == 9
    assert (cottage / "records" / "lakeside" / "09").stat().st_mode & 0o777 == 0o700
    code, output = record(write(signed(whole)), cottage, "riverside/01")
    assert code == 2
    assert f"This record is of plot '{PLOT}', not of 'riverside/01'." in output


def test_a_record_is_kept_of_a_plot_that_has_got_another_number(
    cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    plots = cottage / "developments" / "riverside"
    table = (plots / "plots.csv").read_text(encoding="utf-8")
    (plots / "plots.csv").write_text(table.replace("\n02,", "\n20,"), encoding="utf-8")
    own = (plots / "plots" / "02.yaml").read_text(encoding="utf-8")
    (plots / "plots" / "02.yaml").unlink()
    (plots / "plots" / "20.yaml").write_text(f"formerly: ['02']\n{own}", encoding="utf-8")
    text = signed(whole)
    code, output = record(write(text), cottage, "riverside/20")
    assert code == 0, output
    assert (plots / "records" / "20" / "2026-03-31-demonstration.json").read_text() == text


def test_a_record_is_kept_while_the_data_of_its_plot_has_mistakes(
    cottage: Path, whole: dict[str, Any], write: Write
) -> None:
    (cottage / "housetypes" / "cottage.yaml").write_text("housetype: [", encoding="utf-8")
    text = signed(whole)
    code, output = record(write(text), cottage)
    assert code == 0, output
    assert (
        "export.json:4:10: warning record.not-compared at plot\n"
        f"  The data of plot '{PLOT}' has mistakes, so that the record is not compared with it.\n"
    ) in output
    assert (cottage / KEPT).read_text(encoding="utf-8") == text


def test_what_was_typed_and_drawn_is_kept_however_it_is_written(
    cottage: Path, whole: dict[str, Any], tmp_path: Path
) -> None:
    """Signs that YAML refuses, Windows' line ends and byte order mark, and large signatures."""
    whole["stops"]["hall"]["note"] = "one\u2028two\x85three\x7f\ufeff\u2029 four"
    whole["signatures"]["buyer"]["strokes"] = [" ".join(["12,34"] * 3000)] * 200
    content = b"\xef\xbb\xbf" + signed(whole).replace("\n", "\r\n").encode()
    assert len(content) > 2 * 1024 * 1024
    file = tmp_path / "export.json"
    file.write_bytes(content)
    code, output = record(file, cottage)
    assert code == 0, output
    assert (cottage / KEPT).read_bytes() == content
    findings = Findings()
    (found,) = records_of(Folder(cottage), ("riverside/02",), findings)
    assert found.record.stops["hall"].note == whole["stops"]["hall"]["note"]


@pytest.mark.parametrize("kind", ["folder", "fifo", "link"])
def test_what_is_no_file_is_told(kind: str, cottage: Path, tmp_path: Path) -> None:
    place = tmp_path / "export.json"
    {"folder": place.mkdir, "fifo": lambda: os.mkfifo(place),
     "link": lambda: place.symlink_to("/dev/zero")}[kind]()  # fmt: skip
    code, output = record(place, cottage)
    assert code in (1, 2)
    assert ("is a directory" if kind == "folder" else "error file.") in output
    folder = (cottage / KEPT).parent
    folder.mkdir(parents=True)
    (tmp_path / "export.json").rename(folder / Path(KEPT).name)
    findings = Findings()
    assert records_of(Folder(cottage), ("riverside/02",), findings) == ()
    assert len(tuple(findings)) == 1


def test_a_record_is_whole_or_not_there_after_a_kill_and_on_a_full_disk(
    cottage: Path, whole: dict[str, Any]
) -> None:
    """Stopped before each step that keeping takes on the disk, in turn; then kept by the next try."""
    text = signed(whole)
    export = read_export(text.encode(), "export.json", Findings())
    assert export is not None
    workspace, folder = read_workspace(cottage, Findings()), (cottage / KEPT).parent

    def keeping(stop: Callable[[int, bool], None]) -> str:
        Steps(cottage / "developments", stop).listen()
        try:
            return f"kept {keep(workspace, export, None).new}"
        except HandoverError as error:
            return str(error)

    for act, number in ((kill_self, at_step), (no_room, from_step)):
        step, ends, said = 1, set[int](), ""
        while said != "kept True":
            shutil.rmtree(folder.parent, ignore_errors=True)
            status, said = ended(*forked(partial(keeping, number(step, act))))
            kept = [path.read_text() for path in folder.glob("*.json")]
            assert kept in ([], [text])
            ends.add(status)
            if status == 0 and not said.startswith("kept"):
                assert "No space left on device. The record is not kept yet" in said
            step += 1
        assert step > 5
        assert ends == {0, -signal.SIGKILL if act is kill_self else 0}
        assert keep(workspace, export, None).path == cottage / KEPT
        assert [path.read_text() for path in folder.glob("*.json")] == [text]


def from_step(number: int, act: Callable[[], None]) -> Callable[[int, bool], None]:
    """Acts at that step and at all later ones that take room."""
    return lambda count, takes_room: act() if takes_room and count >= number else None


def no_room() -> None:
    raise OSError(28, "No space left on device")


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
            "\nkinds:\n  electric-meter: {name: Electricity meter, system: electrical, meter: true, what: Counts.}\n",
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
