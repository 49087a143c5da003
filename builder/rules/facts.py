"""Facts of equipment fit what their kind defines."""

from collections.abc import Iterator

from builder.errors import Severity, suggestion
from builder.home.survey import Survey
from builder.model.equipment import FactDefinition
from builder.rules.rule import HomeRule, Problem, rule

_BASIS = "house rule: a kind says what is stated of its equipment"
_TYPES: dict[str, type | tuple[type, ...]] = {"text": str, "number": (int, float), "yes-no": bool}
_WANTED = {
    "text": "text in quotes",
    "number": "a number without its unit",
    "yes-no": "true or false",
}


@rule(
    "facts.missing", "Equipment states the facts that its kind requires.", basis=_BASIS,
    severity=Severity.ERROR,
)  # fmt: skip
def required_facts_are_there(home: Survey) -> Iterator[Problem]:
    for name, piece in home.home.equipment.items():
        kind = home.home.kinds[piece.kind]
        for fact, definition in kind.facts.items():
            if definition.required and fact not in piece.facts:
                yield Problem(
                    ("equipment", name),
                    f"Each {kind.name.lower()} states '{definition.name}', and this one does not.",
                    f"Add '{fact}' to its 'facts'.",
                )


@rule(
    "facts.unknown", "Equipment states only facts that its kind defines.", basis=_BASIS,
    severity=Severity.ERROR,
)  # fmt: skip
def facts_are_defined(home: Survey) -> Iterator[Problem]:
    for name, piece in home.home.equipment.items():
        known = home.home.kinds[piece.kind].facts
        for fact in piece.facts:
            if fact not in known:
                yield Problem(
                    ("equipment", name, "facts", fact),
                    f"'{piece.kind}' defines no fact '{fact}'.",
                    suggestion(fact, known, "It defines"),
                )


@rule(
    "facts.type", "A fact is of the type that its kind defines.", basis=_BASIS,
    severity=Severity.ERROR,
)  # fmt: skip
def facts_are_of_their_type(home: Survey) -> Iterator[Problem]:
    for name, piece in home.home.equipment.items():
        known = home.home.kinds[piece.kind].facts
        for fact, value in piece.facts.items():
            if fact in known and not _fits(value, known[fact]):
                definition = known[fact]
                yield Problem(
                    ("equipment", name, "facts", fact),
                    f"'{definition.name}' is {definition.type}, not '{value}'.",
                    f"Write {_WANTED[definition.type]}.",
                )


def _fits(value: object, definition: FactDefinition) -> bool:
    if isinstance(value, bool):
        return definition.type == "yes-no"
    return isinstance(value, _TYPES[definition.type])


FACTS: tuple[HomeRule, ...] = (
    required_facts_are_there,
    facts_are_defined,
    facts_are_of_their_type,
)
