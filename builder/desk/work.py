"""The long work of the desk: each a function that a process of its own can begin."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path

from builder.board.looking import Looking
from builder.build.building import publish
from builder.build.releases import Keeping
from builder.build.report import Report, Target
from builder.build.taking_back import take_back
from builder.deploy.deploying import Deployment, SendOrder
from builder.deploy.deploying import deploy as deploy_tree
from builder.desk.jobs import Say
from builder.desk.kept_work import WorkReport
from builder.desk.pages import moment
from builder.errors import Severity, counted, in_short
from builder.saving.saves import Saves
from builder.saving.trying import pages_changed
from builder.sources.kept_files import KeptFiles

SHOWN = 40
"""Lines that are told of one sort."""
PAGES_SHOWN, HOMES_SHOWN = 60, 20
"""Pages that are told, and homes of each."""


def publishing(
    root: Path, out: Path, plots: tuple[str, ...], day: date, when: str, by: str, say: Say
) -> WorkReport:
    """Publish plots, as ``handover build`` does; none named: all. What is replaced is kept."""
    try:
        report = publish(Target(root, plots, out, day), say, keeping=Keeping(out, when, by))
    finally:  # Codes are issued before guides are written: they stand whatever becomes of those.
        Saves(root).record_codes(by, "Codes of what was published", datetime.fromisoformat(when))
    return WorkReport(tuple(_lines_of_report(report)), failed=bool(report.left))


def _lines_of_report(report: Report) -> Iterator[str]:
    yield f"{counted(len(report.published), 'guide')} published, {len(report.unchanged)} up to date."
    for each in report.published[:SHOWN]:
        yield f"{each.reference}: {counted(each.pages, 'page')}, {counted(each.stickers, 'sticker page')}, {each.address}"  # fmt: skip
    for left in report.left[:SHOWN]:
        yield f"{left} was left as it was, because something is wrong with it: see its page."
    errors = [each for each in report.findings if each.severity is Severity.ERROR]
    yield from (f"{each.place}: {each.wrong} {each.right}" for each in errors[:SHOWN])


def taking_back(out: Path, number: str, destination: str | None, say: Say) -> WorkReport:
    """Take the last release back, and send what stands then to where people read it."""
    release = take_back(out, number, say)
    lines = [
        f"{counted(len(release.replaced), 'guide')} as before the release of {moment(release.when)}."
    ]
    if release.new:
        lines.append(f"First published by it, and left as they are, because their codes are out: {', '.join(release.new[:SHOWN])}.")  # fmt: skip
    told = deploying(out, destination, say) if destination else WorkReport()
    return WorkReport((*lines, *told.lines), told.failed)


def deploying(out: Path, destination: str, say: Say) -> WorkReport:
    """Send a published tree to where people read it, as ``handover deploy`` does."""

    @contextmanager
    def counting(_: int) -> Iterator[_Counting]:
        yield _Counting(say)

    done = deploy_tree(SendOrder(out, destination), counting)
    return WorkReport((_words_of_deployment(done),), failed=bool(done.unreadable))


class _Counting:
    """Tells of each file that is dealt with."""

    def __init__(self, say: Say) -> None:
        self._say = say

    def done(self, name: str, /) -> None:
        self._say(name or "a file")


def _words_of_deployment(done: Deployment) -> str:
    return f"{done.address}: {counted(done.copied, 'file')} sent ({done.size:,} bytes), {done.deleted} deleted, {done.unchanged} unchanged."  # fmt: skip


def seeing_reach(
    root: Path, out: Path, texts: Mapping[str, bytes | None], day: date, say: Say
) -> WorkReport:
    """Every home with these texts in place of what its files say: nothing is written."""
    kept = KeptFiles()
    now = Looking(root, out, day, kept)
    then = Looking(root, out, day, kept, now, texts)
    pages: dict[tuple[str, str], list[str]] = {}
    homes = 0
    for reference in now.workspace.plots:
        found = pages_changed(now.look(reference).guide, then.look(reference).guide)
        homes += bool(found)
        for each in found:
            pages.setdefault((each.title, each.how), []).append(reference)
        say(reference)
    return WorkReport((f"{homes} of {counted(len(now.workspace.plots), 'home')} would change.", *_lines_of_pages(pages)))  # fmt: skip


def _lines_of_pages(pages: Mapping[tuple[str, str], list[str]]) -> Iterator[str]:
    """The pages that change in most homes first."""
    ordered = sorted(pages.items(), key=lambda each: (-len(each[1]), each[0]))
    for (title, how), homes in ordered[:PAGES_SHOWN]:
        yield f"{title}, {how} in {counted(len(homes), 'home')}: {in_short(homes, HOMES_SHOWN)}."
    if len(ordered) > PAGES_SHOWN:
        yield f"{len(ordered) - PAGES_SHOWN} more pages."
