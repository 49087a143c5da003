"""What is in the building of a home and is no home: shops, kitchens, plant rooms, car parks."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.model.setting import Premises
from builder.rules.measures import quoted
from builder.rules.reference import Table
from builder.rules.routes import is_flat
from builder.rules.rule import HomeRule, Problem, rule, rule_by

_ANCILLARY = ("car-park", "plant-room")
"""Uses that belong to the homes themselves, and not to another business."""
_SOLID = "wood"


@rule(
    "premises.below-unsaid", "A flat above the ground says what lies under it.",
    basis="house rule: whoever smells smoke from below needs to know whose it is",
)  # fmt: skip
def what_lies_below_is_said(home: Survey) -> Iterator[Problem]:
    building = home.home.building
    if building is None or not is_flat(home) or building.homes_below is not False:
        return
    below = any(each.lies == "below" for each in home.home.premises.values())
    if not below and building.storey is not None and building.storey > 0:
        yield Problem(
            ("building", "homes_below"),
            f"This {home.home.form} has its front door on storey {building.storey}, and no home below it."
            " Nothing says what lies there.",
            "Name it under 'premises', such as 'shop: {name: the shop, use: shop, lies: below}',"
            " or write 'homes_below: true'.",
        )


@rule(
    "premises.unsaid", "A shop or another place in the building is told so that a guide can speak of it.",
    severity=Severity.NOTE,
    basis="house rule: a guide says nothing that nobody said, and owners ask whom to call and which alarm it is",
)  # fmt: skip
def premises_are_told(home: Survey) -> Iterator[Problem]:
    for name, each in home.home.premises.items():
        lacking = [
            fact for fact in ("stairs", "alarm_heard", "contact") if getattr(each, fact) is None
        ]
        if lacking:
            yield Problem(
                ("premises", name),
                f"Nothing says {quoted(lacking)} of '{each.name}'.",
                "Add 'stairs: own' (or shared, shared-with-lobby), 'alarm_heard: false', and whom to call.",
            )


@rule(
    "premises.in-a-house", "Nothing that is no home lies over or under a house.",
    basis="common practice: a house reaches from the ground to its roof",
)  # fmt: skip
def nothing_lies_over_or_under_a_house(home: Survey) -> Iterator[Problem]:
    for name, each in home.home.premises.items():
        if home.home.form in ("house", "bungalow") and each.lies != "beside":
            yield Problem(
                ("premises", name, "lies"),
                f"This home is a {home.home.form}, and '{each.name}' lies {each.lies} it.",
                "Write 'lies: beside', or correct 'form'.",
            )


@rule_by(
    "fire", "premises-lobby-on-shared-stairs", identifier="premises.stairs-without-lobby",
    says="Stairs that lead from homes to a business as well are cut off from it by a lobby with fire doors.",
)  # fmt: skip
def a_lobby_cuts_off_a_business(home: Survey, table: Table) -> Iterator[Problem]:
    asked = table.number("premises-lobby-on-shared-stairs") > 0
    for name, each in home.home.premises.items():
        if asked and is_flat(home) and each.use not in _ANCILLARY and each.stairs == "shared":
            yield Problem(
                ("premises", name, "stairs"),
                f"The stairs of this {home.home.form} lead to '{each.name}' too, with no lobby between.",
                "Build a lobby with fire doors and write 'shared-with-lobby', or give the homes stairs of their own.",
            )


@rule_by(
    "fire", "premises-none-on-the-only-stairs", identifier="premises.on-the-only-stairs",
    says="The only stairs out of a flat lead to no car park and no plant room.",
)  # fmt: skip
def the_only_stairs_serve_no_car_park(home: Survey, table: Table) -> Iterator[Problem]:
    asked = table.number("premises-none-on-the-only-stairs") > 0
    for name, each in home.home.premises.items():
        if asked and is_flat(home) and each.use in _ANCILLARY and _on_the_stairs(each):
            yield Problem(
                ("premises", name, "stairs"),
                f"The stairs of this {home.home.form} lead to '{each.name}' too.",
                "Where they are the only way out, let no door lead from them to it. Where there is another way out, "
                "or the building is small, waive this and say so.",
            )


def _on_the_stairs(premises: Premises) -> bool:
    return premises.stairs in ("shared", "shared-with-lobby")


@rule(
    "premises.no-carbon-monoxide-alarm", "A home beside a fire of wood or charcoal has a carbon monoxide alarm.",
    severity=Severity.NOTE,
    basis="HSE, Solid fuel catering appliances, enforcement guidance OG 00078: carbon monoxide from them"
    " can affect members of the public",
)  # fmt: skip
def a_fire_next_door_is_watched(home: Survey) -> Iterator[Problem]:
    for name, each in home.home.premises.items():
        if _SOLID in each.fuels and not any(home.pieces("carbon-monoxide-alarm")):
            yield Problem(
                ("premises", name, "fuels"),
                f"'{each.name}' burns wood or charcoal, and this home has no carbon monoxide alarm.",
                "Add an alarm in the room nearest to it: the gas passes through floors and walls.",
            )


PREMISES: tuple[HomeRule, ...] = (
    what_lies_below_is_said,
    premises_are_told,
    nothing_lies_over_or_under_a_house,
    a_lobby_cuts_off_a_business,
    the_only_stairs_serve_no_car_park,
    a_fire_next_door_is_watched,
)
