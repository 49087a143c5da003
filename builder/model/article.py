"""One modular care article: its front matter, and its body as its editor wrote it."""

from dataclasses import dataclass
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from builder.model.condition import Condition
from builder.model.record import (
    ById,
    Day,
    KindId,
    MatterId,
    Prose,
    Record,
    SystemId,
    Term,
    Text,
    Whole,
    empty,
)

Month = Literal[
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
]  # fmt: skip


class Caution(Record):
    """Where work can hurt someone: the danger, when to stop, and whom to call.

    ``when``: only homes of which this is true are told, as for tasks and sources.
    """

    danger: Prose
    stop: Prose
    call: Prose
    when: Condition | None = None


class Actions(Record):
    """What people scan a sticker for in homes of which ``when`` is true."""

    when: Condition
    do: Annotated[tuple[Text, ...], Field(min_length=1)]


class Task(Record):
    """Something the owner does, and when, counted from legal completion.

    ``opens``: not before this; ``closes``: no later than this; ``every``: a rhythm; ``months``: a
    season. ``basis`` names one of the article's sources. ``with_cover``: it ends with the first cover of
    this matter, where the home has one, and else as it ``closes``.
    """

    do: Prose
    opens: Term | None = None
    closes: Term | None = None
    with_cover: MatterId | None = None
    every: Term | None = None
    months: tuple[Month, ...] = ()
    by: Literal["you", "registered-person", "builder"] = "you"
    basis: Text
    when: Condition | None = None

    @model_validator(mode="after")
    def _timed(self) -> Self:
        if not (self.opens or self.closes or self.every or self.months):
            raise PydanticCustomError("task_untimed", "no time given")
        return self


class Source(Record):
    """Where a fact comes from, and how sure we are of it."""

    fact: Prose
    basis: Literal["published", "common practice", "from memory"]
    document: Text | None = None
    edition: Text | None = None
    where: Text | None = None
    when: Condition | None = None

    @model_validator(mode="after")
    def _published(self) -> Self:
        if self.basis == "published" and not (self.document and self.where):
            raise PydanticCustomError("source_unnamed", "no document named")
        return self


class FrontMatter(Record):
    """What stands above an article's body.

    ``words``: further phrases that people look for it by.
    ``equipment``: the kinds that the article serves; it goes to homes that have one of them, and of
    which ``when`` is true. ``mentions``: further kinds that it serves and does not ask for. ``actions``: the one or two things that people scan a sticker for; of ``other_actions``
    the first that is for a home stands in their place. ``{call:ROLE}`` in actions, cautions and
    tasks becomes the name and number of the contact that has the role.
    ``first_weeks``: its place among what matters first, lowest number first.
    """

    title: Text
    summary: Prose
    words: tuple[Text, ...] = ()
    system: SystemId
    equipment: tuple[KindId, ...] = ()
    mentions: tuple[KindId, ...] = ()
    when: Condition | None = None
    urgent: bool = False
    first_weeks: Annotated[Whole, Field(ge=1, le=999)] | None = None
    actions: tuple[Prose, ...] = ()
    other_actions: ById[Actions] = Field(default_factory=empty)
    cautions: ById[Caution] = Field(default_factory=empty)
    tasks: ById[Task] = Field(default_factory=empty)
    sources: Annotated[ById[Source], Field(min_length=1)]
    reviewed: Day

    @property
    def serves(self) -> tuple[str, ...]:
        """Every kind whose pieces lead to this article."""
        return self.equipment + self.mentions


@dataclass(frozen=True, slots=True)
class Article:
    """An article and where it stands. ``body_line`` is the file's line that the body begins on."""

    id: str
    file: str
    front: FrontMatter
    body: str
    body_line: int
