"""Tries house types that no plot uses yet, so that their authors hear of mistakes at once."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import yaml

from builder.errors import Finding, Findings, Place
from builder.home.assemble import UNKNOWN_REFERENCE, TracedHome, assemble
from builder.home.mending import guesses
from builder.layers.stack import Stack, Stacking
from builder.rules.checking import check_home
from builder.rules.despite import Despite
from builder.selection.checked_rules import CHECKED_RULES
from builder.sources.entry import Entry
from builder.sources.nations import NATIONS, every_nation
from builder.sources.workspace import DevelopmentSource, PlotSource, Workspace
from builder.sources.yaml_reader import read_yaml


def unused_house_types(workspace: Workspace, day: date) -> Iterator[Finding]:
    """What is wrong with each house type without plots, whichever development will have one."""
    used = {_house_type_of(plot) for plot in workspace.plots.values()}
    for name in workspace.house_types:
        if name not in used:
            yield from (finding.for_plots() for finding in tried_house_type(workspace, name, day))


def tried_house_type(
    workspace: Workspace, name: str, day: date, stacking: Stacking | None = None
) -> Findings:
    """What is wrong with one house type, whichever development had a plot of it: what a development
    lacks, or says of its own homes, is no mistake of a house type that may be for another.

    ``stacking``: of all plots of the workspace, so that what they share is worked out once.
    """
    is_of_development = _is_of_file if workspace.developments else _is_of_development
    workspace, stacking = _with_developments(workspace, stacking)
    told: tuple[Finding, ...] | None = None
    for development in workspace.developments:
        findings = Findings()
        _home(development, stacking, name, day, findings)
        found = [each for each in findings if not is_of_development(each)]
        here = {_identity_of(each) for each in found}
        told = tuple(
            each for each in (found if told is None else told) if _identity_of(each) in here
        )
        if not told:  # Nothing is left that further developments could tell too.
            break
    everywhere = Findings()
    everywhere.extend(told or ())
    return everywhere


_DEVELOPMENTS = "developments/"
_STAND_IN = """
development: {name: Trial, address: Trial, base_url: https://guides.example, nation: %s, invented: true}
"""
_BY_MAINS = """
water: {source: mains, metered: true, contact: water-company}
foul_drainage: {to: sewer, contact: water-company}
building: {help_gets_in: from the road}
utilities: {water: {name: Water}, electricity: {name: Electricity}, gas: {name: Gas}, broadband: {name: Broadband}}
"""
"""What one development has, and another has not."""


def _with_developments(
    workspace: Workspace, stacking: Stacking | None
) -> tuple[Workspace, Stacking]:
    """A workspace with developments to try house types in: where it has none, one in each nation. They are
    unlike each other, so that what is told of a house type holds wherever it is built."""
    if workspace.developments:
        return workspace, stacking or Stacking(workspace, Findings())
    tried = {
        name: _stand_in(name, _BY_MAINS if number % 2 else "")
        for number, name in enumerate(NATIONS)
    }
    workspace = replace(workspace, developments=tried)
    return workspace, Stacking(workspace, Findings(), kept=stacking.kept if stacking else None)


def _stand_in(nation: str, has: str) -> DevelopmentSource:
    folder = f"{_DEVELOPMENTS}{nation}"
    roles = every_nation().children["roles"].children
    contacts = {name: {"name": "Trial", "call_for": "trial"} for name in roles}
    text = f"{_STAND_IN % nation}{has}{yaml.safe_dump({'contacts': contacts}) if has else ''}"
    entry = read_yaml(text, f"{folder}/development.yaml", Findings())
    return DevelopmentSource(nation, folder, entry, {}, listed=True)


def _is_of_file(finding: Finding) -> bool:
    """Whether a finding is about the file of a development."""
    return finding.place.file.startswith(_DEVELOPMENTS)


def _is_of_development(finding: Finding) -> bool:
    """Whether a finding is about what a development will say: in its own file, or whom it will name."""
    named_there = finding.code == UNKNOWN_REFERENCE and finding.wrong.endswith("in contacts.")
    return named_there or _is_of_file(finding)


def _identity_of(finding: Finding) -> tuple[object, ...]:
    """What makes two findings the same mistake, whatever is suggested for it."""
    return finding.code, finding.place, finding.path, finding.wrong


def home_of_house_type(
    workspace: Workspace, name: str, day: date, findings: Findings, stacking: Stacking | None = None
) -> TracedHome | None:
    """A house type as the first development would have it, as it may have been meant where that has
    mistakes, and what is wrong with it. Nothing where too little is left."""
    workspace, stacking = _with_developments(workspace, stacking)
    findings.extend(tried_house_type(workspace, name, day, stacking))
    development = next(iter(workspace.developments))
    return _home(development, stacking, name, day, Findings()) or _as_meant(
        development, stacking, name
    )


def _house_type_of(plot: PlotSource) -> object:
    cell = plot.row.children["plot"].children.get("house_type")
    return cell.value if cell else None


def _home(
    development: str, stacking: Stacking, name: str, day: date, findings: Findings
) -> TracedHome | None:
    """The home, or nothing where its layers make none; what is wrong with it goes to ``findings``."""
    stack = _stack(development, stacking, name, findings)
    if stack is None:
        return None
    merged = stacking.merge(stack)
    traced = assemble(stack.plot.reference, merged, findings)
    if traced is None:
        findings.extend(Despite(day).found(stack, merged, frozenset()))
    else:
        findings.extend(check_home(traced, day, CHECKED_RULES).findings)
    return traced


def _as_meant(development: str, stacking: Stacking, name: str) -> TracedHome | None:
    """The home as it may have been meant, where its layers make none."""
    stack = _stack(development, stacking, name, Findings())
    if stack is None:
        return None
    guessed = guesses(stack.plot.reference, stacking.merge(stack), frozenset())
    return guessed.least if guessed else None


def _stack(development: str, stacking: Stacking, name: str, findings: Findings) -> Stack | None:
    entry = stacking.workspace.house_types.get(name)
    stacking.findings = findings
    return stacking.stack(_trial_plot(development, name, entry.place)) if entry else None


def _trial_plot(development: str, house_type: str, place: Place) -> PlotSource:
    cells = {
        "number": "trial",
        "address": "Trial",
        "postcode": "ZZ99 9ZZ",
        "house_type": house_type,
        "hand": "as-drawn",
    }
    row = {name: Entry(value, place, place) for name, value in cells.items()}
    return PlotSource(
        development, "trial", Entry({"plot": Entry(row, place, place)}, place), "", None
    )
