"""Measures against their limits, to the hundredth that a finding says, and how rules put names and
measures into words."""

from collections.abc import Iterable


def listed(words: Iterable[str], joined_by: str = "and") -> str:
    """Words in a row: "a, b and c"."""
    *first, last = [*words] or [""]
    return f"{', '.join(first)} {joined_by} {last}" if first else last


def quoted(names: Iterable[str]) -> str:
    """Names as their author wrote them: "'Hall', 'Kitchen' and 'Study'"."""
    return listed(f"'{name}'" for name in names)


def metres(length: float) -> str:
    return f"{length:.2f} m"


def square_metres(area: float) -> str:
    return f"{area:.2f} m²"


def over(measured: float, most: float) -> bool:
    """Whether a measure is more than the most allowed."""
    return round(measured, 2) > most


def under(measured: float, least: float) -> bool:
    """Whether a measure is less than the least allowed."""
    return round(measured, 2) < least
