"""The texts of an article or a symptom in another language, by the places of those that they stand for.

``made_from`` is the digest of the texts that they were made from, ``read_by`` the role of whoever read them
and vouches for them, on the day ``read``. A text nobody has read is not published.
"""

from pydantic import Field

from builder.model.record import ById, Day, Prose, Record, Text, empty


class ReadText(Record):
    """What every translation says of itself."""

    made_from: Text
    read_by: Text | None = None
    read: Day | None = None


class CautionTexts(Record):
    """A caution in another language."""

    danger: Prose | None = None
    stop: Prose | None = None
    call: Prose | None = None


class DoTexts(Record):
    """What is to be done, line by line, in another language."""

    do: tuple[Prose, ...] = ()


class TaskTexts(Record):
    """A task in another language."""

    do: Prose | None = None


class SourceTexts(Record):
    """The fact that a source stands for, in another language; who said it stays."""

    fact: Prose | None = None


class ArticleTexts(ReadText):
    """The front matter of ``content/languages/<code>/articles/<id>.md``; its body stands below it."""

    title: Text | None = None
    summary: Prose | None = None
    words: tuple[Text, ...] = ()
    actions: tuple[Prose, ...] = ()
    other_actions: ById[DoTexts] = Field(default_factory=empty)
    cautions: ById[CautionTexts] = Field(default_factory=empty)
    tasks: ById[TaskTexts] = Field(default_factory=empty)
    sources: ById[SourceTexts] = Field(default_factory=empty)


class AnswerTexts(Record):
    """An answer in another language."""

    say: Text | None = None


class StepTexts(Record):
    """A step of a symptom in another language."""

    ask: Text | None = None
    answers: ById[AnswerTexts] = Field(default_factory=empty)
    caution: Text | None = None
    do: tuple[Text, ...] = ()
    also: ById[DoTexts] = Field(default_factory=empty)


class SymptomTexts(ReadText):
    """A symptom in another language."""

    title: Text | None = None
    words: tuple[Text, ...] = ()
    steps: ById[StepTexts] = Field(default_factory=empty)
    sources: ById[SourceTexts] = Field(default_factory=empty)


class SymptomTextsFile(Record):
    """``content/languages/<code>/symptoms/<group>.yaml``: symptoms in another language, by their ids."""

    symptoms: ById[SymptomTexts]
