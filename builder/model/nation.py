"""The nation that a home stands in: its own law, and what its people call things.

A nation is a layer below the builder standard: contacts, words and papers come from it, so that no
text has to name a nation that is not the home's.
"""

from typing import Annotated, Literal, get_args

from pydantic import Field

from builder.model.record import ById, Record, Text, empty
from builder.model.setting import Rest, Tenure

NationId = Literal["england", "wales", "scotland", "northern-ireland"]


TAKEN_FOR: NationId = "england"
"""The nation that a home is checked by, and called by, where its development names none."""


class Elsewhere(Record):
    """A telephone number that works in another nation and not in this one, and what to dial here."""

    telephone: Text
    instead: Text


class Nation(Record):
    """One nation as its layer tells it.

    ``law`` holds citations by what they are about, such as ``months``; what has none here is common
    practice. ``not_here`` holds numbers that nobody answers in this nation. ``editions_by`` says which
    day decides the edition of a standard: that of the ``warrant`` application, or the one ``named``
    by the development. ``tenures`` are the ways in which a new home is owned there, ``parts_sold`` those in which a
    part of one is sold, as far as it was read, and ``rented_part`` how a home is owned of which a part is rented.
    ``water_metered``: the water of a new home is counted by a meter there.
    """

    name: Text
    editions_by: Literal["named", "warrant"] = "named"
    tenures: Annotated[tuple[Tenure, ...], Field(min_length=1)] = get_args(Tenure)
    parts_sold: tuple[Rest, ...] = ()
    rented_part: Tenure | None = None
    water_metered: bool = True
    law: ById[Text] = Field(default_factory=empty)
    not_here: ById[Elsewhere] = Field(default_factory=empty)

    def cited(self, subject: str) -> str:
        """The law on a subject, or common practice where the nation has none that was read."""
        return self.law.get(subject, "common practice")
