"""What changed in guides, for the editor: lines that differ, as text and as one page with both sides."""

import re
from collections.abc import Iterable, Iterator
from difflib import SequenceMatcher
from html import escape

from builder.errors import counted
from builder.questions.compare import Comparison, PageChange, Side

_WORDS = re.compile(r"\S+\s*")
"""Words, each with the space behind it."""
_STYLE = (
    "body{font:1rem/1.45 system-ui,sans-serif;max-width:80rem;margin:2rem auto;padding:0 1rem}"
    "table{width:100%;table-layout:fixed;border-collapse:collapse;margin:.5rem 0 2rem}"
    "th,td{border:1px solid;padding:.25rem .5rem;text-align:left;vertical-align:top;"
    "overflow-wrap:anywhere}del{text-decoration:line-through}ins{text-decoration:underline}"
)


def as_text(told: Comparison) -> Iterator[str]:
    """A heading for each page with its plots, then its lines: - before, + now."""
    for change in told.pages:
        yield f"{change.path or 'first page'}: {change.title}"
        yield f"  {change.sort} in {_counted_plots(change.plots)}"
        if change.sort == "changed":
            for side in change.sides:
                yield from _lines_of(side)
        yield ""


def _lines_of(side: Side) -> Iterator[str]:
    if side.same:
        yield f"      {side.after}"
        return
    if side.before is not None:
        yield f"    - {side.before}"
    if side.after is not None:
        yield f"    + {side.after}"


def _counted_plots(plots: Iterable[str]) -> str:
    names = list(plots)
    return f"{len(names)} {'plot' if len(names) == 1 else 'plots'}: {', '.join(names)}"


def as_page(told: Comparison, before: str, after: str) -> str:
    """One page of HTML that holds all of it, with both sides; it asks nobody for anything."""
    title = f"What changed from {before} to {after}"
    parts = "\n".join(_section(change, before, after) for change in told.pages)
    return (
        '<!doctype html>\n<html lang="en-GB">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width,initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f"<h1>{escape(title)}</h1>\n<p>{counted(len(told.pages), 'page')} changed, of "
        f"{counted(len(told.compared), 'plot')}.</p>\n{parts}\n</body>\n</html>\n"
    )


def _section(change: PageChange, before: str, after: str) -> str:
    head = f"<h2>{escape(change.title)}</h2>\n<p>{change.sort}: {escape(change.path)}. {escape(_counted_plots(change.plots))}</p>"
    if change.sort != "changed":
        return head
    rows = "\n".join(
        f"<tr><td>{_cell(side.before, side.after, 'del')}</td><td>{_cell(side.after, side.before, 'ins')}</td></tr>"
        for side in change.sides
    )
    return (
        f"{head}\n<table>\n<thead><tr><th>{escape(before)}</th><th>{escape(after)}</th></tr>"
        f"</thead>\n<tbody>\n{rows}\n</tbody>\n</table>"
    )


def _cell(line: str | None, other: str | None, mark: str) -> str:
    """A line of one side, in which the words are marked that the other side has not."""
    ours, theirs = (_WORDS.findall(each or "") for each in (line, other))
    same = SequenceMatcher(None, ours, theirs, autojunk=False).get_matching_blocks()
    cell, done = "", 0
    for block in same:
        own = escape("".join(ours[done : block.a]))
        cell += f"<{mark}>{own}</{mark}>" if own else ""
        done = block.a + block.size
        cell += escape("".join(ours[block.a : done]))
    return cell
