"""Plots that have codes and no row any more: one finding for each, which says what has most likely happened.

A spreadsheet takes leading noughts off, somebody types a number twice, or a plot is numbered anew. In
each case many codes would lead nowhere, and one line in one file mends it.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from builder.errors import Finding, Findings, Place, alike, suggestion
from builder.register.lines import Register
from builder.sources.workspace import DevelopmentSource, PlotSource


@dataclass(frozen=True, slots=True)
class GoneCode:
    """A number that codes were issued for and that no plot has or had."""

    number: str
    codes: int
    line: int


def gone_plots(
    register: Register, plots: Iterable[PlotSource], away: Collection[str] = ()
) -> tuple[GoneCode, ...]:
    """The numbers in a register that are no plot's, in the order of the register. ``away``: those of
    plots that moved to other developments."""
    known = {number for plot in plots for number in plot.numbers}.union(away)
    counts = Counter(each.wanted.plot for each in register.codes if each.wanted.plot not in known)
    first = {each.wanted.plot: each.line for each in reversed(register.codes)}
    return tuple(GoneCode(number, count, first[number]) for number, count in counts.items())


def tell_gone(
    register: Register,
    development: DevelopmentSource,
    developments: Iterable[DevelopmentSource],
    away: Collection[str],
    findings: Findings,
) -> None:
    """One finding for each plot that is gone, in place of those that have the same cause.

    ``developments``: all there are; ``away``: the numbers of plots that moved to another of them.
    """
    gone = gone_plots(register, development.plots.values(), away)
    table = f"{development.file}/plots.csv"
    twice = [each for each in findings if _is_twice(each, table)]
    files = {each.place.file for each in findings if each.code == "plots.no-row"}
    others = [each for each in developments if each.id != development.id]
    telling = _Telling(register, development, others, twice if len(gone) == 1 else [], files)
    for each in gone:
        findings.add(telling.finding(each))
        findings.drop("plots.no-row", f"{development.file}/plots/{each.number}.yaml")
    if gone and telling.twice:
        findings.drop("plots.twice", table)


def _is_twice(finding: Finding, table: str) -> bool:
    return finding.code == "plots.twice" and finding.place.file == table


@dataclass(frozen=True, slots=True)
class _Telling:
    """What is known of one development. ``twice``: the rows that stand there twice; ``files``: those of
    plots that have no row."""

    register: Register
    development: DevelopmentSource
    others: list[DevelopmentSource]
    twice: list[Finding]
    files: set[str]

    def finding(self, gone: GoneCode) -> Finding:
        codes = f"{gone.codes} code{'s were' if gone.codes > 1 else ' was'} issued for it"
        return Finding(
            "register.orphan",
            Place(self.register.file, gone.line),
            f"Plot '{gone.number}' is gone from plots.csv, and {codes}.{self._cause(gone)}",
            self._remedy(gone),
        )

    def _cause(self, gone: GoneCode) -> str:
        if self.twice:
            return f" {self.twice[0].wrong}"
        if close := self._number_like(gone):
            return f" '{close}' looks like it: spreadsheets take leading noughts off."
        return ""

    def _remedy(self, gone: GoneCode) -> str:
        number = gone.number
        if self.twice:
            line = self.twice[0].place.line
            return f"If one of the two rows is plot '{number}', write that on line {line}, or on the other."
        if close := self._number_like(gone):
            return f"Write {number} again in plots.csv, in a column of text. {self._formerly(number, close)}"
        new = self._without_codes()
        if len(new) == 1:
            return f"Put its row back. {self._formerly(number, new[0])}"
        elsewhere = [each.plots[number] for each in self.others if number in each.plots]
        if len(elsewhere) == 1:
            return f"Put its row back. {self._moved(number, elsewhere[0])}"
        return (
            "Put its row back in plots.csv, or name it in 'formerly' of the plot that it became, "
            f"in another development as '{self.development.id}/{number}'. "
            + suggestion(number, self.development.plots, "Plots are")
        )

    def _formerly(self, number: str, now: str) -> str:
        file = self.development.plots[now].file
        before = f"{self.development.file}/plots/{number}.yaml"
        rename = f"rename {before} to {now}.yaml and " if before in self.files else ""
        return (
            f"If plot '{now}' is the same home with a new number, {rename}"
            f"add to {file}: formerly: ['{number}']"
        )

    def _moved(self, number: str, now: PlotSource) -> str:
        return (
            f"If plot '{now.reference}' is the same home, "
            f"add to {now.file}: formerly: ['{self.development.id}/{number}']"
        )

    def _number_like(self, gone: GoneCode) -> str | None:
        return alike(gone.number, self.development.plots)

    def _without_codes(self) -> list[str]:
        """The plots that are new: nothing was ever issued for them."""
        issued: Mapping[str, int] = Counter(each.wanted.plot for each in self.register.codes)
        plots = self.development.plots.values()
        return [plot.number for plot in plots if not any(issued[each] for each in plot.numbers)]
