"""Sees at once what has not changed since a build of all plots: all of it, before anything else is
loaded, or all developments but a few."""

import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import PurePosixPath

from builder.build.last_build import BuildOrigin, LastBuild, last_build, origin_now
from builder.build.manifest import Records
from builder.build.portfolio_page import write_portfolio
from builder.build.report import Report, Target
from builder.build.source_files import SourceFiles
from builder.disk import true_place
from builder.errors import Finding, Findings
from builder.shipped import file_of
from builder.sources.scope import Scope
from builder.writers.portfolio.page import PlotLine, Portfolio

WORKPLACE = ".building-"
"""How the folder begins that a build has in the published tree, or leaves there when it is killed."""

DEVELOPMENTS = "developments"
_OF_A_PLOT = re.compile(rf"{DEVELOPMENTS}/[^/]+/plots/[^/]+\.yaml")
_DEVELOPMENT = re.compile(rb"([a-z0-9-]+)/[a-z0-9]")
"""What stands before a number of another development. A word too many has one more looked at."""
_DATA = (".yaml", ".yml", ".csv", ".md")
"""How files end that concern no other development. Pictures are one thing for all plots."""


@dataclass(frozen=True, slots=True)
class Untouched:
    """What is known already where only a part of a workspace has to be looked at: the lines of all
    other plots, what was found in them and their files, and which of those developments are tied."""

    scope: Scope
    lines: tuple[PlotLine, ...]
    findings: tuple[Finding, ...]
    ties: tuple[frozenset[str], ...]


def nothing_changed(target: Target, sources: SourceFiles) -> Report | None:
    """What a build would report that finds every guide up to date; nothing where one must look.

    Only for a build of all plots. The page for the team says so too.
    """
    records = Records(target.out)
    last = None if _asks_for_more(target) else last_build(target, records)
    if last is None or any(target.out.glob(f"{WORKPLACE}*")):
        return None
    if last.origin != origin_now(target, sources):
        return None
    report = _report(last)
    write_portfolio(report.portfolio, true_place(target.root), records)
    return report


def untouched(target: Target, records: Records, now: BuildOrigin) -> Untouched | None:
    """What a build need not look at; nothing where it must look at all plots."""
    last = None if _asks_for_more(target) else last_build(target, records)
    reached = _reached(last, now, target) if last else None
    if last is None or reached is None:
        return None
    lines = tuple(each for each in last.lines if _development(each.reference) not in reached)
    sound = frozenset(name for name, _ in last.origin.files.items() & now.files.items())
    ties = tuple(each for each in last.ties if not each & reached)
    return Untouched(Scope(reached, sound), lines, tuple(_of_others(last, reached)), ties)


def _asks_for_more(target: Target) -> bool:
    return bool(target.references or target.afresh)


def _report(last: LastBuild) -> Report:
    findings = Findings()
    findings.extend(last.findings)
    guides = tuple(each.reference for each in last.lines if each.address)
    return Report((), guides, (), findings, Portfolio(last.origin.day, last.lines))


def _reached(last: LastBuild, now: BuildOrigin, target: Target) -> frozenset[str] | None:
    """The developments whose plots may differ; nothing where it may be those of any."""
    before = last.origin
    if before.builder != now.builder:
        return None
    files = {name for name, _ in before.files.items() ^ now.files.items()}
    if before.day != now.day:
        files |= set(_with_waivers(target, now))
    inside = [PurePosixPath(each) for each in files]
    if not all(each.parts[0] == DEVELOPMENTS and each.suffix in _DATA for each in inside):
        return None
    issued = {name for name, _ in before.registers.items() ^ now.registers.items()}
    ties = [*last.ties, *_new_ties(target, files & now.files.keys())]
    return _with_tied({each.parts[1] for each in inside} | issued, ties)


def _with_tied(reached: set[str], ties: Collection[frozenset[str]]) -> frozenset[str]:
    """These developments, and all whose plots came from one of them or went there."""
    while more := {each for tie in ties if reached & tie for each in tie - reached}:
        reached |= more
    return frozenset(reached)


def _new_ties(target: Target, changed: Iterable[str]) -> Iterator[frozenset[str]]:
    """Each development of a plot whose file changed, with those that its ``formerly`` may name."""
    for name in changed:
        if _OF_A_PLOT.fullmatch(name):
            _, _, written = file_of(target.root, name).read_bytes().partition(b"formerly")
            yield frozenset({name.split("/")[1], *map(bytes.decode, _DEVELOPMENT.findall(written))})


def _with_waivers(target: Target, now: BuildOrigin) -> Iterator[str]:
    """The files whose findings may be others on another day, because a waiver may end."""
    for name in now.files:
        if name.endswith(".yaml") and b"waivers" in file_of(target.root, name).read_bytes():
            yield name


def _of_others(last: LastBuild, reached: frozenset[str]) -> Iterator[Finding]:
    """What was found in plots that are not looked at. What is of no plot and of no development is
    found again, because the files that all share are always read."""
    for each in last.findings:
        plots = tuple(name for name in each.plots if _development(name) not in reached)
        folder, *inside = PurePosixPath(each.place.file).parts or ("",)
        theirs = folder == DEVELOPMENTS and not reached.intersection(inside[:1])
        if plots or (theirs and not each.plots):
            yield replace(each, plots=plots)


def _development(reference: str) -> str:
    return reference.partition("/")[0]
