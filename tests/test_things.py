"""An article on a thing of a home has all that its owner asks: what it is, where, how to use it and look
after it, what is normal, when to stop, and whom to call."""

import re
from typing import Any

import pytest

from builder.rules.articles import WHOLE, sentences
from tests.demonstrations import prepared_demo
from tests.test_words import ARTICLES, parts

FIXED = {
    "balcony", "drives-and-paths", "fences-and-boundaries", "front-door-and-keys",
    "garage", "glass-doors", "gutters", "inside-doors", "kitchen-cupboards", "lift-in-your-building",
    "rain-water", "sinks-and-traps", "stairs", "treatment-plant", "weep-vents-and-air-bricks",
    "windows-and-escape", "your-roof",
}  # fmt: skip
"""Things that are no equipment: parts of the building, and what stands around it."""
HURTS_NOBODY = {"carbon-dioxide-monitor", "entry-and-fobs", "inside-doors", "room-thermostats"}
"""What is only pressed, moved or read, so that there is no moment to stop."""
CARE = re.compile(
    r"\b(care|clean|look after|keep|touch|use it|every day|each (week|half year)|what you do|afterwards)\b",
    re.IGNORECASE,
)
CALLED = re.compile(r"\bcontacts\[|\bwhom_to_call\(")
NORMAL = "What is normal"
AT_MOST = 5
"""Sentences on what is normal. It is read in passing."""


THINGS = [name for name, path in ARTICLES.items() if name in FIXED or "equipment" in parts(path)[0]]


def sections(body: str) -> dict[str, str]:
    """The text below each heading of a body."""
    first, *others = re.split(r"(?m)^## ", body)
    return {"": first} | {head: text for head, _, text in (each.partition("\n") for each in others)}


def lacking(name: str, front: dict[str, Any], body: str) -> set[str]:
    """Which of an owner's questions an article leaves open."""
    cautions = front.get("cautions", {}).values()
    said = sections(body)
    looked_after = front.get("tasks") or any(CARE.search(each) for each in said)
    normal = list(sentences(said.get(NORMAL, "")))
    return {
        question
        for question, answered in {
            "what it is": len(front["summary"].split()) >= WHOLE,
            "where it is": "equipment" in front or front.get("when") or name in FIXED,
            "how to use it": front.get("actions"),
            "how to look after it": looked_after,
            "what is normal": 1 <= len(normal) <= AT_MOST,
            "when to stop": name in HURTS_NOBODY or any(each["stop"] for each in cautions),
            "whom to call": CALLED.search(body) or any(each["call"] for each in cautions),
        }.items()
        if not answered
    }


@pytest.mark.parametrize("name", THINGS)
def test_an_article_on_a_thing_answers_what_its_owner_asks(name: str) -> None:
    assert lacking(name, *parts(ARTICLES[name])) == set()


def test_what_is_left_out_is_missed() -> None:
    """Each part taken away from a whole article is told by its name."""
    front, body = parts(ARTICLES["cooker-hood"])
    assert lacking("cooker-hood", front, body) == set()
    without = {key: {} for key in ("cautions", "tasks")} | {"actions": []}
    assert lacking("cooker-hood", front | without, body) == {
        "how to use it", "how to look after it", "when to stop",
    }  # fmt: skip
    assert lacking("cooker-hood", front, body.replace(NORMAL, "More")) == {"what is normal"}
    alone = "## What is normal\n\nIt hums.\n"
    assert lacking("cooker-hood", front | without, alone) == {
        "how to use it", "how to look after it", "when to stop", "whom to call",
    }  # fmt: skip


@pytest.mark.parametrize("plot", sorted(prepared_demo().homes))
def test_no_home_reads_a_heading_with_nothing_below(plot: str) -> None:
    """What stands below a heading has conditions of its own, so an empty one is seen only in a home."""
    empty = [
        (page.id, heading)
        for page in prepared_demo().homes[plot].guide.pages
        if page.layout == "article"
        for heading, text in sections(page.body).items()
        if heading and not text.strip()
    ]
    assert empty == []
