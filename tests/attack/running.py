"""Makes the tries of all groups, on several processes, and tells what became of each."""

import os
import random
import resource
import tempfile
import traceback
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor, as_completed
from contextlib import suppress
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Protocol

from tests.attack import (
    articles,
    commands,
    deployments,
    fields,
    forms,
    importers,
    kills,
    links,
    looks,
    pictures,
    records,
    registers,
)
from tests.attack.ground import Ground, HangsError
from tests.attack.outcomes import Outcome, Told

PARTS = 16
"""Parts that each process has its share in, one after the other, each on new ground."""
MEMORY = 6 * 1024**3
"""Bytes of address space of each process: what takes more breaks off, and the machine does not."""
SHARES: Mapping[str, int] = {
    "fields": 5_600, "forms": 1_500, "articles": 1_400, "pictures": 400, "registers": 400, "records": 400, "commands": 400, "kills": 150, "deployments": 100,
    "looks": 500, "importers": 400, "links": 400,
}  # fmt: skip
"""Tries of each group in the long form."""
MAKERS: Mapping[str, "Maker"] = {
    "fields": fields.tries, "forms": forms.tries, "articles": articles.tries, "pictures": pictures.tries, "registers": registers.tries,
    "records": records.tries, "commands": commands.tries, "kills": kills.tries, "deployments": deployments.tries,
    "looks": looks.tries, "importers": importers.tries,
    "links": links.tries,
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


Named = tuple[str, Try]
"""A try, and the group that it is of."""
Share = list[Named]


def every_try(wanted: Mapping[str, int], seed: int) -> list[Named]:
    """So many tries of each group."""
    return [
        (group, each) for group, number in wanted.items() for each in tries_of(group, number, seed)
    ]


def attack(
    every: Share, processes: int, done: Callable[[Told], None] = lambda _: None
) -> list[Told]:
    """Makes tries. ``done`` hears of each at once.

    A try that ends its process, or never ends, is told as one that broke, and the rest goes on.
    """
    parts = processes * max(1, min(PARTS, len(every) // (processes * 300)))
    shares = [every[part::parts] for part in range(parts)]
    told: list[Told] = []
    with ThreadPoolExecutor(processes) as pool:
        for found in as_completed([pool.submit(_share, share, done) for share in shares]):
            told += found.result()
    order = {group: at for at, group in enumerate(dict.fromkeys(group for group, _ in every))}
    return sorted(told, key=lambda each: order[each.group])


def _share(share: Share, done: Callable[[Told], None]) -> list[Told]:
    """All tries of a share, in one process after the other where one ends before its time."""
    told: list[Told] = []
    while len(told) < len(share):
        for each in _in_a_process(share[len(told) :]):
            told.append(each)
            done(each)
    return told


def _in_a_process(share: Share) -> Iterator[Told]:
    """What became of the tries, to the one in which the process ended."""
    context = get_context("fork")
    hearing, telling = context.Pipe(duplex=False)
    left, ready = iter(share), False
    with tempfile.TemporaryDirectory(prefix="attack-", ignore_cleanup_errors=True) as folder:
        process = context.Process(target=_make_all, args=(share, Path(folder), telling))
        process.start()
        telling.close()
        with suppress(EOFError):
            hearing.recv()  # the ground is made
            ready = True
            while True:
                yield hearing.recv()
                next(left)
        process.join()
    assert ready, "the ground cannot be made"
    broken = next(left, None)
    if broken is not None:
        seen = f"its process ended with {process.exitcode}"
        yield Told(broken[0], broken[1].name, Outcome.TRACEBACK, seen)


def _make_all(share: Share, folder: Path, telling: Connection) -> None:
    """Every try of a share, on one ground."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    os.chdir(folder)
    ground = Ground(folder / "ground")
    telling.send(None)
    for group, each in share:
        telling.send(_made(group, each, ground))


def _made(group: str, each: Try, ground: Ground) -> Told:
    ground.reset()
    try:
        outcome, seen = each.make(ground)
    except (Exception, HangsError) as error:
        last = traceback.extract_tb(error.__traceback__)[-1]
        outcome, seen = (
            Outcome.TRACEBACK,
            f"{type(error).__name__}: {error} ({last.filename}:{last.lineno})",
        )
    return Told(group, each.name, outcome, seen)
