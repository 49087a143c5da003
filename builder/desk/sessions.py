"""Who has signed in, for how long; and who has tried too often."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from secrets import token_urlsafe
from threading import Lock
from typing import Final

from builder.desk.accounts import Account
from builder.digests import digest_of

IDLE: Final = timedelta(hours=2)
LONGEST: Final = timedelta(hours=12)
TRIES: Final = 5
"""Wrong passwords for one name before it is locked."""
LOCKED: Final = timedelta(minutes=15)
_MOST: Final = 10_000
"""Names of which tries are counted, so that made-up names fill no memory."""


@dataclass(frozen=True, slots=True)
class Session:
    """One browser that signed in: by which account, since when, and when it asked last."""

    account: Account
    since: datetime
    seen: datetime


class Sessions:
    """The sessions of one running desk, by digests of their tokens. They end with it."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self._now = now
        self._open: dict[str, Session] = {}
        self._lock = Lock()

    def begin(self, account: Account) -> str:
        """The token of a new session."""
        token, now = token_urlsafe(32), self._now()
        with self._lock:
            self._open = {key: each for key, each in self._open.items() if _lasts(each, now)}
            self._open[digest_of(token.encode())] = Session(account, now, now)
        return token

    def of(self, token: str) -> Account | None:
        """The account that signed in, as it was then, if the session of a token has not ended."""
        key, now = digest_of(token.encode()), self._now()
        with self._lock:
            found = self._open.get(key)
            if found is None or not _lasts(found, now):
                self._open.pop(key, None)
                return None
            self._open[key] = replace(found, seen=now)
            return found.account

    def end(self, token: str) -> None:
        """Sign out."""
        with self._lock:
            self._open.pop(digest_of(token.encode()), None)


class Tries:
    """Wrong passwords by name, known or not: after some of them a name is locked for a while."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self._now = now
        self._wrong: dict[str, list[datetime]] = {}
        self._lock = Lock()

    def begin(self, name: str) -> datetime | None:
        """Count a try before its password is looked at, so that many at once are no more than that; or until
        when the name is locked."""
        now = self._now()
        with self._lock:
            recent = [each for each in self._wrong.pop(name, []) if each > now - LOCKED]
            locked = len(recent) >= TRIES
            self._wrong[name] = recent if locked else [*recent, now]
            while len(self._wrong) > _MOST:
                self._wrong.pop(next(iter(self._wrong)))
        return recent[-1] + LOCKED if locked else None

    def forget(self, name: str) -> None:
        """Forget the wrong tries of a name whose right password was given."""
        with self._lock:
            self._wrong.pop(name, None)


def _lasts(session: Session, now: datetime) -> bool:
    return now < session.seen + IDLE and now < session.since + LONGEST
