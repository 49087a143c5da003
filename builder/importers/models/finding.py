"""Findings about a model's file: it has no lines that people could look up."""

from builder.errors import Finding, Place
from builder.importers.models.drawn import Drawing


def about(file: str, code: str, wrong: str, right: str) -> Finding:
    """A mistake of a file that is not ours, which is named as on the command line."""
    return Finding(code, Place(file), wrong, right)


def refused(drawing: Drawing, code: str, wrong: str, right: str) -> Finding:
    """A mistake of a model as a whole."""
    files = [each.origin.file for each in drawing.storeys] + [
        each.origin.file for each in drawing.walls
    ]
    file = files[0] if files else "the model"
    return about(file, code, wrong, right)
