"""A wall with several numbered things on it, as SVG: in the lines of one that shows a single thing."""

from markupsafe import Markup, escape

from builder.guide.plan.numbered import label_svg, labels
from builder.guide.wall.svg import UNITS, ends, ground, part_of
from builder.guide.wall.together import SharedWall
from builder.guide.wall.words import stand
from builder.languages.language import FIRST, Language


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
