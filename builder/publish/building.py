"""Builds and publishes guides and sticker pages: write beside, read back, swap in whole.

Plots are written in as many processes as the machine has cores; one process alone changes the
published tree.
"""

import os
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from functools import cache
from multiprocessing import get_context
from pathlib import Path

from builder.errors import Finding, Findings, FindingsError, HandoverError
from builder.guide.pages import Guide
from builder.guide.sticker_pages import StickerPage, StickerRecord, sticker_page
from builder.preparing import Preparation, Prepared
from builder.proof.crawl import crawl, proof
from builder.proof.weight import overweight
from builder.publish.issuing import check_codes, issue_guides, stickers_of
from builder.publish.redirects import redirect_files, sticker_paths, write_redirects
from builder.publish.register import Register
from builder.publish.tree import (
    Policies,
    beside,
    headers,
    missing_page,
    policies_in,
    robots,
    swap_in,
    write_whole,
)
from builder.shipped import own_or_shipped
from builder.writers.calendar.writing import write_calendar
from builder.writers.site.engine import SiteWriter
from builder.writers.sticker_pages.writing import StickerPages

FEW = 3
"""Plots that are not worth another process: starting one takes about as long as writing two."""


@dataclass(frozen=True, slots=True)
class Published:
    """One guide that stands in the published tree, and how many sticker pages lead to it."""

    reference: str
    address: str
    folder: Path
    pages: int
    stickers: int


@dataclass(frozen=True, slots=True)
class Report:
    """What a build did: what was published, and the plots that were left as they were."""

    published: tuple[Published, ...]
    left: tuple[str, ...]
    findings: Findings


@dataclass(frozen=True, slots=True)
class Order:
    """One plot to write: from which workspace, into which folder, for which web address and day.

    ``published`` is where its guide stands already, if it does.
    """

    root: Path
    guide: Guide
    code: str
    stickers: tuple[StickerPage, ...]
    folder: Path
    address: str
    day: date
    published: Path

    @property
    def site(self) -> Path:
        """Where its guide is written, inside a tree of its own."""
        return self.folder / "g" / self.code


@dataclass(frozen=True, slots=True)
class Written:
    """One plot that was written and read back."""

    order: Order
    findings: tuple[Finding, ...]
    policies: Policies
    pages: int


def publish(
    preparation: Preparation, out: Path, day: date, done: Callable[[str], None] = lambda _: None
) -> Report:
    """Publish every plot that has no error. ``done`` hears of each plot that is dealt with.

    Nothing is published while an issued code would lead nowhere: FindingsError names it.
    """
    _keep_promises(preparation)
    registers = issue_guides(preparation.workspace, preparation.plots.values(), day)
    published: dict[str, Published] = {}
    policies = Policies()
    with beside(out) as workplace, _executor(len(preparation.plots)) as executor:
        orders = _orders(preparation, registers, workplace, out.resolve(), day)
        for written in _written(orders, executor):
            preparation.findings.extend(written.findings)
            reference = written.order.guide.reference
            if not written.findings:
                published[reference] = _swapped_in(written, out, workplace)
                policies = policies.also(written.policies)
            done(reference)
        if published:
            codes = {each.folder.name for each in published.values()}
            _for_the_host(out, workplace, policies, codes)
            _for_former_hosts(preparation, registers, out)
    return Report(
        tuple(published[each] for each in preparation.asked if each in published),
        tuple(each for each in preparation.asked if each not in published),
        preparation.findings,
    )


def _keep_promises(preparation: Preparation) -> None:
    findings = Findings()
    check_codes(preparation.workspace, findings)
    if findings.errors:
        raise FindingsError(findings.errors)


def _orders(
    preparation: Preparation,
    registers: Mapping[str, Register],
    workplace: Path,
    out: Path,
    day: date,
) -> Iterator[Order]:
    root = preparation.workspace.folder.root.resolve()
    for prepared in preparation.plots.values():
        register = registers[prepared.plot.development]
        code = register.guide(prepared.plot.numbers) or ""
        host = prepared.traced.home.development.base_url.rstrip("/")
        folder = workplace.resolve() / code
        stickers = tuple(sticker_pages(prepared, register))
        published, address = out / "g" / code, f"{host}/g/{code}/"
        yield Order(root, prepared.guide, code, stickers, folder, address, day, published)


