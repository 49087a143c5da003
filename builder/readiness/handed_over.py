"""What stands between a published plot and its handover: counted, given, shown and put right; and then
between the handover and the closing of its file."""

from collections.abc import Iterator
from datetime import date

from builder.errors import Severity
from builder.home.meters import counts_as, meters
from builder.readiness.need import HAND_IN, Case, Lack, Need, before_closing, before_handing_over
from builder.readiness.recorded import alarms_of

_COMMON_PRACTICE = "common practice"
_MASONRY = "open-fire"
"""What burns fuel and was built, not made: no plate with a number is on it."""
_CODES = "consumer codes for new homes (from memory)"


@before_handing_over(
    "rules.warnings", "No trade rule warns of this home, unless somebody answers for it.",
    owed_by="technical", basis="the rule's own",
)  # fmt: skip
def rules_are_kept(case: Case) -> Iterator[Lack]:
    for finding in case.findings:
        if finding.severity is Severity.WARNING and not finding.waived:
            yield Lack(
                f"{finding.wrong} {finding.right}", file=str(finding.place), basis=finding.basis
            )


@before_handing_over(
    "plot.completion", "The day of completion is known.", owed_by="sales", basis=_COMMON_PRACTICE
)
def completion_is_known(case: Case) -> Iterator[Lack]:
    if case.home.plot.completion is None:
        table = f"developments/{case.prepared.plot.development}/plots.csv"
        yield Lack(
            f"The {case.home.terms['completion-day']} of the home is not known.",
            ("completion",),
            "…",
            file=table,
        )


@before_handing_over(
    "meters.serial",
    "The serial number of each meter is written down.",
    owed_by="site",
    basis=_COMMON_PRACTICE,
)
def meters_have_serials(case: Case) -> Iterator[Lack]:
    for name, piece in meters(case.home).items():
        if piece.serial is None and name not in case.recorded.serials_seen:
            yield Lack(f"{case.titles[name]}: no serial number.", ("serials", name), '"…"')


@before_handing_over(
    "meters.reading", "Each meter is read.", owed_by="site", basis=_COMMON_PRACTICE
)
def meters_are_read(case: Case) -> Iterator[Lack]:
    for name in meters(case.home):
        if name not in case.record.meters:
            yield Lack(
                f"{case.titles[name]}: not read.",
                (HAND_IN, "meters", name),
                '{reading: "…", day: …}',
            )


@before_handing_over(
    "serials.serviced", "The serial number of what is serviced, or burns fuel, is written down.",
    owed_by="site", basis="common practice: a recall, and a service, ask for the number",
)  # fmt: skip
def serviced_equipment_has_serials(case: Case) -> Iterator[Lack]:
    measuring = meters(case.home)
    for name, piece in case.home.equipment.items():
        kind = case.home.kinds[piece.kind]
        plated = kind.burns_fuel and not counts_as(case.home, piece, _MASONRY)
        asked_for = kind.service_every or plated
        if asked_for and piece.serial is None and name not in measuring:
            yield Lack(f"{case.titles[name]}: no serial number.", ("serials", name), '"…"')


@before_handing_over(
    "keys.counted", "The keys are counted, and are as many as the schedule says.",
    owed_by="site", basis=_COMMON_PRACTICE,
)  # fmt: skip
def keys_are_counted(case: Case) -> Iterator[Lack]:
    for name, key in case.home.keys.items():
        counted = case.record.keys.get(name)
        if counted is None:
            yield case.at(f"{key.name}: not counted; the schedule says {key.count}.", "keys", name)
        elif counted != key.count:
            yield case.at(f"{key.name}: {counted} counted; the schedule says {key.count}.", "keys", name)  # fmt: skip


@before_handing_over(
    "documents.given", "Every paper that this home needs is given.",
    owed_by="site", basis="the paper's own",
)  # fmt: skip
def documents_are_given(case: Case) -> Iterator[Lack]:
    for name, document in case.documents.items():
        if name not in case.record.documents:
            yield Lack(
                f"{document.name}: not given.", (HAND_IN, "documents", name), "…",
                owed_by=document.owed_by, basis=document.basis,
            )  # fmt: skip


@before_handing_over(
    "alarms.tested", "Every alarm is tested and heard.", owed_by="site", basis=_COMMON_PRACTICE
)
def alarms_are_tested(case: Case) -> Iterator[Lack]:
    if alarms_of(case.home) and case.record.alarms_tested is None:
        yield Lack("The alarms have not been tested.", (HAND_IN, "alarms_tested"), "…")


