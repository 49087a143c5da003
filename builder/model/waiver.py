"""A trade rule that somebody answers for not keeping, for a reason and for a time."""

from builder.model.record import Day, Prose, Record, Text


class Waiver(Record):
    """One rule set aside, for a house type or a plot, by the layer that says so.

    ``about`` is the dotted path of what it is about, as the finding shows it; without it, all that
    the rule finds. ``by`` names a role, never a person. After ``until`` it no longer holds.
    """

    rule: Text
    about: Text | None = None
    reason: Prose
    by: Text
    until: Day
