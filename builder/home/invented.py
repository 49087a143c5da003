"""How a builder is named: one that is made up says so wherever it is named."""

from builder.languages.language import FIRST, Language, to_say
from builder.model.home import Home

MADE_UP = to_say("made up: this home, its names and its builder's numbers are not real")
"""What every page and paper of an invented development says, beside the name of its builder."""


def builder_name(home: Home, language: Language = FIRST) -> str:
    """The builder of a home, with a word of warning where all about it is invented."""
    name = home.builder.name
    return f"{name} ({language.text(MADE_UP)})" if home.development.invented else name
