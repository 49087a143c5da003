"""A short form of the attack, and proof that it sees what it looks for. The long form: python -m tests.attack."""

import os
import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.attack import running
from tests.attack.ground import CANARY, Ground, Ran
from tests.attack.outcomes import Outcome, Told, table
from tests.attack.registers import REGISTER, RegisterTry
from tests.attack.running import SHARES, attack, every_try, tries_of

SHARE = 0.004
pytestmark = pytest.mark.filterwarnings("ignore:This process.*multi-threaded:DeprecationWarning")


@pytest.fixture(scope="module")
def ground(tmp_path_factory: pytest.TempPathFactory) -> Ground:
    return Ground(tmp_path_factory.mktemp("attack") / "ground")


def test_nothing_hostile_gets_in_and_nothing_is_lost() -> None:
    wanted = {group: max(2, round(number * SHARE)) for group, number in SHARES.items()}
    told = attack(every_try(wanted, 2), processes=1)
    assert len(told) == sum(wanted.values())
    wrong = [f"{each.outcome}: {each.group}: {each.name}: {each.seen}" for each in told if each.bad]
    assert not wrong, "\n".join([*wrong, *table(told)])


@dataclass(frozen=True)
class EndsItsProcess:
    """A try that takes its process with it."""

    name: str = "ends its process"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        os._exit(9)


def test_a_try_that_ends_its_process_is_told_and_the_others_go_on(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    registers = running.MAKERS["registers"]

    def tries(rng: random.Random, number: int) -> Iterator[running.Try]:
        one, other = registers(rng, 2)
        yield from (one, EndsItsProcess(), other)

    monkeypatch.setattr(running, "MAKERS", {"registers": tries})
    told = attack(every_try({"registers": 3}, 2), processes=1)
    assert [each.outcome for each in told][1] is Outcome.TRACEBACK
    assert told[1].seen == "its process ended with 9"
    assert [each.bad for each in told] == [False, True, False]


def test_the_long_form_makes_ten_thousand_tries_and_the_same_ones_every_time() -> None:
    assert sum(SHARES.values()) >= 10_000
    for group in SHARES:
        names = [each.name for each in tries_of(group, 40, 5)]
        assert names == [each.name for each in tries_of(group, 40, 5)]
        assert names != [each.name for each in tries_of(group, 40, 6)]
        assert len(names) == 40


@pytest.mark.parametrize(
    "harm",
    [
        "<script>attack()</script>",
        "<p onclick='attack()'>x</p>",
        "<a href='java\tscript:attack()'>x</a>",
        "<img src='https://attack.example/x.png'>",
        "<meta http-equiv='refresh' content='0'>",
        "<p>root:x:0:0</p>",
        "<p>&lt;builder.Home object at 0x7f00aa00bb00></p>".replace("&lt;", "<"),
        "<iframe srcdoc='attack'></iframe>",
        "<p style='position:fixed'>x</p>",
    ],
)
def test_the_judge_sees_what_may_act(ground: Ground, harm: str) -> None:
    ground.reset()
    assert ground.judge.executed(ground.out) == ""
    page = next(iter(sorted(ground.out.glob("g/*/contacts/index.html"))))
    content = page.read_text(encoding="utf-8")
    page.unlink()
    page.write_text(content.replace("</main>", f"{harm}</main>", 1), encoding="utf-8")
    assert ground.judge.executed(ground.out)


def test_another_policy_is_seen(ground: Ground) -> None:
    ground.reset()
    headers = ground.out / "_headers"
    text = headers.read_text(encoding="utf-8")
    headers.unlink()
    headers.write_text(text.replace("script-src", "script-src 'sha256-attack'"), encoding="utf-8")
    assert ground.judge.executed(ground.out) == "another policy is published"


def test_what_was_run_and_what_broke_is_seen(ground: Ground) -> None:
    ground.reset()
    assert ground.told(Ran(0, "")) == (Outcome.HARMLESS, "")
    assert ground.told(Ran(1, "")) == (Outcome.REFUSED, "")
    assert ground.told(Ran(1, "", "KeyError: 'x'")) == (Outcome.TRACEBACK, "KeyError: 'x'")
    Path(CANARY).touch()
    assert ground.told(Ran(0, ""))[0] is Outcome.EXECUTED
    ground.reset()


def test_a_sticker_that_leads_elsewhere_is_seen(ground: Ground) -> None:
    ground.reset()
    one, other = sorted(ground.out.glob("Q/*/index.html"))[:2]
    content = other.read_bytes()
    one.unlink()
    one.write_bytes(content.replace(b"/g/", b"/g/ELSEWHERE", 1))
    found = RegisterTry("as it is", "check", 0)._lost(
        ground, ground.before[REGISTER], {one.parent.name: "/g/SOMEWHERE"}
    )
    assert found is not None
    assert found[0] is Outcome.LOST


def test_the_table_counts_every_try() -> None:
    told = [Told("forms", "x", Outcome.REFUSED), Told("forms", "y", Outcome.TORN)]
    assert [line.split() for line in table(told)] == [
        ["group", "tried", "refused", "harmless", "traceback", "executed", "torn", "lost"],
        ["forms", "2", "1", "0", "0", "0", "1", "0"],
        ["in", "all", "2", "1", "0", "0", "0", "1", "0"],
    ]
