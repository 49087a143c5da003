"""The table of what Lighthouse says of the main pages, in the output of the tests."""

import json

import pytest

LIGHTHOUSE = "lighthouse"
"""The property of a test's report that holds what Lighthouse said."""
_COLUMNS = ("performance", "accessibility", "best-practices")


def lines(rows: list[tuple[str, dict[str, object]]]) -> list[str]:
    """The lines of the table: a page, its scores of 100, its bytes, and the seconds to its largest part."""
    heads = ("page", *_COLUMNS, "bytes", "seconds")
    told = [heads, *(_row(name, each) for name, each in rows)]
    wide = max(len(str(row[0])) for row in told)
    return [f"{row[0]:<{wide}}" + "".join(f"{each:>16}" for each in row[1:]) for row in told]


def _row(name: str, said: dict[str, object]) -> tuple[object, ...]:
    scores, paint = said["scores"], said["paint"]
    assert isinstance(scores, dict)
    assert isinstance(paint, int | float)
    return (name, *(scores[each] for each in _COLUMNS), said["bytes"], f"{paint / 1000:.1f}")


def print_lighthouse(reporter: pytest.TerminalReporter) -> None:
    """Show the table after the tests, also when all of them pass."""
    for report in (*reporter.stats.get("passed", ()), *reporter.stats.get("failed", ())):
        for name, text in getattr(report, "user_properties", ()):
            if name == LIGHTHOUSE and report.when == "call":
                reporter.section("Lighthouse on a throttled telephone")
                for line in lines(json.loads(text)):
                    reporter.write_line(line)
