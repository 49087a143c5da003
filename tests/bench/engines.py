"""The same guides by engines that others make: MkDocs one process a plot, and Hugo as one site."""

import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from tests.bench import hugo_site, mkdocs_sites
from tests.bench.builds import DAY
from tests.bench.generated_portfolio import references
from tests.bench.guides import written_guides
from tests.bench.measuring import Measured, measured, middle, together


@dataclass(frozen=True)
class Engine:
    """What an engine took for all plots, and its pages: for MkDocs, those of the sample."""

    version: str
    measured: Measured
    pages: int
    page_bytes: int


def mkdocs(workspace: Path, folder: Path, plots: int, sample: int, runs: int, cores: int) -> Engine:
    """One process a plot, as many at a time as there are cores; a sample, multiplied."""
    every = references(plots)
    chosen = [every[number * plots // sample] for number in range(min(sample, plots))]
    guides = written_guides(workspace, chosen, date.fromisoformat(DAY))
    projects = mkdocs_sites.write_projects(workspace, guides, folder)
    found = []
    for _ in range(runs):
        for project in projects:
            shutil.rmtree(project / "site", ignore_errors=True)
        found.append(together([(mkdocs_sites.COMMAND, each) for each in projects], cores))
    pages = [page for project in projects for page in mkdocs_sites.pages_of(project)]
    took = middle(found).times(plots / len(projects))
    return Engine(mkdocs_sites.version(), took, len(pages), _bytes(pages))


def hugo(program: Path, workspace: Path, folder: Path, theme_page: Path, plots: int, runs: int) -> Engine:  # fmt: skip
    """All guides as one site, with as many threads as Hugo takes."""
    hugo_site.write_site(folder, theme_page)
    number = 0
    for development in _by_development(references(plots)):
        guides = written_guides(workspace, development, date.fromisoformat(DAY))
        number = hugo_site.add_guides(folder, guides, number)
    found = []
    for run in range(runs):
        if run:  # Put aside and not deleted: see ``cold_builds``.
            (folder / "public").rename(folder / f"public-{run}")
        found.append(measured(hugo_site.command(program, folder), folder))
    pages = hugo_site.pages_of(folder)
    return Engine(hugo_site.version(program), middle(found), len(pages), _bytes(pages))


def theme_page(folder: Path) -> Path:
    """A page that MkDocs built, for Hugo's template to be like it."""
    pages = mkdocs_sites.pages_of(min(folder.iterdir()))
    return next(page for page in pages if page.parent.parent.name == "articles")


def _by_development(every: Sequence[str]) -> list[list[str]]:
    """So that the guides of one development at a time are held in memory."""
    names = dict.fromkeys(each.partition("/")[0] for each in every)
    return [[each for each in every if each.startswith(f"{name}/")] for name in names]


def _bytes(pages: Sequence[Path]) -> int:
    return sum(page.stat().st_size for page in pages)
