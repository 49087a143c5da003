"""What a change of content changed in whose guide: the guides of two workspaces, page by page."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from html import unescape

from builder.guide.pages import Guide
from builder.preparing import Preparation
from builder.questions.showing import ShownValue, WritePage

_AROUND = 1
"""Lines that stay the same and are shown on each side of a change."""
_FRONT = re.compile(r"\A---\n.*?\n---\n", re.DOTALL)
_BREAKS = re.compile(r"\s*(?:<(?:br|div|p|li|dt|dd|td|small)\b[^>]*>\s*)+")
"""Elements between two words that stand apart on the page."""
_ELEMENTS = re.compile(r"</?[a-z][^>]*>|^\{:.*\}$")


@dataclass(frozen=True, slots=True)
class Side:
    """A line of a page on both sides; none where one side has none."""

    before: str | None
    after: str | None

    @property
    def same(self) -> bool:
        return self.before == self.after


@dataclass(frozen=True, slots=True)
class PageChange:
    """One page that reads otherwise, in what lines, and the plots in which those lines do.

    ``sort``: new, gone or changed; of a changed page ``sides`` are the lines, with one around them.
    """

    path: str
    title: str
    sort: str
    sides: tuple[Side, ...]
    plots: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """All pages that read otherwise, the plots compared, and those that have a guide on one side alone."""

    pages: tuple[PageChange, ...]
    compared: tuple[str, ...]
    only_before: tuple[str, ...]
    only_after: tuple[str, ...]


def compared(
    before: Preparation,
    after: Preparation,
    writes: tuple[WritePage, WritePage],
    *,
    same_templates: bool,
    done: Callable[[str], None] = lambda _: None,
) -> Comparison:
    """The guides of a workspace against those of the same workspace at another time.

    ``writes``: what writes a page of either as its site does; ``same_templates``: equal values of
    a page then read the same.
    """
    found: dict[tuple[object, ...], tuple[PageChange, list[str]]] = {}
    both = [name for name in after.plots if name in before.plots]
    for name in both:
        old = _shown_guide(before.plots[name].guide, writes[0])
        new = _shown_guide(after.plots[name].guide, writes[1])
        for change in _differing(old, new, alike=same_templates):
            told = tuple(each for each in change.sides if not each.same)
            found.setdefault((change.path, change.sort, told), (change, []))[1].append(name)
        done(name)
    pages = tuple(replace(change, plots=tuple(plots)) for change, plots in found.values())
    return Comparison(pages, tuple(both), _rest(before, after), _rest(after, before))


def _rest(one: Preparation, other: Preparation) -> tuple[str, ...]:
    return tuple(name for name in one.plots if name not in other.plots)


def _shown_guide(guide: Guide, write: WritePage) -> ShownValue:
    return ShownValue(guide, {page.id: page for page in guide.pages}, {}, write)


def _differing(old: ShownValue, new: ShownValue, *, alike: bool) -> Iterator[PageChange]:
    alike = alike and old.around == new.around
    names: Mapping[str, None] = dict.fromkeys((*new.pages, *old.pages))
    for name in names:
        was, now = old.pages.get(name), new.pages.get(name)
        page = now or was
        if page is None or (alike and was == now):
            continue
        lines = tuple(_sides(_lines(old.text(name)), _lines(new.text(name))))
        if was is None or now is None:
            yield PageChange(page.path, page.title, "gone" if was else "new", (), ())
        elif lines:
            yield PageChange(page.path, page.title, "changed", lines, ())


def _lines(text: str | None) -> list[str]:
    """What a page says, without its front matter, its elements and empty lines."""
    body = _FRONT.sub("", text or "")
    apart = (_BREAKS.sub(" ", line) for line in body.splitlines())
    lines = (unescape(_ELEMENTS.sub("", line)).strip() for line in apart)
    return [line for line in lines if line]


def _sides(old: list[str], new: list[str]) -> Iterator[Side]:
    """The lines that differ, in order, each with a line around it."""
    for group in SequenceMatcher(None, old, new, autojunk=False).get_grouped_opcodes(_AROUND):
        for _, first, last, begin, end in group:
            for step in range(max(last - first, end - begin)):
                yield Side(_line_at(old, first + step, last), _line_at(new, begin + step, end))


def _line_at(lines: list[str], index: int, end: int) -> str | None:
    return lines[index] if index < end else None
