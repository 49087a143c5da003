"""The record of a handover names only what this home has: no reading is lost to a mistyped id."""

from collections.abc import Collection, Iterator

from builder.errors import Finding, Severity, suggestion
from builder.home.assemble import TracedHome
from builder.home.meters import design_rates, meters
from builder.rules.rule import Rule
from builder.sources.entry import Entry, dotted

_BASIS = "house rule: what is recorded belongs to something in this home"


def _rule(identifier: str, says: str) -> Rule:
    return Rule(identifier, says, Severity.ERROR, _BASIS)


UNKNOWN_METER = _rule("handover.unknown-meter", "A reading is of a meter of this home.")
UNKNOWN_KEY = _rule("handover.unknown-key", "Keys are counted by the key schedule of this home.")
UNKNOWN_DOCUMENT = _rule("handover.unknown-document", "A document is one of the list.")
UNKNOWN_AIR = _rule("handover.unknown-air-valve", "Air is measured at an air valve or a fan.")
HANDOVER_RULES = (UNKNOWN_METER, UNKNOWN_KEY, UNKNOWN_DOCUMENT, UNKNOWN_AIR)

_AIR = ("commissioning", "ventilation")


def handover_record_mistakes(traced: TracedHome, own: Entry | None) -> Iterator[Finding]:
    """One finding for each id in the handover record of a plot that names nothing.

    ``own``: the entries of the plot's file.
    """
    home = traced.home
    record = own.children.get("handover") if own else None
    if record is None:
        return
    known: tuple[tuple[tuple[str, ...], Rule, str, Collection[str]], ...] = (
        (("meters",), UNKNOWN_METER, "meter", meters(home)),
        (("keys",), UNKNOWN_KEY, "key", home.keys),
        (("documents",), UNKNOWN_DOCUMENT, "document", home.documents),
        ((*_AIR, "rates"), UNKNOWN_AIR, "air valve or fan", design_rates(home)),
        ((*_AIR, "boost_rates"), UNKNOWN_AIR, "air valve or fan", design_rates(home)),
    )
    for address, rule, thing, ids in known:
        for finding in _unknown(record, address, rule, thing, ids):
            yield finding.for_plots(traced.reference)


def _unknown(
    record: Entry, address: tuple[str, ...], rule: Rule, thing: str, ids: Collection[str]
) -> Iterator[Finding]:
    here: Entry | None = record
    for step in address:
        here = here.child(step) if here else None
    for name, entry in (here.children if here else {}).items():
        if name not in ids:
            yield rule.finding(
                entry.named_at,
                f"This home has no {thing} '{name}'."
                if rule is not UNKNOWN_DOCUMENT
                else f"There is no document '{name}'.",
                suggestion(name, ids, "Known here"),
                dotted(("handover", *address, name)),
            )
