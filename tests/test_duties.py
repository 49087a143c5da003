"""A task and a fact that says how often are found where they are one duty."""

from datetime import date
from pathlib import Path

import pytest

from builder.errors import Findings
from builder.preparing import shared_files
from builder.sources.workspace import read_workspace

DAY = date(2026, 11, 25)
ARTICLE = """---
title: Tank care
summary: How the tank is kept.
system: water
equipment: [tank]
tasks:
  one: {{do: {do}, {when}, basis: one}}
sources: {{one: {{fact: It is done, basis: common practice}}}}
reviewed: 2026-11-01
---
The tank.
"""


def found(cottage: Path, do: str, when: str, fact: str) -> list[str]:
    standard = cottage / "housetypes/standard.yaml"
    kind = f"\nkinds:\n  tank: {{name: Tank, system: water, what: Holds water., article: tank-care, facts: {{often: {fact}}}}}\n"
    standard.write_text(
        standard.read_text("utf-8").replace("\nkinds:\n", kind, 1), encoding="utf-8"
    )
    path = cottage / "content/articles/tank-care.md"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(ARTICLE.format(do=do, when=when), encoding="utf-8")
    findings = Findings()
    workspace = read_workspace(cottage, findings)
    for each in shared_files(workspace, DAY):
        findings.extend(each)
    return [str(each) for each in findings if each.code == "articles.task-and-fact"]


RHYTHM = "{name: Change the filter every, rhythm: true}"


@pytest.mark.parametrize(
    ("do", "when", "fact", "twice"),
    [
        ("Change its filter.", "every: 1 year", RHYTHM, True),
        ("Have the filters changed.", "every: 1 year", RHYTHM, True),
        ("Look at the filter.", "every: 1 month", RHYTHM, False),
        ("Change its filter.", "closes: 4 weeks", RHYTHM, False),  # once, and not again and again
        ("Change its filter.", "every: 1 year", "{name: Change the filter every}", False),
        ("Have it emptied.", "every: 1 year", "{name: Have it emptied every, rhythm: true}", True),
        ("Empty it.", "every: 1 year", "{name: Have it emptied every, rhythm: true}", True),
    ],
)
def test_a_duty_is_asked_for_once(
    cottage: Path, do: str, when: str, fact: str, twice: bool
) -> None:
    assert bool(found(cottage, do, when, fact)) == twice


def test_what_is_said_of_it(cottage: Path) -> None:
    assert found(cottage, "Change its filter.", "every: 1 year", RHYTHM) == [
        "content/articles/tank-care.md:7:8: warning articles.task-and-fact at tasks.one\n"
        "  'Change the filter every' of 'tank' says when this is done in each home: its dates ask for it twice.\n"
        "  Take the task out, or 'rhythm' off the fact."
    ]
