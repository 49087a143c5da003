"""Compares the record of a demonstration with the run sheet of its plot.

The record is kept whatever is found: it was signed. What the run sheet does not know, and what was
not shown, not counted or counted differently, is a warning: that is how the day went, or the home has
changed since, and somebody sees to it.
"""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from builder.demonstration.sheet import RunSheet
from builder.errors import Finding, Place, Severity, suggestion
from builder.guide.walk.stops import Stop
from builder.model.demonstration import DemonstrationRecord, Signer, StopRecord
from builder.sources.entry import Address, along, dotted
from builder.sources.records import RecordSource

_SIGNERS: tuple[tuple[Signer, str], ...] = (("buyer", "the buyer"), ("builder", "the builder"))


@dataclass(frozen=True)
class RecordComparison:
    """One record beside the run sheet of its plot, as the home is today."""

    source: RecordSource
    sheet: RunSheet
    today: date

    @property
    def record(self) -> DemonstrationRecord:
        return self.source.record

    def findings(self) -> Iterator[Finding]:
        """Everything in which the record differs from the run sheet."""
        yield from self._day()
        yield from self._stops()
        yield from self._sheet_changed()
        yield from self._meters()
        yield from self._keys()
        yield from self._lists()
        yield from self._outstanding()
        yield from self._signatures()

    def _finding(
        self, code: str, address: Address, wrong: str, right: str,
        severity: Severity = Severity.WARNING,
    ) -> Finding:  # fmt: skip
        met = list(along(self.source.entry, address))
        place: Place = met[-1][1].named_at if met else self.source.entry.place
        return Finding(code, place, wrong, right, dotted(address), severity)

    def _unknown(self, address: Address, thing: str, known: Collection[str]) -> Finding:
        name = str(address[-1])
        return self._finding(
            "record.unknown",
            address,
            f"The run sheet of plot '{self.sheet.plot}' has no {thing} '{name}'.",
            suggestion(name, known, "It has"),
        )

    def _day(self) -> Iterator[Finding]:
        if self.record.day > self.today:
            yield self._finding(
                "record.future", ("day",), f"{self.record.day} is yet to come.",
                "Set the tablet's date right, and have the day corrected in a new record.",
            )  # fmt: skip

    def _stops(self) -> Iterator[Finding]:
        known = {stop.id: stop for stop in self.sheet.stops}
        for name, seen in self.record.stops.items():
            if name not in known:
                yield self._unknown(("stops", name), "stop", known)
            else:
                yield from self._strange(known[name], seen)
        for stop in self.sheet.stops:
            yield from self._not_shown(stop, self.record.stops.get(stop.id, StopRecord()))

    def _strange(self, stop: Stop, seen: StopRecord) -> Iterator[Finding]:
        """What the record ticks at a stop that the sheet does not have there."""
        things = {thing.id for item in stop.items for thing in item.things}
        tries = {item.id for item in stop.items if item.tries}
        for ticked, known, of in ((seen.shown, things, "shown"), (seen.tried, tries, "tried")):
            for index, name in enumerate(ticked):
                if name not in known:
                    address = ("stops", stop.id, of, index)
                    yield self._finding(
                        "record.unknown", address,
                        f"There is nothing '{name}' at the stop '{stop.id}'.",
                        suggestion(name, known, "There is"),
                    )  # fmt: skip

    def _not_shown(self, stop: Stop, seen: StopRecord) -> Iterator[Finding]:
        things = [thing for item in stop.items for thing in item.things]
        left = [thing.title for thing in things if thing.id not in seen.shown]
        tries = [item.title for item in stop.items if item.tries and item.id not in seen.tried]
        address = ("stops", stop.id)
        if left:
            yield self._finding(
                "record.not-shown", address, f"Not shown at '{stop.title}': {'; '.join(left)}.",
                "Show it, or put it on the list of what is still to be done.",
            )  # fmt: skip
        if tries:
            yield self._finding(
                "record.not-tried", address, f"Not tried at '{stop.title}': {'; '.join(tries)}.",
                "Let the buyer try it at the care call.", Severity.NOTE,
            )  # fmt: skip

    def _sheet_changed(self) -> Iterator[Finding]:
        if self.record.sheet != self.sheet.mark:
            yield self._finding(
                "record.sheet", ("sheet",),
                f"It was written on sheet {self.record.sheet}, and the home now makes sheet {self.sheet.mark}.",
                "See what has changed in the home since then: the buyer was shown the earlier state.",
            )  # fmt: skip

    def _meters(self) -> Iterator[Finding]:
        known = {meter.id: meter for meter in self.sheet.meters}
        for name, seen in self.record.meters.items():
            if name not in known:
                yield self._unknown(("meters", name), "meter", known)
            elif known[name].serial and seen.serial != known[name].serial:
                yield self._finding(
                    "record.serial", ("meters", name, "serial"),
                    f"The serial number on '{known[name].title}' is another than the one recorded.",
                    "Look again, and mend 'serials' of the plot or the supplier's papers.",
                )  # fmt: skip
        for name in (each for each in known if each not in self.record.meters):
            yield self._finding(
                "record.not-read", ("meters",), f"'{known[name].title}' has no reading.",
                "Read it, and write the reading in the plot's file.",
            )  # fmt: skip

    def _keys(self) -> Iterator[Finding]:
        known = {key.id: key for key in self.sheet.keys}
        for name in self.record.keys:
            if name not in known:
                yield self._unknown(("keys", name), "keys", known)
        for name, key in known.items():
            counted = self.record.keys.get(name)
            if counted != key.count:
                said = "not counted" if counted is None else f"{counted} counted"
                yield self._finding(
                    "record.keys", ("keys", name),
                    f"'{key.name}': {said}, and the schedule says {key.count}.",
                    "Find the keys, or mend the schedule.",
                )  # fmt: skip

    def _lists(self) -> Iterator[Finding]:
        alarms = {alarm.id: alarm.title for alarm in self.sheet.alarms}
        papers = {paper.id: paper.text for paper in self.sheet.documents}
        yield from self._findings_of_list(
            "alarms", "alarm", self.record.alarms, alarms, "Not sounded"
        )
        yield from self._findings_of_list(
            "documents", "paper", self.record.documents, papers, "Not handed over"
        )

    def _findings_of_list(
        self, section: str, thing: str, ticked: Iterable[str], known: dict[str, str], left: str
    ) -> Iterator[Finding]:
        done = list(ticked)
        for index, name in enumerate(done):
            if name not in known:
                wrong = f"The run sheet of plot '{self.sheet.plot}' has no {thing} '{name}'."
                right = suggestion(name, known, "It has")
                yield self._finding("record.unknown", (section, index), wrong, right)
        missing = [title for name, title in known.items() if name not in done]
        if missing:
            yield self._finding(
                f"record.{section}", (section,), f"{left}: {'; '.join(missing)}.",
                "Do it, and write the day in the plot's file.",
            )  # fmt: skip

    def _outstanding(self) -> Iterator[Finding]:
        for name, each in self.record.outstanding.items():
            if each.due is None:
                yield self._finding(
                    "record.no-day", ("outstanding", name),
                    "Something is still to be done, and no day is promised for it.",
                    "Agree a day with the buyer.",
                )  # fmt: skip

    def _signatures(self) -> Iterator[Finding]:
        for signer, name in _SIGNERS:
            signature = self.record.signatures.get(signer)
            if signature is None or not signature.given:
                yield self._finding(
                    "record.not-signed", ("signatures",), f"It is not signed by {name}.",
                    "Have it signed on paper, and keep the paper.",
                )  # fmt: skip
