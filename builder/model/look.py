"""How a builder's guides look: colours in light and in dark, and a logo."""

from typing import Annotated

from pydantic import Field

from builder.model.record import COLOUR, Prose, Record, Text

Colour = Annotated[str, Field(pattern=COLOUR)]
"""Red, green and blue, two digits each: ``#17483f``."""


class Shade(Record):
    """The colours of one kind of screen. ``colour`` is for headings of the frame, links and what is to be
    touched; ``ground`` lies behind everything, and is the guide's own where nothing is said."""

    colour: Colour
    ground: Colour | None = None


class Logo(Record):
    """A logo: an SVG or PNG of the workspace, and what it shows in words."""

    file: Text
    shows: Prose


class Look(Record):
    """The look of a builder. Without ``dark``, screens in the dark get a tone of the same colour that
    can be read there."""

    light: Shade
    dark: Shade | None = None
    logo: Logo | None = None
