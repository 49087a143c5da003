"""Measures against their limits, to the hundredth that a finding says."""


def over(measured: float, most: float) -> bool:
    """Whether a measure is more than the most allowed."""
    return round(measured, 2) > most


def under(measured: float, least: float) -> bool:
    """Whether a measure is less than the least allowed."""
    return round(measured, 2) < least
