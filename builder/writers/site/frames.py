"""Renders what the theme puts around a page: the navigation by itself, which hardly two editions have
in common, and all else, which most of them share.

Both come out of the theme's own templates, in the order of a render of the whole page; only that a
block is looked at alone.
"""

from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from jinja2 import Template
from jinja2.runtime import Context

from builder.lately import Lately
from builder.model.late import CLOSES, OPENS

RESTS = 300
"""Frames without their navigation that a process keeps in memory."""

_NAVIGATION = "site_nav"
"""The block of the theme that holds the navigation, and the headings of the page."""
_HOLE = f"{OPENS}navigation{CLOSES}"


@dataclass(frozen=True, slots=True)
class Frame:
    """What the theme puts before and behind a page's content; ``before`` in pieces, one after the
    other, of which frames that have one in common have the same text object."""

    before: tuple[str, ...]
    behind: str


class Frames:
    """The frames of pages. Pages that look the same around them but for the navigation share all that
    is not the navigation."""

    def __init__(self) -> None:
        self._rests: Lately[Hashable, tuple[str, str, str]] = Lately(RESTS)
        self._besides: frozenset[str] = frozenset()

    def frame(
        self, template: Template, values: Mapping[str, Any], content: str, beside: Hashable
    ) -> Frame:
        """The frame of a page with this content. ``beside``: all that the theme shows around the page
        besides the navigation; nothing where that is not known, and the page is rendered whole."""
        rest = self._rest(template, values, content, beside) if beside else None
        if rest is None:
            before, _, behind = template.render(values).partition(content)
            return Frame((before,), behind)
        return Frame((rest[0], self._navigation(template, values), rest[1]), rest[2])

    def _rest(
        self, template: Template, values: Mapping[str, Any], content: str, beside: Hashable
    ) -> tuple[str, str, str] | None:
        """What stands before the navigation, between it and the content, and behind the content;
        nothing where the theme has no such block."""
        found = self._rests.get(beside)
        if found is not None:
            return found
        context = template.new_context(dict(values))
        context.blocks[_NAVIGATION] = [_hole]
        text = "".join(template.root_render_func(context))
        self._besides = frozenset(context.blocks) - {_NAVIGATION}
        before, hole, after = text.partition(_HOLE)
        if not hole:
            return None
        between, _, behind = after.partition(content)
        return self._rests.keep(beside, (before, between, behind))

    def _navigation(self, template: Template, values: Mapping[str, Any]) -> str:
        """The block of the navigation, in the context that the templates have made for it when they
        come to it. Nothing that stands in another block reaches this one."""
        found: list[str] = []

        def kept(context: Context) -> Iterator[str]:
            # The theme's own block stands behind this one.
            found.append("".join(context.blocks[_NAVIGATION][1](context)))
            yield found[0]

        context = template.new_context(dict(values))
        context.blocks |= {name: [_empty] for name in self._besides}
        context.blocks[_NAVIGATION] = [kept, *context.blocks.get(_NAVIGATION, ())]
        for _ in template.root_render_func(context):
            if found:
                break
        return found[0]


def _hole(_: Context) -> Iterator[str]:
    yield _HOLE


def _empty(_: Context) -> Iterator[str]:
    yield ""
