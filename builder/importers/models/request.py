"""What is asked of models: which files, and what of them a person has to say."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

UNITS: Mapping[str, float] = {
    "millimetres": 0.001,
    "centimetres": 0.01,
    "metres": 1.0,
    "feet": 0.3048,
    "inches": 0.0254,
}
"""Units of length that models are drawn in, each in metres."""
KEPT = ("front", "layer", "doors", "windows", "unit")
"""What stays as it was asked for when a house type is brought up to date."""


class NoOutlinesError(Exception):
    """No outlines of rooms are found where they were asked for. ``right``: what would be right."""

    def __init__(self, wrong: str, right: str) -> None:
        super().__init__(wrong)
        self.right = right


@dataclass(frozen=True, slots=True)
class ModelRequest:
    """Which models, which home in them, which of the model's sides is the front; of a drawing, which
    layers have the rooms, the doors and the windows; and the unit, where a model says a wrong one."""

    files: tuple[Path, ...]
    home: str | None = None
    front: str | None = None
    layer: str | None = None
    doors: str | None = None
    windows: str | None = None
    unit: str | None = None

    @property
    def kept(self) -> dict[str, str]:
        """What a person said of the models, to be kept for the next time."""
        return {name: value for name in KEPT if (value := getattr(self, name))}

    def as_before(self, home: str, kept: Mapping[str, str]) -> "ModelRequest":
        """The same, with what is not said again as it was said before."""
        said: dict[str, Any] = {name: getattr(self, name) or kept.get(name) for name in KEPT}
        return replace(self, home=self.home or home or None, **said)
