"""Plans as SVG: few bytes, no style of their own, colours and line weights by class.

Classes are styled where a plan is shown: the guide's style sheet, a sticker page's, a printed
document's. Without any style a plan is still legible, in black.
"""

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping

from markupsafe import Markup, escape

from builder.guide.plan.boxes import Box, text_width
from builder.guide.plan.drawing import (
    BUILT_IN,
    EDGE,
    UNITS,
    Base,
    FloorPlan,
    Gathered,
    Highlight,
    Leaf,
    Name,
    Pin,
    Spot,
    Stroke,
    TouchPlan,
)
from builder.guide.plan.numbered import NumberLabel, label_svg
from builder.languages.language import FIRST, Language
from builder.model.equipment import PinShape

FOOT, FOOT_TYPE = 44, 12
"""Units below a full plan for its scale bar, the word for its front and its north mark."""
SHAPES: dict[PinShape, str] = {
    "circle": "M-13 0a13 13 0 1 0 26 0a13 13 0 1 0-26 0z",
    "square": "M-12-12h24v24h-24z",
    "diamond": "M0-15l15 15-15 15-15-15z",
    "hexagon": "M-8-13h16l7 13-7 13h-16l-7-13z",
    "drop": "M0-15c4 6 13 7 13 16a13 13 0 0 1-26 0c0-9 9-10 13-16z",
    "shield": "M-13-13h26v13c0 7-5 12-13 15c-8-3-13-8-13-15z",
    "octagon": "M-6-14h12l8 8v12l-8 8h-12l-8-8v-12z",
    "house": "M0-15l14 10v18h-28v-18z",
}
"""The outline of each shape about its middle, within the box of a pin."""
NARROWEST = 400
"""Units that a full plan is wide at least, so that its foot has room for all that stands there."""
PIN_BOX = 30
"""Units across that every shape fits in."""
_PIN_TYPE, _PIN_TEXT = (13, 12, 11, 10), 24
"""Units of type that the text of a pin is tried in, and how wide it may be."""


def full_svg(plan: FloorPlan, identifier: str) -> Markup:
    """A floor with its marks. ``identifier`` makes the ids of title and description its own."""
    box = _widened(plan.box.grown(EDGE))
    view = Box(box.left, box.top, box.right, box.bottom + FOOT)
    head = (
        f'<svg class="plan plan--full" width="{view.width:.0f}" role="img" aria-labelledby="{identifier}-title {identifier}-desc" '
        f'viewBox="{_view(view)}"><title id="{identifier}-title">{escape(plan.title)}</title>'
        f'<desc id="{identifier}-desc">{escape(plan.describes)}</desc>'
    )
    parts = [_floor(plan.base), *map(_name, plan.names), *_pins(plan.pins), _foot(plan, box)]
    return Markup(f"{head}{''.join(parts)}</svg>")  # noqa: S704 - every text was escaped


def touch_svg(
    plan: TouchPlan,
    identifier: str,
    address: Callable[[Gathered], str],
    says: Mapping[str, str],
    numbers: Mapping[str, int],
    language: Language = FIRST,
) -> Markup:
    """A floor whose marks are links: the marks of all systems in one group, those of each in another.

    ``address`` gives where a mark leads, ``says`` what each piece is called, and ``numbers`` the
    number of each system, by which a page shows one alone; that of all systems is 0.
    """
    box = plan.box.grown(EDGE)
    view = Box(box.left, box.top, box.right, box.bottom + 1.5 * plan.size)
    groups = (
        f'<g class="marks marks-{numbers.get(system, 0)}">'
        f"{''.join(_touched(each, plan.size, address(each), says, language) for each in marks)}</g>"
        for system, marks in plan.sets
    )
    names = "".join(map(_name, plan.names))
    return Markup(  # noqa: S704 - every text was escaped
        f'<svg class="plan plan--touch" role="group" aria-labelledby="{identifier}-title" viewBox="{_view(view)}">'
        f'<title id="{identifier}-title">{escape(plan.title)}</title><desc>{escape(plan.describes)}</desc>'
        f"{_floor(plan.base)}{names}{''.join(groups)}{_touch_foot(plan, box)}</svg>"
    )


def _touched(
    mark: Gathered, size: int, address: str, says: Mapping[str, str], language: Language
) -> str:
    """A mark to touch. Several that would touch each other are one, which says how many.

    Its shape is smaller than what a finger may touch: an unseen circle of its whole size.
    """
    names = ", ".join(f"{each.mark.text} {says[each.piece]}" for each in mark.members)
    first = mark.members[0].mark
    alike = len({each.mark.system for each in mark.members}) == 1
    tone, shape = (f" tone-{first.tone}", first.shape) if alike else (" pin--many", "circle")
    several = len(mark.members) > 1
    text = str(len(mark.members)) if several else first.text
    names = (
        language.say("%(count)s things: %(names)s", count=text, names=names) if several else names
    )
    return (
        f'<a href="{escape(address)}" aria-label="{escape(names)}"><g class="pin{tone}" '
        f'transform="translate({mark.x} {mark.y})scale({_scale(size)})">'
        f'<circle r="{PIN_BOX // 2}"/><path d="{SHAPES[shape]}"/>{_pin_text(text)}</g></a>'
    )


