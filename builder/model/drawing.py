"""A line drawing for what words explain badly, such as a lever along its pipe and across it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Drawing:
    """One drawing: what it shows as a caption, the same for those who do not see, and its lines.

    ``lines`` is the inside of an SVG, made of the elements and attributes that drawings may have.
    """

    id: str
    title: str
    describes: str
    view: str
    lines: str
