"""How one plot stands: what its row says, what it lacks, and how its published guide compares."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from builder.build.manifest import GuideRecord, Records
from builder.build.sources import Sources, is_article
from builder.errors import Finding
from builder.questions.having import Having
from builder.readiness.assess import MissingNeed, Readiness
from builder.readiness.need import Stage
from builder.register.lines import Register
from builder.sources.entry import Entry, plain
from builder.sources.workspace import PlotSource, Workspace

WEEKS_AHEAD = 4
"""How far ahead handovers are listed."""
_WORDS: Mapping[str, str] = {
    "row": "its row in plots.csv",
    "codes": "its codes",
    "day": "the day, on which a waiver ends",
    "builder": "the builder itself",
    "articles": "which articles there are, and for whom",
    "templates": "the templates of pages",
    "pictures": "photographs",
}
"""What a guide is made from beside files, as people read it."""


@dataclass(frozen=True, slots=True)
class RowFacts:
    """What the row of a plot says, in the words of the workspace. ``completion``: the day of legal
    completion, once it is known."""

    reference: str
    development: str
    number: str
    address: str
    postcode: str
    house_type: str
    house_type_name: str
    hand: str
    options: tuple[str, ...]
    completion: date | None


@dataclass(frozen=True, slots=True)
class Publication:
    """A guide that stands published: its code, its address, the first day, and what of all that it is
    made from is another now (nothing: it is up to date)."""

    code: str
    address: str
    since: date | None
    changed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """How one plot stands, what it has, which articles it gets, and what a check of it finds in house
    types. ``readiness`` is none until the plot has been looked at; ``publication`` is none where no guide
    stands."""

    facts: RowFacts
    readiness: Readiness | None = None
    publication: Publication | None = None
    warnings: int = 0
    pieces: tuple[Having, ...] = ()
    articles: frozenset[str] = frozenset()
    in_house_types: tuple[Finding, ...] = ()

    @property
    def reference(self) -> str:
        return self.facts.reference

    @property
    def signed(self) -> date | None:
        """The day on which its buyer signed for it."""
        return self.readiness.signed if self.readiness else None

    @property
    def state(self) -> str:
        """The word for where a plot is on its way."""
        if self.readiness is None:
            return "not looked at yet"
        if self.readiness.ready(Stage.CLOSED) and self.signed:
            return "closed"
        if self.signed:
            return "handed over"
        return "published" if self.publication else "not published"

    def owed_by(self, role: str) -> tuple[MissingNeed, ...]:
        """What of all that is missing one role owes."""
        missing = self.readiness.missing if self.readiness else ()
        return tuple(each for each in missing if each.owed_by == role)

    def due(self, day: date) -> bool:
        """Whether it is handed over within the next weeks, or should have been."""
        last = day + timedelta(weeks=WEEKS_AHEAD)
        return self.facts.completion is not None and not self.signed and self.facts.completion <= last  # fmt: skip


def facts_of(plot: PlotSource, workspace: Workspace) -> RowFacts:
    """What the row of a plot says, as far as it can be read."""
    row: Mapping[str, object] = plain(plot.row).get("plot", {})
    house_type = str(row.get("house_type", ""))
    options = row.get("options")
    completion = row.get("completion")
    return RowFacts(
        plot.reference,
        plot.development,
        plot.number,
        str(row.get("address", "")),
        str(row.get("postcode", "")),
        house_type,
        text_at(workspace.house_types.get(house_type), "house_type", "name") or house_type,
        str(row.get("hand", "")),
        tuple(map(str, options)) if isinstance(options, list | tuple) else (),
        _day(completion),
    )


def text_at(entry: Entry | None, *path: str) -> str:
    """A text in the sources; nothing where there is none."""
    for step in path:
        entry = entry.child(step) if entry is not None else None
    return entry.value if entry is not None and isinstance(entry.value, str) else ""


def _day(value: object) -> date | None:
    if isinstance(value, date):
        return value
    try:
        return date.fromisoformat(str(value)) if value else None
    except ValueError:
        return None


def publication_of(
    plot: PlotSource, workspace: Workspace, register: Register, records: Records, sources: Sources,
    day: date,
) -> Publication | None:  # fmt: skip
    """The published guide of a plot, and what of all that it was made from has changed since."""
    code = register.guide(plot.numbers)
    record = records.read(code) if code else None
    if code is None or record is None:
        return None
    now = sources.inputs(plot, workspace, register, day, filter(is_article, record.inputs))
    issued = next((each.issued for each in register.codes if each.code == code), None)
    return Publication(
        code, _address(plot, workspace, code), issued, tuple(_changed_inputs(record, now))
    )


def _changed_inputs(record: GuideRecord, now: Mapping[str, str]) -> Iterator[str]:
    for name in dict.fromkeys((*record.inputs, *now)):
        if record.inputs.get(name) != now.get(name):
            yield _WORDS.get(name, name)


def _address(plot: PlotSource, workspace: Workspace, code: str) -> str:
    entry = workspace.developments[plot.development].entry
    host = text_at(entry, "development", "base_url").rstrip("/")
    return f"{host}/g/{code}/" if host else ""
