"""Conditions in data ask for what there is, and none asks for itself."""

from collections.abc import Iterator

from builder.errors import Finding, Severity, suggestion
from builder.home.assemble import TracedHome
from builder.model.home import Home
from builder.model.record import Record
from builder.rules.rule import Problem, Rule, rule_of_layers
from builder.selection.asked import NamedInVain, NamesThere, missing_in
from builder.selection.checking import names_of
from builder.selection.named import circles, conditions_in, shipped_conditions, shipped_kinds
from builder.sources.entry import Address, Entry, dotted, nearest
from builder.sources.nations import SHIPPED_NATIONS
from builder.sources.workspace import Workspace

UNKNOWN_NAME = Rule(
    "conditions.unknown-name", "Every kind, fuel, condition and path that a condition names is there.",
    Severity.ERROR, basis="house rule: what is asked for in vain is never so, and nobody hears of it",
)  # fmt: skip
_BREAK = "Say in one of them what is true of the home, in place of the next name."


@rule_of_layers(
    "conditions.circle", "No named condition leads back to itself.",
    basis="house rule: every question ends", severity=Severity.ERROR,
)  # fmt: skip
def conditions_lead_in_no_circle(traced: TracedHome) -> Iterator[Problem]:
    own = traced.home.conditions
    for circle in traced.kept.once(circles, own):
        way = " → ".join((*circle, circle[0]))
        name = next(each for each in circle if each in own)
        if len(circle) == 1:
            wrong, right = (
                f"The condition '{name}' asks for itself.",
                "Say what is true of the home.",
            )
        else:
            wrong, right = f"These conditions lead in a circle: {way}.", _BREAK
        yield Problem(("conditions", name, "when"), wrong, right)


@rule_of_layers(
    UNKNOWN_NAME.id, UNKNOWN_NAME.says, basis=UNKNOWN_NAME.basis, severity=UNKNOWN_NAME.severity,
)  # fmt: skip
def conditions_name_what_is_there(traced: TracedHome) -> Iterator[Problem]:
    home, kept = traced.alike, traced.kept
    for section in Home.model_fields:
        value = getattr(home, section)
        for each in kept.once(_in_vain_of, section, value, home.kinds, home.fuels, home.conditions):
            if not _ships(traced, each.address):
                yield Problem(each.address, f"There is no {each.what} '{each.name}'.", _right(each))


def _in_vain_of(section: str, value: object, *known: object) -> tuple[NamedInVain, ...]:
    """What the conditions of one section of a home name in vain."""
    kinds, fuels, own = (set(each) for each in known)  # type: ignore[call-overload]
    names = NamesThere(kinds, fuels, own | shipped_conditions().keys())
    found = conditions_in(value, (section,))
    return tuple(each for at, condition in found for each in missing_in(condition, at, names))


def _ships(traced: TracedHome, address: Address) -> bool:
    """Whether a condition stands in a layer that ships: it may speak of what a workspace has not."""
    return traced.said(*address).place.file.startswith(SHIPPED_NATIONS)


def _right(missing: NamedInVain) -> str:
    return suggestion(missing.name, missing.known, f"Each {missing.what} here")


@rule_of_layers(
    "kinds.counts-as-nothing", "What a kind counts as is a kind that is there.",
    basis="house rule: a kind that counts as nothing gets no article, no rule and no words",
)  # fmt: skip
def kinds_count_as_what_is_there(traced: TracedHome) -> Iterator[Problem]:
    kinds = traced.home.kinds
    known = kinds.keys() | shipped_kinds()
    for name, kind in kinds.items():
        for index, other in enumerate(kind.counts_as):
            at = ("kinds", name, "counts_as", index)
            if other == name:
                yield Problem(at, f"The kind '{name}' counts as itself.", "Take it out, or name another kind.")  # fmt: skip
            elif other not in known:
                right = suggestion(other, known - {name}, "Each kind here")
                yield Problem(at, f"There is no kind '{other}' to count as.", right)


CONDITION_RULES = (
    conditions_lead_in_no_circle,
    conditions_name_what_is_there,
    kinds_count_as_what_is_there,
)


def texts_ask_for_what_is_there(workspace: Workspace) -> Iterator[Finding]:
    """What the conditions of a workspace's own symptoms and words of demonstrations name in vain. They may
    be those that ship with other words, so that they may speak of every kind that ships."""
    names = names_of(workspace)
    names = names._replace(kinds=names.kinds | shipped_kinds())
    for source in workspace.symptoms.values():
        if source.symptom is not None and not source.ships:
            yield from _in_vain(source.symptom, source.entry, names)
    for words in workspace.demonstration.sources:
        yield from _in_vain(words.read, words.entry, names)


def _in_vain(record: Record, entry: Entry, names: NamesThere) -> Iterator[Finding]:
    for at, condition in conditions_in(record, ()):
        for each in missing_in(condition, at, names):
            place = nearest(entry, each.address).place
            wrong = f"There is no {each.what} '{each.name}'."
            yield UNKNOWN_NAME.finding(place, wrong, _right(each), dotted(each.address))
