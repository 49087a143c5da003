"""What stands between a plot that was handed over and the closing of its file."""

from collections.abc import Iterator
from datetime import date

from builder.readiness.need import HAND_IN, Case, Lack, Need, before_closing

_CP = "common practice"


@before_closing(
    "handover.signed", "The buyer has signed for the home.", owed_by="customer-care",
    basis="common practice: the day is kept, never the signature",
)  # fmt: skip
def buyer_has_signed(case: Case) -> Iterator[Lack]:
    if case.record.signed is None:
        yield Lack("The buyer has not signed for the home.", (HAND_IN, "signed"), "…")


@before_closing(
    "outstanding.done", "What was outstanding on the day of the handover is done.",
    owed_by="site", basis=_CP,
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
    owed_by="customer-care", basis=_CP,
)  # fmt: skip
def buyer_was_called(case: Case) -> Iterator[Lack]:
    if case.record.care_call is None:
        yield Lack("The buyer has not been called.", (HAND_IN, "care_call"), "…")


@before_closing(
    "snags.closed", "The snags that the buyer reported are closed.",
    owed_by="customer-care", basis=_CP,
)  # fmt: skip
def snags_are_closed(case: Case) -> Iterator[Lack]:
    if case.record.snags_closed is None:
        yield Lack("The snags are not closed.", (HAND_IN, "snags_closed"), "…")


CLOSED: tuple[Need, ...] = (
    buyer_has_signed, outstanding_items_are_done, buyer_was_called, snags_are_closed,
)  # fmt: skip
