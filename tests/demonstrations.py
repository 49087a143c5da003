"""Run sheets and records for tests. ``python -m tests.demonstrations`` writes the expected sheets
again, to be read in the diff."""

import hashlib
import json
import sys
from collections.abc import Iterator, Mapping
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from builder.demonstration.sheet import RunSheet, run_sheet
from builder.errors import Findings
from builder.guide.walk.script import Script, script_of
from builder.guide.walk.things import Thing
from builder.preparing import Preparation, prepare
from builder.writers.demonstration.text import text_of

PROJECT = Path(__file__).parent.parent
EXPECTED = Path(__file__).parent / "demonstration"
GOLDEN = ("mill-lane/01", "harbour-view/05")
"""A house and an apartment."""
DAY = date(2026, 3, 31)


@cache
def prepared_demo() -> Preparation:
    return prepare(PROJECT, (), DAY)


@cache
def demo_script() -> Script:
    return script(prepared_demo())


@cache
def demo_sheet(plot: str) -> RunSheet:
    return sheet_of(prepared_demo(), plot)


def script(preparation: Preparation) -> Script:
    findings = Findings()
    found = script_of(preparation.workspace, findings)
    assert not list(findings), "\n".join(map(str, findings))
    return found


def sheet_of(preparation: Preparation, plot: str) -> RunSheet:
    """The run sheet of a plot whose workspace has no mistake in it."""
    assert plot in preparation.homes, "\n".join(map(str, preparation.findings.errors))
    return run_sheet(preparation.homes[plot], script(preparation))


def workspace_sheet(workspace: Path, plot: str) -> RunSheet:
    return sheet_of(prepare(workspace, (plot,), DAY), plot)


def things(sheet: RunSheet) -> Iterator[tuple[str, Thing]]:
    """Every thing on a sheet, with the id of its stop."""
    for stop in sheet.stops:
        for item in stop.items:
            for thing in item.things:
                yield stop.id, thing


def whole_record(sheet: RunSheet) -> dict[str, Any]:
    """A record of a day on which everything went well, without its digest."""
    return {
        "form": "handover-demonstration",
        "version": 1,
        "plot": sheet.plot,
        "sheet": sheet.mark,
        "day": DAY.isoformat(),
        "by": "site-manager",
        "stops": {
            stop.id: {
                "shown": [thing.id for item in stop.items for thing in item.things],
                "tried": [item.id for item in stop.items if item.tries],
                "note": "",
            }
            for stop in sheet.stops
        },
        "meters": {
            meter.id: {"reading": "00417", "day": DAY.isoformat()} for meter in sheet.meters
        },
        "keys": {key.id: key.count for key in sheet.keys},
        "alarms": [alarm.id for alarm in sheet.alarms],
        "documents": [paper.id for paper in sheet.documents],
        "outstanding": {},
        "signatures": {
            "buyer": {"name": "", "strokes": ["10,10 50,60 90,10"]},
            "builder": {"name": "Typed in place of lines", "strokes": []},
        },
    }


def signed(record: Mapping[str, Any]) -> str:
    """The text of a record with its digest, worked out by this test's own reading of RFC 8785."""
    told = {name: value for name, value in record.items() if name != "digest"}
    digest = hashlib.sha256(canonical(told).encode("utf-8")).hexdigest()
    return json.dumps({**told, "digest": digest}, indent=1, ensure_ascii=False) + "\n"


def canonical(value: Any) -> str:
    """Canonical JSON, written out by hand: keys in order, no spaces, nothing else."""
    if isinstance(value, Mapping):
        pairs = (f"{canonical(key)}:{canonical(value[key])}" for key in sorted(value))
        return "{" + ",".join(pairs) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(canonical, value)) + "]"
    return json.dumps(value, ensure_ascii=False)


def golden_file(plot: str) -> Path:
    return EXPECTED / f"{plot.replace('/', '-')}.txt"


def refresh() -> None:
    EXPECTED.mkdir(exist_ok=True)
    for plot in GOLDEN:
        golden_file(plot).write_text(text_of(demo_sheet(plot)), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    sys.exit(refresh())
