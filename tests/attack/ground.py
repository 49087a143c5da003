"""The ground that tries are made on: a small whole workspace with everything in it, put back each time."""

import faulthandler
import os
import shutil
import signal
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path
from types import FrameType

from click.testing import CliRunner
from PIL import Image

from builder.cli import main
from builder.shipped import shipped
from tests.attack.judging import Judge
from tests.attack.outcomes import Outcome
from tests.conftest import COTTAGE

DAY = "2026-11-26"
LONGEST = 60
"""Seconds of processor time that one command may take: what takes longer does not end."""
WAITED = 300
"""Seconds that one command may take on a machine that has other work: what takes longer waits for something."""
CANARY = "/tmp/handover-attack-canary"
WITHOUT = (("deploy",), ("verify",), ("rules",), ("import",), ("export",), ("update",))
"""Commands that know no workspace."""
DRAWING = "content/drawings/own.svg"
PHOTO = "developments/riverside/photos/stopcock.jpg"
ADDED = {
    "content/documents.yaml": "documents:\n  parking-rules: {name: Parking rules, owed_by: sales, basis: common practice}\n",
    "content/demonstration/own.yaml": "kinds:\n  car-charger: {show: The charger., say: It charges., basis: common practice}\n",
    "stickers/stock.yaml": "stocks: {}\n",
    "content/symptoms/own.yaml": "symptoms:\n  own-drip:\n    title: It drips\n    system: water\n    words: [own, attack]\n    reviewed: 2026-11-01\n    sources:\n      one: {fact: It drips., basis: common practice}\n    steps:\n      first: {do: [Turn it off.]}\n",
    DRAWING: '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 120 92"><title>A valve</title><desc>A valve that is shut.</desc><path d="M6 12H114"/></svg>\n',
}


class HangsError(BaseException):
    """A try that takes longer than it may. Whatever catches what a plot does not foresee lets it pass."""


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command said and how it ended; ``broke``: what it raised that it should have caught."""

    code: int
    output: str
    broke: str = ""


class Ground:
    """One workspace of one process. ``reset`` puts it back as it was."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.root, self.out = folder / "workspace", folder / "public"
        self._base, self._published = folder / "base", folder / "base-public"
        _furnish(self._base)
        shutil.copytree(self._base, self.root)
        self.run("build", "--out", str(self.out), "--date", DAY)
        self.run("stickers", "issue", "--date", DAY)
        built = self.run("build", "--out", str(self.out), "--date", DAY)
        assert built.code == 0, built.output
        shutil.rmtree(self._base)
        shutil.copytree(self.root, self._base)
        shutil.copytree(self.out, self._published)
        shutil.copytree(self._records, self._base_records)
        self.judge = Judge(self.out)

    @property
    def _records(self) -> Path:
        return self.folder / ".public.records"

    @property
    def _base_records(self) -> Path:
        return self.folder / "base-records"

    def reset(self) -> None:
        """The workspace and the published tree as they were before the first try."""
        for left in (self.root, self.out, self._records):
            _clear(left)
        for each in self.folder.iterdir():
            if not each.name.startswith("base"):
                _clear(each)
        shutil.copytree(self._base, self.root)
        shutil.copytree(self._published, self.out, copy_function=os.link)
        shutil.copytree(self._base_records, self._records)
        Path(CANARY).unlink(missing_ok=True)

    @cached_property
    def before(self) -> Mapping[str, bytes]:
        """The files of the workspace as they were."""
        return contents(self._base)

    @cached_property
    def published(self) -> Mapping[str, bytes]:
        """The published files as they were."""
        return contents(self._published)

    @staticmethod
    def shipped(name: str) -> str:
        """A file as it ships."""
        return shipped(name).read_text(encoding="utf-8")

    def write(self, name: str, content: str | bytes) -> None:
        """A file of the workspace."""
        path = self.root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.is_symlink() or path.exists():
            _clear(path)
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass"))  # fmt: skip

    def run(self, *arguments: str) -> Ran:
        """One command in this process, on this workspace."""
        of_workspace = arguments[:1] not in WITHOUT
        place = ["--workspace", str(self.root)] if of_workspace else []
        with limited():
            result = CliRunner().invoke(main, [*arguments, *place])
        broke = result.exception
        if broke is None or isinstance(broke, SystemExit):
            seen = "Traceback" if "Traceback (most recent" in result.output else ""
            return Ran(result.exit_code, result.output, seen)
        return Ran(result.exit_code, result.output, f"{type(broke).__name__}: {broke}"[:300])

    def checked_and_built(self, *, build: bool = True) -> tuple[Outcome, str]:
        """What becomes of the workspace as it stands, by ``check`` and, where that is content, ``build``."""
        ran = self.run("check", "--date", DAY)
        outcome = self.told(ran)
        if outcome[0] is not Outcome.HARMLESS and not (build and outcome[0] is Outcome.REFUSED):
            return outcome
        built = self.told(self.run("build", "--out", str(self.out), "--date", DAY))
        seen = self.judge.executed(self.out) if self.out.is_dir() else ""
        if seen:
            return Outcome.EXECUTED, seen
        return built if built[0] is not Outcome.HARMLESS else outcome

    def told(self, ran: Ran) -> tuple[Outcome, str]:
        """How a command ended, as the outcome of a try."""
        if Path(CANARY).exists():
            return Outcome.EXECUTED, "a command of the attacker's was run"
        if ran.broke:
            return Outcome.TRACEBACK, ran.broke
        return (Outcome.REFUSED if ran.code else Outcome.HARMLESS), ""


def contents(folder: Path) -> dict[str, bytes]:
    """Every file below a folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


@contextmanager
def limited() -> Iterator[None]:
    """Ends what takes too long; what takes far too long ends the process, with all its threads told."""

    def hangs(number: int, _frame: FrameType | None) -> None:
        works = number == signal.SIGPROF
        raise HangsError(f"it works for {LONGEST} s" if works else f"it waits for {WAITED} s")

    before = {each: signal.signal(each, hangs) for each in (signal.SIGALRM, signal.SIGPROF)}
    signal.alarm(WAITED)
    signal.setitimer(signal.ITIMER_PROF, LONGEST)
    faulthandler.dump_traceback_later(2 * WAITED, exit=True)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.alarm(0)
        faulthandler.cancel_dump_traceback_later()
        for each, handler in before.items():
            signal.signal(each, handler)


def _furnish(folder: Path) -> None:
    """The small whole example, with a photograph and a file of every kind."""
    shutil.copytree(COTTAGE, folder)
    for name, text in ADDED.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    photo = folder / PHOTO
    photo.parent.mkdir()
    Image.effect_mandelbrot((120, 90), (-2, -1.5, 1, 1.5), 20).convert("RGB").save(photo)
    standard = folder / "housetypes" / "standard.yaml"
    kinds = standard.read_text(encoding="utf-8").replace("article: water-off, sticker: large}", "article: water-off, sticker: large, drawings: [own]}")  # fmt: skip
    standard.write_text(kinds, encoding="utf-8")
    house = folder / "housetypes" / "cottage.yaml"
    text = house.read_text(encoding="utf-8").replace("make: Tarn}", "make: Tarn, photo: stopcock}")
    house.write_text(text + f"photos:\n  stopcock: {{file: {PHOTO}, shows: The stopcock.}}\n", encoding="utf-8")  # fmt: skip


def _clear(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path, ignore_errors=True)
    elif path.is_symlink() or path.exists():
        path.unlink()


def today() -> date:
    """The day on which all tries are made."""
    return date.fromisoformat(DAY)
