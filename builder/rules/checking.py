"""Runs the trade rules on a home, sets aside what is waived, and says what became of each waiver."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from builder.errors import Finding, Severity, suggestion
from builder.home.assemble import TracedHome
from builder.model.home import Waiver
from builder.rules.home import HOME_RULES
from builder.rules.reading import problems_of
from builder.rules.reference import Table, table_for
from builder.rules.rule import HomeRule, Problem, Rule
from builder.rules.units import UNITS
from builder.rules.unmade import NOT_MADE, checks_not_made

WAIVER_EXPIRED = Rule(
    "waivers.expired", "A waiver is renewed or taken out before its last day is past.",
    basis="house rule: a waiver is for a time",
)  # fmt: skip
WAIVER_OF_NO_RULE = Rule(
    "waivers.unknown-rule", "A waiver names a rule that there is.", Severity.ERROR,
    basis="house rule: a waiver sets aside what it names",
)  # fmt: skip
WAIVER_OF_NOTHING = Rule(
    "waivers.finds-nothing", "A waiver sets something aside.",
    basis="house rule: a waiver that is not needed hides the next mistake",
)  # fmt: skip
_KNOWN = frozenset(
    {*(each.rule.id for each in HOME_RULES), *(each.id for each in NOT_MADE.values())}
)
"""The rules that a waiver can set aside."""
WAIVER_RULES = (WAIVER_EXPIRED, WAIVER_OF_NO_RULE, WAIVER_OF_NOTHING)


_UNITS = frozenset(each.rule.id for each in UNITS)


@dataclass(frozen=True, slots=True)
class Checked:
    """What the rules found in one home, and which of its waivers set something aside."""

    findings: tuple[Finding, ...]
    used: frozenset[str]


def check_home(traced: TracedHome, day: date, rules: tuple[HomeRule, ...] = HOME_RULES) -> Checked:
    """All that the rules find in a home; what a waiver covers on this day becomes a note."""
    findings, used = [], set()
    for finding in _one_cause([*found_in(traced, rules), *_not_made(traced)]):
        name = _waiver_of(finding, traced.home.waivers)
        if name is not None:
            used.add(name)
        holds = name is not None and day <= traced.home.waivers[name].until
        findings.append(_waived(finding, traced.home.waivers[name]) if holds and name else finding)
    findings += _about_waivers(traced, day, {*_KNOWN, *(each.rule.id for each in rules)})
    return Checked(tuple(findings), frozenset(used))


def _one_cause(found: list[Finding]) -> Iterator[Finding]:
    """Without what follows of a number from its being in another unit."""
    in_another_unit = {each.path for each in found if each.code in _UNITS}
    for finding in found:
        if finding.code in _UNITS or finding.path not in in_another_unit:
            yield finding


def found_in(traced: TracedHome, rules: tuple[HomeRule, ...]) -> Iterator[Finding]:
    """What the rules find, before any waiver."""
    for each in rules:
        subject = each.rule.standard
        table = table_for(traced.home, subject, traced.kept) if subject else None
        if subject and (table is None or table.lacks(each.rule.values)):
            continue
        for problem in _problems(traced, each, table):
            yield _finding(traced, each.rule, each.rule.basis_in(table), problem)


def _not_made(traced: TracedHome) -> Iterator[Finding]:
    for rule, problem in checks_not_made(traced, HOME_RULES):
        yield _finding(traced, rule, rule.basis, problem)


def _problems(traced: TracedHome, each: HomeRule, table: Table | None) -> Iterable[Problem]:
    if each.reads == "layers":
        return each.check(traced)
    home = traced.drawn if each.reads == "own" else traced.drawn_alike
    return problems_of(each, home, traced.kept, table)


def _finding(traced: TracedHome, rule: Rule, basis: str, problem: Problem) -> Finding:
    said = traced.said(*problem.address)
    return Finding(
        rule.id,
        said.named_at,
        problem.wrong,
        problem.right,
        path=".".join(map(str, problem.address)),
        severity=rule.severity,
        basis=basis,
        plots=(traced.reference,),
        layer=said.layer,
    )


def _waiver_of(finding: Finding, waivers: Mapping[str, Waiver]) -> str | None:
    """The waiver that covers a finding: one about this very thing before one about the rule."""
    covering = [
        name
        for name, waiver in waivers.items()
        if waiver.rule == finding.code and waiver.about in (None, finding.path)
    ]
    return min(covering, key=lambda name: waivers[name].about is None, default=None)


def _waived(finding: Finding, waiver: Waiver) -> Finding:
    says = f"until {waiver.until.isoformat()} by the {waiver.by.lower()}: {waiver.reason}"
    return replace(finding, severity=Severity.NOTE, waived=says)


def _about_waivers(traced: TracedHome, day: date, known: set[str]) -> Iterator[Finding]:
    for name, waiver in traced.home.waivers.items():
        if waiver.rule not in known:
            right = suggestion(waiver.rule, known, "'handover rules' lists them, among them")
            yield _waiver_finding(traced, WAIVER_OF_NO_RULE, name, "rule", f"There is no rule '{waiver.rule}'.", right)  # fmt: skip
        elif waiver.until < day:
            wrong = f"The waiver '{name}' of {waiver.rule} ended on {waiver.until.isoformat()}."
            right = "Mend what it was about, or give a reason and a new day; else take it out."
            yield _waiver_finding(traced, WAIVER_EXPIRED, name, "until", wrong, right)


def _waiver_finding(
    traced: TracedHome, rule: Rule, waiver: str, field: str, wrong: str, right: str
) -> Finding:
    problem = Problem(("waivers", waiver, field), wrong, right)
    return _finding(traced, rule, rule.basis, problem)


def idle_waivers(checked: Mapping[str, tuple[TracedHome, Checked]]) -> Iterator[Finding]:
    """Each waiver that sets nothing aside in any of the homes that it is written for."""
    used = {
        traced.said("waivers", name).named_at
        for traced, each in checked.values()
        for name in each.used
    }
    known = _KNOWN
    for traced, _ in checked.values():
        for name, waiver in traced.home.waivers.items():
            if waiver.rule in known and traced.said("waivers", name).named_at not in used:
                wrong = f"The waiver '{name}' sets nothing aside: {waiver.rule} finds nothing that it covers."
                right = "Take it out, or correct 'rule' or 'about'."
                problem = Problem(("waivers", name), wrong, right)
                yield _finding(traced, WAIVER_OF_NOTHING, WAIVER_OF_NOTHING.basis, problem)
