"""Links in every place of a workspace and of its records: nothing private lies where one leads, nothing there is changed."""

import itertools
import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.attack.ground import DAY, Ground, contents
from tests.attack.outcomes import Outcome
from tests.attack.records import PLOT, _whole
from tests.demonstrations import signed

RIVERSIDE = "developments/riverside"
PLACES = (
    ".handover", ".handover/saves", ".handover/register-riverside.lock", "records", f"{RIVERSIDE}/records", f"{RIVERSIDE}/records/02", f"{RIVERSIDE}/records/.gitignore", RIVERSIDE, f"{RIVERSIDE}/plots",
    f"{RIVERSIDE}/plots.csv", f"{RIVERSIDE}/plots/02.yaml", f"{RIVERSIDE}/photos", f"{RIVERSIDE}/register.csv", f"{RIVERSIDE}/.register.csv.new", f"{RIVERSIDE}/register.seal", ".gitignore", "schemas",
    "content/articles", "content/articles/new.md", "content/languages", "housetypes/options", "housetypes/standard.yaml", "mkdocs.yml", "../.public.records", "../.public.records/guides", "../.public.records/.gitignore",
)  # fmt: skip
TARGETS = ("outside", "outside/file.txt", "outside/nowhere", "public", "public/g", "workspace", "itself", "housetypes")  # fmt: skip
ACTS: tuple[tuple[str, ...], ...] = (
    ("check",), ("build", "--out", "OUT", "--afresh"), ("stickers", "issue"), ("record", "EXPORT", PLOT), ("new", "article", "new"), ("new", "plot", "riverside/03"), ("new", "development", "other"),
)  # fmt: skip
PRIVATE = ("demonstration.json", "register.csv", "register.seal", "shared.json", "portfolio.html", "lock")  # fmt: skip


@dataclass(frozen=True, slots=True)
class LinkTry:
    """A link in some place, and a command that writes."""

    place: str
    target: str
    act: tuple[str, ...]

    @property
    def name(self) -> str:
        return f"{self.place} leads to {self.target}, then {' '.join(self.act)}"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        outside, export = ground.folder / "outside", ground.folder / "export.json"
        outside.mkdir()
        (outside / "file.txt").write_text("outside", encoding="utf-8")
        export.write_text(signed(_whole()), encoding="utf-8")
        self._lead(ground)
        before = _standing(outside), _standing(ground.out)
        places = {"OUT": str(ground.out), "EXPORT": str(export)}
        day = [] if self.act[:2] in (("new", "plot"), ("new", "development")) else ["--date", DAY]
        told = ground.told(ground.run(*(places.get(each, each) for each in self.act), *day))
        if told[0] in (Outcome.TRACEBACK, Outcome.EXECUTED):
            return told
        return self._seen(before, outside, ground) or told

    def _lead(self, ground: Ground) -> None:
        link = ground.root / self.place
        ground.write(self.place, "")
        link.unlink()
        to = {"itself": link, "housetypes": ground.root / "housetypes"}
        link.symlink_to(to.get(self.target, ground.folder / self.target))

    def _seen(
        self, before: tuple[dict[str, int], dict[str, int]], outside: Path, ground: Ground
    ) -> tuple[Outcome, str] | None:
        if (outside / "file.txt").read_text(encoding="utf-8") != "outside":
            return Outcome.LOST, "a file outside was written through a link"
        if (now := _standing(outside)) != before[0]:
            return Outcome.LOST, f"what lies outside is another: {sorted(now.items() ^ before[0].items())[0][0]}"  # fmt: skip
        now = _standing(ground.out)
        closed = [name for name, mode in before[1].items() if now.get(name, mode) != mode]
        if closed:
            return Outcome.TORN, f"readers cannot read {closed[0]}"
        for name in now.keys() - before[1].keys():
            if name.endswith(PRIVATE) or "records" in Path(name).parts:
                return Outcome.EXECUTED, f"{name} is private and lies in the published tree"
        return None


def _standing(folder: Path) -> dict[str, int]:
    return {name: (folder / name).stat().st_mode & 0o777 for name in contents(folder)}


def tries(rng: random.Random, number: int) -> Iterator[LinkTry]:
    """So many links: each place with each command and target before any comes again."""
    every = list(itertools.product(PLACES, TARGETS, ACTS))
    rng.shuffle(every)
    for turn in range(number):
        yield LinkTry(*every[turn % len(every)])
