"""A save laid over a file that somebody else has changed meanwhile.

Of three texts, the one that the author saw, the one that the author wants and the one that stands there
now, all that does not touch is kept: values by their paths, cells by plot and column, texts by
lines. Where both changed the same, nothing is saved and both sides are told.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

from builder.saving.article_text import parts_of
from builder.saving.changes import (
    Body,
    Change,
    Head,
    OfValues,
    Touched,
    Whole,
    changed,
    seen,
    touched,
)
from builder.saving.yaml_text import ABSENT, UnchangeableError, same
from builder.sources.entry import Address, dotted


@dataclass(frozen=True, slots=True)
class Contest:
    """One thing that two people changed: what it was, what stands there now, and what was wanted.

    ``about``: a dotted path, "plot, column", or the lines of a text. ``None``: nothing.
    """

    file: str
    about: str
    was: Any
    now: Any
    wanted: Any


@dataclass(frozen=True, slots=True)
class MergedFile:
    """What a file says after a save, and what two people changed there: of that the text has what its
    author wanted, for them to look at. It is written only where nothing is contested."""

    text: str | None
    contests: tuple[Contest, ...] = ()


def merged(file: str, base: str | None, now: str | None, changes: Sequence[Change]) -> MergedFile:
    """Changes that were made of ``base``, laid over what a file says now. None: no file.

    Raises UnchangeableError for changes that even their author's text does not bear.
    """
    if base == now:
        return MergedFile(changed(file, now, changes))
    wanted, text = changed(file, base, changes), now
    contests: list[Contest] = []
    for change in changes:
        if isinstance(change, Body | Head | Whole) and None not in (base, now, wanted):
            text, found = _merged_by_lines(file, change, str(base), str(text))
            contests += found
            continue
        found = list(_contested(file, change, (base, now, wanted)))
        contests += found
        if found:
            text = _insisting(file, text, change)
        elif not _is_done(file, change, (base, now, wanted)):
            text = changed(file, text, (change,))
    return MergedFile(text, tuple(contests))


def _insisting(file: str, text: str | None, change: Change) -> str | None:
    try:
        return changed(file, text, (change,))
    except UnchangeableError:
        return text


def _is_done(file: str, change: Change, texts: tuple[str | None, str | None, str | None]) -> bool:
    """Whether there is nothing to do: its author left it as it was, or somebody else has done the same."""
    for about in touched(change):
        was, now, wanted = (seen(file, text, about) for text in texts)
        if not same(now, wanted) and not same(was, wanted):
            return False
    return True


def _contested(
    file: str, change: Change, texts: tuple[str | None, str | None, str | None]
) -> Iterator[Contest]:
    for about in touched(change):
        was, now, wanted = (seen(file, text, about) for text in texts)
        if same(now, wanted) or same(was, wanted):
            continue
        if not same(was, now):
            yield Contest(
                file, _name_of_part(about), *(_value_to_show(each) for each in (was, now, wanted))
            )
        elif isinstance(change, OfValues) and (gone := _gone_above(file, about, texts)):
            yield Contest(file, dotted(gone), _value_to_show(seen(file, texts[0], ("value", gone))), None,
                          _value_to_show(seen(file, texts[2], ("value", gone))))  # fmt: skip


def _gone_above(
    file: str, about: Touched, texts: tuple[str | None, str | None, str | None]
) -> Address:
    """The entry around a value that was there and was taken out meanwhile."""
    what, path = about
    for depth in range(1, len(path)):
        above = (what, path[:depth])
        if isinstance(seen(file, texts[0], above), dict) and not isinstance(seen(file, texts[1], above), dict):  # fmt: skip
            return path[:depth]
    return ()


def _name_of_part(about: Touched) -> str:
    what, path = about
    return ", ".join(map(str, path)) if what in ("cell", "row") else dotted(path) or what


def _value_to_show(value: Any) -> Any:
    return None if value is ABSENT else value


def _merged_by_lines(
    file: str, change: Body | Head | Whole, base: str, now: str
) -> tuple[str, list[Contest]]:
    if isinstance(change, Whole):
        text, found = merged_lines(base, change.text, now)
        return text, [Contest(file, "lines", *each) for each in found]
    old, here = parts_of(base), parts_of(now)
    if isinstance(change, Head):
        head, found = merged_lines(old.head, old.with_head(change.text).head, here.head)
        return here.with_head(head).text, [Contest(file, "front matter", *each) for each in found]
    body, found = merged_lines(old.body, old.with_body(change.text).body, here.body)
    return here.with_body(body).text, [Contest(file, "body", *each) for each in found]


Chunk = tuple[str, str, str]
"""Lines that two people changed: as they were, as they are now, as they were wanted."""


def merged_lines(base: str, mine: str, theirs: str) -> tuple[str, list[Chunk]]:
    """Two texts that came of one, in one text; and the lines that both changed, which it has as mine.

    Lines that both left alone, in all three, hold the text together; between two of them one side may
    have changed what it likes (diff3: Khanna, Kunal and Pierce, 2007, from memory).
    """
    lines = [each.splitlines(keepends=True) for each in (base, mine, theirs)]
    written: list[str] = []
    contests: list[Chunk] = []
    last = (0, 0, 0)
    for begin, end in _steady(*lines):
        was, wanted, now = ("".join(lines[n][last[n] : begin[n]]) for n in range(3))
        if now in (was, wanted):
            written.append(wanted)
        elif was == wanted:
            written.append(now)
        else:
            contests.append((was, now, wanted))
            written.append(wanted)
        written.append("".join(lines[0][begin[0] : end[0]]))
        last = end
    return "".join(written), contests


Corner = tuple[int, int, int]


def _steady(base: list[str], mine: list[str], theirs: list[str]) -> Iterator[tuple[Corner, Corner]]:
    """The runs of lines that are the same in all three; an empty one at the end."""
    ours, other = (_places(base, each) for each in (mine, theirs))
    begin = 0
    while begin < len(base):
        a, b = ours.get(begin), other.get(begin)
        if a is None or b is None:
            begin += 1
            continue
        end = begin
        while ours.get(end) == a + end - begin and other.get(end) == b + end - begin:
            end += 1
        yield (begin, a, b), (end, a + end - begin, b + end - begin)
        begin = end
    last = len(base), len(mine), len(theirs)
    yield last, last


def _places(base: list[str], other: list[str]) -> dict[int, int]:
    """Where each line of one text stands in another that came of it."""
    blocks = SequenceMatcher(None, base, other, autojunk=False).get_matching_blocks()
    return {each.a + n: each.b + n for each in blocks for n in range(each.size)}
