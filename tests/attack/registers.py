"""Registers of codes that lost, changed or moved a line. A printed sticker must never lead elsewhere."""

import random
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from tests.attack.ground import DAY, Ground, contents
from tests.attack.outcomes import Outcome
from tests.attack.values import TEXTS

REGISTER = "developments/riverside/register.csv"
SEAL = "developments/riverside/register.seal"
CHANGES = ("a line lost", "the last line lost", "lines swapped", "a line twice", "codes swapped", "a letter changed", "a cell changed", "cut off", "header alone", "gone", "both gone", "seal gone", "seal changed",
           "seal of another", "a cell of harm", "a line added", "carriage returns", "utf-16", "semicolons", "conflict", "nul", "spaces", "case", "columns moved", "a column lost", "a quote",
           "copied beside", "copied beside and gone")  # fmt: skip
ELSEWHERE = CHANGES[-2:]
"""Those after which another folder has the codes of a development."""
ACTS = ("build", "issue", "void", "check")


@dataclass(frozen=True, slots=True)
class RegisterTry:
    """A damaged register, and a command that reads or writes it."""

    change: str
    act: str
    seed: int

    @property
    def name(self) -> str:
        return f"{self.change}, then {self.act} ({self.seed})"

    @property
    def is_told(self) -> bool:
        """Whether two folders have the same codes, or the wrong one has them, where a build sees it: the
        published tree lies elsewhere."""
        return self.change == "copied beside" or (self.change in ELSEWHERE and self.act == "build")

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        before = ground.before[REGISTER]
        led = _where_codes_lead(ground.published)
        self._damage(ground, random.Random(self.seed))
        damaged = (
            (ground.root / REGISTER).read_bytes() if (ground.root / REGISTER).is_file() else b""
        )
        outcome, seen = ground.told(ground.run(*self._arguments(before, ground)))
        if outcome in (Outcome.TRACEBACK, Outcome.EXECUTED):
            return outcome, seen
        if self.is_told and outcome is not Outcome.REFUSED:
            return (
                Outcome.LOST,
                "codes of one development lead into another, and nobody is told",
            )
        return self._lost(ground, damaged, led) or (outcome, seen)

    def _arguments(self, before: bytes, ground: Ground) -> tuple[str, ...]:
        code = before.decode().splitlines()[1].split(",")[0]
        return {
            "build": ("build", "--out", str(ground.out), "--date", DAY, "--afresh"),
            "issue": ("stickers", "issue", "--date", DAY),
            "void": ("stickers", "void", code, "--date", DAY),
            "check": ("check", "--date", DAY),
        }[self.act]

    def _lost(
        self, ground: Ground, damaged: bytes, led: Mapping[str, str]
    ) -> tuple[Outcome, str] | None:
        """A code that was published and leads elsewhere now, or a line that the builder took out."""
        now = _where_codes_lead(contents(ground.out))
        for code, where in led.items():
            if now.get(code) != where:
                return (
                    Outcome.LOST,
                    f"the sticker {code} led to {where} and leads to {now.get(code)}",
                )
        after = (ground.root / REGISTER).read_bytes() if (ground.root / REGISTER).is_file() else b""
        if not set(damaged.split(b"\n")) <= set(after.split(b"\n")) and b"\r" not in damaged:
            return Outcome.LOST, "the builder took lines out of a damaged register"
        return None

    def _damage(self, ground: Ground, rng: random.Random) -> None:
        text = ground.before[REGISTER].decode()
        if self.change in ELSEWHERE:
            _move(ground.root / "developments", self.change)
            return
        for name in (SEAL,) if self.change in ("seal gone", "both gone") else ():
            (ground.root / name).unlink(missing_ok=True)
        if self.change in ("gone", "both gone"):
            (ground.root / REGISTER).unlink()
        elif self.change == "seal changed":
            seal = ground.before.get(SEAL, b"").decode()
            ground.write(SEAL, seal.replace(rng.choice(seal or "x"), rng.choice("0179ab\n"), 1))
        elif self.change == "seal of another":
            ground.write(SEAL, ground.before.get(SEAL, b"").decode().replace("lines ", "lines 1"))
        elif self.change != "seal gone":
            ground.write(REGISTER, _changed(text, self.change, rng))


