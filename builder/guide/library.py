"""What editors wrote beside articles, by id: what can be wrong, and line drawings."""

from collections.abc import Mapping
from dataclasses import dataclass

from frozendict import frozendict

from builder.model.drawing import Drawing
from builder.model.symptom import Symptom


@dataclass(frozen=True, slots=True)
class Library:
    """The symptoms and the line drawings of a workspace, its own over those that ship."""

    symptoms: Mapping[str, Symptom] = frozendict()
    drawings: Mapping[str, Drawing] = frozendict()


EMPTY = Library()
"""A workspace without either."""
