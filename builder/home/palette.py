"""The colours of a home's guide, in light and in dark: its builder's, or ours where it has none."""

from dataclasses import dataclass
from typing import Literal

from builder.craft.colours import ink_on, least_contrast, mixed, near_readable
from builder.model.people import Look, Shade

Mode = Literal["light", "dark"]
_CARD_OVER_DARK = 0.05
"""How much lighter than its ground a card is in the dark."""


@dataclass(frozen=True, slots=True)
class Tones:
    """What one kind of screen shows: the builder's ``colour``, letters on it (``ink``), and what they
    stand on."""

    colour: str
    ink: str
    ground: str
    card: str


OURS: dict[Mode, Tones] = {
    "light": Tones("#17483f", "#ffffff", "#faf7f1", "#ffffff"),
    "dark": Tones("#8fd0bf", "#0d1f1b", "#141a19", "#1d2523"),
}
"""The guide's own, which its style sheet has too."""
LETTERS: dict[Mode, dict[str, str]] = {
    "light": {"words": "#1f2a2c", "small words": "#5a6669", "what turns off": "#8d1b1b", "cautions": "#7a3b00"},
    "dark": {"words": "#eef1ef", "small words": "#b4bfbe", "what turns off": "#ffb4a8", "cautions": "#ffc27a"},
}  # fmt: skip
"""The other letters of every guide, by what they say; they stand on any builder's ground."""


def tones_of(look: Look, mode: Mode) -> Tones:
    """The colours of a builder on one kind of screen."""
    shade = look.light if mode == "light" else look.dark
    ground = ground_of(shade, mode)
    card = card_on(ground, mode)
    colour = (
        shade.colour.lower()
        if shade
        else _colour_in_the_dark(look.light.colour.lower(), ground, card)
    )
    return Tones(colour, ink_on(colour), ground, card)


def card_on(ground: str, mode: Mode) -> str:
    """What a card on a ground is filled with."""
    if ground == OURS[mode].ground:
        return OURS[mode].card
    return OURS[mode].card if mode == "light" else mixed(ground, "#ffffff", _CARD_OVER_DARK)


def worst_letters(ground: str, mode: Mode) -> tuple[float, str]:
    """The contrast of the letters that are read worst on a ground, and what they say."""
    grounds = (ground, card_on(ground, mode))
    return min((least_contrast(ink, grounds)[0], says) for says, ink in LETTERS[mode].items())


def ground_of(shade: Shade | None, mode: Mode) -> str:
    """What everything stands on: the builder's own ground, or ours."""
    return shade.ground.lower() if shade and shade.ground else OURS[mode].ground


def _colour_in_the_dark(colour: str, *grounds: str) -> str:
    return near_readable(colour, grounds) or OURS["dark"].colour
