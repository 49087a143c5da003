"""A guide as it is to be printed: what the writer of papers is given, all of it plain values."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from builder.guide.pages import Guide
from builder.languages.language import Say


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
