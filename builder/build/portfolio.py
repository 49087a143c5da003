"""What a build did for every plot, gathered for the team, and the page that is kept beside the tree."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from builder.build.change_log import kept_log
from builder.build.kept_findings import kept_findings
from builder.build.manifest import GuideRecord, Records
from builder.errors import Finding, Severity
from builder.layers.stack import files_of
from builder.register.lines import Register
from builder.sources.entry import Entry
from builder.sources.workspace import PlotSource, Workspace
from builder.writers.portfolio.page import PlotLine, Portfolio, State


@dataclass(frozen=True, slots=True)
class PublishedStanding:
    """A guide as its record tells: its code, its pages, its warnings, and when its pages changed
    last; no day where they are those of its first edition."""

    code: str
    pages: int
    warnings: int
    changed: date | None


def standing(record: GuideRecord) -> PublishedStanding:
    """What the record of a guide says of it."""
    inside = f"g/{record.code}/"
    return PublishedStanding(
        record.code,
        sum(name.startswith(inside) and name.endswith(".html") for name in record.files),
        sum(map(_warns, kept_findings(record))),
        max((each.day for each in kept_log(record)), default=None),
    )


@dataclass(frozen=True, slots=True)
class BuildOutcome:
    """What a build did: ``states`` of the plots that it was asked for, and guides that it knows of
    already, by reference; all other guides are read from their records."""

    day: date
    states: Mapping[str, State]
    known: Mapping[str, PublishedStanding]
    findings: tuple[Finding, ...]


class Gathering:
    """Tells of every plot of a workspace after a build."""

    def __init__(
        self, workspace: Workspace, records: Records, register: Callable[[str], Register]
    ) -> None:
        self._workspace, self._records, self._register = workspace, records, register

    def portfolio(self, outcome: BuildOutcome, others: Iterable[PlotLine] = ()) -> Portfolio:
        """All plots, in the order of their developments and tables; ``others`` are those of
        developments that the workspace was read without."""
        errors = [each for each in outcome.findings if each.severity is Severity.ERROR]
        warnings = Counter(
            plot for each in outcome.findings if _warns(each) for plot in set(each.plots)
        )
        plots = self._workspace.plots.values()
        lines = [self._line(each, outcome, errors, warnings) for each in plots]
        by_development = sorted(
            (*lines, *others), key=lambda each: each.reference.partition("/")[0]
        )
        return Portfolio(outcome.day, tuple(by_development))

    def _line(
        self, plot: PlotSource, outcome: BuildOutcome, errors: list[Finding], warnings: Counter[str]
    ) -> PlotLine:
        reference = plot.reference
        state = outcome.states.get(reference, "not asked for")
        guide = outcome.known.get(reference) or self._recorded(plot)
        here = warnings[reference] if state != "not asked for" else guide.warnings if guide else 0
        return PlotLine(
            reference=reference,
            development=self._development(plot, "name") or plot.development,
            number=plot.number,
            house_type=self._house_type(plot),
            state=state,
            why=tuple(self._why(plot, errors)) if state == "left as it was" else (),
            pages=guide.pages if guide else 0,
            warnings=here,
            address=self._address(plot, guide) if guide else "",
            changed=(guide.changed or self._issued(plot, guide.code)) if guide else None,
        )

    def _recorded(self, plot: PlotSource) -> PublishedStanding | None:
        code = self._register(plot.development).guide(plot.numbers)
        record = self._records.read(code) if code else None
        return None if record is None else standing(record)

    def _address(self, plot: PlotSource, guide: PublishedStanding) -> str:
        host = self._development(plot, "base_url").rstrip("/")
        return f"{host}/g/{guide.code}/" if host else ""

    def _issued(self, plot: PlotSource, code: str) -> date | None:
        """The day on which a guide was published first: its code was drawn for that."""
        codes = self._register(plot.development).codes
        return next((each.issued for each in codes if each.code == code), None)

    def _development(self, plot: PlotSource, name: str) -> str:
        return _text_at(self._workspace.developments[plot.development].entry, "development", name)

    def _house_type(self, plot: PlotSource) -> str:
        named = _text_at(plot.row, "plot", "house_type")
        return _text_at(self._workspace.house_types.get(named), "house_type", "name") or named

    def _why(self, plot: PlotSource, errors: Iterable[Finding]) -> Iterator[str]:
        """The errors of a plot, and those of the files that it is made from."""
        files = files_of(self._workspace, plot)
        for each in errors:
            if plot.reference in each.plots or (not each.plots and each.place.file in files):
                yield f"{each.place}: {each.wrong}"


def _text_at(entry: Entry | None, *path: str) -> str:
    """A text in the sources; nothing where there is none."""
    for step in path:
        entry = entry.child(step) if entry is not None else None
    return str(entry.value) if entry is not None and isinstance(entry.value, str) else ""


def _warns(finding: Finding) -> bool:
    return finding.severity is Severity.WARNING and not finding.waived
