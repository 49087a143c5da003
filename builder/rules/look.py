"""What a builder's guides look like can be read, in light and in dark, and its logo can be shown."""

from collections.abc import Iterator
from pathlib import Path
from typing import get_args

from builder.craft.colours import READABLE, least_contrast, near_readable
from builder.craft.logos import LOGO_FORMS
from builder.errors import Finding, Severity
from builder.home.assemble import TracedHome
from builder.home.palette import LETTERS, Mode, card_on, ground_of, worst_letters
from builder.model.people import Look, Shade
from builder.rules.photographs import picture_problem
from builder.rules.rule import Rule

CONTRAST = Rule(
    "look.contrast", "Letters in a builder's colours can be read, in light and in dark.", Severity.ERROR,
    basis="WCAG 2.2 (W3C Recommendation, 5 October 2023), success criterion 1.4.3: 4.5 : 1",
)  # fmt: skip
LOOK_RULES = (CONTRAST,)
_Found = tuple[tuple[str, ...], str, str, str]
"""Where below ``builder.look``, the rule, what is wrong and what would be right."""


def look_can_be_shown(traced: TracedHome, root: Path) -> Iterator[Finding]:
    """The builder's colours are told from what they stand on, and its logo is a picture."""
    look = traced.home.builder.look
    for inside, code, wrong, right in _problems(look, root) if look else ():
        address = ("builder", "look", *inside)
        place = traced.merged.nearest(address).sayings[-1].place
        yield Finding(code, place, wrong, right, path=".".join(address), plots=(traced.reference,))


def _problems(look: Look, root: Path) -> Iterator[_Found]:
    for mode in get_args(Mode):
        shade: Shade | None = getattr(look, mode)
        if shade is not None:
            yield from _ground_problem(shade, mode)
            yield from _colour_problem(shade, mode)
    if look.logo is not None:
        problem = picture_problem(look.logo.file, root, LOGO_FORMS)
        if problem is not None:
            yield ("logo", "file"), *problem


def _ground_problem(shade: Shade, mode: Mode) -> Iterator[_Found]:
    ground = ground_of(shade, mode)
    ratio, says = worst_letters(ground, mode)
    if ratio < READABLE:
        near = near_readable(ground, LETTERS[mode].values())
        wrong = f"On the ground '{ground}' the letters of {says} have a contrast of {_ratio_in_words(ratio, mode)}"
        yield (mode, "ground"), CONTRAST.id, wrong, _advice(near)


def _colour_problem(shade: Shade, mode: Mode) -> Iterator[_Found]:
    """A colour is held against its ground; where that is refused, against the one that would pass."""
    colour, ground = shade.colour.lower(), ground_of(shade, mode)
    if worst_letters(ground, mode)[0] < READABLE:
        ground = near_readable(ground, LETTERS[mode].values()) or ground
    grounds = (ground, card_on(ground, mode))
    ratio, on = least_contrast(colour, grounds)
    if ratio < READABLE:
        wrong = f"Letters in '{colour}' on '{on}' have a contrast of {_ratio_in_words(ratio, mode)}"
        yield (mode, "colour"), CONTRAST.id, wrong, _advice(near_readable(colour, grounds))


def _ratio_in_words(ratio: float, mode: Mode) -> str:
    """A ratio, cut off behind two places, so that one that fails never reads as one that passes."""
    light = "daylight" if mode == "light" else "the dark"
    return f"{int(ratio * 100) / 100:g} : 1 in {light}; {READABLE} : 1 is needed."


def _advice(near: str | None) -> str:
    return f"'{near}' is near it, and passes." if near else "Choose another colour."
