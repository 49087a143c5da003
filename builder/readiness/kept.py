"""The records that are kept of a demonstration: whole, and at one with the plot's file."""

from collections.abc import Iterator
from datetime import date

from builder.errors import Place
from builder.home.meters import meters
from builder.model.demonstration import DemonstrationRecord
from builder.model.handover import Demonstration, OwedBy
from builder.readiness.need import HAND_IN, Case, Lack, Need, before_handing_over
from builder.sources.entry import along

_COMMON_PRACTICE = "common practice"
_STANDS = "common practice: the record of the day stands, because the buyer saw and signed it"


@before_handing_over(
    "record.whole", "Each record of the demonstration that is kept can be read, and is of this plot.",
    owed_by="customer-care", basis=_COMMON_PRACTICE,
)  # fmt: skip
def records_are_whole(case: Case) -> Iterator[Lack]:
    for finding in case.recorded.unusable:
        yield Lack(f"{finding.wrong} {finding.right}", file=str(finding.place))


@before_handing_over(
    "record.agrees", "The plot's file and the record of the demonstration say the same.",
    owed_by="site", basis=_STANDS,
)  # fmt: skip
def file_and_record_agree(case: Case) -> Iterator[Lack]:
    if case.recorded.kept:
        yield from _keys(case)
        yield from _meters(case)
        yield from _documents(case)
        yield from _days(case)
        yield from _promises(case)


@before_handing_over(
    "outstanding.promised", "What is still to be done is written down, with the day it is promised for.",
    owed_by="customer-care", basis=_COMMON_PRACTICE,
)  # fmt: skip
def what_is_open_is_promised(case: Case) -> Iterator[Lack]:
    for name, item in case.record.outstanding.items():
        at = (HAND_IN, "outstanding", name)
        if item.note is None:
            yield Lack(f"'{name}': nothing says what is to be done.", (*at, "note"), "…")
        if item.due is None and item.done is None:
            yield Lack(f"'{name}': no day is promised for it.", (*at, "due"), "…")


def _keys(case: Case) -> Iterator[Lack]:
    for name, written in case.recorded.written.keys.items():
        told = case.record.keys[name]
        if written != told and name in case.home.keys:
            says = f"{case.home.keys[name].name}: the plot's file counts {written}, the record of the day {told}."  # fmt: skip
            yield _differs(case, says, (HAND_IN, "keys", name))


def _meters(case: Case) -> Iterator[Lack]:
    """Readings and serial numbers are private: which one differs is said, and nothing more."""
    for name, piece in meters(case.home).items():
        title = case.titles[name]
        written, told = case.recorded.written.meters.get(name), case.record.meters.get(name)
        if written and told and written.day == told.day and written.reading != told.reading:
            says = f"{title}: the plot's file and the record have two readings of one day."
            yield _differs(case, says, (HAND_IN, "meters", name, "reading"))
        seen = case.recorded.serials_seen.get(name)
        if seen and piece.serial and seen != piece.serial:
            says = f"{title}: the plot's file and the record have two serial numbers."
            yield _differs(case, says, ("serials", name))


def _documents(case: Case) -> Iterator[Lack]:
    for name, written in case.recorded.written.documents.items():
        told = case.record.documents[name]
        if told < written and name in case.documents:
            says = f"{case.documents[name].name}: the plot's file says given on {_iso(written)}, the record on {_iso(told)}."  # fmt: skip
            yield _differs(case, says, (HAND_IN, "documents", name))


def _days(case: Case) -> Iterator[Lack]:
    """The days of the walk and of the signature, each of which is that of one of the records."""
    written, records = case.recorded.written, [each.record for each in case.recorded.kept]
    shown = written.demonstration
    if shown and (shown.day, shown.by) not in [(each.day, each.by) for each in records]:
        says = f"The plot's file says that the home was shown on {_walk(shown)}, the record on {_walk(records[-1])}."  # fmt: skip
        yield _differs(case, says, (HAND_IN, "demonstration"), "customer-care")
    signed = [each.day for each in records if case.recorded.signed_for(each)]
    if written.signed and signed and written.signed not in signed:
        says = f"The plot's file says that the home was signed for on {_iso(written.signed)}, the record on {_iso(signed[-1])}."  # fmt: skip
        yield _differs(case, says, (HAND_IN, "signed"), "customer-care")


def _promises(case: Case) -> Iterator[Lack]:
    for name, written in case.recorded.written.outstanding.items():
        told = case.record.outstanding[name]
        if written.due and told.due and written.due != told.due:
            says = f"'{name}': the plot's file promises it for {_iso(written.due)}, the record for {_iso(told.due)}."  # fmt: skip
            yield _differs(case, says, (HAND_IN, "outstanding", name, "due"), "customer-care")


def _differs(
    case: Case, says: str, address: tuple[str, ...], owed_by: OwedBy | None = None
) -> Lack:
    """A contradiction, at its place in the plot's file."""
    own = case.prepared.plot.own
    met = list(along(own, address)) if own else []
    place = met[-1][1].named_at if met else Place(case.prepared.plot.file)
    return Lack(f"{says} The record stands: mend the file.", file=str(place), owed_by=owed_by)


def _walk(record: Demonstration | DemonstrationRecord) -> str:
    """The day of a walk, and the role of who led it."""
    return f"{_iso(record.day)} ({record.by.replace('-', ' ')})"


def _iso(day: date) -> str:
    return day.isoformat()


KEPT: tuple[Need, ...] = (records_are_whole, file_and_record_agree, what_is_open_is_promised)
