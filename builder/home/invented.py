"""How a builder is named: one that is made up says so wherever it is named."""

from builder.model.home import Home

MADE_UP = "made up: this home, its names and its builder's numbers are not real"
"""What every page and paper of an invented development says, beside the name of its builder."""


def builder_name(home: Home) -> str:
    """The builder of a home, with a word of warning where all about it is invented."""
    name = home.builder.name
    return f"{name} ({MADE_UP})" if home.development.invented else name
