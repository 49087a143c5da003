"""How long whoever answers first for a matter does so, as a sentence says it; whom a sentence names where
nobody has a role; and heaters of a kind made by data."""

import pytest

from builder.guide.covered import covered_first, spoken_term
from builder.model.cover import Cover
from builder.model.naming import Role
from builder.model.people import Contact
from builder.selection.wording import _worded_by


def cover(matters: tuple[str, ...], ends: str | None, **more: object) -> Cover:
    return Cover.model_validate({"name": "Somebody", "contact": "care", "matters": matters, "ends": ends,
                                 "basis": "common practice", **more})  # fmt: skip


@pytest.mark.parametrize(("term", "said"), [
    ("1 year", "year"), ("2 years", "two years"), ("10 years", "ten years"), ("18 months", "18 months"),
    ("7 days", "7 days"), ("1 day", "day"), ("12 years", "12 years"),
])  # fmt: skip
def test_a_term_follows_the_words_in_the_first(term: str, said: str) -> None:
    assert spoken_term(term) == said


def test_the_first_cover_with_somebody_to_call_counts() -> None:
    found = covered_first([
        cover(("structure",), "10 years", starts="1 year"),
        cover(("faults", "structure"), "1 year"),
        cover(("marks",), "14 days"),
        cover(("faults",), "6 months", contact=None),
        cover(("machines",), "2 years", anchor="registration"),
        cover(("upkeep",), None),
    ])  # fmt: skip
    assert found == {"marks": "14 days", "faults": "year", "structure": "year"}


def test_a_role_that_nobody_has_is_named_in_words_and_never_the_emergency_services() -> None:
    contacts = {"emergency-services": Contact.model_validate(
        {"name": "Emergency services", "call_for": "danger", "telephone": "999", "basis": "public"})}  # fmt: skip
    roles = {
        "sweep": Role(name="Who sweeps", otherwise="a chimney sweep"),
        "leak": Role(name="Who comes for a leak"),
    }
    said = _worded_by(("Ask {call:sweep}.", "Call {call:leak}."), {}, contacts, roles)
    assert said == ("Ask a chimney sweep.", "Call Emergency services, 999.")