def _move(developments: Path, change: str) -> None:
    """Somebody begins a development with a copy of another, and then tidies up in the wrong folder."""
    first, copy = developments / "riverside", developments / "lakeside"
    shutil.copytree(first, copy)
    if change == "copied beside and gone":
        for name in ("register.csv", "register.seal"):
            (first / name).unlink(missing_ok=True)


def _changed(text: str, change: str, rng: random.Random) -> str | bytes:  # noqa: C901, PLR0911, PLR0912 - one line a change
    head, *lines = text.splitlines()
    at, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    cells = lines[at].split(",")
    match change:
        case "a line lost":
            del lines[at]
        case "the last line lost":
            lines.pop()
        case "lines swapped":
            lines[at], lines[other] = lines[other], lines[at]
        case "a line twice":
            lines.insert(other, lines[at])
        case "codes swapped":
            one, two = lines[at].split(","), lines[other].split(",")
            one[0], two[0] = two[0], one[0]
            lines[at], lines[other] = ",".join(one), ",".join(two)
        case "a letter changed":
            place = rng.randrange(len(lines[at]))
            lines[at] = (
                lines[at][:place]
                + rng.choice("0123456789ABCDEFGHJKMNPQRSTVWXYZ,")
                + lines[at][place + 1 :]
            )
        case "a cell changed":
            cells[rng.randrange(len(cells))] = rng.choice(
                ("01", "02", "stopcock", "", "2026-01-01", "void")
            )
            lines[at] = ",".join(cells)
        case "a cell of harm":
            cells[rng.randrange(len(cells))] = '"' + rng.choice(TEXTS).replace('"', '""') + '"'
            lines[at] = ",".join(cells)
        case "a line added":
            lines.append(
                lines[at].replace(cells[0], rng.choice(("0" * 14, "ATTACK", cells[0][::-1])))
            )
        case "columns moved":
            lines = [",".join(reversed(line.split(","))) for line in lines]
        case "a column lost":
            lines = [line.rpartition(",")[0] for line in lines]
        case "a quote":
            lines[at] = lines[at].replace(",", ',"', 1)
        case "cut off":
            return text[: rng.randrange(len(text))]
        case "header alone":
            lines = []
        case "carriage returns":
            return text.replace("\n", "\r")
        case "utf-16":
            return text.encode("utf-16")
        case "semicolons":
            return text.replace(",", ";")
        case "conflict":
            middle = "\n".join(lines[at:])
            return f"{head}\n<<<<<<< ours\n{middle}\n=======\n{middle}\n>>>>>>> theirs\n"
        case "nul":
            return text.replace(",", "\x00", 1)
        case "spaces":
            return text.replace(",", " , ")
        case "case":
            return text.lower()
    return "\n".join([head, *lines]) + "\n"


def _where_codes_lead(tree: Mapping[str, bytes]) -> dict[str, str]:
    """The guide that each published sticker page leads to, by the sticker's code."""
    found = {}
    for path, content in tree.items():
        folder, _, rest = path.partition("/")
        if folder == "Q" and rest.endswith("/index.html"):
            text = content.decode("utf-8", "replace")
            place = text.find("/g/")
            found[rest.split("/")[0]] = text[place : place + 18] if place >= 0 else "no guide"
    return found


def tries(rng: random.Random, number: int) -> Iterator[RegisterTry]:
    """So many damaged registers; each change with each command in turn."""
    every = [(change, act) for change in CHANGES for act in ACTS]
    for turn in range(number):
        yield RegisterTry(*every[turn % len(every)], rng.randrange(2**32))
