"""How a desk was started."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path


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
