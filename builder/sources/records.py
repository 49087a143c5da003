"""Reads records of demonstrations: as a tablet exports them, and as a development keeps them.

They are private. Nothing that publishes reads them.
"""

import hashlib
import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from builder.errors import Finding, Findings, Place
from builder.model.demonstration import RECORD_FORM, RECORD_VERSION, DemonstrationRecord
from builder.sources.checking import check
from builder.sources.entry import Entry
from builder.sources.folder import Folder, text_of
from builder.sources.yaml_reader import read_yaml

LARGEST_RECORD: Final = 64 * 1024 * 1024
"""Bytes. Signatures drawn with every line that the form allows take about a fifth of it."""

_AGAIN = "Export the record again on the tablet, and use that file as it is."
_UNPRINTABLE = re.compile(r"[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")
_PLOT = re.compile(r'"plot"\s*:\s*"([^"\\]*)"')
_SECOND = re.compile(r"\d{4}-\d\d-\d\d-(\d+)-demonstration\.json$")


@dataclass(frozen=True, slots=True)
class RecordSource:
    """A record that is whole, and its entries for findings."""

    record: DemonstrationRecord
    entry: Entry


@dataclass(frozen=True, slots=True)
class Export:
    """A file that says it is a record, byte for byte as it came; ``plot`` is the plot that it names,
    as far as that can be read. ``source`` is missing where it is damaged, or of another version."""

    file: str
    content: bytes
    plot: str
    source: RecordSource | None


def records_folder(development: str, number: str) -> str:
    """Where the records of one plot are kept, from the workspace."""
    return f"developments/{development}/records/{number}"


def records_of(
    folder: Folder, plots: Sequence[str], findings: Findings
) -> tuple[RecordSource, ...]:
    """The kept records of a plot by day; ``plots``: its references, that of today first.

    What is damaged, or of another plot, goes to ``findings`` and is left out. The day of the last
    one is the day of the demonstration; of two of one day, the one that was kept later is the last.
    """
    found = []
    for plot in plots:
        development, _, number = plot.partition("/")
        for path in folder.matching(f"{records_folder(development, number)}/*-demonstration.json"):
            content = folder.content(path, findings, LARGEST_RECORD)
            read = None if content is None else read_record(content, folder.name(path), findings)
            if read is not None and read.record.plot not in plots:
                findings.add(_finding_of_other_plot(read, plots[0]))
            elif read is not None:
                found.append(read)
    return tuple(sorted(found, key=lambda read: (read.record.day, _sequence(read))))


def name_of(day: str, sequence: int) -> str:
    """The name of the file of a record: the first, second, … that was kept of its day."""
    return f"{day}-demonstration.json" if sequence == 1 else f"{day}-{sequence}-demonstration.json"


def _sequence(read: RecordSource) -> int:
    found = _SECOND.search(read.entry.place.file)
    return int(found[1]) if found else 1


def read_export(content: bytes, file: str, findings: Findings) -> Export | None:
    """A file that was exported, sound or damaged; nothing and a finding where it is no record."""
    found = Findings()
    source = read_record(content, file, found)
    is_record = source is not None or (
        RECORD_FORM.encode() in content and not any(each.code == "record.foreign" for each in found)
    )
    findings.extend(found)
    if not is_record:
        return None
    named = _PLOT.search(content.decode("utf-8", errors="replace"))
    plot = source.record.plot if source else named[1] if named else ""
    return Export(file, content, plot, source)


def read_record(content: bytes, file: str, findings: Findings) -> RecordSource | None:
    """A record whose form, version, shape and digest are right, or nothing and findings."""
    text = _text(content, file, findings)
    data = None if text is None else _parsed(text, file, findings)
    if text is None or data is None:
        return None
    if problem := _foreign(data, file):
        findings.add(problem)
        return None
    # What somebody typed may hold signs that YAML takes for line ends, or refuses: JSON does not.
    entry = read_yaml(_UNPRINTABLE.sub(_escaped, text), file, findings)
    record = check(entry, DemonstrationRecord, findings) if entry else None
    if entry is None or not isinstance(record, DemonstrationRecord):
        return None
    if digest_of(data) != record.digest:
        findings.add(_finding_of_change(entry))
        return None
    return RecordSource(record, entry)


def _text(content: bytes, file: str, findings: Findings) -> str | None:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return text_of(content, file, findings)


def _escaped(found: re.Match[str]) -> str:
    return f"\\u{ord(found[0]):04x}"


def digest_of(data: dict[str, Any]) -> str:
    """SHA-256 of the canonical JSON (RFC 8785) of a record without its digest.

    The form has no fractions, and its keys are plain letters: then keys in order and no spaces are
    all that the standard asks for.
    """
    told = {name: value for name, value in data.items() if name != "digest"}
    canonical = json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(canonical.encode("utf-8", "surrogatepass")).hexdigest()


def _parsed(text: str, file: str, findings: Findings) -> dict[str, Any] | None:
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        place = Place(file, error.lineno, error.colno)
        wrong = "The record breaks off or is damaged here."
        findings.add(Finding("record.damaged", place, wrong, _AGAIN))
        return None
    except RecursionError:
        data = None
    if not isinstance(data, dict):
        findings.add(_no_record(file))
        return None
    return data


def _foreign(data: dict[str, Any], file: str) -> Finding | None:
    """A file of another kind, or a record of another version."""
    if data.get("form") != RECORD_FORM:
        return _no_record(file)
    version = data.get("version")
    if type(version) is int and version == RECORD_VERSION:
        return None
    older = type(version) is int and version < RECORD_VERSION
    return Finding(
        "record.version",
        Place(file),
        f"This record is of version {version!r}; this builder reads version {RECORD_VERSION}.",
        "Make the run sheet again with this builder, and fill it in there."
        if older
        else "Record it with the builder that made its run sheet.",
        path="version",
    )


def _finding_of_other_plot(read: RecordSource, plot: str) -> Finding:
    return Finding(
        "record.other-plot", read.entry.children["plot"].place,
        f"This record is of plot '{read.record.plot}', and stands among those of plot '{plot}'.",
        "Keep it with 'handover record', which puts it where it belongs.", path="plot",
    )  # fmt: skip


def _no_record(file: str) -> Finding:
    return Finding(
        "record.foreign", Place(file), "This file is no record of a demonstration.",
        "Name the file that the tablet page exported.",
    )  # fmt: skip


def _finding_of_change(entry: Entry) -> Finding:
    return Finding(
        "record.changed",
        entry.children["digest"].place,
        "The record was changed or damaged after it was exported: its digest does not fit.",
        _AGAIN,
        path="digest",
    )
