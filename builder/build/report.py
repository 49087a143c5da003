"""What a build is asked for, and what it did."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from builder.errors import Finding, Findings
from builder.writers.portfolio.page import Portfolio


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
    """What a build did: what was published, what was up to date, and what was left as it was; and what
    there is to say of every plot, asked for or not. ``taken_over``: registers of an earlier form that
    carry digests now, which is said once."""

    published: tuple[Published, ...]
    unchanged: tuple[str, ...]
    left: tuple[str, ...]
    findings: Findings
    portfolio: Portfolio
    taken_over: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Target:
    """What to build: which plots of which workspace (none named: all), where to, for which day.

    ``scheduler``: the address of the scheduler whose workers write, in place of this machine.
    ``afresh``: write guides that are up to date too; ``own_code``: run what the settings and theme of
    the workspace bring along.
    """

    root: Path
    references: tuple[str, ...]
    out: Path
    day: date
    scheduler: str | None = None
    afresh: bool = False
    own_code: bool = False
