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
from tests.bench.measuring import Measured, Runs, measured, together


@dataclass(frozen=True)
class Engine:
    """What an engine took for all plots, and its pages: for MkDocs, those of the sample."""

    version: str
    runs: Runs
    pages: int
    page_bytes: int


class Mkdocs:
    """One process a plot, of a sample of plots."""

    def __init__(self, workspace: Path, folder: Path, plots: int, sample: int) -> None:
        every, sample = references(plots), max(1, min(sample, plots))
        chosen = [every[number * plots // sample] for number in range(sample)]
        guides = written_guides(workspace, chosen, date.fromisoformat(DAY))
        self._projects = mkdocs_sites.write_projects(workspace, guides, folder)
        self._times = plots / sample

    def run(self, processes: int) -> Measured:
        """The time of all plots, with so many processes at a time."""
        for project in self._projects:
            shutil.rmtree(project / "site", ignore_errors=True)
        commands = [(mkdocs_sites.COMMAND, each) for each in self._projects]
        return together(commands, processes).times(self._times)

    def engine(self, runs: Runs) -> Engine:
        """What its runs took, and the pages that the last one wrote."""
        pages = [page for project in self._projects for page in mkdocs_sites.pages_of(project)]
        return Engine(mkdocs_sites.version(), runs, len(pages), _bytes(pages))


class Hugo:
    """All guides as one site, with as many threads as Hugo takes."""

    def __init__(
        self, program: Path, workspace: Path, folder: Path, theme_page: Path, plots: int
    ) -> None:
        self._program, self._folder, self._runs = program, folder, 0
        hugo_site.write_site(folder, theme_page)
        number = 0
        for development in _by_development(references(plots)):
            guides = written_guides(workspace, development, date.fromisoformat(DAY))
            number = hugo_site.add_guides(folder, guides, number)

    def run(self) -> Measured:
        """One build of the site."""
        if self._runs:  # Put aside and not deleted: see ``ColdBuilds``.
            (self._folder / "public").rename(self._folder / f"public-{self._runs}")
        self._runs += 1
        return measured(hugo_site.command(self._program, self._folder), self._folder)

    def engine(self, runs: Runs) -> Engine:
        """What its runs took, and the pages that the last one wrote."""
        pages = hugo_site.pages_of(self._folder)
        version = hugo_site.version(self._program)
        return Engine(version, runs, len(pages), _bytes(pages))


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
