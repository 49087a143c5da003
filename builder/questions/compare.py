"""What a change of content changed in whose guide: the guides of two workspaces, page by page."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from builder.guide.pages import Guide
from builder.preparing import Preparation
from builder.questions.showing import Shown, WritePage


@dataclass(frozen=True, slots=True)
class PageChange:
    """One page as it read before and as it reads now, and the plots in which it does.

    ``before`` or ``after`` is none where the guides had, or have, no such page.
    """

    path: str
    title: str
    before: str | None
    after: str | None
    plots: tuple[str, ...]

    @property
    def sort(self) -> str:
        if self.before is None:
            return "new"
        return "gone" if self.after is None else "changed"


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
    found: dict[tuple[str, str | None, str | None], tuple[str, list[str]]] = {}
    both = [name for name in after.plots if name in before.plots]
    for name in both:
        old = _shown(before.plots[name].guide, writes[0])
        new = _shown(after.plots[name].guide, writes[1])
        for path, title, was, now in _differing(old, new, alike=same_templates):
            found.setdefault((path, was, now), (title, []))[1].append(name)
        done(name)
    pages = tuple(
        PageChange(path, title, was, now, tuple(plots))
        for (path, was, now), (title, plots) in found.items()
    )
    return Comparison(pages, tuple(both), _rest(before, after), _rest(after, before))


def _rest(one: Preparation, other: Preparation) -> tuple[str, ...]:
    return tuple(name for name in one.plots if name not in other.plots)


def _shown(guide: Guide, write: WritePage) -> Shown:
    return Shown(guide, {page.id: page for page in guide.pages}, {}, write)


def _differing(
    old: Shown, new: Shown, *, alike: bool
) -> Iterator[tuple[str, str, str | None, str | None]]:
    alike = alike and old.around == new.around
    names: Mapping[str, None] = dict.fromkeys((*new.pages, *old.pages))
    for name in names:
        was, now = old.pages.get(name), new.pages.get(name)
        page = now or was
        if page is None or (alike and was == now):
            continue
        texts = old.text(name), new.text(name)
        if texts[0] != texts[1]:
            yield page.path, page.title, *texts
