"""What COBie is written from: one home, and what stands beside it."""

from collections.abc import Mapping
from dataclasses import dataclass

from builder.guide.schedule.entries import Schedule
from builder.model.home import Home


@dataclass(frozen=True)
class CobieHome:
    """One home to be written: its reference, its schedule, sticker codes by equipment, the papers that
    it has by name with their basis, and the kinds that each article serves."""

    reference: str
    home: Home
    schedule: Schedule
    codes: Mapping[str, str]
    papers: Mapping[str, str]
    serves: Mapping[str, tuple[str, ...]]
