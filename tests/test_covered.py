"""How long whoever answers first for a matter does so, as a sentence says it; whom a sentence names where
nobody has a role; and heaters of a kind made by data."""

import pytest

from builder.guide.terms import covered_first, spoken_term
from builder.model.article import Article, FrontMatter
from builder.model.condition import Role
from builder.model.cover import Cover
from builder.model.people import Contact
from builder.selection.choosing import first_terms, in_covers
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


@pytest.mark.parametrize(("given", "closes"), [
    ({"with_cover": "marks"}, "14 days"),  # The cover of this home stands over the article's own term.
    ({"with_cover": "faults"}, "7 days"),  # Nobody covers it here.
    ({}, "7 days"),
])  # fmt: skip
def test_a_task_ends_with_the_cover_of_its_matter(given: dict[str, str], closes: str) -> None:
    task = {"do": "Report it.", "closes": "7 days", "basis": "one", **given}
    front = {"title": "Marks", "summary": "Marks.", "system": "paper", "reviewed": "2026-01-01",
             "tasks": {"report": task}, "sources": {"one": {"fact": "It is so.", "basis": "common practice"}}}  # fmt: skip
    article = Article("marks", "marks.md", FrontMatter.model_validate(front), "", 9)
    ended = in_covers(article, first_terms([cover(("marks",), "14 days")]))
    assert ended.front.tasks["report"].closes == closes


def test_a_role_that_nobody_has_is_named_in_words_and_never_the_emergency_services() -> None:
    contacts = {"emergency-services": Contact.model_validate(
        {"name": "Emergency services", "call_for": "danger", "telephone": "999", "basis": "public"})}  # fmt: skip
    roles = {
        "sweep": Role(name="Who sweeps", otherwise="a chimney sweep"),
        "leak": Role(name="Who comes for a leak"),
    }
    said = _worded_by(("Ask {call:sweep}.", "Call {call:leak}."), {}, contacts, roles, ())
    assert said == ("Ask a chimney sweep.", "Call Emergency services, 999.")
