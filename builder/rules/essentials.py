"""What every home must have before anyone lives in it with a guide."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.rules.measures import quoted
from builder.rules.reference import Table
from builder.rules.routes import is_flat, sprinklered
from builder.rules.rule import HomeRule, Problem, rule, rule_by
from builder.rules.supplies import fuel_of

_GASES = ("natural-gas", "lpg")
_CONTROLS = ("room-thermostat", "heating-programmer")
_STOP_TAP = "external-stop-tap"
_BASIS = "common practice: a buyer is shown where each supply is turned off"


@rule("essentials.water", "Something turns off the water.", basis=_BASIS, severity=Severity.ERROR)
def water_can_be_turned_off(home: Survey) -> Iterator[Problem]:
    if not _turned_off(home, "water"):
        yield _missing("water", "Nothing in this home turns off the water.", "a stopcock")


@rule(
    "essentials.water-inside", "Something inside turns off the water.", severity=Severity.ERROR,
    basis="common practice: nobody lifts a cover in the pavement while water runs through the ceiling",
)  # fmt: skip
def water_can_be_turned_off_inside(home: Survey) -> Iterator[Problem]:
    kinds = home.home.kinds
    shut = {
        name: piece.room
        for name, piece in home.home.equipment.items()
        if kinds[piece.kind].turns_off == "water"
    }
    if shut and not any(home.kind_of_room(room).inside for room in shut.values()):
        yield Problem(
            ("equipment", next(iter(shut))),
            f"Only {quoted(shut)} turns off the water, and that is outside the home.",
            "Add the stopcock inside to 'equipment'.",
        )


@rule(
    "essentials.water-outside", "Something outside turns off the water of the main.",
    basis="common practice: a stopcock that nobody turned for years sticks when it is needed",
)  # fmt: skip
def water_can_be_turned_off_outside(home: Survey) -> Iterator[Problem]:
    water, kinds = home.home.water, home.home.kinds
    if water is None or water.source != "mains" or _STOP_TAP not in kinds:
        return  # A standard without a kind for it has no way to say where it is.
    shut = [each for each in home.home.equipment.values() if kinds[each.kind].turns_off == "water"]
    if shut and all(home.kind_of_room(each.room).inside for each in shut):
        yield Problem(
            ("water",),
            "Nothing outside the home turns off its water, for when the stopcock inside will not turn.",
            f"Add the stop tap in the street or in the shared riser to 'equipment': 'kind: {_STOP_TAP}'.",
        )


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
    has_gas = any(
        kinds[piece.kind].system == "gas" or fuel_of(home, piece) in _GASES
        for piece in home.home.equipment.values()
    )
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
    if table.number(every) > 0 and home.home.sprinklers is None and not sprinklered(home):
        form = "flat" if is_flat(home) else "home"
        yield Problem(
            ("equipment",),
            f"Every new {form} here has sprinklers, and this one has no sprinkler valve.",
            "Add the valve to 'equipment'. Where the law lets this home off, as for a listed building,"
            " set the rule aside by a waiver that says so.",
        )


@rule(
    "sprinklers.valve-missing", "Sprinklers have a valve that the guide shows.", basis=_BASIS,
    severity=Severity.ERROR,
)  # fmt: skip
def sprinklers_can_be_turned_off(home: Survey) -> Iterator[Problem]:
    if home.home.sprinklers is not None and not sprinklered(home):
        yield Problem(
            ("sprinklers",),
            "This home has sprinklers, and nothing turns off their water.",
            "Add the valve to 'equipment': 'kind: sprinkler-valve'. Without sprinklers take 'sprinklers' out.",
        )


@rule(
    "essentials.oil", "Where oil is burnt, something turns it off.", basis=_BASIS,
    severity=Severity.ERROR,
)  # fmt: skip
def oil_can_be_turned_off(home: Survey) -> Iterator[Problem]:
    burns = any(fuel_of(home, piece) == "oil" for piece in home.home.equipment.values())
    if burns and not _turned_off(home, "oil"):
        yield _missing("oil", "This home burns oil, and nothing turns it off.", "an oil valve")


@rule("essentials.heat", "Something turns the heating down.", basis=_BASIS)
def heating_can_be_turned_down(home: Survey) -> Iterator[Problem]:
    emitters = [each for zone in home.home.zones.values() for each in zone.emitters.values()]
    by_hand = any(each.control in ("own-thermostat", "thermostatic-valve") for each in emitters)
    if emitters and not (by_hand or any(home.pieces(*_CONTROLS)) or _turned_off(home, "heating")):
        yield Problem(
            ("zones",),
            "Nothing in this home turns the heating down or off.",
            "Add the thermostat or the programmer to 'equipment'.",
        )


def _turned_off(home: Survey, supply: str) -> bool:
    kinds = home.home.kinds
    return any(kinds[piece.kind].turns_off == supply for piece in home.home.equipment.values())


def _missing(supply: str, wrong: str, example: str) -> Problem:
    right = f"Add {example} to 'equipment', of a kind with 'turns_off: {supply}'."
    return Problem(("equipment",), wrong, right)


ESSENTIALS: tuple[HomeRule, ...] = (
    water_can_be_turned_off,
    water_can_be_turned_off_inside,
    water_can_be_turned_off_outside,
    electricity_can_be_turned_off,
    gas_can_be_turned_off,
    homes_have_sprinklers,
    sprinklers_can_be_turned_off,
    oil_can_be_turned_off,
    heating_can_be_turned_down,
)
