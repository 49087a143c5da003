"""Who puts right what, and for how long: what can go wrong, and the covers that answer for it."""

from typing import Annotated, Literal

from pydantic import Field

from builder.model.condition import Condition
from builder.model.record import (
    ContactId,
    CoverId,
    Day,
    DocumentId,
    KeyId,
    MatterId,
    Prose,
    Record,
    Term,
    Text,
)


class Matter(Record):
    """Something that can go wrong. ``includes`` completes the sentence "This is …".

    ``when``: only homes of which this is true have it, such as shared parts.
    """

    name: Text
    includes: Prose
    when: Condition | None = None


class Cover(Record):
    """Somebody who puts matters right for a time. ``name`` says who, as its reader would: "You".

    ``contact`` is whom to call; none for the owner and for makers. The cover begins on the day of
    its ``anchor``, or the day after the term ``starts`` has ended, and lasts through the last day of
    the term ``ends``, or for good. Anchored in the registration of an appliance it is counted for
    each appliance by itself, and the ``cover`` of its kind says how long.

    Of several covers that run on one day, the one that ends first answers.

    ``next_owner``: whether whoever buys the home later is covered too. ``notice``: only if they say so
    within this term from the day that the home is theirs.
    """

    name: Text
    contact: ContactId | None = None
    matters: Annotated[tuple[MatterId, ...], Field(min_length=1)]
    anchor: Literal["completion", "registration"] = "completion"
    starts: Term | None = None
    ends: Term | None = None
    next_owner: Literal["covered", "not-covered"] = "covered"
    notice: Term | None = None
    when: Condition | None = None
    basis: Prose

    @property
    def asks_notice(self) -> bool:
        """Whether a later owner keeps it only by saying in time that the home is theirs."""
        return self.next_owner == "covered" and self.notice is not None


class LaterOwner(Record):
    """Somebody who bought the home from its owner: nobody is named.

    ``since`` is the day that it was theirs from; ``documents`` and ``keys`` are those that were handed
    on; ``notice_given`` are the covers that were told in time.
    """

    since: Day
    documents: tuple[DocumentId, ...] = ()
    keys: tuple[KeyId, ...] = ()
    notice_given: tuple[CoverId, ...] = ()
