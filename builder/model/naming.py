"""Conditions and contacts by name: what articles, rules and people say in place of paths."""

from builder.model.condition import Condition
from builder.model.record import Record, Text


class NamedCondition(Record):
    """A condition that has a name. ``says`` is what is true of a home for which it holds.

    ``words`` are those that only such homes may read.
    """

    says: Text
    when: Condition
    words: tuple[Text, ...] = ()


class Role(Record):
    """What a contact is for. A contact has the role of its own id, and those under its ``roles``.

    ``needed``: a home without a contact for it is reported; ``when`` says which homes need one.
    ``otherwise`` is who is named in a sentence where nobody has the role: "a chimney sweep".
    """

    name: Text
    needed: bool = False
    otherwise: Text | None = None
    when: Condition | None = None
