"""The desk itself: what lives from request to request. The files of the workspace are the truth."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from secrets import token_urlsafe
from threading import Lock
from typing import Generic, TypeVar

from builder.board.board import Board, nothing
from builder.board.live import LiveGuides
from builder.desk.accounts import Accounts
from builder.desk.answers import Notice
from builder.desk.asked import Upload
from builder.desk.jobs import Jobs
from builder.desk.kept_work import KeptWork
from builder.desk.pages import compile_all
from builder.desk.sessions import Sessions, Tries
from builder.guide.pages import Guide
from builder.model.home import Home
from builder.saving.saves import Saves

T = TypeVar("T")
NOTICES, TRIALS, UPLOADS = 500, 12, 12
"""How many are kept of what the next page says, of guides on trial, and of files that wait."""
UPLOADED = 200 * 1024 * 1024
"""Bytes of the files that wait, together."""


@dataclass(frozen=True, slots=True)
class Proxy:
    """A proxy that knows who asks: the header in which it says so, and the addresses it calls from."""

    header: str
    addresses: frozenset[str] = frozenset({"127.0.0.1", "::1"})


@dataclass(frozen=True, slots=True)
class Setting:
    """Where a desk works and who may come in.

    ``hosts``: the names, with ports, by which browsers may call it. ``accounts``: the private file of
    accounts, where people sign in, or are named by a ``proxy``. Without, whoever sits at this machine
    chooses a role. ``secure``: browsers reach it by HTTPS. ``destination``: where releases are sent.
    ``today`` and ``now`` read the clock.
    """

    root: Path
    out: Path
    hosts: frozenset[str]
    accounts: Path | None = None
    proxy: Proxy | None = None
    destination: str | None = None
    secure: bool = False
    today: Callable[[], date] = date.today
    now: Callable[[], datetime] = datetime.now


class ByNumber(Generic[T]):
    """Things by their numbers: ``most`` at most, and ``heaviest`` together by ``weight`` where that
    is said. The oldest goes first."""

    def __init__(
        self, most: int, heaviest: int = 0, weight: Callable[[T], int] = lambda _: 0
    ) -> None:
        self._most, self._heaviest, self._weight = most, heaviest, weight
        self._kept: dict[str, T] = {}
        self._lock = Lock()

    def keep(self, thing: T) -> str:
        """The number of a thing."""
        number = token_urlsafe(12)
        with self._lock:
            self._kept[number] = thing
            while len(self._kept) > self._most or self._too_heavy():
                self._kept.pop(next(iter(self._kept)))
        return number

    def _too_heavy(self) -> bool:
        return sum(map(self._weight, self._kept.values())) > self._heaviest

    def of(self, number: str) -> T | None:
        """The thing of a number, if it is still kept."""
        return self._kept.get(number)

    def drop(self, number: str) -> None:
        """Keep a thing no longer that nobody needs any more."""
        with self._lock:
            self._kept.pop(number, None)


class Desk:
    """One running desk over one workspace.

    ``notices``: what the next page says. ``trials``: guides with a text that nobody has saved yet.
    ``uploads``: files that were sent and wait for a word of their sender. ``press``: one paper is set
    at a time. ``settle``: called once most of what is kept from then on is there.
    """

    def __init__(self, setting: Setting, settle: Callable[[], None] = nothing) -> None:
        self.setting = setting
        self._settle = settle
        self.board = Board(setting.root, setting.out, setting.today)
        self.notices: ByNumber[Notice] = ByNumber(NOTICES)
        self.live = LiveGuides(setting.root)
        self.trials: ByNumber[Guide] = ByNumber(TRIALS)
        self.saves = Saves(setting.root)
        self.jobs = Jobs(setting.now, KeptWork(setting.root))
        self.press = Lock()
        self.uploads: ByNumber[Upload] = ByNumber(UPLOADS, UPLOADED, lambda each: len(each.content))
        self.accounts = Accounts(setting.accounts) if setting.accounts else None
        self.sessions, self.tries = Sessions(setting.now), Tries(setting.now)

    def hour(self) -> str:
        """When something is begun, as work in another process is told it: ISO 8601, to the minute."""
        return self.setting.now().isoformat(sep=" ", timespec="minutes")

    def open(self) -> None:
        """Finish a save that was cut off, and begin to look at plots in the background."""
        self.saves.recover()
        self.board.look_on(self._settle)

    def get_ready(self) -> None:
        """Have at hand what the first page of each sort waits for otherwise."""
        self.live.begin(self.board.templates)
        compile_all()
        Home.model_rebuild()  # A home as one record is made late: of a change that makes no home.
        self._settle()

    def close(self) -> None:
        """Stop what runs in the background."""
        self.board.close()
        self.jobs.close()
