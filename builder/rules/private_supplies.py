"""Water and drains that are no company's: what their owner must know of them, and what is said twice."""

from collections.abc import Iterator

from builder.home.survey import Survey
from builder.rules.measures import quoted
from builder.rules.rule import HomeRule, Problem, rule

_SAFE = "common practice: whoever drinks private water is told what makes it safe, and who else drinks it"
_DUTIES = "common practice: whoever owns a tank or a plant is told how it is emptied and where it drains to"
_OWN_DRAINS = {"own-plant": "a plant", "septic-tank": "a septic tank", "cesspool": "a cesspool"}
_EMPTIED = "emptied-every"


@rule("water.private-unsaid", "Private water says who shares it and what treats it.", basis=_SAFE)
def private_water_is_described(home: Survey) -> Iterator[Problem]:
    water = home.home.water
    if water is None or water.source == "mains":
        return
    lacking = [name for name in ("shared", "treatment") if getattr(water, name) is None]
    if lacking:
        yield Problem(
            ("water",),
            f"Nothing says {quoted(lacking)} of the water, which comes from a {water.source}.",
            "Add 'shared: true' or 'shared: false', and in 'treatment' what makes it safe to drink."
            " Where nothing treats it, set the rule aside by a waiver that says who tested it.",
        )


@rule(
    "drains.private-unsaid", "Drains of a home's own say what their owner must do.", basis=_DUTIES
)  # fmt: skip
def private_drains_are_described(home: Survey) -> Iterator[Problem]:
    drains = home.home.foul_drainage
    if drains is None or drains.shared or drains.to not in _OWN_DRAINS:
        return
    names = ["shared", *([] if drains.to == "cesspool" else ["outlet"]), "notice"]
    if not any(_EMPTIED in piece.facts for piece in home.home.equipment.values()):
        names.append("emptied")
    lacking = [name for name in names if getattr(drains, name) is None]
    if lacking:
        yield Problem(
            ("foul_drainage",),
            f"Nothing says {quoted(lacking)} of the drains, which go to {_OWN_DRAINS[drains.to]}.",
            "Add 'shared: true' where other homes use it, or 'shared: false'; where the water leaves"
            " ('outlet: ground' or 'outlet: water'), where the 'notice' is kept, and 'emptied: 1 year'"
            " as its maker says.",
        )


@rule(
    "drains.emptied-twice", "How often drains are emptied is said once.",
    basis="house rule: one fact stands in one place",
)  # fmt: skip
def emptying_is_said_once(home: Survey) -> Iterator[Problem]:
    drains = home.home.foul_drainage
    said = drains.emptied if drains else None
    for name, piece in home.home.equipment.items():
        own = piece.facts.get(_EMPTIED, said)
        if said is not None and own != said:
            yield Problem(
                ("foul_drainage", "emptied"),
                f"The drains are emptied every {said}, and '{name}' every {own}.",
                "Take 'emptied' out of 'foul_drainage': the piece says it.",
            )


PRIVATE_SUPPLIES: tuple[HomeRule, ...] = (
    private_water_is_described,
    private_drains_are_described,
    emptying_is_said_once,
)
