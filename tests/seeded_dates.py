"""Mistakes in days, covers and rhythms."""

from tests.seeded_draft import Draft, Made, Mistake, at, mistake


@mistake("dates.completion-century", "dates")
def a_completion_of_another_century(draft: Draft) -> Made:
    draft.data["plot"] = {"completion": draft.rng.choice(("1926-03-31", "2196-03-31"))}
    return at("plot.completion")


@mistake("dates.registered-before-completion", "dates", "facts")
def an_oven_registered_by_the_site(draft: Draft) -> Made:
    draft.pieces["oven"]["registered"] = draft.rng.choice(("2026-03-30", "2025-12-01"))
    return at("equipment.oven.registered")


@mistake("dates.sold-before-completion", "dates")
def a_home_sold_on_before_it_was_sold(draft: Draft) -> Made:
    draft.data["later_owners"] = {
        "second": {"since": draft.rng.choice(("2026-03-31", "2025-12-01"))}
    }
    return at("later_owners.second.since")


@mistake("covers.matter-of-nobody", "people")
def a_matter_that_nobody_answers_for(draft: Draft) -> Made:
    draft.data["matters"] = {"pond": {"name": "The pond", "includes": "a leak in its lining"}}
    return at("matters.pond")


@mistake("covers.ends-first", "people")
def a_cover_that_never_runs(draft: Draft) -> Made:
    ends = draft.rng.choice(("2 years", "24 months", "1 year", "10 days"))
    draft.data["covers"] = {"structural": {"ends": ends}}
    return at("covers.structural.starts")


@mistake("facts.rhythm", "air")
def a_filter_changed_now_and_then(draft: Draft) -> Made:
    filtered = [
        name for name, each in draft.pieces.items() if "filter-every" in each.get("facts", {})
    ]
    name = draft.pick(filtered)
    draft.pieces[name]["facts"]["filter-every"] = draft.rng.choice(("twice a year", "6 monthly"))
    return at(f"equipment.{name}.facts.filter-every")


DATES: tuple[Mistake, ...] = (
    a_completion_of_another_century, an_oven_registered_by_the_site,
    a_home_sold_on_before_it_was_sold,
    a_matter_that_nobody_answers_for, a_cover_that_never_runs, a_filter_changed_now_and_then,
)  # fmt: skip