@before_handing_over(
    "stickers.issued",
    "Every piece that wants a sticker has its code.",
    owed_by="technical",
    basis=_COMMON_PRACTICE,
)
def stickers_are_issued(case: Case) -> Iterator[Lack]:
    for name in _wanting_stickers(case):
        if name not in case.stickers:
            register = f"developments/{case.prepared.plot.development}/register.csv"
            says = f"{case.titles[name]}: no sticker code is issued. Run: handover stickers issue {case.prepared.plot.reference}"  # fmt: skip
            yield Lack(says, file=register)


@before_handing_over(
    "stickers.fixed",
    "Every sticker is fixed where its equipment is.",
    owed_by="site",
    basis=_COMMON_PRACTICE,
)
def stickers_are_fixed(case: Case) -> Iterator[Lack]:
    if _wanting_stickers(case) and case.record.stickers.fixed is None:
        yield Lack("The stickers have not been fixed.", (HAND_IN, "stickers", "fixed"), "…")
    yield from _issued_later(case, "fixed", case.record.stickers.fixed)


@before_handing_over(
    "stickers.scanned",
    "Every sticker is scanned where it sticks.",
    owed_by="site",
    basis=_COMMON_PRACTICE,
)
def stickers_are_scanned(case: Case) -> Iterator[Lack]:
    if _wanting_stickers(case) and case.record.stickers.scanned is None:
        yield Lack("The stickers have not been scanned.", (HAND_IN, "stickers", "scanned"), "…")
    yield from _issued_later(case, "scanned", case.record.stickers.scanned)


def _issued_later(case: Case, done: str, on: date | None) -> Iterator[Lack]:
    """Stickers that did not exist on the day that is written for all of them."""
    for name in _wanting_stickers(case) if on else ():
        issued = case.stickers.get(name)
        if on and issued and issued > on:
            says = f"{case.titles[name]}: its sticker was issued on {issued.isoformat()}, and the stickers were {done} on {on.isoformat()}."  # fmt: skip
            yield case.at(says, "stickers", done)


def _wanting_stickers(case: Case) -> tuple[str, ...]:
    """The ids of the equipment that wants a sticker."""
    kinds = case.home.kinds
    return tuple(
        name
        for name, each in case.home.equipment.items()
        if (each.sticker or kinds[each.kind].sticker) != "none"
    )


@before_handing_over(
    "demonstration.given", "The home is shown to its buyer.", owed_by="customer-care", basis=_CODES
)
def home_is_shown(case: Case) -> Iterator[Lack]:
    if case.record.demonstration is None:
        yield Lack(
            "The home has not been shown to its buyer.",
            (HAND_IN, "demonstration"), "{day: …, by: customer-care}",
        )  # fmt: skip


HANDED_OVER: tuple[Need, ...] = (
    rules_are_kept, completion_is_known, meters_have_serials, meters_are_read,
    serviced_equipment_has_serials, keys_are_counted, documents_are_given, alarms_are_tested,
    stickers_are_issued, stickers_are_fixed, stickers_are_scanned, home_is_shown,
)  # fmt: skip


@before_closing(
    "handover.signed", "The buyer has signed for the home.", owed_by="customer-care",
    basis="common practice: the day is kept, never the signature",
)  # fmt: skip
def buyer_has_signed(case: Case) -> Iterator[Lack]:
    if case.record.signed is None:
        yield Lack("The buyer has not signed for the home.", (HAND_IN, "signed"), "…")


@before_closing(
    "outstanding.done", "What was outstanding on the day of the handover is done.",
    owed_by="site", basis=_COMMON_PRACTICE,
)  # fmt: skip
def outstanding_items_are_done(case: Case) -> Iterator[Lack]:
    for name, item in case.record.outstanding.items():
        if item.done is None:
            yield Lack(
                f"'{name}' is not done; {_promise(item.due, case.day)}.",
                (HAND_IN, "outstanding", name, "done"), "…",
            )  # fmt: skip


def _promise(due: date | None, today: date) -> str:
    if due is None:
        return "no day is promised for it"
    past = ", which is past" if due < today else ""
    return f"it is promised for {due.isoformat()}{past}"


@before_closing(
    "care.call", "Customer care has called the buyer after the first weeks.",
    owed_by="customer-care", basis=_COMMON_PRACTICE,
)  # fmt: skip
def buyer_was_called(case: Case) -> Iterator[Lack]:
    if case.record.care_call is None:
        yield Lack("The buyer has not been called.", (HAND_IN, "care_call"), "…")


@before_closing(
    "snags.closed", "The snags that the buyer reported are closed.",
    owed_by="customer-care", basis=_COMMON_PRACTICE,
)  # fmt: skip
def snags_are_closed(case: Case) -> Iterator[Lack]:
    if case.record.snags_closed is None:
        yield Lack("The snags are not closed.", (HAND_IN, "snags_closed"), "…")


CLOSED: tuple[Need, ...] = (
    buyer_has_signed, outstanding_items_are_done, buyer_was_called, snags_are_closed,
)  # fmt: skip
