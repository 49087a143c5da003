"""What the last build of all plots left: from which files, and what it said of every plot.

Only a build that left no plot behind leaves this, and any build that changes the tree forgets it first,
so that a build that is killed leaves nothing to trust.
"""

import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from builder.build.kept_findings import as_kept, found_again
from builder.build.manifest import Records
from builder.build.report import Report, Target
from builder.build.source_files import SourceFiles, register_digests
from builder.errors import Finding
from builder.writers.portfolio.page import PlotLine


@dataclass(frozen=True, slots=True)
class BuildOrigin:
    """What a build of all plots is made from: the SHA-256 of each source file by its path in the
    workspace, a digest of the builder and all that ships with it, one of the register of each
    development by its id, and the day, on which waivers and reviews depend."""

    files: Mapping[str, str]
    builder: str
    registers: Mapping[str, str]
    day: date


@dataclass(frozen=True, slots=True)
class LastBuild:
    """One build of all plots that left none behind: from what, and all that it said. ``ties``: the
    developments between which plots moved."""

    origin: BuildOrigin
    lines: tuple[PlotLine, ...]
    findings: tuple[Finding, ...]
    ties: tuple[frozenset[str], ...]


def origin_now(target: Target, sources: SourceFiles) -> BuildOrigin:
    """What a build would be made from that began now."""
    return BuildOrigin(sources.files, sources.builder, register_digests(target.root), target.day)


def last_build(target: Target, records: Records) -> LastBuild | None:
    """The last build of all plots, if all that it published is there."""
    found = records.last_build()
    if found is None or not _stands(target, records):
        return None
    try:
        return _read(found)
    except (KeyError, TypeError, ValueError, AttributeError):
        return None


def keep(
    report: Report, target: Target, origin: BuildOrigin, ties: Iterable[frozenset[str]],
    records: Records,
) -> None:  # fmt: skip
    """Keep what a build of all plots reported, if it left none behind."""
    if target.references or report.left or report.findings.errors:
        return
    records.write_last_build(
        {
            "files": dict(origin.files),
            "builder": origin.builder,
            "registers": dict(origin.registers),
            "day": origin.day.isoformat(),
            "ties": sorted(map(sorted, ties)),
            "findings": [{**as_kept(each), "plots": list(each.plots)} for each in report.findings],
            "plots": report.portfolio.plain()["plots"],
        }
    )


def _stands(target: Target, records: Records) -> bool:
    """Whether each guide that was recorded is there, and each file that guides share."""
    shared = records.shared()
    files = [f"{target.out}/g/{code}/index.html" for code in records.codes()]
    files += [f"{target.out}/{each}" for each in shared]
    files += [f"{records.redirects_folder}/{each}" for each in records.redirects()]
    return bool(shared) and all(map(os.path.isfile, files))


def _read(found: dict[str, Any]) -> LastBuild:
    files, issued = dict(found["files"]), dict(found["registers"])
    origin = BuildOrigin(files, str(found["builder"]), issued, date.fromisoformat(found["day"]))
    lines = tuple(_line(each) for each in found["plots"])
    ties = tuple(map(frozenset, found["ties"]))
    return LastBuild(origin, lines, tuple(_findings(found["findings"])), ties)


def _findings(kept: list[dict[str, Any]]) -> Iterator[Finding]:
    for each in kept:
        yield replace(found_again(each), plots=tuple(map(str, each["plots"])))


def _line(kept: dict[str, Any]) -> PlotLine:
    changed = date.fromisoformat(kept["changed"]) if kept["changed"] else None
    return PlotLine(**{**kept, "state": "up to date", "why": (), "changed": changed})
