"""Makes the tries of all groups, on several processes, and tells what became of each."""

import os
import random
import resource
import shutil
import tempfile
import traceback
from collections.abc import Callable, Collection, Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from pathlib import Path
from typing import Protocol

from tests.attack import (
    articles,
    commands,
    deployments,
    fields,
    forms,
    kills,
    pictures,
    records,
    registers,
)
from tests.attack.ground import Ground
from tests.attack.outcomes import Outcome, Told

PARTS = 16
"""Parts that each process has its share in, one after the other, each on new ground."""
MEMORY = 6 * 1024**3
"""Bytes of address space of each process: what takes more breaks off, and the machine does not."""
SHARES: Mapping[str, int] = {
    "fields": 5_600, "forms": 1_500, "articles": 1_400, "pictures": 400, "registers": 400, "records": 400, "commands": 400, "kills": 150, "deployments": 100,
}  # fmt: skip
"""Tries of each group in the long form."""
MAKERS: Mapping[str, "Maker"] = {
    "fields": fields.tries, "forms": forms.tries, "articles": articles.tries, "pictures": pictures.tries, "registers": registers.tries,
    "records": records.tries, "commands": commands.tries, "kills": kills.tries, "deployments": deployments.tries,
}  # fmt: skip


class Try(Protocol):
    """One try: what it is called, and how it is made on a workspace."""

    @property
    def name(self) -> str: ...

    def make(self, ground: Ground) -> tuple[Outcome, str]: ...


Maker = Callable[[random.Random, int], Iterator[Try]]


def tries_of(group: str, number: int, seed: int) -> list[Try]:
    """The tries of a group: the same for the same seed and number."""
    return list(MAKERS[group](random.Random(f"{seed} {group}"), number))


Named = tuple[str, str]
"""A try by its group and name."""


def attack(
    wanted: Mapping[str, int],
    seed: int,
    processes: int,
    done: Callable[[Told], None] = lambda _: None,
    only: Collection[Named] | None = None,
) -> list[Told]:
    """Makes so many tries of each group, or ``only`` some of them. ``done`` hears of each."""
    told: list[Told] = []
    parts = processes * max(1, min(PARTS, sum(wanted.values()) // (processes * 300)))
    with ProcessPoolExecutor(processes, get_context("fork")) as pool:
        shares = [pool.submit(_share, wanted, seed, part, parts, only) for part in range(parts)]
        for share in as_completed(shares):
            for each in share.result():
                told.append(each)
                done(each)
    order = {group: at for at, group in enumerate(wanted)}
    return sorted(told, key=lambda each: order[each.group])


def _share(
    wanted: Mapping[str, int], seed: int, part: int, parts: int, only: Collection[Named] | None
) -> list[Told]:
    """Every so manieth try of each group, on one ground."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    folder = Path(tempfile.mkdtemp(prefix="attack-"))
    here = Path.cwd()
    try:
        ground = Ground(folder / "ground")
        os.chdir(folder)
        return [
            _made(group, each, ground)
            for group, number in wanted.items()
            for each in tries_of(group, number, seed)[part::parts]
            if only is None or (group, each.name) in only
        ]
    finally:
        os.chdir(here)
        shutil.rmtree(folder, ignore_errors=True)


def _made(group: str, each: Try, ground: Ground) -> Told:
    ground.reset()
    try:
        outcome, seen = each.make(ground)
    except Exception as error:
        last = traceback.extract_tb(error.__traceback__)[-1]
        outcome, seen = (
            Outcome.TRACEBACK,
            f"{type(error).__name__}: {error} ({last.filename}:{last.lineno})",
        )
    return Told(group, each.name, outcome, seen)
