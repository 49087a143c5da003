"""A file is checked by a record with the sections that it writes: it accepts what the whole record
accepts, and nothing else. The reference is pydantic's verdict by the whole record."""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from builder.errors import Findings
from builder.sources.checking import check
from builder.sources.entry import Entry
from builder.sources.files import (
    DEVELOPMENT_FILE,
    HOUSE_TYPE_FILE,
    OPTION_FILE,
    PLOT_FILE,
    STANDARD_FILE,
    FileKind,
)
from builder.sources.yaml_reader import read_yaml
from tests.demo import PROJECT

KINDS = {
    "housetypes/standard.yaml": STANDARD_FILE,
    "housetypes/*.yaml": HOUSE_TYPE_FILE,
    "housetypes/options/*.yaml": OPTION_FILE,
    "developments/*/development.yaml": DEVELOPMENT_FILE,
    "developments/*/plots/*.yaml": PLOT_FILE,
}
PLACES = ("", "tests/broken/*/", "tests/workspaces/*/")


def files() -> Iterator[tuple[Path, FileKind[Any]]]:
    for place in PLACES:
        for pattern, kind in KINDS.items():
            for path in sorted(PROJECT.glob(f"{place}{pattern}")):
                if "*" not in pattern or path.name != "standard.yaml":
                    yield path, kind


def entry_of(text: str) -> Entry | None:
    return read_yaml(text, "file.yaml", Findings())


def accepted(entry: Entry, record: type[Any]) -> bool:
    return check(entry, record, Findings()) is not None


def test_the_narrow_record_says_what_the_whole_one_says() -> None:
    verdicts: Counter[bool] = Counter()
    for path, kind in files():
        entry = entry_of(path.read_bytes().decode(errors="replace"))
        if entry is not None:
            verdict = accepted(entry, kind.whole)
            assert accepted(entry, kind.narrow(entry)) == verdict, path
            verdicts[verdict] += 1
    assert verdicts[True] > 50
    assert verdicts[False] > 10


@pytest.mark.parametrize(
    "text",
    [
        "departures: {a: {note: Moved., date: 2025-03-03, changes: {equipment: {}}}}",
        "departures: {a: {note: Moved., date: 2025-03-03, changes: {equipment: null}}}",
        "departures: {a: {note: Moved., date: 2025-03-03, changes: null}}",
        "departures: {a: {note: Moved., date: 2025-03-03, changes: [equipment]}}",
        "departures: {a: {note: Moved., date: 2025-03-03, changes: {plot: {number: '1'}}}}",
        "departures: {a: {note: Moved., date: 2025-03-03, changes: {equipmentt: {}}}}",
        "departures: {a: {note: Moved., date: 2025-03-03}}",
        "departures: {a: null}",
        "departures: null",
        "departures: [a]",
        "equipment: {}",
        "formerly: ['1']",
    ],
)
def test_so_it_does_of_odd_plot_files(text: str) -> None:
    entry = entry_of(text)
    assert entry is not None
    assert accepted(entry, PLOT_FILE.narrow(entry)) == accepted(entry, PLOT_FILE.whole)