def _scale(size: int) -> str:
    """How much a mark is enlarged to fill its size, rounded up, so that it is never smaller."""
    return f"{math.ceil(100 * size / PIN_BOX) / 100:.2f}"


def _touch_foot(plan: TouchPlan, box: Box) -> str:
    """The word for the front, and the north mark where it is known, as large as the marks."""
    size, y = round(plan.size * 0.42), round(box.bottom + plan.size * 0.8)
    middle = round((plan.base.box.left + plan.base.box.right) / 2)
    front = (
        f'<text class="foot" font-size="{size}" x="{middle}" y="{y}">{escape(plan.front)}</text>'
    )
    if plan.north is None:
        return front
    scale, x = plan.size / PIN_BOX * 0.8, round(box.right - plan.size * 0.7)
    return f"{front}{_north_mark(plan.north, x, y - size // 2, scale)}"


def highlight_svg(
    plan: Highlight, *, built_in: bool = True, tags: Iterable[NumberLabel] = ()
) -> Markup:
    """A floor with one thing on it: its room shaded, a ring and a dot on each spot. ``tags``: numbers.

    ``built_in``: whether stairs are drawn, and what stands in the shaded rooms; without them it is lighter.
    """
    ring = max(18, round(plan.box.width / 24))
    box = plan.box
    for x, y in plan.spots:
        box = box.joined(Box(x - ring, y - ring, x + ring, y + ring))
    tags = tuple(tags)
    for each in tags:
        box = box.joined(each.box)
    covered = [*plan.spots, *((round(each.x), round(each.y)) for each in tags)]
    names = [_name(each) for each in plan.names if not _hides(each, covered, ring)]
    rooms = ("", *plan.rooms) if built_in else ()
    marks = [*(_ring(spot, ring) for spot in plan.spots), *map(label_svg, tags)]
    head = f'<svg class="plan" role="img" aria-label="{escape(plan.says)}" viewBox="{_view(box.grown(EDGE))}">'
    inner = f"{_floor(plan.base, plan.rooms, rooms)}{''.join(names)}{''.join(marks)}"
    return Markup(f"{head}{inner}</svg>")  # noqa: S704 - every text was escaped


def shape_svg(shape: PinShape, tone: int, letter: str) -> Markup:
    """The mark of a system by itself, for the list that explains marks."""
    return Markup(  # noqa: S704 - every text was escaped
        f'<svg class="plan plan--key" aria-hidden="true" viewBox="-18-18 36 36">'
        f'<g class="pin tone-{tone}"><path d="{SHAPES[shape]}"/><text y="5" font-size="15">{escape(letter)}</text></g></svg>'
    )


def _hides(name: Name, spots: Iterable[Spot], ring: int) -> bool:
    return any(name.box.grown(ring).holds(*spot) for spot in spots)


def _floor(base: Base, shaded: Iterable[str] = (), furnished: Collection[str] | None = None) -> str:
    """The floor itself. ``furnished``: the rooms in which what is built in, such as baths, is drawn, all by default;
    stairs are in none ("")."""
    here = set(shaded)
    areas = [
        f'<path class="{"here" if area.room in here else "light" if area.light else "room"}" d="{_path(area.corners)}"/>'
        for area in base.areas
        if area.light or area.room in here
    ]
    walls = "".join(_path(ring) for ring in base.walls)
    leaves = "".join(map(_leaf, base.leaves))
    built = [
        each
        for each in base.strokes
        if each.kind in BUILT_IN and (furnished is None or each.room in furnished)
    ]
    others = [each for each in base.strokes if each.kind not in BUILT_IN]
    return (
        f"{''.join(areas)}{''.join(_strokes(built))}"
        f'<path class="wall" fill-rule="evenodd" d="{walls}"/>'
        f"{_path_svg('door', leaves)}{''.join(_strokes(others))}"
    )


def _strokes(strokes: Iterable[Stroke]) -> Iterator[str]:
    """The thin lines of a floor, those of one kind together."""
    strokes = tuple(strokes)
    for kind in dict.fromkeys(each.kind for each in strokes):
        lines = (_path(each.points, closed=each.closed) for each in strokes if each.kind == kind)
        yield _path_svg(kind, "".join(lines))


def _path_svg(kind: str, path: str) -> str:
    return f'<path class="{kind}" fill="none" d="{path}"/>' if path else ""


def _leaf(leaf: Leaf) -> str:
    (x, y), (tip_x, tip_y), (jamb_x, jamb_y) = leaf.hinge, leaf.tip, leaf.jamb
    radius = round(((tip_x - x) ** 2 + (tip_y - y) ** 2) ** 0.5)
    sweep = 1 if leaf.clockwise else 0
    arc = f"a{radius} {radius} 0 0 {sweep} {jamb_x - tip_x}{_next_number(jamb_y - tip_y)}"
    return f"M{x}{_next_number(y)}{_step(tip_x - x, tip_y - y)}{arc}"


