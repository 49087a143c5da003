"""Symptoms lead somewhere: every step is there and reached, every way ends, and soon."""

from collections.abc import Iterator, Mapping
from graphlib import CycleError, TopologicalSorter

from builder.errors import Finding, Severity, suggestion
from builder.model.symptom import Step, Symptom
from builder.rules.rule import Rule
from builder.sources.entry import Address, dotted
from builder.sources.symptoms import SymptomSource

MOST_QUESTIONS = 3
"""Questions on any way through a symptom: more, and nobody with wet hands gets to the end."""
UNKNOWN_STEP = Rule(
    "symptoms.unknown-step", "Every answer leads to a step of its symptom.", Severity.ERROR,
    basis="house rule: no way leads nowhere",
)  # fmt: skip
UNREACHED_STEP = Rule(
    "symptoms.unreached-step", "Every step of a symptom is reached.",
    basis="house rule: what nobody reads is not kept up",
)  # fmt: skip
LOOP = Rule(
    "symptoms.loop", "No way through a symptom comes back to where it was.", Severity.ERROR,
    basis="house rule: every way ends",
)  # fmt: skip
TOO_DEEP = Rule(
    "symptoms.too-deep", f"A way through a symptom asks at most {MOST_QUESTIONS} questions.",
    basis="house rule: help is near",
)  # fmt: skip
UNKNOWN_NAME = Rule(
    "symptoms.unknown-name", "Every kind, article, role, matter and system that a symptom names is there.", Severity.ERROR,
    basis="house rule: no link leads nowhere",
)  # fmt: skip
SYMPTOM_RULES = (UNKNOWN_STEP, UNREACHED_STEP, LOOP, TOO_DEEP, UNKNOWN_NAME)


def symptoms_lead_somewhere(
    sources: Mapping[str, SymptomSource], known: Mapping[str, set[str]]
) -> Iterator[Finding]:
    """All that is wrong with the ways through symptoms. ``known``: the ids of each section.

    One that ships may name what this workspace has not: its step does without it then.
    """
    for source in sources.values():
        if source.symptom is None:
            continue
        missing = list(_missing_steps(source, source.symptom))
        yield from missing or _findings_of_ways(source, source.symptom)
        if not source.ships:
            yield from _unknown_names(source, source.symptom, known)


def _missing_steps(source: SymptomSource, symptom: Symptom) -> Iterator[Finding]:
    named: list[tuple[Address, str]] = [(("first",), symptom.first)]
    for name, step in symptom.steps.items():
        for answer, each in step.answers.items():
            named.append((("steps", name, "answers", answer, "to"), each.to))
    for address, step_id in named:
        if step_id not in symptom.steps:
            wrong = f"There is no step '{step_id}'."
            yield _finding(UNKNOWN_STEP, source, address, wrong, suggestion(step_id, symptom.steps, "Steps are"))  # fmt: skip


def _findings_of_ways(source: SymptomSource, symptom: Symptom) -> Iterator[Finding]:
    leads = {
        name: [each.to for each in step.answers.values()] for name, step in symptom.steps.items()
    }
    try:
        order = list(TopologicalSorter(leads).static_order())
    except CycleError as error:
        steps = " → ".join(map(str, reversed(error.args[1])))
        yield _finding(LOOP, source, ("steps",), f"These steps lead in a circle: {steps}.", "Let one of them end.")  # fmt: skip
        return
    for name in sorted(symptom.steps.keys() - reached(symptom)):
        yield _finding(UNREACHED_STEP, source, ("steps", name), f"No answer leads to '{name}'.", "Lead one there, or take it out.")  # fmt: skip
    depth: dict[str, int] = {}
    for name in order:
        below = max((depth[each] for each in leads[name]), default=0)
        depth[name] = below + bool(leads[name])
    if depth[symptom.first] > MOST_QUESTIONS:
        yield _finding(
            TOO_DEEP, source, ("first",),
            f"One way asks {depth[symptom.first]} questions.", f"Ask at most {MOST_QUESTIONS}.",
        )  # fmt: skip


def reached(symptom: Symptom) -> set[str]:
    """The steps that are reached from the first one."""
    found, waiting = set[str](), [symptom.first]
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += [each.to for each in symptom.steps[name].answers.values()]
    return found


def _unknown_names(
    source: SymptomSource, symptom: Symptom, known: Mapping[str, set[str]]
) -> Iterator[Finding]:
    named: list[tuple[Address, str, str]] = [(("system",), "systems", symptom.system)]
    for name, step in symptom.steps.items():
        named += _names_of(("steps", name), step)
    for address, section, wanted in named:
        if wanted not in known[section]:
            wrong = f"There is no '{wanted}' in {section}."
            yield _finding(UNKNOWN_NAME, source, address, wrong, suggestion(wanted, known[section], f"The {section} here"))  # fmt: skip


def _names_of(address: Address, step: Step) -> Iterator[tuple[Address, str, str]]:
    for field, section in (("see", "kinds"), ("read", "articles")):
        for index, name in enumerate(getattr(step, field)):
            yield (*address, field, index), section, name
    for field, section in (("beside", "kinds"), ("call", "roles"), ("matter", "matters")):
        if name := getattr(step, field):
            yield (*address, field), section, name
    for kind in step.serving:
        yield (*address, "serving", kind), "kinds", kind
    for other, each in step.other_calls.items():
        yield (*address, "other_calls", other, "role"), "roles", each.role


def _finding(
    rule: Rule, source: SymptomSource, address: Address, wrong: str, right: str
) -> Finding:
    entry = source.entry
    for step in address:
        entry = entry.children.get(str(step)) or entry
    return rule.finding(entry.place, wrong, right, dotted(("symptoms", source.id, *address)))
