"""A guide as it is to be printed: what the writer of papers is given, all of it plain values.

The look of papers, a builder's colour and logo, and their words stand in files that the templates read.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from builder.craft.logos import published_logo
from builder.guide.pages import Guide, GuideLook
from builder.languages.language import Language, Say

VALUES = "look.json"
WORDS = "words.json"
OURS = "#12595c"
"""The colour of papers without a look: petrol, 8.0 : 1 on white (WCAG 2.2, 1.4.3)."""


@dataclass(frozen=True, slots=True)
class PageText:
    """One page as the site writes it: the path of its source, and its Markdown."""

    source: str
    markdown: str


@dataclass(frozen=True, slots=True)
class Printable:
    """One plot's guide with the text of its pages by id, and where it stands on the web.

    ``address`` ends in a slash, and is nothing while the guide has no issued code. ``pictures``
    holds the photographs by their names, ``look`` the files that all papers take their colour and logo
    from. ``day`` is printed as the day of the print.
    """

    guide: Guide
    pages: Mapping[str, PageText]
    pictures: Mapping[str, bytes]
    look: Mapping[str, bytes]
    address: str | None
    day: date
    plot: str
    development: str
    house_type: str
    home_address: str
    postcode: str

    @property
    def say(self) -> Say:
        """Says a sentence in the language of the guide."""
        return self.guide.language.say

    @property
    def plot_line(self) -> str:
        """Which plot it is, in words."""
        return self.say(
            "Plot %(plot)s, %(development)s", plot=self.plot, development=self.development
        )

    def web(self, page: str) -> str | None:
        """The web address of one page."""
        found = self.guide.page(page)
        if self.address is None or found is None:
            return None
        return f"{self.address}{found.path}/" if found.path else self.address


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
