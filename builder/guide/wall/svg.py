"""A wall as SVG: few bytes, no style of its own, colours and line weights by class.

Measures stand outside the wall, as on a drawing of the trade: the height at its side, the length
below its floor. A long wall is cut to the part around the thing.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from markupsafe import Markup, escape

from builder.guide.plan.boxes import text_width
from builder.guide.wall.view import Block, Opening, WallView
from builder.guide.wall.words import length, words

UNITS = 100
"""Units of a drawing in a metre."""
LONGEST, AROUND = 4.6, 1.5
"""Metres of a wall that are drawn whole, and of a longer one to each side of what is shown."""
TYPE_SHARE, LEAST_TYPE = 26, 11
"""The type is this part of the width of the drawing, and never less than so many units."""


@dataclass(frozen=True, slots=True)
class Part:
    """The part of a wall that is drawn, from one ``x`` to another, in metres."""

    view: WallView
    left: float
    right: float

    @property
    def type(self) -> int:
        return max(LEAST_TYPE, round((self.right - self.left) * UNITS / TYPE_SHARE) + 6)

    def across(self, x: float) -> int:
        return round((min(max(x, self.left), self.right) - self.left) * UNITS)

    def up(self, height: float) -> int:
        return round(-height * UNITS)


def wall_svg(view: WallView) -> Markup:
    """The wall with its thing, measured from the floor and from the nearest edge."""
    part = part_of(view, (view.x, view.mark.x if view.mark else view.x))
    size, wide, high = part.type, part.across(part.right), round(view.top * UNITS)
    text = length(view.height)
    margin = round(text_width(text, size)) + 2 * size
    on_left = part.across(view.x) <= wide / 2
    left = margin if on_left else size
    right = size if on_left else margin
    box = f"{-left} {-high - size} {left + wide + right} {high + 4 * size}"
    says = words(view)
    inner = "".join(
        (
            face(part, high),
            *(block(part, each) for each in view.blocks),
            *(opening(part, each) for each in view.openings),
            ends(part, high),
            *_height(part, text, on_left=on_left),
            *_along(part),
            _thing(part),
        )
    )
    return Markup(  # noqa: S704 - every text was escaped
        f'<svg class="wall-view" role="img" aria-label="{escape(says)}" viewBox="{box}">{inner}</svg>'
    )


def part_of(view: WallView, edges: Iterable[float]) -> Part:
    """The part of a wall that is drawn, so that all of these places along it are in sight."""
    if view.width <= LONGEST:
        return Part(view, 0.0, view.width)
    edges = tuple(edges)
    left, right = max(min(edges) - AROUND, 0.0), min(max(edges) + AROUND, view.width)
    return Part(view, left, right)


def face(part: Part, high: int) -> str:
    """The ground of the wall."""
    wide = part.across(part.right)
    return f'<path class="wall-face" d="M0 0h{wide}v{-high}h{-wide}z"/>'


def ends(part: Part, high: int) -> str:
    """The floor, and each corner that is in sight; an end that was cut stays open."""
    wide = part.across(part.right)
    lines = [f"M0 0h{wide}"]
    if not part.view.outside:
        lines.append(f"M0 {-high}h{wide}")
    if part.left == 0:
        lines.append(f"M0 0v{-high}")
    if part.right == part.view.width:
        lines.append(f"M{wide} 0v{-high}")
    return f'<path class="wall-edge" fill="none" d="{"".join(lines)}"/>'


def opening(part: Part, gap: Opening) -> str:
    """A door or a window, as far as it is in sight."""
    left, right = part.across(gap.left), part.across(gap.right)
    if left == right:
        return ""
    bottom, top = part.up(gap.bottom), part.up(min(gap.top, part.view.top))
    kind = "wall-window" if gap.noun == "window" else "wall-door"
    frame = f"M{left} {bottom}H{right}V{top}H{left}z"
    if gap.noun == "window":
        frame += f"M{round((left + right) / 2)} {bottom}V{top}"
    return f'<path class="{kind}" d="{frame}"/>'


def block(part: Part, thing: Block) -> str:
    """Something that stands against the wall."""
    left, right = part.across(thing.left), part.across(thing.right)
    if left == right:
        return ""
    return f'<path class="wall-block" fill="none" d="M{left} 0V{part.up(thing.top)}H{right}V0"/>'


def _height(part: Part, text: str, *, on_left: bool) -> Iterator[str]:
    """The measure from the floor, at the side of the wall that is nearer."""
    x, y, size = part.across(part.view.x), part.up(part.view.height), part.type
    if y == 0:
        return
    wide = part.across(part.right)
    at = -round(size * 0.6) if on_left else wide + round(size * 0.6)
    yield f'<path class="wall-guide" fill="none" d="M{x} {y}H{at}"/>'
    yield f'<path class="wall-measure" fill="none" d="M{at - 4} 0h8M{at} 0V{y}M{at - 4} {y}h8"/>'
    middle = round(y / 2 + size * 0.35)
    yield _text(text, at + (-6 if on_left else 6), middle, size, "end" if on_left else "start")


def _along(part: Part) -> Iterator[str]:
    """The measure from the nearest edge, below the floor."""
    view, size = part.view, part.type
    if view.mark is None or view.off_mark < 0.05:  # noqa: PLR2004 - said in words as "close"
        return
    x, edge, y = part.across(view.x), part.across(view.mark.x), round(size * 0.9)
    yield f'<path class="wall-guide" fill="none" d="M{x} {part.up(view.height)}V{y}M{edge} 0V{y}"/>'
    yield f'<path class="wall-measure" fill="none" d="M{edge} {y - 4}v8M{edge} {y}H{x}M{x} {y - 4}v8"/>'
    text = length(view.off_mark)
    half, wide = text_width(text, size) / 2, part.across(part.right)
    middle = min(max((x + edge) / 2, half), wide - half)
    yield _text(text, round(middle), y + round(size * 1.3), size, "middle")


def _thing(part: Part) -> str:
    x, y, radius = part.across(part.view.x), part.up(part.view.height), round(part.type * 0.55)
    return (
        f'<circle class="ring" fill="none" cx="{x}" cy="{y}" r="{round(radius * 1.7)}"/>'
        f'<circle class="spot" cx="{x}" cy="{y}" r="{radius}"/>'
    )


def _text(text: str, x: int, y: int, size: int, anchor: str) -> str:
    return f'<text class="wall-text" font-size="{size}" text-anchor="{anchor}" x="{x}" y="{y}">{escape(text)}</text>'
