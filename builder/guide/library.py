"""What editors wrote beside articles, by id: what can be wrong, line drawings, and the words of the walk;
and how large pictures are."""

from collections.abc import Mapping
from dataclasses import dataclass

from frozendict import frozendict

from builder.guide.photographs import Size, SizeOf
from builder.guide.walk.script import Script
from builder.model.drawing import Drawing
from builder.model.symptom import Symptom


def _unknown(_file: str) -> Size | None:
    """The size of a picture that nobody looks at."""
    return None


@dataclass(frozen=True, slots=True)
class Library:
    """The symptoms, line drawings and words of the walk of a workspace, its own over those that ship;
    ``size_of`` tells the size of a picture of it."""

    symptoms: Mapping[str, Symptom] = frozendict()
    drawings: Mapping[str, Drawing] = frozendict()
    size_of: SizeOf = _unknown
    script: Script | None = None


EMPTY = Library()
"""A workspace without any of them."""
