"""Builds and publishes guides: write beside, read back, swap in whole, plot by plot.

Plots are written in as many processes as the machine has cores; one process alone changes the
published tree.
"""

import os
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from functools import cache
from multiprocessing import get_context
from pathlib import Path

from builder.errors import Finding, Findings, HandoverError
from builder.guide.pages import Guide
from builder.preparing import Preparation
from builder.proof.crawl import crawl, proof
from builder.publish.register import issue_guides
from builder.publish.tree import beside, headers, robots, swap_in, write_whole
from builder.writers.site.engine import SiteWriter

FEW = 3
"""Plots that are not worth another process: starting one takes about as long as writing two."""


@dataclass(frozen=True, slots=True)
class Published:
    """One guide that stands in the published tree."""

    reference: str
    address: str
    folder: Path
    pages: int


@dataclass(frozen=True, slots=True)
class Report:
    """What a build did: what was published, and the plots that were left as they were."""

    published: tuple[Published, ...]
    left: tuple[str, ...]
    findings: Findings


@dataclass(frozen=True, slots=True)
class Order:
    """One guide to write: from which workspace, into which folder, for which web address."""

    root: Path
    guide: Guide
    code: str
    folder: Path
    address: str


@dataclass(frozen=True, slots=True)
class Written:
    """One guide that was written and read back."""

    order: Order
    findings: tuple[Finding, ...]
    script_hashes: frozenset[str]
    pages: int


def publish(
    preparation: Preparation, out: Path, day: date, done: Callable[[str], None] = lambda _: None
) -> Report:
    """Publish every plot that has no error. ``done`` hears of each plot that is dealt with."""
    codes = _codes(preparation, day)
    published, hashes = {}, set[str]()
    with beside(out) as workplace, _executor(len(codes)) as executor:
        orders = _orders(preparation, codes, workplace)
        for written in _written(orders, executor):
            preparation.findings.extend(written.findings)
            if not written.findings:
                published[written.order.guide.reference] = _swapped_in(written, out, workplace)
                hashes |= written.script_hashes
            done(written.order.guide.reference)
        if published:
            hashes |= _hashes_of_others(out, published.values())
            write_whole(out / "robots.txt", robots(), workplace)
            write_whole(out / "_headers", headers(hashes), workplace)
    return Report(
        tuple(published[each] for each in preparation.asked if each in published),
        tuple(each for each in preparation.asked if each not in published),
        preparation.findings,
    )


def _codes(preparation: Preparation, day: date) -> dict[str, str]:
    """The guide code of every plot that is to be published."""
    by_development: dict[str, list[str]] = defaultdict(list)
    for prepared in preparation.plots.values():
        by_development[prepared.plot.development].append(prepared.plot.number)
    issued = {
        f"{development}/{number}": code
        for development, numbers in by_development.items()
        for number, code in issue_guides(
            preparation.workspace.folder, development, numbers, day
        ).items()
    }
    return {reference: issued[reference] for reference in preparation.plots}


def _orders(preparation: Preparation, codes: dict[str, str], workplace: Path) -> Iterator[Order]:
    for reference, prepared in preparation.plots.items():
        code = codes[reference]
        host = prepared.traced.home.development.base_url.rstrip("/")
        root = preparation.workspace.folder.root.resolve()
        yield Order(root, prepared.guide, code, workplace.resolve() / code, f"{host}/g/{code}/")


@contextmanager
def _executor(plots: int) -> Iterator[Executor | None]:
    """Processes for the cores of this machine, or none for a few plots."""
    if plots <= FEW:
        yield None
        return
    workers = min(plots, os.cpu_count() or 1)
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as executor:
        yield executor


def _written(orders: Iterable[Order], executor: Executor | None) -> Iterator[Written]:
    """Every guide written and read back, in the order that they are finished."""
    if executor is None:
        yield from map(write, orders)
        return
    futures: list[Future[Written]] = [executor.submit(write, order) for order in orders]
    try:
        for future in as_completed(futures):
            yield future.result()
    finally:
        for future in futures:
            future.cancel()


def write(order: Order) -> Written:
    """Write one guide into its folder and read it back. Runs in any process."""
    try:
        found = list(_writer(order.root).write(order.guide, order.folder, order.address))
        read = crawl(order.folder)
    except OSError as error:
        raise _unwritable(order, error) from error
    found += [each.for_plots(order.guide.reference) for each in proof(read, f"g/{order.code}")]
    return Written(order, tuple(found), read.script_hashes, len(read.pages))


@cache
def _writer(root: Path) -> SiteWriter:
    """One writer for all guides of a process: its templates are compiled once."""
    return SiteWriter(root)


def _swapped_in(written: Written, out: Path, workplace: Path) -> Published:
    order = written.order
    place = out / "g" / order.code
    try:
        swap_in(order.folder, place, workplace / f"{order.code}.old")
    except OSError as error:
        raise _unwritable(order, error) from error
    return Published(order.guide.reference, order.address, place, written.pages)


def _unwritable(order: Order, error: OSError) -> HandoverError:
    return HandoverError(f"The guide of {order.guide.reference} cannot be written: {error}.")


def _hashes_of_others(out: Path, published: Iterable[Published]) -> set[str]:
    """The script hashes of guides that stood in the tree before this build and still do."""
    new = {each.folder for each in published}
    kept = [folder for folder in sorted((out / "g").iterdir()) if folder not in new]
    return {each for folder in kept for each in crawl(folder).script_hashes}
