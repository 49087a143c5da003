"""Homes of which the buyer paid for a part: what is agreed of the rest, and whether their nation knows it."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.model.setting import Rest
from builder.rules.measures import listed, quoted
from builder.rules.rule import HomeRule, Problem, rule

_SOLD: dict[Rest, str] = {
    "rented": "in part, with rent for the rest",
    "secured": "in part, with a security for the rest",
}


@rule(
    "tenure.part-not-known", "A part of a home is sold in a way that was read of its nation.",
    basis="pages of the four governments on shared ownership and shared equity, as the nation's own layer has them",
)  # fmt: skip
def parts_are_sold_so_here(home: Survey) -> Iterator[Problem]:
    bought, known = home.home.part_bought, home.home.nation.parts_sold
    if bought is not None and bought.rest not in known:
        yield Problem(
            ("part_bought", "rest"),
            f"No source that was read says that a new home in {home.home.nation.name} is sold {_SOLD[bought.rest]}.",
            f"Write {listed(['rest: ' + each for each in known], 'or')}, or waive this and name the scheme.",
        )


@rule(
    "tenure.part-without-lease", "A home of which a part is rented is owned as its nation has it.",
    severity=Severity.ERROR,
    basis="GOV.UK, Shared ownership homes: all shared ownership homes, houses and flats, are leasehold",
)  # fmt: skip
def a_rented_part_has_a_lease(home: Survey) -> Iterator[Problem]:
    bought, tenure, needed = home.home.part_bought, home.home.tenure, home.home.nation.rented_part
    if bought is None or bought.rest != "rented" or None in (tenure, needed):
        return
    if tenure != needed:
        yield Problem(
            ("tenure",),
            f"A part of this home is rented, and it is {tenure}: in {home.home.nation.name} such a home is {needed}.",
            f"Write 'tenure: {needed}' where 'part_bought' is said, or take 'part_bought' out.",
        )


@rule(
    "tenure.part-unsaid", "A home of which a part is rented says who insures and who repairs.",
    basis="house rule: a guide says nothing that nobody said, and owners ask this first when something breaks",
)  # fmt: skip
def the_lease_of_a_part_is_told(home: Survey) -> Iterator[Problem]:
    bought = home.home.part_bought
    if bought is None or bought.rest != "rented":
        return
    asked = ("insured_by", "landlord_repairs") if _landlords_repair(home) else ("insured_by",)
    lacking = [name for name in asked if getattr(bought, name) is None]
    if lacking:
        yield Problem(
            ("part_bought",),
            f"Nothing says {quoted(lacking)} of the part that is rented.",
            "Look in the lease. Add 'insured_by: landlord' or 'insured_by: owner'"
            + (", and 'landlord_repairs:' with the years, or 0." if asked[1:] else "."),
        )


def _landlords_repair(home: Survey) -> bool:
    """Whether leases of the nation can have years in which the landlord pays for repairs."""
    return "landlord-repairs" in home.home.nation.law


@rule(
    "tenure.no-landlord", "Only where a part is rented a landlord repairs or insures.",
    severity=Severity.ERROR,
    basis="gov.scot, New Supply Shared Equity scheme, information leaflet: you own the property outright",
)  # fmt: skip
def nobody_else_repairs_what_is_owned_outright(home: Survey) -> Iterator[Problem]:
    bought = home.home.part_bought
    if bought is None or bought.rest == "rented":
        return
    said = [
        name for name in ("landlord_repairs", "repair_help") if getattr(bought, name) is not None
    ]
    said += ["insured_by"] if bought.insured_by == "landlord" else []
    if said:
        yield Problem(
            ("part_bought", said[0]),
            f"{quoted(said)} {'names' if len(said) == 1 else 'name'} a landlord, and no part of this home is rented.",
            "Take it out, or write 'rest: rented'.",
        )


TENURE: tuple[HomeRule, ...] = (
    parts_are_sold_so_here,
    a_rented_part_has_a_lease,
    the_lease_of_a_part_is_told,
    nobody_else_repairs_what_is_owned_outright,
)
