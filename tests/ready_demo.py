"""What ``handover ready`` says of the demo, in each of its forms, as it is kept to compare with.

``python -m tests.ready_demo`` writes ``tests/ready/`` again, to be read in the diff.
"""

import sys
from functools import cache
from pathlib import Path

from click.testing import CliRunner, Result

from builder.cli import main

HERE = Path(__file__).parent
KEPT = HERE / "ready"
DAY = "2026-09-30"
ASKED: dict[str, tuple[str, ...]] = {
    "all-plots.txt": (),
    "mill-lane-04.txt": ("mill-lane/04",),
    "mill-lane-06-site.txt": ("mill-lane/06", "--owed-by", "site", "--stage", "handed-over"),
    "mill-lane-02.json": ("mill-lane/02", "--format", "json"),
    "harbour-view-05.json": ("harbour-view/05", "--format", "json"),
    "two-plots.csv": ("mill-lane/04", "harbour-view/05", "--format", "csv"),
}
"""What is asked for, by the file that keeps the answer."""


@cache
def ask(*arguments: str) -> Result:
    """The answer to a question about the demo, on the day that its records are written for."""
    workspace = str(HERE.parent)
    command = ["ready", *arguments, "--workspace", workspace, "--date", DAY]
    return CliRunner().invoke(main, command, catch_exceptions=False)


def refresh() -> None:
    KEPT.mkdir(exist_ok=True)
    for name, arguments in ASKED.items():
        (KEPT / name).write_text(ask(*arguments).stdout, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    sys.exit(refresh())
