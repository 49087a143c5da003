"""A wall as SVG: few bytes, no style of its own, colours and line weights by class.

Measures stand outside the wall, as on a drawing of the trade: the height at its side, the length
below its floor. A long wall is cut to the part around the thing.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from markupsafe import Markup, escape

from builder.guide.plan.boxes import text_width
from builder.guide.plan.numbered import label_svg, labels
from builder.guide.wall.together import SharedWall
from builder.guide.wall.view import Block, WallOpening, WallView
from builder.guide.wall.words import length, stand
from builder.languages.language import FIRST, Language

UNITS = 100
"""Units of a drawing in a metre."""
LONGEST, AROUND = 4.6, 1.5
"""Metres of a wall that are drawn whole, and of a longer one to each side of what is shown."""
TYPE_SHARE, LEAST_TYPE = 26, 11
"""The type is this part of the width of the drawing, and never less than so many units."""


@dataclass(frozen=True, slots=True)
class WallPart:
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

    def opening(self, gap: WallOpening) -> str:
        """A door or a window, as far as it is in sight."""
        left, right = self.across(gap.left), self.across(gap.right)
        if left == right:
            return ""
        bottom, top = self.up(gap.bottom), self.up(min(gap.top, self.view.top))
        frame = f"M{left} {bottom}H{right}V{top}H{left}z"
        if gap.noun == "window":
            frame += f"M{round((left + right) / 2)} {bottom}V{top}"
        return frame

    def block(self, thing: Block) -> str:
        """Something that stands against the wall."""
        left, right = self.across(thing.left), self.across(thing.right)
        return "" if left == right else f"M{left} 0V{self.up(thing.top)}H{right}V0"


def wall_svg(view: WallView) -> Markup:
    """The wall with its thing, measured from the floor and from the nearest edge. Whoever shows it writes
    its ``words`` beside it, so that nobody hears them twice."""
    part = part_of(view, (view.x, view.mark.x if view.mark else view.x))
    size, wide, high = part.type, part.across(part.right), round(view.top * UNITS)
    text = length(view.height)
    margin = round(text_width(text, size)) + 2 * size
    on_left = part.across(view.x) <= wide / 2
    left = margin if on_left else size
    right = size if on_left else margin
    box = f"{-left} {-high - size} {left + wide + right} {high + 4 * size}"
    inner = "".join(
        (
            ground(part, high),
            ends(part, high),
            _measures(_height(part, text, on_left=on_left), _along(part)),
            _thing(part),
        )
    )
    return Markup(  # noqa: S704 - every text was escaped
        f'<svg class="wall-view" aria-hidden="true" viewBox="{box}">{inner}</svg>'
    )


def part_of(view: WallView, edges: Iterable[float]) -> WallPart:
    """The part of a wall that is drawn, so that all of these places along it are in sight."""
    if view.width <= LONGEST:
        return WallPart(view, 0.0, view.width)
    edges = tuple(edges)
    left, right = max(min(edges) - AROUND, 0.0), min(max(edges) + AROUND, view.width)
    return WallPart(view, left, right)


def ground(part: WallPart, high: int) -> str:
    """The face of the wall, what stands against it, and its doors and windows."""
    view, wide = part.view, part.across(part.right)
    blocks = "".join(map(part.block, view.blocks))
    drawn = [f'<path class="wall-face" d="M0 0h{wide}v{-high}h{-wide}z"/>']
    if blocks:
        drawn.append(f'<path class="wall-block" fill="none" d="{blocks}"/>')
    for kind, windows in (("wall-window", True), ("wall-door", False)):
        openings = [each for each in view.openings if (each.noun == "window") == windows]
        if frames := "".join(map(part.opening, openings)):
            drawn.append(f'<path class="{kind}" d="{frames}"/>')
    return "".join(drawn)


def ends(part: WallPart, high: int) -> str:
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


@dataclass(frozen=True, slots=True)
class _Measured:
    """The lines of a measure, the dashed ones that lead to it, and its text."""

    lines: str
    guides: str
    text: str


def _measures(*measured: _Measured | None) -> str:
    """Both measures: their lines together, then their texts."""
    known = [each for each in measured if each is not None]
    if not known:
        return ""
    guides, lines, texts = (
        "".join(getattr(each, name) for each in known) for name in ("guides", "lines", "text")
    )
    return f'<path class="wall-guide" fill="none" d="{guides}"/><path class="wall-measure" fill="none" d="{lines}"/>{texts}'


def _height(part: WallPart, text: str, *, on_left: bool) -> _Measured | None:
    """The measure from the floor, at the side of the wall that is nearer."""
    x, y, size = part.across(part.view.x), part.up(part.view.height), part.type
    if y == 0:
        return None
    wide = part.across(part.right)
    at = -round(size * 0.6) if on_left else wide + round(size * 0.6)
    middle = round(y / 2 + size * 0.35)
    return _Measured(
        guides=f"M{x} {y}H{at}",
        lines=f"M{at - 4} 0h8M{at} 0V{y}M{at - 4} {y}h8",
        text=_text(text, at + (-6 if on_left else 6), middle, size, "end" if on_left else "start"),
    )


def _along(part: WallPart) -> _Measured | None:
    """The measure from the nearest edge, below the floor."""
    view, size = part.view, part.type
    if view.mark is None or view.off_mark < 0.05:  # noqa: PLR2004 - said in words as "close"
        return None
    x, edge, y = part.across(view.x), part.across(view.mark.x), round(size * 0.9)
    text = length(view.off_mark)
    half, wide = text_width(text, size) / 2, part.across(part.right)
    middle = min(max((x + edge) / 2, half), wide - half)
    return _Measured(
        guides=f"M{x} {part.up(view.height)}V{y}M{edge} 0V{y}",
        lines=f"M{edge} {y - 4}v8M{edge} {y}H{x}M{x} {y - 4}v8",
        text=_text(text, round(middle), y + round(size * 1.3), size, "middle"),
    )


def _thing(part: WallPart) -> str:
    x, y, radius = part.across(part.view.x), part.up(part.view.height), round(part.type * 0.55)
    return (
        f'<circle class="ring" fill="none" cx="{x}" cy="{y}" r="{round(radius * 1.7)}"/>'
        f'<circle class="spot" cx="{x}" cy="{y}" r="{radius}"/>'
    )


def _text(text: str, x: int, y: int, size: int, anchor: str) -> str:
    return f'<text class="wall-text" font-size="{size}" text-anchor="{anchor}" x="{x}" y="{y}">{escape(text)}</text>'


def shared_wall_svg(wall: SharedWall, language: Language = FIRST) -> Markup:
    """The wall with a number at each thing, and in words which numbers are on it."""
    view = wall.view
    part = part_of(view, [each.x for each in wall.things])
    size, wide, high = part.type, part.across(part.right), round(view.top * UNITS)
    # A number at the floor stands on it, and does not cover its line.
    spots = [
        (each.number, part.across(each.x), min(part.up(each.height), -size)) for each in wall.things
    ]
    inner = "".join(
        (
            ground(part, high),
            ends(part, high),
            *map(label_svg, labels(spots, size, 0, wide)),
        )
    )
    on_it = language.say("On it: %(numbers)s.", numbers=wall.numbers(language))
    says = f"{stand(view, language)} {on_it}"
    box = f"{-size} {-high - size} {wide + 2 * size} {high + 2 * size}"
    return Markup(  # noqa: S704 - every text was escaped
        f'<svg class="wall-view" role="img" aria-label="{escape(says)}" viewBox="{box}">{inner}</svg>'
    )
