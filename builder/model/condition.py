"""When something applies to a home: a small structured language, with no code in it.

Conditions and contacts have names: articles, rules and people say these in place of paths.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from pydantic import BeforeValidator, ConfigDict, Field, WithJsonSchema

from builder.model.nation import NationId
from builder.model.record import KindId, Record, Text


def _as_list(value: object) -> object:
    return [value] if isinstance(value, str) else value


_ONE_OR_LIST = WithJsonSchema(
    {
        "anyOf": [
            {"type": "string"},
            {"type": "array", "items": {"type": "string"}, "minItems": 1},
        ]
    }
)
OneOrMore = Annotated[
    tuple[Text, ...], BeforeValidator(_as_list), Field(min_length=1), _ONE_OR_LIST
]
OneOrMoreKinds = Annotated[
    tuple[KindId, ...], BeforeValidator(_as_list), Field(min_length=1), _ONE_OR_LIST
]

OneOrMoreNations = Annotated[
    tuple[NationId, ...], BeforeValidator(_as_list), Field(min_length=1), _ONE_OR_LIST
]


class Condition(Record):
    """Every line given must hold.

    ``nation``: the home stands in one of these. ``kind``: the home has equipment that does the work of
    one of these kinds. ``form``: its building form is one of these. ``fuel``: one of its pieces burns,
    stores or meters one of these; beside ``kind``, one of these very kinds does. ``is``: one of these
    named conditions holds. ``has``: the home has something at this dotted path (``*`` for any entry);
    ``worded``: what stands at this path has one of these words in it; ``equals``: what stands at this path is
    one of these values. ``any``, ``all`` and ``not`` combine.
    """

    model_config = ConfigDict(populate_by_name=True)

    kind: OneOrMoreKinds | None = None
    form: OneOrMore | None = None
    fuel: OneOrMore | None = None
    is_: OneOrMore | None = Field(default=None, alias="is")
    nation: OneOrMoreNations | None = None
    has: OneOrMore | None = None
    equals: Mapping[Text, OneOrMore] | None = None
    worded: Mapping[Text, OneOrMore] | None = None
    any: tuple[Condition, ...] | None = Field(default=None, min_length=1)
    all: tuple[Condition, ...] | None = Field(default=None, min_length=1)
    not_: Condition | None = Field(default=None, alias="not")


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
