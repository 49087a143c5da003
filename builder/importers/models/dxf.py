"""Reads a DXF drawing with closed outlines of rooms on a layer. Runs in a process of its own."""

from pathlib import Path

from builder.importers.models.drawn import Drawing
from builder.importers.models.words import Vocabulary


def read_dxf(path: Path, name: str, words: Vocabulary, layer: str | None) -> Drawing:
    """A drawing as far as it shows rooms."""
    raise NotImplementedError
