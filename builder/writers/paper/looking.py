"""The look of papers, a builder's colour and logo, and their words, in the files that the templates read."""

import json
from collections.abc import Mapping
from pathlib import Path

from builder.craft.logos import published_logo
from builder.guide.pages import GuideLook
from builder.languages.language import Language

VALUES = "look.json"
WORDS = "words.json"
OURS = "#12595c"
"""The colour of papers without a look: petrol, 8.0 : 1 on white (WCAG 2.2, 1.4.3)."""


def paper_look(look: GuideLook | None, root: Path) -> Mapping[str, bytes]:
    """The files of a look by their names. Papers are white, as the cards of a guide on a light screen.

    ``root``: the workspace, in which the logo lies.
    """
    logo = look.logo if look else None
    values = {
        "colour": look.light.colour if look else OURS,
        "logo": logo and logo.name,
        "shows": logo and logo.shows,
    }
    files = {VALUES: json.dumps(values, ensure_ascii=False).encode()}
    return {**files, logo.name: published_logo(root / logo.file)} if logo else files


def paper_words(language: Language) -> Mapping[str, bytes]:
    """The file of words in a language: its texts by those of the first, and the months of its days."""
    region = language.forms.territory
    values = {
        "language": language.forms.language,
        "region": region,
        "months": language.months,
        "texts": {ours: language.text(ours) for ours in language.texts},
    }
    return {WORDS: json.dumps(values, ensure_ascii=False).encode()}
