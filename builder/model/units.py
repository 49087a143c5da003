"""Units that numbers are written in, and those that people write by mistake.

Factors: BIPM, SI brochure, 9th edition, table 8, and exact definitions of the foot, inch and pound-force
per square inch (from memory).
"""

from collections.abc import Mapping
from dataclasses import dataclass

LENGTHS = {"millimetres": 0.001, "centimetres": 0.01, "feet": 0.3048, "inches": 0.0254}
OTHERS: Mapping[str, Mapping[str, float]] = {
    "metres": LENGTHS,
    "mm": {"metres": 1000, "centimetres": 10, "inches": 25.4},
    "square metres": {"square feet": 0.09290304, "square millimetres": 0.000001},
    "square millimetres": {"square centimetres": 100, "square metres": 1_000_000},
    "litres a second": {"cubic metres an hour": 1 / 3.6, "litres a minute": 1 / 60},
    "l/s": {"cubic metres an hour": 1 / 3.6, "litres a minute": 1 / 60},
    "litres": {"cubic metres": 1000, "millilitres": 0.001},
    "bar": {"kilopascals": 0.01, "pounds per square inch": 0.0689476, "pascals": 0.00001},
    "kW": {"watts": 0.001},
    "°C": {},
}
"""For each unit of ours, others by what one of them is in ours. Facts name units as kinds do."""


BEYOND, DEGREES = 5, 20
"""How far beyond what homes have is impossible, where a field says nothing else: so many times, or °C."""


@dataclass(frozen=True, slots=True)
class In:
    """Marks a number: the ``unit`` that it is in, and the ``least`` and the ``most`` that a home has.

    Below ``lowest`` and above ``highest`` no number can be right.
    """

    unit: str
    least: float
    most: float
    lowest: float | None = None
    highest: float | None = None

    @property
    def possible(self) -> tuple[float, float]:
        """The lowest and the highest that can be right."""
        if self.unit == "°C":
            low, high = self.least - DEGREES, self.most + DEGREES
        else:
            low, high = min(self.least / BEYOND, self.least * BEYOND), self.most * BEYOND
        return low if self.lowest is None else self.lowest, (
            high if self.highest is None else self.highest
        )

    def is_impossible(self, value: float) -> bool:
        """Whether no home has this, whatever was meant."""
        low, high = self.possible
        return not low <= value <= high

    def meant(self, value: float) -> "Meant | None":
        """What a number means in another unit, where it makes no sense in its own."""
        if value == 0 or self.least <= value <= self.most:
            return None
        for unit, factor in OTHERS.get(self.unit, {}).items():
            if self.least <= (own := value * factor) <= self.most:
                return Meant(unit, f"{own:.4g}", self.unit)
        return self._fahrenheit(value) if self.unit == "°C" else None

    def _fahrenheit(self, value: float) -> "Meant | None":
        own = (value - 32) / 1.8
        return Meant("°F", f"{own:.0f}", self.unit) if self.least <= own <= self.most else None


@dataclass(frozen=True, slots=True)
class Meant:
    """The ``other`` unit that a number was most likely written in, and the number in its ``own``."""

    other: str
    number: str
    own: str
