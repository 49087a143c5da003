"""What every home must have before anyone lives in it with a guide."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.rules.rule import HomeRule, Problem, rule

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
)
