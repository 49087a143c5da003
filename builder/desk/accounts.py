"""Accounts of a desk that serves a team: names, roles and what each may do, and digests of passwords.

A right is asked for by the route that needs it. Accounts are kept in a private file: passwords as
argon2id digests (RFC 9106), by the library's own recommended cost; it is its owner's alone, and refused
where others may read it.
"""

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, Literal, get_args

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from builder.disk import left_out_of_git, private_folder, save
from builder.errors import HandoverError, UsageError, suggestion
from builder.sources.kept_files import Stamp, stamp_of

Role = Literal["technical", "site", "sales", "customer-care", "editor"]
ROLES: tuple[Role, ...] = get_args(Role)

Right = Literal[
    "look", "publish", "release", "options", "departures", "dates", "record", "photographs",
    "import", "articles", "house-types", "stickers", "undo",
]  # fmt: skip

RIGHTS: Mapping[Right, tuple[Role, ...]] = {
    "look": ROLES,
    "publish": ("technical", "sales", "customer-care"),
    "release": ("technical", "sales", "customer-care"),
    "options": ("technical", "sales"),
    "departures": ("technical", "site"),
    "dates": ("technical", "sales", "customer-care"),
    "record": ("technical", "site", "sales", "customer-care"),
    "photographs": ("technical", "site", "editor"),
    "import": ("technical", "sales"),
    "articles": ("technical", "editor"),
    "house-types": ("technical",),
    "stickers": ("technical", "site", "customer-care"),
    "undo": ("technical", "site", "sales", "customer-care", "editor"),
}
"""Who may do what. An editor publishes no plot; sales change no house type and no rule."""
FOLDER: Final = ".handover"
"""Where the builder keeps what is private in a workspace, and left out of git."""
FILE: Final = "accounts.json"
SHORTEST: Final = 12
"""Characters of a password."""
LONGEST: Final = 256
_FORM: Final = "handover-desk-accounts"
_NAME: Final = re.compile(r"[a-z0-9]+([.@_-][a-z0-9]+)*")
_LONGEST_NAME: Final = 64
_OTHERS: Final = 0o077
_HASHER: Final = PasswordHasher()
_NOBODYS: Final = _HASHER.hash("nobody has this password")
"""A digest to check against where there is no account, so that both take the same time."""


def may(role: str, right: Right) -> bool:
    """Whether a role has a right."""
    return role in RIGHTS[right]


def spoken(role: str) -> str:
    """A role as people say it."""
    return role.replace("-", " ")


@dataclass(frozen=True, slots=True)
class Account:
    """One person: a name to sign in by, and roles. ``digest`` is none where a proxy knows who they are."""

    name: str
    roles: tuple[Role, ...]
    digest: str | None = field(default=None, repr=False)


def accounts_file(root: Path) -> Path:
    """Where the accounts of a workspace's desk are kept."""
    return root / FOLDER / FILE


def read_accounts(path: Path) -> Mapping[str, Account]:
    """All accounts by name; none where there is no file yet.

    Raises:
        HandoverError: others may read the file, or it cannot be read.
    """
    if not path.exists():
        return {}
    if path.stat().st_mode & _OTHERS:
        raise HandoverError(f"Others may read '{path}'. Take it from them: chmod 600 '{path}'.")
    try:
        return _accounts(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise HandoverError(f"'{path}' is no file of accounts. Take it away and add them again: handover desk accounts add NAME --role ROLE.") from error  # fmt: skip


def _accounts(told: Mapping[str, Any]) -> Mapping[str, Account]:
    if told["form"] != _FORM:
        raise ValueError(told["form"])
    return {name: _account(name, each) for name, each in told["accounts"].items()}


def _account(name: str, told: Mapping[str, Any]) -> Account:
    roles = tuple(each for each in ROLES if each in told["roles"])
    digest = told.get("password")
    return Account(str(name), roles, str(digest) if digest else None)


def write_accounts(path: Path, accounts: Mapping[str, Account]) -> None:
    """Keep accounts, for their owner alone."""
    told = {
        each.name: {"roles": list(each.roles), "password": each.digest}
        for each in accounts.values()
    }
    text = json.dumps({"form": _FORM, "version": 1, "accounts": told}, indent=2, sort_keys=True)
    try:
        left_out_of_git(private_folder(path.parent))
    except OSError as error:
        raise HandoverError(f"'{path.parent}' cannot be written: {error.strerror}.") from error
    save(path, f"{text}\n".encode(), private=True)


def new_account(name: str, roles: tuple[str, ...], password: str | None) -> Account:
    """An account with a password, or without one for a desk behind a proxy that knows who asks.

    Raises:
        UsageError: the name, a role or the password cannot be used.
    """
    if not _NAME.fullmatch(name) or len(name) > _LONGEST_NAME:
        raise UsageError(f"'{name}' cannot be a name here. Use lower-case letters and digits, joined by one of . _ - @.")  # fmt: skip
    for each in roles:
        if each not in ROLES:
            raise UsageError(f"There is no role '{each}'. {suggestion(each, ROLES, 'Roles are')}")
    if password is not None and not SHORTEST <= len(password) <= LONGEST:
        raise UsageError(f"A password has {SHORTEST} to {LONGEST} characters; three or four words will do.")  # fmt: skip
    own = tuple(each for each in ROLES if each in roles)
    return Account(name, own, _HASHER.hash(password) if password is not None else None)


def is_password(account: Account | None, password: str) -> bool:
    """Whether a password is that of an account. It takes as long where there is no account."""
    digest = account.digest if account is not None and account.digest else _NOBODYS
    try:
        right = _HASHER.verify(digest, password[:LONGEST])
    except (VerificationError, InvalidHashError):
        return False
    return right and account is not None and account.digest is not None


class Accounts:
    """The accounts of a file as it is now: one that is taken away is out at once."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._stamp: Stamp | None = None
        self._known: Mapping[str, Account] = {}

    def of(self, name: str) -> Account | None:
        """The account of a name."""
        stamp = stamp_of(self.path)
        if stamp is None or stamp != self._stamp:
            self._known, self._stamp = read_accounts(self.path), stamp
        return self._known.get(name)
