"""Findings as plain data in the records, so that a build still says what it found in guides that
were published before and have not changed."""

from collections.abc import Iterator, Mapping
from typing import Any

from builder.errors import Finding, Place, Severity
from builder.publish.manifest import GuideRecord

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
        try:
            texts = {name: str(each[name]) for name in _TEXTS}
            severity, at = Severity[each["severity"].upper()], Place(*each["at"])
        except (KeyError, TypeError, AttributeError):
            continue
        yield Finding(place=at, severity=severity, plots=(record.reference,), **texts)
