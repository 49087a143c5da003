"""All needs of plots, what each plot still lacks at each stage, and what of that somebody asks for."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import get_args

from builder.errors import Finding, Findings
from builder.home.spoken import spoken
from builder.model.handover import Handover, OwedBy
from builder.preparing import Preparation, Prepared
from builder.readiness.commissioning import COMMISSIONING
from builder.readiness.contents import CONTENTS
from builder.readiness.days import CLOSING_DAYS, DAYS
from builder.readiness.handed_over import CLOSED, HANDED_OVER
from builder.readiness.kept import KEPT
from builder.readiness.need import HAND_IN, Case, Lack, Need, Stage
from builder.readiness.published import BASIS, DATA_WITHOUT_MISTAKES, SAYS, errors_of, mistakes
from builder.readiness.recorded import Recorded, recorded_of
from builder.rules.handover import handover_record_mistakes
from builder.selection.conditions import judge
from builder.sources.entry import plain
from builder.sources.workspace import PlotSource, Workspace

NEEDS: tuple[Need, ...] = (
    *HANDED_OVER, *KEPT, *COMMISSIONING, *DAYS, *CONTENTS, *CLOSED, *CLOSING_DAYS,
)  # fmt: skip
"""Every need that reads a home. What publishing needs is read from findings."""


@dataclass(frozen=True, slots=True)
class MissingNeed:
    """One thing that a plot lacks. ``needs`` is what holds once it is there.

    ``write_in`` is a file, with line and column where something wrong stands there already;
    ``path`` and ``value`` are what to write, an example in YAML with … for what is not known.
    """

    need: str
    needs: str
    stage: Stage
    says: str
    owed_by: OwedBy
    basis: str
    write_in: str
    path: tuple[str, ...] = ()
    value: str = ""


@dataclass(frozen=True, slots=True)
class Readiness:
    """What one plot lacks, in the order of its stages. ``judged``: its data makes a home at all.
    ``signed``: the day on which its buyer signed for it, by its file and its records."""

    plot: str
    address: str
    judged: bool
    missing: tuple[MissingNeed, ...]
    signed: date | None = None

    def lacks(self, stage: Stage) -> tuple[MissingNeed, ...]:
        """What this stage alone asks for, and the plot has not."""
        return tuple(each for each in self.missing if each.stage is stage)

    def ready(self, stage: Stage) -> bool:
        """Whether a plot lacks nothing for a stage, nor for any before it."""
        return self.judged and not any(self.lacks(each) for each in stage.before)


Stickers = Mapping[str, Mapping[str, date]]
"""The day on which the code of each piece's sticker was issued, by plot and by the piece's id."""


def assess(preparation: Preparation, stickers: Stickers, day: date) -> tuple[Readiness, ...]:
    """What each plot that was asked for lacks on a day, in the order asked."""
    findings = Findings()
    findings.extend(preparation.findings)
    for prepared in preparation.homes.values():
        own = prepared.plot.own
        findings.extend(handover_record_mistakes(prepared.traced, own))
    workspace = preparation.workspace
    return tuple(
        assess_one(
            workspace.plots[each],
            workspace,
            preparation.homes.get(each),
            findings,
            stickers.get(each, {}),
            day,
        )
        for each in preparation.asked
    )


def assess_one(
    plot: PlotSource,
    workspace: Workspace,
    prepared: Prepared | None,
    findings: Findings,
    stickers: Mapping[str, date],
    day: date,
) -> Readiness:
    """What one plot lacks on a day. ``findings``: all that concern it, and all errors; ``prepared`` is
    none where its data makes no home."""
    reference = plot.reference
    errors = errors_of(plot, workspace, findings.errors)
    missing = [_mistake(lack) for lack in mistakes(errors)]
    if prepared is None:
        return Readiness(reference, "", judged=False, missing=tuple(missing))
    about = tuple(each for each in findings if reference in each.plots)
    home = prepared.traced.home
    recorded = recorded_of(plot, home, written_of(prepared), workspace.folder)
    missing += lacking(case_of(prepared, recorded, about, stickers, day))
    signed = recorded.together.signed
    return Readiness(reference, home.plot.address, judged=True, missing=tuple(missing), signed=signed)  # fmt: skip


def written_of(prepared: Prepared) -> Handover:
    """The handover section of a plot's own file."""
    own = prepared.plot.own
    entry = own.children.get(HAND_IN) if own else None
    return Handover.model_validate(plain(entry) or {}) if entry else Handover()


def case_of(
    prepared: Prepared,
    recorded: Recorded,
    findings: tuple[Finding, ...],
    stickers: Mapping[str, date],
    day: date,
) -> Case:
    """What the needs of a plot look at: what is recorded, and the papers that its home needs."""
    home = prepared.traced.home
    needed = {
        name: document
        for name, document in home.documents.items()
        if document.when is None or judge(document.when, home).holds
    }
    return Case(prepared, recorded, needed, findings, day, stickers)


def lacking(case: Case, needs: Iterable[Need] = NEEDS) -> Iterator[MissingNeed]:
    """What a plot lacks, stage by stage, need by need."""
    listed = tuple(needs)
    for stage in Stage:
        for need in listed:
            if need.stage is stage:
                yield from (_missing(need, lack, case) for lack in need.check(case))


def _missing(need: Need, lack: Lack, case: Case) -> MissingNeed:
    terms = case.home.terms
    return MissingNeed(
        need.id,
        spoken(need.says, terms),
        need.stage,
        spoken(lack.says, terms),
        lack.owed_by or need.owed_by,
        lack.basis or need.basis_in(case.home.nation),
        lack.file or case.prepared.plot.file,
        lack.path,
        lack.value,
    )


def _mistake(lack: Lack) -> MissingNeed:
    return MissingNeed(
        DATA_WITHOUT_MISTAKES, SAYS, Stage.PUBLISHED, lack.says, lack.owed_by or "technical",
        lack.basis or BASIS, lack.file,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class NeedQuestion:
    """What was asked: up to which stage, and what whom owes (none named: what all owe)."""

    last: Stage = Stage.CLOSED
    owed_by: tuple[str, ...] = ()

    def lacks(self, plot: Readiness, stage: Stage) -> tuple[MissingNeed, ...]:
        """What one stage of a plot lacks, of those that were asked for."""
        wanted = self.owed_by or get_args(OwedBy)
        return tuple(each for each in plot.lacks(stage) if each.owed_by in wanted)

    def items(self, plot: Readiness) -> tuple[MissingNeed, ...]:
        """All that was asked for and that a plot lacks, stage by stage."""
        return tuple(each for stage in self.last.before for each in self.lacks(plot, stage))

    def answered(self, plot: Readiness) -> bool:
        """Whether nothing that was asked for is missing."""
        return not self.items(plot) if self.owed_by else plot.ready(self.last)


def in_a_word(plot: Readiness, stage: Stage, asked: NeedQuestion) -> str:
    """Ready, or how many are missing and who owes them; waits, where only an earlier stage lacks."""
    if plot.ready(stage):
        return "ready"
    owed = Counter(each.owed_by for each in asked.lacks(plot, stage))
    if not owed:
        return "nothing owed" if asked.owed_by else "waits"
    by = ", ".join(f"{spoken_owner(each)} {owed[each]}" for each in get_args(OwedBy) if owed[each])
    return f"{owed.total()} missing: {by}"


def spoken_owner(owed_by: str) -> str:
    """Who owes something, as people say it."""
    return owed_by.replace("-", " ")
