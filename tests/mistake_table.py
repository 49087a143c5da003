"""The table of rule against seeded, found and missed mistakes, in the output of the tests."""

import json
from collections import Counter
from dataclasses import dataclass, field

import pytest

TALLY = "seeded mistakes"
"""The property of a test's report that holds what became of the mistakes that it seeded."""


@dataclass(frozen=True)
class Tally:
    """Of each rule: how many mistakes were seeded and missed, and how many alarms were false."""

    seeded: Counter[str] = field(default_factory=Counter)
    missed: Counter[str] = field(default_factory=Counter)
    false: Counter[str] = field(default_factory=Counter)

    def __add__(self, other: "Tally") -> "Tally":
        return Tally(
            self.seeded + other.seeded, self.missed + other.missed, self.false + other.false
        )

    @property
    def rows(self) -> list[tuple[str, int, int, int, int]]:
        """Rule, seeded, found, missed, false alarms: by name of rule."""
        return [
            (rule, self.seeded[rule], self.seeded[rule] - self.missed[rule], self.missed[rule], self.false[rule])
            for rule in sorted(self.seeded + self.false)
        ]  # fmt: skip

    @property
    def text(self) -> str:
        """For a test's report, which travels between processes."""
        return json.dumps([self.seeded, self.missed, self.false])


def read(text: str) -> Tally:
    """The tally of a test's report."""
    return Tally(*(Counter(counts) for counts in json.loads(text)))


def table(tally: Tally) -> list[str]:
    """The lines of the table of rule against seeded, found, missed and false alarms."""
    heads = ("rule", "seeded", "found", "missed", "false alarms")
    rows = [
        *tally.rows,
        ("in all", *(sum(row[column] for row in tally.rows) for column in range(1, 5))),
    ]
    wide = max(len(str(row[0])) for row in rows)
    return [
        f"{each[0]:<{wide}}" + "".join(f"{value:>14}" for value in each[1:])
        for each in (heads, *rows)
    ]


def print_mistakes(terminalreporter: pytest.TerminalReporter) -> None:
    """Shows the table after the tests, also when all of them pass."""
    tally = sum(
        (
            read(value)
            for reports in terminalreporter.stats.values()
            for report in reports
            if getattr(report, "when", "") == "call"
            for key, value in report.user_properties
            if key == TALLY
        ),
        Tally(),
    )
    if tally.rows:
        terminalreporter.section(TALLY)
        for line in table(tally):
            terminalreporter.write_line(line)
