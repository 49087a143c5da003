"""A disk that fills while guides are built, on ground that no other test has stood on."""

import random
import re
from functools import partial

from tests.test_safety import Ground, ground, in_a_child, whole_run, without_room

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
