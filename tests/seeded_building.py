"""Mistakes in what is said of the rest of a building, and of a home of which a part was bought."""

from typing import Any

from tests.seeded_draft import FLATS, HOUSES, Draft, Made, Mistake, at, mistake

TOLD = {"stairs": "own", "alarm_heard": False, "contact": "managing-agent"}


def _beside(draft: Draft, **said: Any) -> None:
    """Something in the building that is no home, of which all is said."""
    draft.data["premises"] = {
        "shop": {"name": "the shop", "use": "shop", "lies": "beside", **TOLD, **said}
    }


@mistake("premises.below-unsaid", "building", "premises", forms=FLATS)
def a_flat_over_nobody_knows_what(draft: Draft) -> Made:
    draft.data["building"]["homes_below"] = False
    return at("building.homes_below")


@mistake("premises.unsaid", "premises")
def a_shop_of_which_little_is_said(draft: Draft) -> Made:
    _beside(draft)
    del draft.data["premises"]["shop"][draft.pick(sorted(TOLD))]
    return at("premises.shop")


@mistake("premises.in-a-house", "premises", forms=HOUSES)
def a_house_over_a_shop(draft: Draft) -> Made:
    _beside(draft, lies=draft.pick(["below", "above"]))
    return at("premises.shop.lies")


@mistake("premises.stairs-without-lobby", "premises", forms=FLATS)
def a_shop_on_the_stairs(draft: Draft) -> Made:
    _beside(draft, stairs="shared", use=draft.pick(["shop", "kitchen", "office", "workshop"]))
    return at("premises.shop.stairs")


@mistake("premises.on-the-only-stairs", "premises", forms=FLATS)
def a_car_park_on_the_stairs(draft: Draft) -> Made:
    stairs = draft.pick(["shared", "shared-with-lobby"])
    _beside(draft, stairs=stairs, use=draft.pick(["car-park", "plant-room"]))
    return at("premises.shop.stairs")


@mistake("premises.no-carbon-monoxide-alarm", "premises", "combustion")
def charcoal_beside_a_home_without_an_alarm(draft: Draft) -> Made:
    kinds = {each["kind"] for each in draft.data["equipment"].values()}
    draft.need("carbon-monoxide-alarm" not in kinds)
    _beside(draft, fuels=["wood"])
    return at("premises.shop.fuels")


@mistake("tenure.part-without-lease", "tenure")
def a_part_that_is_rented_without_a_lease(draft: Draft) -> Made:
    draft.data["tenure"] = draft.pick(["freehold", "common-parts"])
    draft.data["part_bought"] = {"rest": "rented", "insured_by": "owner", "landlord_repairs": 10}
    return at("tenure")


@mistake("tenure.part-unsaid", "tenure")
def a_part_of_which_nobody_says_who_repairs(draft: Draft) -> Made:
    said = {"insured_by": "owner", "landlord_repairs": 0}
    said.pop(draft.pick(sorted(said)))
    draft.data |= {"tenure": "leasehold", "part_bought": {"rest": "rented", **said}}
    return at("part_bought")


@mistake("tenure.no-landlord", "tenure")
def a_landlord_of_a_home_that_nobody_rents(draft: Draft) -> Made:
    said = draft.pick([("landlord_repairs", 10), ("repair_help", 500), ("insured_by", "landlord")])
    draft.data["part_bought"] = {"rest": "secured", said[0]: said[1]}
    return at(f"part_bought.{said[0]}")


BUILDING: tuple[Mistake, ...] = (
    a_flat_over_nobody_knows_what,
    a_shop_of_which_little_is_said,
    a_house_over_a_shop,
    a_shop_on_the_stairs,
    a_car_park_on_the_stairs,
    charcoal_beside_a_home_without_an_alarm,
    a_part_that_is_rented_without_a_lease,
    a_part_of_which_nobody_says_who_repairs,
    a_landlord_of_a_home_that_nobody_rents,
)
