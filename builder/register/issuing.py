"""Which codes a workspace needs: a guide for each plot, a sticker for each piece that wants one."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from builder.errors import Finding, Findings, Place
from builder.model.equipment import Equipment
from builder.model.home import Home
from builder.preparing import Prepared
from builder.register.gone import tell_gone
from builder.register.lines import Issued, Register, WantedCode
from builder.register.moving import from_nowhere, moved_away, with_moved
from builder.register.reading import ReadRegister, read_register
from builder.register.register import issue
from builder.sources.workspace import PlotSource, Workspace

Missing = Callable[[Prepared, Register], Iterable[WantedCode]]
"""Finds what a plot has no code for yet."""


@dataclass(frozen=True, slots=True)
class StickerOf:
    """A sticker that was issued, and the piece of today's home that it is for, if it is there."""

    issued: Issued
    void: bool
    equipment: str | None

    @property
    def live(self) -> bool:
        return not self.void and self.equipment is not None


def sticker_size(home: Home, piece: Equipment) -> str:
    """The size of a piece's sticker: its own, else its kind's."""
    return piece.sticker or home.kinds[piece.kind].sticker


def wants_sticker(home: Home, piece: Equipment) -> bool:
    return sticker_size(home, piece) != "none"


def stickers_of(prepared: Prepared, register: Register) -> tuple[StickerOf, ...]:
    """Every sticker ever issued for a plot, with what it is for today."""
    return stickers_in(prepared.plot, prepared.traced.home, register)


def stickers_in(plot: PlotSource, home: Home, register: Register) -> tuple[StickerOf, ...]:
    """Every sticker ever issued for a plot, with what it is for in its home today."""
    now = _present_ids(home)
    return tuple(
        StickerOf(each, each.code in register.void, now.get(each.wanted.equipment))
        for each in register.stickers(plot.numbers)
    )


def sticker_days(prepared: Prepared, register: Register) -> Mapping[str, date]:
    """The day on which the sticker of each piece was issued, by the piece's id, where it is live.

    A clock can go back, the order of a register cannot: a code counts from no earlier day than the
    ones that were issued for the plot before it.
    """
    days: dict[str, date] = {}
    latest = date.min
    for each in stickers_of(prepared, register):
        latest = max(latest, each.issued.issued)
        if each.live and each.equipment is not None:
            days.setdefault(each.equipment, latest)
    return days


def _present_ids(home: Home) -> dict[str, str]:
    """Every id that equipment has or had, and its id today. An id in use names its owner."""
    former = {old: name for name, piece in home.equipment.items() for old in piece.formerly}
    return former | {name: name for name in home.equipment}


def issue_stickers(
    workspace: Workspace, plots: Iterable[Prepared], day: date
) -> Mapping[str, Register]:
    """The registers after each of these plots has its guide code and all its sticker codes."""
    return _issue(workspace, plots, day, _missing_codes)


def _issue(
    workspace: Workspace, plots: Iterable[Prepared], day: date, missing: Missing
) -> Mapping[str, Register]:
    by_development: dict[str, list[Prepared]] = {}
    for prepared in plots:
        by_development.setdefault(prepared.plot.development, []).append(prepared)
    issued = dict[str, Register]()
    for name, group in by_development.items():
        register = issue(workspace.folder, name, _Missing(workspace, name, group, missing).of, day)
        issued[name] = with_moved(workspace, name, register)
    return issued


@dataclass(frozen=True, slots=True)
class _Missing:
    """What the plots of one development have no code for."""

    workspace: Workspace
    development: str
    plots: list[Prepared]
    missing: Missing

    def of(self, register: Register) -> Iterator[WantedCode]:
        known = with_moved(self.workspace, self.development, register)
        for prepared in self.plots:
            yield from self.missing(prepared, known)


def _missing_guide(plot: PlotSource, register: Register) -> Iterator[WantedCode]:
    if register.guide(plot.numbers) is None:
        yield WantedCode("guide", plot.number)


def _missing_codes(prepared: Prepared, register: Register) -> Iterator[WantedCode]:
    yield from _missing_guide(prepared.plot, register)
    home = prepared.traced.home
    stuck = {each.equipment for each in stickers_of(prepared, register) if each.live}
    for name, piece in home.equipment.items():
        if wants_sticker(home, piece) and name not in stuck:
            yield WantedCode(
                "sticker", prepared.plot.number, name, piece.kind, piece.room, piece.make or ""
            )


def check_codes(
    workspace: Workspace, findings: Findings, read: ReadRegister = read_register
) -> None:
    """Read the register of every development; a code that would lead nowhere is a finding."""
    for development in workspace.developments.values():
        register = read(workspace.folder, development.id, findings)
        if development.listed:
            away = moved_away(workspace, development.id)
            tell_gone(register, development, workspace.developments.values(), away, findings)
        for plot in development.plots.values():
            findings.extend(from_nowhere(workspace, plot))
    findings.extend(claimed_twice(workspace.plots.values()))


def claimed_twice(plots: Iterable[PlotSource]) -> Iterator[Finding]:
    """One finding for each number that two plots have or had: their codes would be the same."""
    owners: dict[str, PlotSource] = {}
    for plot in sorted(plots, key=lambda each: len(each.numbers)):
        for number, reference in zip(plot.numbers, plot.references, strict=True):
            owner = owners.setdefault(reference, plot)
            if owner is not plot:
                of = owner.number if owner.development == plot.development else owner.reference
                yield Finding(
                    "plots.number-claimed-twice",
                    Place(plot.file),
                    f"'{number}' is a number of plot '{of}' too, and codes follow numbers.",
                    "Leave it in 'formerly' of one plot, and give no other plot that number.",
                    path="formerly",
                )
