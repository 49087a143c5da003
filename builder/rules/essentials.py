"""What every home must have before anyone lives in it with a guide."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.rules.reference import Table
from builder.rules.routes import is_flat, sprinklered
from builder.rules.rule import HomeRule, Problem, rule, rule_by

_BASIS = "common practice: a buyer is shown where each supply is turned off"


@rule("essentials.water", "Something turns off the water.", basis=_BASIS, severity=Severity.ERROR)
def water_can_be_turned_off(home: Survey) -> Iterator[Problem]:
    if not _turned_off(home, "water"):
        yield _missing("water", "Nothing in this home turns off the water.", "a stopcock")


@rule(
    "essentials.electricity", "Something turns off the electricity.", basis=_BASIS,
    severity=Severity.ERROR,
)  # fmt: skip
def electricity_can_be_turned_off(home: Survey) -> Iterator[Problem]:
    if not _turned_off(home, "electricity"):
        wrong = "Nothing in this home turns off the electricity."
        yield _missing("electricity", wrong, "a consumer unit")


@rule(
    "essentials.gas", "Where there is gas, something turns it off.", basis=_BASIS,
    severity=Severity.ERROR,
)  # fmt: skip
def gas_can_be_turned_off(home: Survey) -> Iterator[Problem]:
    kinds = home.home.kinds
    has_gas = any(kinds[piece.kind].system == "gas" for piece in home.home.equipment.values())
    if has_gas and not _turned_off(home, "gas"):
        wrong = "This home has gas, and nothing turns it off."
        yield _missing("gas", wrong, "a gas emergency valve")


@rule_by(
    "fire", "sprinklers-every-home", "sprinklers-every-flat",
    identifier="essentials.sprinklers",
    says="A home has sprinklers where its nation asks for them in every one of its form.",
    severity=Severity.ERROR,
)  # fmt: skip
def homes_have_sprinklers(home: Survey, table: Table) -> Iterator[Problem]:
    every = "sprinklers-every-flat" if is_flat(home) else "sprinklers-every-home"
    if table.number(every) > 0 and not sprinklered(home):
        form = "flat" if is_flat(home) else "home"
        yield Problem(
            ("equipment",),
            f"Every new {form} here has sprinklers, and this one has no sprinkler valve.",
            "Add the valve to 'equipment'. Where the law lets this home off, as for a listed building,"
            " set the rule aside by a waiver that says so.",
        )


def _turned_off(home: Survey, supply: str) -> bool:
    kinds = home.home.kinds
    return any(kinds[piece.kind].turns_off == supply for piece in home.home.equipment.values())


def _missing(supply: str, wrong: str, example: str) -> Problem:
    right = f"Add {example} to 'equipment', of a kind with 'turns_off: {supply}'."
    return Problem(("equipment",), wrong, right)


ESSENTIALS: tuple[HomeRule, ...] = (
    water_can_be_turned_off,
    electricity_can_be_turned_off,
    gas_can_be_turned_off,
    homes_have_sprinklers,
)
