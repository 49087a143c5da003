"""What fifteen years and a poor photograph do to a sticker, always the same for the same seed.

Pictures are grey, as arrays of bytes; lengths are in pixels unless a name says millimetres.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import cv2
import numpy as np

TORN = 0.15
"""Share of the symbol with its quiet zone that is torn off."""

DOOR = 150
"""The grey of what lies behind a torn sticker."""


@dataclass(frozen=True, slots=True)
class Shot:
    """A picture of one label, and where its symbol with its quiet zone stands in it."""

    picture: np.ndarray
    left: float
    top: float
    side: float
    pixels_per_mm: float

    @property
    def middle(self) -> tuple[float, float]:
        return self.left + self.side / 2, self.top + self.side / 2


Wear = Callable[[Shot, np.random.Generator], np.ndarray]


def _clear(shot: Shot, _: np.random.Generator) -> np.ndarray:
    return shot.picture


def _rotated(shot: Shot, chance: np.random.Generator) -> np.ndarray:
    """Turned by any angle."""
    height, width = shot.picture.shape
    reach = int(np.hypot(height, width)) + 4
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), chance.uniform(0, 360), 1.0)
    turn[:, 2] += (reach - width) / 2, (reach - height) / 2
    return cv2.warpAffine(
        shot.picture, turn, (reach, reach), flags=cv2.INTER_LINEAR, borderValue=255
    )


def _blurred(shot: Shot, _: np.random.Generator, mm: float = 0.18) -> np.ndarray:
    """Out of focus: a Gaussian of 0.18 mm, a third of the smallest module."""
    return cv2.GaussianBlur(shot.picture, (0, 0), mm * shot.pixels_per_mm)


def _torn(shot: Shot, middle: tuple[float, float], chance: np.random.Generator) -> np.ndarray:
    """A ragged piece with the given middle torn off; what lies outside the symbol does not count."""
    picture = shot.picture.copy()
    rows, columns = np.mgrid[: picture.shape[0], : picture.shape[1]]
    across, down = columns - middle[0], rows - middle[1]
    ragged = 1 + 0.08 * np.sin(np.arctan2(down, across) * 5 + chance.uniform(0, 6))
    distance = np.hypot(across, down) / ragged
    inside = _inside(shot, rows, columns)
    radius = np.sort(distance[inside])[int(TORN * inside.sum())]
    torn = distance < radius
    picture[torn] = np.clip(chance.normal(DOOR, 10, torn.sum()), 0, 255)
    return picture


def _inside(shot: Shot, rows: np.ndarray, columns: np.ndarray) -> np.ndarray:
    return (
        (columns >= shot.left)
        & (columns < shot.left + shot.side)
        & (rows >= shot.top)
        & (rows < shot.top + shot.side)
    )


def _torn_at_free_corner(shot: Shot, chance: np.random.Generator) -> np.ndarray:
    """The corner without a finder pattern."""
    corner = (shot.left + shot.side, shot.top + shot.side)
    return _torn(shot, corner, chance)


def _torn_anywhere(shot: Shot, chance: np.random.Generator) -> np.ndarray:
    """From any place of the rim: often a finder pattern goes, and no decoder can help."""
    along, (across, down) = chance.uniform(0, 2 * np.pi), shot.middle
    reach = shot.side / 2 / max(abs(np.cos(along)), abs(np.sin(along)))
    return _torn(shot, (across + reach * np.cos(along), down + reach * np.sin(along)), chance)


def _dark(shot: Shot, chance: np.random.Generator) -> np.ndarray:
    """In a cupboard: 15 % of the contrast, and the camera's noise."""
    dim = 18 + 0.15 * shot.picture.astype(float)
    return np.clip(dim + chance.normal(0, 3, dim.shape), 0, 255).astype(np.uint8)


def _glare(shot: Shot, chance: np.random.Generator, light: float = 150) -> np.ndarray:
    """A lamp mirrored in the symbol: ``light`` is what it adds at its middle, and half of that a
    sixth of the side away; 150 leaves black darker than white, 255 burns the picture out."""
    across, down = (centre + chance.uniform(-0.3, 0.3) * shot.side for centre in shot.middle)
    rows, columns = np.mgrid[: shot.picture.shape[0], : shot.picture.shape[1]]
    far = np.hypot(columns - across, rows - down) / (shot.side / 6)
    lit = shot.picture + light * np.exp(-np.log(2) * far**2)
    return np.clip(lit, 0, 255).astype(np.uint8)


def _burnt_out(shot: Shot, chance: np.random.Generator) -> np.ndarray:
    return _glare(shot, chance, light=255)


def _at_an_angle(shot: Shot, chance: np.random.Generator) -> np.ndarray:
    """From the side: the far edge is a fifth shorter, the width a quarter less."""
    height, width = shot.picture.shape
    flat = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    near = np.array([[0, 0], [0.75, 0.1], [0.75, 0.9], [0, 1]], np.float32)
    if chance.random() < 0.5:
        near[:, 0] = 0.75 - near[:, 0]
        near[:, 1] = [0.1, 0, 1, 0.9]
    seen = near * np.array([width, height], np.float32)
    warp = cv2.getPerspectiveTransform(flat, seen)
    return cv2.warpPerspective(
        shot.picture, warp, (width, height), flags=cv2.INTER_AREA, borderValue=255
    )


def _all_at_once(shot: Shot, chance: np.random.Generator) -> np.ndarray:
    """Rotated, at an angle, a little out of focus, in the dark."""
    for wear in (_at_an_angle, _rotated, _dark):
        shot = Shot(wear(shot, chance), 0, 0, shot.side, shot.pixels_per_mm)
    return _blurred(shot, chance, mm=0.09)


WEARS: Mapping[str, Wear] = MappingProxyType({
    "none": _clear,
    "rotated": _rotated,
    "blurred": _blurred,
    "torn 15 %, free corner": _torn_at_free_corner,
    "torn 15 %, anywhere": _torn_anywhere,
    "low light": _dark,
    "glare": _glare,
    "glare, burnt out": _burnt_out,
    "at an angle": _at_an_angle,
    "angle, turned, dim, soft": _all_at_once,
})  # fmt: skip


def worn(shot: Shot, wear: str, seed: int) -> np.ndarray:
    """The picture after one kind of wear."""
    return WEARS[wear](shot, np.random.default_rng(seed))
