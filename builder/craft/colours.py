"""Colours as people see them: how well letters of one are read on another, and a near one that is.

Relative luminance and the ratio of contrast are those of WCAG 2.2 (W3C Recommendation, 5 October 2023),
success criterion 1.4.3 and its definitions; 4.5 : 1 is what it asks of letters.
"""

from collections.abc import Iterable
from colorsys import hls_to_rgb, rgb_to_hls

READABLE = 4.5
"""The contrast that letters need (WCAG 2.2, 1.4.3, level AA)."""
_STEPS = 1000
_NEAR_BLACK = 0.04045
"""Below it the light of a part grows with its number (sRGB, as WCAG 2.2 defines relative luminance)."""
_WHITE, _BLACK = "#ffffff", "#000000"


def contrast(one: str, other: str) -> float:
    """The contrast of two colours, from 1 to 21."""
    lighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def least_contrast(colour: str, others: Iterable[str]) -> tuple[float, str]:
    """The contrast with that of the others from which a colour is told worst, and which that is."""
    return min((contrast(colour, other), other) for other in others)


def near_readable(colour: str, others: Iterable[str]) -> str | None:
    """The nearest lighter or darker tone of a colour that is read on all others; none where no tone is."""
    against = tuple(others)
    hue, lightness, saturation = rgb_to_hls(*_parts(colour))
    for step in range(_STEPS + 1):
        for tone in (lightness - step / _STEPS, lightness + step / _STEPS):
            if 0 <= tone <= 1:
                near = _as_hex(hls_to_rgb(hue, tone, saturation))
                if least_contrast(near, against)[0] >= READABLE:
                    return near
    return None


def ink_on(colour: str) -> str:
    """Black or white, whichever is read better on a colour: one of them always is."""
    return max(_WHITE, _BLACK, key=lambda ink: contrast(ink, colour))


def mixed(colour: str, other: str, share: float) -> str:
    """A colour with a share of another, from 0 to 1."""
    pairs = zip(_parts(colour), _parts(other), strict=True)
    return _as_hex(tuple(one + (two - one) * share for one, two in pairs))


def _luminance(colour: str) -> float:
    red, green, blue = map(_linear, _parts(colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(part: float) -> float:
    return part / 12.92 if part <= _NEAR_BLACK else ((part + 0.055) / 1.055) ** 2.4


def _parts(colour: str) -> tuple[float, float, float]:
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue


def _as_hex(parts: Iterable[float]) -> str:
    return "#" + "".join(f"{round(part * 255):02x}" for part in parts)