def sticker_pages(prepared: Prepared, register: Register) -> Iterator[StickerPage]:
    """The page of every sticker that was ever issued for a plot."""
    for each in stickers_of(prepared, register):
        wanted = each.issued.wanted
        record = StickerRecord(
            each.issued.code, wanted.kind, wanted.room, wanted.make, each.equipment, each.void
        )
        yield sticker_page(prepared.about, prepared.guide, record)


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
    """Every plot written and read back, in the order that they are finished."""
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
    """Write one plot into a tree of its own and read it back. Runs in any process."""
    site_writer, page_writer = _writers(order.root)
    try:
        found = list(site_writer.write(order.guide, order.site, order.address))
        write_calendar(order.guide, order.site, order.code, order.day, order.published)
        for page in order.stickers:
            _write_sticker(page_writer.write(page, order.guide, order.code), page.code, order)
        read = crawl(order.folder)
        found += [each.for_plots(order.guide.reference) for each in proof(read, styled="Q")]
        found += overweight(order.folder, "Q/*/index.html")
    except OSError as error:
        raise _unwritable(order, error) from error
    pages = len(read.pages) - len(order.stickers)
    return Written(order, tuple(found), Policies(read.script_hashes, read.style_hashes), pages)


def _write_sticker(text: str, code: str, order: Order) -> None:
    path = order.folder / sticker_paths(code)[0] / "index.html"
    path.parent.mkdir(parents=True)
    path.write_text(text, encoding="utf-8", newline="\n")


@cache
def _writers(root: Path) -> tuple[SiteWriter, StickerPages]:
    """The writers for all plots of a process: their templates are compiled once."""
    templates = own_or_shipped(root, "site_templates") / "stickers"
    return SiteWriter(root), StickerPages(templates)


def _swapped_in(written: Written, out: Path, workplace: Path) -> Published:
    """The guide first, then the stickers that lead to it: no page points at what is not there."""
    order = written.order
    place = out / "g" / order.code
    try:
        swap_in(order.site, place, workplace / f"{order.code}.old")
        for page in order.stickers:
            for path in sticker_paths(page.code):
                _put_sticker(order.folder / sticker_paths(page.code)[0], out / path)
    except OSError as error:
        raise _unwritable(order, error) from error
    return Published(
        order.guide.reference, order.address, place, written.pages, len(order.stickers)
    )


def _put_sticker(finished: Path, place: Path) -> None:
    place.mkdir(parents=True, exist_ok=True)
    draft = place / ".index.new"
    shutil.copyfile(finished / "index.html", draft)
    draft.replace(place / "index.html")


def _unwritable(order: Order, error: OSError) -> HandoverError:
    return HandoverError(f"The guide of {order.guide.reference} cannot be written: {error}.")


def _for_the_host(out: Path, workplace: Path, policies: Policies, codes: set[str]) -> None:
    """What a static host reads. Guides of earlier builds keep the hashes that they came with."""
    others = {path.name for path in (out / "g").iterdir()} - codes
    if others and (out / "_headers").is_file():
        policies = policies.also(policies_in((out / "_headers").read_text(encoding="utf-8")))
    write_whole(out / "robots.txt", robots(), workplace)
    write_whole(out / "404.html", missing_page(), workplace)
    write_whole(out / "_headers", headers(policies), workplace)


def _for_former_hosts(
    preparation: Preparation, registers: Mapping[str, Register], out: Path
) -> None:
    for prepared in {each.plot.development: each for each in preparation.plots.values()}.values():
        development = prepared.traced.home.development
        for former in development.former_base_urls:
            register = registers[prepared.plot.development]
            write_redirects(redirect_files(register, former, development.base_url), out)