def _path(points: Iterable[Spot], *, closed: bool = True) -> str:
    """A line through points: the first whole, each further one as a step from the one before."""
    (x, y), *rest = points
    steps = [f"M{x}{_next_number(y)}"]
    for next_x, next_y in rest:
        step = _step(next_x - x, next_y - y)
        # Behind a slanted step, a second one is known without its letter.
        again = step[:2] == "l-" and steps[-1][:1] in ("l", "-")
        steps.append(step[1:] if again else step)
        x, y = next_x, next_y
    return "".join(steps) + ("z" if closed else "")


def _step(across: int, down: int) -> str:
    """A line to a point, as short as it can be written."""
    if not down:
        return f"h{across}"
    return f"l{across}{_next_number(down)}" if across else f"v{down}"


def _next_number(number: int) -> str:
    """A number behind another: a sign parts them as well as a space."""
    return f"{number}" if number < 0 else f" {number}"


def _name(name: Name) -> str:
    text = "".join(
        f'<text class="name" font-size="{name.size}" x="{name.x}" y="{top}">{escape(line)}</text>'
        for line, top in zip(name.lines, name.tops, strict=True)
    )
    if not name.led:
        return text
    (x, y), middle = name.spot, round((name.box.top + name.box.bottom) / 2)
    line = f'<path class="lead" d="M{x} {y}L{name.x} {middle}"/><circle class="dot" cx="{x}" cy="{y}" r="3"/>'
    return f"{line}{_backed(name.box)}{text}"


def _backed(box: Box) -> str:
    """Clear ground under a text that a line leads to."""
    return (
        f'<rect class="ground" x="{box.left:.0f}" y="{box.top:.0f}" '
        f'width="{box.width:.0f}" height="{box.height:.0f}"/>'
    )


def _pins(pins: tuple[Pin, ...]) -> Iterator[str]:
    """All lines and dots first, so that no line runs over a pin."""
    led = [pin for pin in pins if pin.led]
    if led:
        lines = "".join(f"M{pin.spot[0]} {pin.spot[1]}L{pin.x} {pin.y}" for pin in led)
        yield f'<path class="lead" d="{lines}"/>'
        yield from (
            f'<circle class="dot" cx="{x}" cy="{y}" r="3"/>'
            for x, y in dict.fromkeys(pin.spot for pin in led)
        )
    for pin in pins:
        yield (
            f'<g class="pin tone-{pin.mark.tone}" transform="translate({pin.x} {pin.y})">'
            f'<path d="{SHAPES[pin.mark.shape]}"/>{_pin_text(pin.mark.text)}</g>'
        )


def _pin_text(text: str) -> str:
    """The letter and number of a pin, at the largest size that fits in every shape."""
    fitting = (size for size in _PIN_TYPE if text_width(text, size) <= _PIN_TEXT)
    return f'<text y="4" font-size="{next(fitting, 9)}">{escape(text)}</text>'


def _ring(spot: Spot, radius: int) -> str:
    x, y = spot
    return (
        f'<circle class="ring" fill="none" cx="{x}" cy="{y}" r="{radius}"/>'
        f'<circle class="spot" cx="{x}" cy="{y}" r="{round(radius / 2.5)}"/>'
    )


def _foot(plan: FloorPlan, box: Box) -> str:
    """The scale bar, the word for the front, and the north mark where it is known."""
    left, y, long = round(box.left + EDGE), round(box.bottom + 16), 2 * UNITS
    bar = (
        f'<path class="scale" fill="none" d="M{left} {y - 4}v8M{left} {y}h{long}M{left + UNITS} {y - 3}v6M{left + long} {y - 4}v8"/>'
        f"{_foot_text('0', left, y + 20)}{_foot_text('2 m', left + long, y + 20)}"
    )
    half = round(text_width(plan.front, FOOT_TYPE) / 2)
    middle = max(round((plan.base.box.left + plan.base.box.right) / 2), left + long + 20 + half)
    front = _foot_text(escape(plan.front), middle, y + 4)
    return bar + front + (_north(plan.north, box) if plan.north is not None else "")


def _north(degrees: str, box: Box) -> str:
    return _north_mark(degrees, round(box.right - EDGE - 14), round(box.bottom + 20))


def _north_mark(degrees: str, x: int, y: int, scale: float = 1) -> str:
    larger = "" if scale == 1 else f"scale({scale:.2f})"
    return (
        f'<g class="north" transform="translate({x} {y}){larger}"><path transform="rotate({degrees})" d="M0-16l7 26-7-5-7 5z"/>'
        f'<text font-size="{FOOT_TYPE}" x="-24" y="5">N</text></g>'
    )


def _foot_text(text: str, x: int, y: int) -> str:
    return f'<text class="foot" font-size="{FOOT_TYPE}" x="{x}" y="{y}">{text}</text>'


def _widened(box: Box) -> Box:
    """A box made as wide as the foot of a plan needs it."""
    more = max(0, round((NARROWEST - box.width) / 2))
    return Box(box.left - more, box.top, box.right + more, box.bottom)


def _view(box: Box) -> str:
    return f"{box.left:.0f} {box.top:.0f} {box.width:.0f} {box.height:.0f}"
