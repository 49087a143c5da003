"""Commands that are killed at random moments: what they leave is whole, old or new, and can be finished."""

import os
import random
import signal
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from tests.attack.ground import DAY, Ground, contents
from tests.attack.outcomes import Outcome
from tests.attack.records import PLOT, _whole
from tests.attack.registers import REGISTER
from tests.demonstrations import signed

ACTS = ("build", "issue", "deploy", "record", "build", "deploy")
LASTS = {"build": 0.5, "issue": 0.12, "deploy": 0.25, "record": 0.2}
"""Seconds that each takes on a small workspace: most kills fall within."""
DEVELOPMENT = "developments/riverside/development.yaml"
TABLE = "developments/riverside/plots.csv"


@dataclass(frozen=True, slots=True)
class KillTry:
    """A command that is killed after some share of the time that it takes, with signal 9."""

    act: str
    share: float
    number: int

    @property
    def name(self) -> str:
        return f"{self.act}, killed after {self.share:.3f} of its time ({self.number})"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        _change(ground, self.number)
        before, seen = _kept(ground), ""
        if self.act == "deploy":
            ground.run("deploy", str(ground.folder / "host"), "--from", str(ground.out))
            ground.run("build", "--out", str(ground.out), "--date", DAY)
        arguments = _arguments(self.act, ground)
        _killed(ground, arguments, self.share * LASTS[self.act])
        seen = _lost(before, _kept(ground))
        if seen:
            return Outcome.LOST, seen
        finished = ground.told(ground.run(*arguments))
        if finished[0] not in (Outcome.HARMLESS,):
            seen = finished[1] or f"'{self.act}' cannot be finished after the kill"
            return (Outcome.TORN if finished[0] is Outcome.REFUSED else finished[0]), seen
        return _whole_again(self.act, ground)


def _change(ground: Ground, number: int) -> None:
    """Something that every guide shows, and a plot that has no code yet."""
    text = ground.before[DEVELOPMENT].decode()
    ground.write(DEVELOPMENT, text.replace("01632 960210", f"01632 960{number % 90 + 300}"))
    table = ground.before[TABLE].decode()
    ground.write(TABLE, f"{table}03,3 Riverside,ZZ99 9ZZ,cottage,as-drawn,,2026-03-31\n")


def _arguments(act: str, ground: Ground) -> tuple[str, ...]:
    export = ground.folder / "export.json"
    if act == "record":
        export.write_text(signed(_whole()), encoding="utf-8")
    return {
        "build": ("build", "--out", str(ground.out), "--date", DAY),
        "issue": ("stickers", "issue", "--date", DAY),
        "deploy": ("deploy", str(ground.folder / "host"), "--from", str(ground.out)),
        "record": ("record", str(export), PLOT, "--date", DAY),
    }[act]


def _killed(ground: Ground, arguments: tuple[str, ...], seconds: float) -> None:
    """Runs a command in a process of its own, and kills it."""
    child = os.fork()
    if not child:
        try:
            ground.run(*arguments)
        finally:
            os._exit(0)
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


def _kept(ground: Ground) -> dict[str, set[bytes] | bytes]:
    """What may never get lost: lines of the register, records, and published files that codes lead to."""
    kept: dict[str, set[bytes] | bytes] = {}
    register = ground.root / REGISTER
    kept["register"] = set(register.read_bytes().splitlines()) if register.is_file() else set()
    records = ground.root / "developments/riverside/records"
    kept |= {f"records/{name}": content for name, content in contents(records).items()}
    for place in (ground.out, ground.folder / "host"):
        for path in sorted(place.glob("[gQ]/*/index.html")):
            kept[f"{place.name}/{path.relative_to(place)}"] = b""
    return kept


def _lost(before: Mapping[str, set[bytes] | bytes], now: Mapping[str, set[bytes] | bytes]) -> str:
    for name, content in before.items():
        held = now.get(name)
        if isinstance(content, set):
            if not content <= (held if isinstance(held, set) else set()):
                return "lines of the register are gone"
        elif held is None or (content and held != content):
            return f"{name} is gone or another"
    return ""


def _whole_again(act: str, ground: Ground) -> tuple[Outcome, str]:
    """After the command was run to its end: nothing is left of the killed one."""
    ran = ground.run("build", "--out", str(ground.out), "--date", DAY)
    if ground.told(ran)[0] is not Outcome.HARMLESS:
        return Outcome.TORN, f"nothing can be built after a killed '{act}': {ran.output[-200:]}"
    verified = ground.told(ground.run("verify", str(ground.out)))
    if verified[0] is not Outcome.HARMLESS:
        return Outcome.TORN, verified[1] or "the published tree is not whole"
    if act == "deploy":
        ground.run(*_arguments(act, ground))
        host = contents(ground.folder / "host")
        if torn := [name for name, held in contents(ground.out).items() if host.get(name) != held]:
            return Outcome.TORN, f"the host has another {torn[0]}"
    left = [each.name for each in Path(ground.out).iterdir() if each.name.startswith(".building-")]
    return (Outcome.TORN, f"{left[0]} is left") if left else (Outcome.HARMLESS, "")


def tries(rng: random.Random, number: int) -> Iterator[KillTry]:
    """So many kills, spread over the time that each command takes."""
    for turn in range(number):
        yield KillTry(ACTS[turn % len(ACTS)], rng.random() ** 1.3 * 1.1, turn)
