"""Builds and publishes guides and sticker pages: write beside, read back, swap in whole.

Orders are written in as many processes as the machine has cores, or on other machines; one process
alone changes the published tree.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from contextlib import closing
from dataclasses import replace

from builder.build.change_log import contents_as_kept, log_as_kept
from builder.build.executors import WorkerGround, Workers, workers
from builder.build.former_hosts import write_former_hosts
from builder.build.kept_findings import as_kept, kept_findings
from builder.build.last_build import BuildOrigin, keep, origin_now
from builder.build.manifest import GuideRecord, Records
from builder.build.one_place import hosts_after
from builder.build.outside import fit_for_a_tree
from builder.build.plot_writing import (
    Bench,
    Order,
    OrderResult,
    PlotOrder,
    WrittenPlot,
    bench,
    write,
)
from builder.build.portfolio import BuildOutcome, Gathering, PublishedStanding, standing
from builder.build.portfolio_page import write_portfolio
from builder.build.promises import check_promises
from builder.build.releases import Keeping
from builder.build.replaced import empty_replaced
from builder.build.report import Published, Report, Target
from builder.build.source_files import SourceFiles, register_digests
from builder.build.sources import FOR_ALL_PAGES, Sources, is_article
from builder.build.swapping import Tree
from builder.build.unchanged import untouched
from builder.disk import true_place
from builder.errors import Finding, Findings, FindingsError
from builder.preparing import shared_files, stopped
from builder.register.guide_codes import GuideCodes
from builder.register.lines import Register
from builder.register.moving import ties_of
from builder.register.register import taken_over
from builder.sources.named_plots import chosen_plots
from builder.sources.scope import Scope
from builder.sources.site_settings import site_findings
from builder.sources.workspace import DevelopmentSource, PlotSource, Workspace
from builder.writers.portfolio.page import State

SHARES, MOST = 3, 250
"""An order takes the plots of one house type together, because what a process has made of one it has
ready for the next; but at most this part of what each worker has to do, and at most so many plots,
because they are published when all of them are written."""


def publish(
    target: Target, done: Callable[[str], None] = lambda _: None, sources: SourceFiles | None = None,
    keeping: Keeping | None = None,
) -> Report:  # fmt: skip
    """Publish every plot that has no error. ``done`` hears of each plot that is dealt with.

    ``sources`` are the files of the workspace, where they have been read already; ``keeping`` keeps
    what is replaced, so that it can be taken back. Nothing is published while an issued code would lead nowhere: FindingsError names it.
    """
    fit_for_a_tree(target.out, target.root)
    with Tree(target.out, keeping) as tree:
        return _Build(target, tree, done, sources or SourceFiles(target.root)).run()


class _Build:
    """One build, from sources to the published tree."""

    def __init__(
        self, target: Target, tree: Tree, done: Callable[[str], None], sources: SourceFiles
    ) -> None:
        self._target, self._tree, self._done = target, tree, done
        self._records = Records(target.out)
        self._sources = Sources(sources)
        self._root = true_place(target.root)
        self._origin = origin_now(target, sources)
        self._others = untouched(target, self._records, self._origin)
        self._bench, self._shared = self._looked_at()
        if self._others and self._shared.errors:
            self._others = None
            self._bench, self._shared = self._looked_at()
        self._workspace: Workspace = self._bench.workspace
        self._codes = GuideCodes(self._workspace, target.day)
        self._findings = Findings()
        self._taken_over: tuple[Finding, ...] = ()
        self._findings.extend(self._bench.findings)
        self._findings.extend(site_findings(self._root, own_code=target.own_code))
        self._findings.extend(self._others.findings if self._others else ())
        self._published: dict[str, Published] = {}
        self._standing: dict[str, PublishedStanding] = {}
        self._takes: set[str] = set()

    def run(self) -> Report:
        """Write what has changed and publish it."""
        _keep_promises(self._workspace, self._records)
        self._taken_over = tuple(taken_over(self._workspace))
        asked = chosen_plots(self._workspace, self._target.references)
        self._findings.extend(self._shared)
        sound = [self._workspace.plots[each] for each in asked]
        sound = [each for each in sound if not stopped(each, self._workspace, self._findings)]
        self._tell_all_of({*asked} - {each.reference for each in sound})
        changed = [each for each in sound if not self._is_published(each)]
        if changed:
            self._records.drop_last_build()
        with workers(self._target.scheduler, self._ground(), len(changed)) as hands:
            self._publish_all(self._orders(changed, hands.number), hands)
        unchanged = {each.reference for each in sound} - {each.reference for each in changed}
        self._for_former_hosts()
        empty_replaced(self._tree, self._records, self._registers_by_plots(), self._bench.workers)
        self._tree.finish(self._bench.assets)
        for reference in asked:
            self._done(reference)
        return self._report(asked, unchanged)

    def _looked_at(self) -> tuple[Bench, Findings]:
        """What was read for this build, and what is wrong in the files that plots share. Such a file may name
        what stands in a development that was left out: then all of them are looked at."""
        target, found = self._target, Findings()
        scope = self._others.scope if self._others else None
        read = bench(self._root, self._sources.digest, target.day, scope, target.own_code)
        found.extend(read.preparing.unreadable())
        for each in shared_files(
            read.workspace, target.day, chosen_plots(read.workspace, target.references)
        ):
            found.extend(each)
        return read, found

    def _tell_all_of(self, stopped_plots: Collection[str]) -> None:
        """What else is wrong with plots that have a mistake of their own, so that one run tells all of it."""
        mistaken = {plot for each in self._findings.errors for plot in each.plots}
        for reference in sorted(mistaken.intersection(stopped_plots)):
            found = Findings()
            self._bench.preparing.ready(reference, found)
            self._findings.extend(each.for_plots(reference) for each in found)

    def _report(self, asked: Iterable[str], unchanged: Collection[str]) -> Report:
        states: dict[str, State] = {
            each: "published" if each in self._published
            else "up to date" if each in unchanged else "left as it was"
            for each in asked
        }  # fmt: skip
        findings = tuple(self._findings)
        gathering = Gathering(self._workspace, self._records, self._codes.register)
        outcome = BuildOutcome(self._target.day, states, self._standing, findings)
        portfolio = gathering.portfolio(outcome, self._others.lines if self._others else ())
        write_portfolio(portfolio, self._root, self._records)
        report = Report(
            tuple(self._published[each] for each in states if each in self._published),
            tuple(each.reference for each in portfolio.plots if each.state == "up to date"),
            tuple(each for each, state in states.items() if state == "left as it was"),
            self._findings,
            portfolio,
            self._taken_over,
        )
        if self._codes.written_alone():
            ties = {*ties_of(self._workspace), *(self._others.ties if self._others else ())}
            keep(report, self._target, self._after(), ties, self._records)
        return report

    def _after(self) -> BuildOrigin:
        """What the build was made from, with the codes that it drew."""
        now = register_digests(self._target.root)
        read = {each: now[each] for each in self._codes.registers if each in now}
        return replace(self._origin, registers={**self._origin.registers, **read})

    def _is_published(self, plot: PlotSource) -> bool:
        """Whether a guide stands already that was made from all that this plot is made from now."""
        code = self._codes.register(plot.development).guide(plot.numbers)
        record = self._records.read(code) if code else None
        if self._target.afresh or record is None:
            return False
        if not self._tree.stands(record, seen=self._others is not None):
            return False
        inputs = self._inputs(plot, filter(is_article, record.inputs))
        if record.inputs != inputs:
            if all(record.inputs.get(name) == inputs[name] for name in FOR_ALL_PAGES):
                self._takes.add(plot.reference)
            return False
        self._findings.extend(kept_findings(record))
        self._standing[plot.reference] = standing(record)
        return True

    def _inputs(self, plot: PlotSource, chosen: Iterable[str]) -> Mapping[str, str]:
        register = self._codes.register(plot.development)
        return self._sources.inputs(plot, self._workspace, register, self._target.day, chosen)

    def _orders(self, plots: Collection[PlotSource], hands: int) -> Iterator[Order]:
        for group in packed(plots, min(MOST, len(plots) // (SHARES * hands))):
            yield self._order(group)

    def _order(self, plots: list[PlotSource]) -> Order:
        numbers: dict[str, list[str]] = {}
        for each in plots:
            numbers.setdefault(each.development, []).extend(each.numbers)
        registers = {
            development: self._codes.register(development).about(own)
            for development, own in numbers.items()
        }
        scope = Scope(self._others.scope.developments) if self._others else None
        digest, day = self._sources.digest, self._target.day
        own_code, orders = self._target.own_code, tuple(map(self._plot_order, plots))
        return Order(self._root, digest, day, scope, orders, registers, own_code)

    def _plot_order(self, plot: PlotSource) -> PlotOrder:
        code = self._codes.code(plot)
        workplace, out = self._tree.workplace.absolute(), self._tree.out.absolute()
        takes = plot.reference in self._takes
        return PlotOrder(plot.reference, code, workplace / code, out / "g" / code, takes)

    def _ground(self) -> WorkerGround:
        return WorkerGround(self._root, self._sources.digest, self._tree.workplace.absolute())

    def _publish_all(self, orders: Iterable[Order], hands: Workers) -> None:
        with closing(hands.results(write, orders)) as answers:
            for answer in answers:
                self._publish(answer)

    def _publish(self, answer: OrderResult) -> None:
        self._findings.extend(answer.findings)
        finished = [each for each in answer.written if not each.findings]
        for each in answer.written:
            self._findings.extend(each.findings)
        plots = {
            each.order.reference: self._workspace.plots[each.order.reference] for each in finished
        }
        self._codes.keep(plots.values())
        if finished:
            self._tree.assets(self._bench.assets)
        for each in finished:
            self._swap_in(each, plots[each.order.reference], answer)

    def _swap_in(self, written: WrittenPlot, plot: PlotSource, answer: OrderResult) -> None:
        order = written.order
        record = GuideRecord(
            order.reference,
            order.code,
            self._inputs(plot, written.articles),
            self._tree.names(written),
            tuple(as_kept(each) for each in answer.findings if order.reference in each.plots),
            log_as_kept(written.changes),
            contents_as_kept(written.contents),
            written.made,
            written.others,
        )
        self._tree.swap_in(written, record)
        self._standing[order.reference] = standing(record)
        address = f"{written.host}/g/{order.code}/"
        self._published[order.reference] = Published(
            order.reference, address, self._tree.out / "g" / order.code, written.pages,
            len(written.stickers),
        )  # fmt: skip

    def _registers_by_plots(self) -> Iterator[tuple[DevelopmentSource, Register]]:
        """The developments that were looked at, each with its register as it is now."""
        for name, register in self._codes.registers.items():
            yield self._workspace.developments[name], register

    def _for_former_hosts(self) -> None:
        looked_at = {
            name: (self._workspace.developments[name], register)
            for name, register in self._codes.registers.items()
        }
        write_former_hosts(self._records, looked_at)
        given = {self._workspace.plots[each].development for each in self._standing}
        served = [self._workspace.developments[each] for each in sorted(given)]
        self._records.write_hosts(hosts_after(self._records.hosts(), served))


def packed(plots: Iterable[PlotSource], size: int) -> Iterator[list[PlotSource]]:
    """Plots of one house type together, those that are most alike one after the other, in parts of
    ``size`` plots at most."""
    by_type: dict[object, list[PlotSource]] = {}
    for plot in plots:
        by_type.setdefault(_value_in_table(plot, "house_type"), []).append(plot)
    for group in sorted(by_type.values(), key=len, reverse=True):
        ordered = sorted(group, key=_likeness)
        step = max(size, 1)
        yield from (ordered[start : start + step] for start in range(0, len(ordered), step))


def _likeness(plot: PlotSource) -> tuple[str, ...]:
    return (
        str(_value_in_table(plot, "hand")),
        str(_value_in_table(plot, "options")),
        plot.development,
    )


def _value_in_table(plot: PlotSource, name: str) -> object:
    cell = plot.row.children["plot"].child(name)
    if cell is not None and isinstance(cell.value, tuple):
        return [each.value for each in cell.value]
    return cell and cell.value


def _keep_promises(workspace: Workspace, records: Records) -> None:
    findings = Findings()
    check_promises(workspace, findings, records)
    if findings.errors:
        raise FindingsError(findings.errors)
