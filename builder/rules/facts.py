"""Facts of equipment fit what their kind defines."""

from collections.abc import Iterator

from builder.errors import Finding, suggestion
from builder.home.assemble import TracedHome
from builder.model.equipment import Equipment, FactDefinition, Kind

_TYPES: dict[str, type | tuple[type, ...]] = {"text": str, "number": (int, float), "yes-no": bool}
_WANTED = {
    "text": "text in quotes",
    "number": "a number without its unit",
    "yes-no": "true or false",
}


def facts_fit_their_kind(traced: TracedHome) -> Iterator[Finding]:
    """Every fact is one that the kind defines, of its type, and the required ones are there."""
    for name, piece in traced.home.equipment.items():
        kind = traced.home.kinds[piece.kind]
        yield from _unfit(traced, name, piece, kind)
        for fact, definition in kind.facts.items():
            if definition.required and fact not in piece.facts:
                yield _finding(
                    traced,
                    ("equipment", name),
                    "facts.missing",
                    f"A {kind.name.lower()} states '{definition.name}', and this one does not.",
                    f"Add '{fact}' to its 'facts'.",
                )


def _unfit(traced: TracedHome, name: str, piece: Equipment, kind: Kind) -> Iterator[Finding]:
    for fact, value in piece.facts.items():
        address = ("equipment", name, "facts", fact)
        if fact not in kind.facts:
            yield _finding(
                traced,
                address,
                "facts.unknown",
                f"'{piece.kind}' defines no fact '{fact}'.",
                suggestion(fact, kind.facts, "It defines"),
            )
        elif not _fits(value, kind.facts[fact]):
            definition = kind.facts[fact]
            yield _finding(
                traced,
                address,
                "facts.type",
                f"'{definition.name}' is {definition.type}, not '{value}'.",
                f"Write {_WANTED[definition.type]}.",
            )


def _fits(value: object, definition: FactDefinition) -> bool:
    if isinstance(value, bool):
        return definition.type == "yes-no"
    return isinstance(value, _TYPES[definition.type])


def _finding(
    traced: TracedHome, address: tuple[str, ...], code: str, wrong: str, right: str
) -> Finding:
    place = traced.place(*address)
    return Finding(code, place, wrong, right, path=".".join(address), plots=(traced.reference,))
