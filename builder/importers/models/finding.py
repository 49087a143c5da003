"""Findings about a model as a whole: it has no lines that people could look up."""

from builder.errors import Finding
from builder.importers.finding import about
from builder.importers.models.drawn import ModelDrawing


def refused(drawing: ModelDrawing, code: str, wrong: str, right: str) -> Finding:
    """A mistake of a model as a whole."""
    files = [each.origin.file for each in drawing.storeys] + [
        each.origin.file for each in drawing.walls
    ]
    return about(files[0] if files else "the model", code, wrong, right)
