"""Findings as plain data in the records, so that a build still says what it found in guides that
were published before and have not changed."""

from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from typing import Any

from builder.build.manifest import GuideRecord
from builder.errors import Finding, Place, Severity

_TEXTS = ("code", "wrong", "right", "path", "basis", "layer", "waived")


def as_kept(finding: Finding) -> Mapping[str, Any]:
    """A finding as plain data; for which plot the record says."""
    place = finding.place
    return {
        **{name: getattr(finding, name) for name in _TEXTS},
        "severity": finding.severity.word,
        "at": [place.file, place.line, place.column],
    }


def kept_findings(record: GuideRecord) -> Iterator[Finding]:
    """What was found when a guide was built; an entry that cannot be read is left out."""
    for each in record.findings:
        with suppress(KeyError, TypeError, AttributeError):
            yield replace(found_again(each), plots=(record.reference,))


def found_again(kept: Mapping[str, Any]) -> Finding:
    """The finding of plain data, for no plot yet. KeyError, TypeError or AttributeError: not one."""
    texts: dict[str, Any] = {name: str(kept[name]) for name in _TEXTS}
    return Finding(place=Place(*kept["at"]), severity=Severity[kept["severity"].upper()], **texts)
