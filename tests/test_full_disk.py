"""A disk that fills while guides are built, on ground that no other test has stood on."""

import random
import re
import sys
from functools import partial

import pytest

from builder.build.manifest import records_folder
from tests.test_safety import (
    CREATING,
    Ground,
    built,
    ground,
    in_a_child,
    whole_run,
    without_room,
)

__all__ = ["ground"]


def test_a_disk_that_is_full_from_any_moment_on(ground: Ground) -> None:
    """A clear word and exit 1; what was published stands, and a build with room makes it good."""
    chance = random.Random(12)
    steps = whole_run(ground, 0)
    said = set[str]()
    for number in range(24):
        edition = number % 2
        step = 1 + number * steps // 24 + chance.randint(0, steps // 24)
        code, output = in_a_child(partial(without_room, ground, edition, step))
        if code:
            assert (code, output.count("Error: ")) == (1, 1), output
            assert "No space left on device" in output
            said.add(re.sub(r"'.*'|riverside/..|hillside/..", "…", output.partition("Error: ")[2]))
        ground.whole()
        assert not list(ground.out.glob(".building-*"))
        if code and number % 4 == 3:
            ground.publish(edition)
            ground.healed(edition)
    assert any("guide of" in each for each in said), said
    ground.publish(0)
    ground.healed(0)


@pytest.mark.parametrize(
    ("record", "says"),
    [
        (r"guides/\.\w+\.json\.new$", "The record '…/guides/….json' cannot be written"),
        (r"\.last-build\.json\.new$", "The record '…/last-build.json' cannot be written"),
        (r"\.portfolio\.html\.new$", "'…/portfolio.html' cannot be written"),
    ],
)
def test_a_disk_that_is_full_when_a_record_is_to_be_written(
    ground: Ground, record: str, says: str
) -> None:
    """Which record it is is said, every guide is whole, and a build with room makes it good."""
    ground.publish(0)
    code, output = in_a_child(partial(_full_from, ground, record))
    assert code == 1, output
    plain = re.sub(r"guides/\w+\.json", "guides/….json", output)
    plain = plain.replace(str(records_folder(ground.out)), "…")
    assert plain.endswith(f"Error: {says}: No space left on device.\n"), output
    ground.whole()
    ground.publish(1)
    ground.healed(1)


def _full_from(ground: Ground, record: str) -> tuple[int, str]:
    """The command on a disk that is full from the moment on when this record is opened to be written."""
    full = False

    def hear(event: str, arguments: tuple[object, ...]) -> None:
        nonlocal full
        if event != "open" or not isinstance(arguments[2], int) or not arguments[2] & CREATING:
            return
        below = str(arguments[0]).startswith(str(ground.out.parent))
        full = full or (below and re.search(record, str(arguments[0])) is not None)
        if full and below:
            raise OSError(28, "No space left on device")

    ground.replays = False
    sys.addaudithook(hear)
    return built(ground.roots[1], ground.out)
