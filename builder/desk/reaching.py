"""Which homes and which of their pages a text would change, in all homes, looked at beside the pages."""

from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path

from builder.board.looking import Looking
from builder.desk.jobs import Say
from builder.desk.kept_work import WorkReport
from builder.errors import counted
from builder.saving.comparing import pages_changed
from builder.sources.kept_files import KeptFiles

SHOWN, HOMES_SHOWN = 60, 20
"""Pages that are told, and homes of each."""


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
    for (title, how), homes in ordered[:SHOWN]:
        more = f" and {len(homes) - HOMES_SHOWN} more" if len(homes) > HOMES_SHOWN else ""
        yield f"{title}, {how} in {counted(len(homes), 'home')}: {', '.join(homes[:HOMES_SHOWN])}{more}."
    if len(ordered) > SHOWN:
        yield f"{len(ordered) - SHOWN} more pages."
