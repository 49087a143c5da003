"""Sees at once that nothing has changed since a build of all plots, before anything else is loaded.

A build of all plots that left none behind keeps what it reported, with the digest of all that it was
made from and its day: what there is to say of waivers and reviews depends on the day. Any build that
changes the tree forgets it first, so that a build that is killed leaves nothing to trust.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Any

from builder.errors import Finding, Findings
from builder.publish.digests import SourceFiles, registers_digest
from builder.publish.kept_findings import as_kept, found_again
from builder.publish.manifest import Records
from builder.publish.portfolio_page import write_portfolio
from builder.publish.report import Report, Target
from builder.writers.portfolio.page import PlotLine, Portfolio

WORKPLACE = ".building-"
"""How the folder begins that a build has in the published tree, or leaves there when it is killed."""


def nothing_changed(target: Target) -> Report | None:
    """What a build would report that finds every guide up to date; nothing where one must look.

    Only for a build of all plots. The page for the team says so too.
    """
    records = Records(target.out)
    found = None if target.references or target.afresh else records.last_build()
    if found is None or not _stands(target, records):
        return None
    if found.get("made from") != _made_from(target, SourceFiles(target.root).digest):
        return None
    try:
        report = _report(found, target.day)
    except (KeyError, TypeError, ValueError, AttributeError):
        return None
    write_portfolio(report.portfolio, target.root.resolve(), records)
    return report


def keep(report: Report, target: Target, sources: str, records: Records) -> None:
    """Keep what a build of all plots reported, if it left none behind.

    ``sources`` is the digest of what it read, which others may have changed meanwhile.
    """
    if target.references or report.left or report.findings.errors:
        return
    records.write_last_build(
        {
            "made from": _made_from(target, sources),
            "findings": [{**as_kept(each), "plots": list(each.plots)} for each in report.findings],
            "plots": report.portfolio.plain()["plots"],
        }
    )


def _made_from(target: Target, sources: str) -> str:
    return f"{sources} {registers_digest(target.root)} {target.day.isoformat()}"


def _stands(target: Target, records: Records) -> bool:
    """Whether each guide that was recorded is there, and no build is at work or was killed."""
    if any(target.out.glob(f"{WORKPLACE}*")):
        return False
    shared = records.shared()
    files = [f"g/{code}/index.html" for code in records.codes()]
    return bool(shared) and all((target.out / each).is_file() for each in (*files, *shared))


def _report(found: dict[str, Any], day: date) -> Report:
    lines = tuple(_line(each) for each in found["plots"])
    findings = Findings()
    findings.extend(_findings(found["findings"]))
    unchanged = tuple(each.reference for each in lines if each.address)
    return Report((), unchanged, (), findings, Portfolio(day, lines))


def _findings(kept: list[dict[str, Any]]) -> Iterator[Finding]:
    for each in kept:
        yield replace(found_again(each), plots=tuple(map(str, each["plots"])))


def _line(kept: dict[str, Any]) -> PlotLine:
    changed = date.fromisoformat(kept["changed"]) if kept["changed"] else None
    return PlotLine(**{**kept, "state": "up to date", "why": (), "changed": changed})
