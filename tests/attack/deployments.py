"""Places to deploy to in every state: taken, full of other things, changed by hand, linked elsewhere."""

import os
import random
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.attack.ground import Ground, contents
from tests.attack.outcomes import Outcome

Spoil = Callable[[Path, random.Random], None]
STRANGE = "notes.txt"


def _some_file(host: Path, rng: random.Random) -> Path:
    return rng.choice(sorted(path for path in host.rglob("*") if path.is_file()))


def _cut(host: Path, rng: random.Random) -> None:
    path = _some_file(host, rng)
    path.write_bytes(path.read_bytes()[: rng.randrange(40)])


def _gone(host: Path, rng: random.Random) -> None:
    _some_file(host, rng).unlink()


def _folder(host: Path, rng: random.Random) -> None:
    path = _some_file(host, rng)
    path.unlink()
    path.mkdir()


def _pipe(host: Path, rng: random.Random) -> None:
    path = _some_file(host, rng)
    path.unlink()
    os.mkfifo(path)


def _linked(host: Path, rng: random.Random) -> None:
    path = _some_file(host, rng)
    path.unlink()
    path.symlink_to(host.parent / "outside.txt")


def _guide_gone(host: Path, rng: random.Random) -> None:
    shutil.rmtree(rng.choice(sorted((host / "g").iterdir())))


def _file_for_folder(host: Path, rng: random.Random) -> None:
    folder = rng.choice(sorted((host / "g").iterdir()))
    shutil.rmtree(folder)
    folder.write_text("a file", encoding="utf-8")


def _all_gone(host: Path, _rng: random.Random) -> None:
    shutil.rmtree(host)


def _file_for_all(host: Path, _rng: random.Random) -> None:
    shutil.rmtree(host)
    host.write_text("a file", encoding="utf-8")


def _link_for_all(host: Path, _rng: random.Random) -> None:
    elsewhere = host.with_name("elsewhere")
    host.rename(elsewhere)
    host.symlink_to(elsewhere)


def _record(text: bytes) -> Spoil:
    def spoil(host: Path, _rng: random.Random) -> None:
        for path in host.rglob("*"):
            if path.is_file() and "deployed" in path.name:
                path.write_bytes(text)

    return spoil


SPOILS: dict[str, Spoil] = {
    "as it was": lambda _host, _rng: None, "a file cut off": _cut, "a file gone": _gone, "a folder for a file": _folder, "a pipe for a file": _pipe,
    "a link for a file": _linked, "a guide gone": _guide_gone, "a file for a folder": _file_for_folder, "nothing there": _all_gone, "a file for all": _file_for_all,
    "a link for all": _link_for_all, "its record empty": _record(b""), "its record nonsense": _record(b"\x00\xff{"), "its record of another": _record(b"{}"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class DeployTry:
    """A deployment to a place that was spoilt after an earlier one."""

    spoilt: str
    dry: bool
    seed: int

    @property
    def name(self) -> str:
        return f"{self.spoilt}{', dry' if self.dry else ''} ({self.seed})"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        host, outside = ground.folder / "host", ground.folder / "outside.txt"
        arguments = ("deploy", str(host), "--from", str(ground.out))
        ground.run(*arguments)
        (host / STRANGE).write_text("somebody else's", encoding="utf-8")
        outside.write_text("outside", encoding="utf-8")
        SPOILS[self.spoilt](host, random.Random(self.seed))
        spoilt = contents(host) if host.is_dir() else {}
        outcome = ground.told(ground.run(*arguments, *(["--dry-run"] if self.dry else [])))
        if outcome[0] in (Outcome.TRACEBACK, Outcome.EXECUTED):
            return outcome
        return self._seen(ground, host, spoilt) or outcome

    def _seen(
        self, ground: Ground, host: Path, spoilt: dict[str, bytes]
    ) -> tuple[Outcome, str] | None:
        """What got lost, or is another afterwards than it says."""
        if (ground.folder / "outside.txt").read_text(encoding="utf-8") != "outside":
            return Outcome.LOST, "a file outside was written through a link"
        now = contents(host) if host.is_dir() else {}
        if STRANGE in spoilt and now.get(STRANGE) != spoilt[STRANGE]:
            return Outcome.LOST, "somebody else's file is gone"
        if self.dry and now != spoilt:
            return Outcome.LOST, "a dry run changed something"
        still = {*now, *(str(above) for name in now for above in Path(name).parents)}
        gone = [name for name in spoilt if name.startswith(("g/", "Q/")) and name not in still]
        return (Outcome.LOST, f"{gone[0]} is gone") if gone else None


def tries(rng: random.Random, number: int) -> Iterator[DeployTry]:
    """So many deployments; every state in turn."""
    every = [(spoilt, dry) for spoilt in SPOILS for dry in (False, False, True)]
    for turn in range(number):
        yield DeployTry(*every[turn % len(every)], rng.randrange(2**32))
