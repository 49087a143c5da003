"""Builds and publishes guides: write beside, read back, swap in whole, one plot after another."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from builder.errors import Findings, HandoverError
from builder.preparing import Preparation, Prepared
from builder.proof.crawl import crawl, proof
from builder.publish.register import issue_guides
from builder.publish.tree import beside, headers, robots, swap_in, write_whole
from builder.writers.site.engine import SiteWriter


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


def publish(
    preparation: Preparation, out: Path, day: date, done: Callable[[str], None] = lambda _: None
) -> Report:
    """Publish every plot that has no error. ``done`` hears of each plot that is dealt with."""
    codes = _codes(preparation, day)
    writer = SiteWriter(preparation.workspace.folder.root)
    published, hashes = [], set[str]()
    with beside(out) as workplace:
        for reference, prepared in preparation.plots.items():
            guide = _Publishing(prepared, codes[reference], writer, workplace, out)
            outcome = guide.publish(preparation.findings, hashes)
            published += [outcome] if outcome else []
            done(reference)
        if published:
            write_whole(out / "robots.txt", robots(), workplace)
            write_whole(out / "_headers", headers(hashes | _hashes_of(out, published)), workplace)
    standing = {each.reference for each in published}
    left = tuple(reference for reference in preparation.asked if reference not in standing)
    return Report(tuple(published), left, preparation.findings)


def _codes(preparation: Preparation, day: date) -> dict[str, str]:
    """The guide code of every plot that is to be published."""
    by_development: dict[str, list[str]] = defaultdict(list)
    for prepared in preparation.plots.values():
        by_development[prepared.plot.development].append(prepared.plot.number)
    return {
        f"{development}/{number}": code
        for development, numbers in by_development.items()
        for number, code in issue_guides(
            preparation.workspace.folder, development, numbers, day
        ).items()
    }


@dataclass(frozen=True, slots=True)
class _Publishing:
    """One plot on its way into the published tree."""

    prepared: Prepared
    code: str
    writer: SiteWriter
    workplace: Path
    out: Path

    def publish(self, findings: Findings, hashes: set[str]) -> Published | None:
        reference = self.prepared.plot.reference
        address = f"{self.prepared.traced.home.development.base_url.rstrip('/')}/g/{self.code}/"
        finished = self.workplace / self.code
        try:
            found = list(self.writer.write(self.prepared.guide, finished, address))
            read = crawl(finished)
            found += [each.for_plots(reference) for each in proof(read, f"g/{self.code}")]
            findings.extend(found)
            if found:
                return None
            swap_in(finished, self.out / "g" / self.code, self.workplace / f"{self.code}.old")
        except OSError as error:
            raise HandoverError(f"The guide of {reference} cannot be written: {error}.") from error
        hashes |= read.script_hashes
        return Published(reference, address, self.out / "g" / self.code, len(read.pages))


def _hashes_of(out: Path, published: Iterable[Published]) -> set[str]:
    """The script hashes of guides that stood in the tree before this build and still do."""
    new = {each.folder for each in published}
    kept = [folder for folder in sorted((out / "g").iterdir()) if folder not in new]
    return {each for folder in kept for each in crawl(folder).script_hashes}
