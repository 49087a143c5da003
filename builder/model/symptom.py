"""What an owner sees, hears or smells, and the questions and steps that follow."""

from collections.abc import Mapping
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from builder.model.article import Actions, Source
from builder.model.condition import Condition
from builder.model.record import (
    ArticleId,
    ById,
    Day,
    Identifier,
    KindId,
    MatterId,
    Record,
    RoleId,
    SystemId,
    Text,
    empty,
)

Within = Literal["now", "today", "this-week", "soon"]


class Answer(Record):
    """One answer to a question, and the step that it leads to. ``when``: homes that it is shown in."""

    say: Text
    to: Identifier
    when: Condition | None = None


class OtherCall(Record):
    """Whom homes call of which ``when`` is true."""

    when: Condition
    role: RoleId


class Step(Record):
    """A question with its answers, or an end: what to do, and whom to call in what time.

    ``see``: kinds of equipment of which the home's own pieces are named, with their places.
    ``read``: articles. ``call``: the role of whoever is called; ``matter``: whoever puts it right
    on the reader's day, by the cover clock. ``also``: further things to do in some homes.
    ``other_calls``: the first that is for a home, and that it has a contact for, is called in place
    of all others. ``beside``: of ``see``, only pieces in a room that has a piece of this kind. ``serving``:
    of the pieces of a kind, only those of which the home says that they serve this.
    """

    ask: Text | None = None
    answers: ById[Answer] = Field(default_factory=empty)
    caution: Text | None = None
    do: tuple[Text, ...] = ()
    also: ById[Actions] = Field(default_factory=empty)
    see: tuple[KindId, ...] = ()
    beside: KindId | None = None
    serving: Mapping[KindId, Text] = Field(default_factory=empty)
    read: tuple[ArticleId, ...] = ()
    call: RoleId | None = None
    matter: MatterId | None = None
    other_calls: ById[OtherCall] = Field(default_factory=empty)
    within: Within | None = None

    @model_validator(mode="after")
    def _asks_or_ends(self) -> Self:
        if (self.ask is None) == bool(self.answers):
            raise PydanticCustomError("step_answers", "a question without answers, or the reverse")
        if self.ask is None and not (self.do or self.call or self.matter or self.read):
            raise PydanticCustomError("step_empty", "an end that says nothing")
        return self


class Symptom(Record):
    """One thing that can be wrong. ``first`` is the step that it begins with.

    ``words``: what people type who look for it. ``urgent``: it stands before all others.
    """

    title: Text
    system: SystemId
    words: tuple[Text, ...] = ()
    urgent: bool = False
    when: Condition | None = None
    first: Identifier = "first"
    steps: Annotated[ById[Step], Field(min_length=1)]
    sources: Annotated[ById[Source], Field(min_length=1)]
    reviewed: Day


class SymptomFile(Record):
    """``content/symptoms/<group>.yaml``: symptoms by id. ``null`` removes one that ships."""

    symptoms: ById[Symptom | None]
