"""What is recorded of one plot's handover: by its file, and by the kept records of its demonstration.

Where both speak of one thing, the record of the day stands: it is what the buyer saw and signed. Of
two records the later one stands. What no record speaks of is as the plot's file says.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from builder.errors import Finding, Findings
from builder.home.meters import counts_as
from builder.model.demonstration import DemonstrationRecord, OpenItem
from builder.model.equipment import Equipment
from builder.model.handover import Demonstration, Handover, Outstanding
from builder.model.home import Home
from builder.sources.folder import Folder
from builder.sources.records import RecordSource, records_of
from builder.sources.workspace import PlotSource

Path = tuple[str, ...]


@dataclass(frozen=True)
class Recorded:
    """The handover section of a plot's file, ``written``, and its kept records by day, ``kept``.

    ``unusable`` tells of records that are damaged, or of another plot.
    """

    home: Home
    written: Handover
    kept: tuple[RecordSource, ...] = ()
    unusable: tuple[Finding, ...] = ()

    @cached_property
    def together(self) -> Handover:
        """What the file says, with each record of the day laid over it, the latest last."""
        handover = self.written
        for source in self.kept:
            handover = self._laid_over(handover, source.record)
        return handover

    @property
    def serials_seen(self) -> Mapping[str, str]:
        """The serial numbers that stand on meters, as they were seen on the day."""
        return {
            name: meter.serial.strip()
            for source in self.kept
            for name, meter in source.record.meters.items()
            if meter.serial and meter.serial.strip()
        }

    def source_of(self, path: Path) -> RecordSource | None:
        """The record that says what stands at a path; none where the plot's file says it."""
        for source in reversed(self.kept):
            if self._is_recorded(source.record, path):
                return source
        return None

    def signed_for(self, record: DemonstrationRecord) -> bool:
        """Whether the buyer signed for the home in a record.

        A signature from before legal completion is for the walk alone: the home is not the
        buyer's yet.
        """
        completion, signature = self.home.plot.completion, record.signatures.get("buyer")
        given = signature is not None and signature.given
        return given and completion is not None and record.day >= completion

    def _is_recorded(self, record: DemonstrationRecord, path: Path) -> bool:
        section, name = path[0], path[1] if len(path) > 1 else ""
        named: Mapping[str, object] = {
            "meters": record.meters, "keys": record.keys, "outstanding": record.outstanding,
        }.get(section, {})  # fmt: skip
        if named:
            # A record of the day cannot know when something was done later.
            return name in named and path[-1] != "done"
        return {
            "demonstration": True,
            "alarms_tested": self._all_sounded(record),
            "signed": self.signed_for(record),
        }.get(section, False)

    def _laid_over(self, below: Handover, record: DemonstrationRecord) -> Handover:
        sounded = record.day if self._all_sounded(record) else below.alarms_tested
        signed = record.day if self.signed_for(record) else below.signed
        return below.model_copy(
            update={
                "meters": {**below.meters, **record.meters},
                "keys": {**below.keys, **record.keys},
                "documents": _papers_given(below.documents, record),
                "alarms_tested": sounded,
                "demonstration": Demonstration(day=record.day, by=record.by),
                "outstanding": _promised(below.outstanding, record.outstanding),
                "signed": signed,
            }
        )

    def _all_sounded(self, record: DemonstrationRecord) -> bool:
        wanted = alarms_of(self.home)
        return bool(wanted) and wanted.keys() <= set(record.alarms)


def recorded_of(plot: PlotSource, home: Home, written: Handover, folder: Folder) -> Recorded:
    """What a plot's file and the records kept beside it say."""
    unusable = Findings()
    kept = records_of(folder, plot.references, unusable)
    return Recorded(home, written, kept, tuple(unusable))


def alarms_of(home: Home) -> dict[str, Equipment]:
    """The alarms that warn of smoke, heat and carbon monoxide."""
    kinds = ("smoke-alarm", "heat-alarm", "carbon-monoxide-alarm")
    return {name: each for name, each in home.equipment.items() if counts_as(home, each, *kinds)}


def _papers_given(below: Mapping[str, date], record: DemonstrationRecord) -> dict[str, date]:
    """The day on which each paper was given: an earlier one than the day of the walk stays."""
    ticked = {name: min(below.get(name, record.day), record.day) for name in record.documents}
    return {**below, **ticked}


def _promised(
    below: Mapping[str, Outstanding], agreed: Mapping[str, OpenItem]
) -> dict[str, Outstanding]:
    """What is outstanding: as it was agreed on the day, and done when the plot's file says so."""
    return {**below, **dict(_agreed(below, agreed))}


def _agreed(
    below: Mapping[str, Outstanding], agreed: Mapping[str, OpenItem]
) -> Iterator[tuple[str, Outstanding]]:
    for name, item in agreed.items():
        earlier = below.get(name, Outstanding())
        # What was typed on the day is kept as it is: it is not held to the rules of texts.
        due = item.due or earlier.due
        yield name, earlier.model_copy(update={"note": item.note, "due": due})
