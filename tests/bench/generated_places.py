"""Invented names, addresses and telephone numbers of a portfolio's developments.

Telephone numbers are of the ranges that the regulator keeps for drama; postcodes stand in areas
that no post office uses; web addresses end in the reserved ``.example``.
"""

from dataclasses import dataclass

FIRST = ("Alver", "Brandel", "Corvin", "Dunster", "Ellow", "Fenning", "Garrow", "Hestle", "Imber", "Jorrow", "Kelsin", "Lorren")  # fmt: skip
SECOND = ("Reach", "Fold", "Green", "Quay", "Yard", "Meadow", "Rise", "Wharf", "Garth", "Close")
TOWNS = ("Orrinmouth", "Tesselwick", "Marrowby", "Pellanford", "Quillan Cross", "Sorrelby", "Vennick", "Wessaby")  # fmt: skip
STREETS = ("Loom Street", "Tanner Row", "Kiln Road", "Wherry Lane", "Saltern Way")
PLOTS_A_STREET = 25
RANGES = ("01632 960", "07700 900", "020 7946 0")
"""Each with a thousand numbers: "01632 960" and three digits more."""


@dataclass(frozen=True)
class Site:
    """A development as its brochure knows it; ``number`` counts from 0."""

    number: int

    @property
    def id(self) -> str:
        return f"site-{self.number + 1:03}"

    @property
    def name(self) -> str:
        """Unlike any other; phases begin when all names are used."""
        phase, within = divmod(self.number, len(FIRST) * len(SECOND))
        first, second = FIRST[within % len(FIRST)], SECOND[within // len(FIRST)]
        return f"{first} {second}{f' phase {phase + 1}' if phase else ''}"

    @property
    def town(self) -> str:
        return TOWNS[self.number % len(TOWNS)]

    @property
    def host(self) -> str:
        return f"https://s{self.number + 1}.fennimarsh.example"

    def postcode(self, street: int) -> str:
        letter = "ABDEFGHJLN"[street % 10]
        return f"ZZ{1 + self.number % 99} {1 + self.number // 99 % 9}{letter}{letter}"

    def address(self, plot: int, *, flat: bool) -> str:
        """Of a plot that is counted from 0."""
        street, house = divmod(plot, PLOTS_A_STREET)
        named = f"{STREETS[street % len(STREETS)]}, {self.town}"
        return f"Flat {house + 1}, {self.name} Court, {named}" if flat else f"{house + 1} {named}"

    def telephone(self, which: int) -> str:
        """One of ten numbers of its own: after 300 developments they begin again."""
        index = self.number * 10 + which
        return f"{RANGES[index // 1000 % len(RANGES)]}{index % 1000:03}"
