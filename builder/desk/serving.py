"""Serves a desk: where, to whom, and without a word of what is asked in any log."""

import socket
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from builder.desk.accounts import accounts_file, read_accounts
from builder.desk.application import application
from builder.desk.desk import Desk
from builder.desk.setting import Proxy, Setting
from builder.errors import UsageError

_LOCAL = ("127.0.0.1", "localhost", "[::1]")


@dataclass(frozen=True, slots=True)
class Call:
    """Where a desk is called: the address that it listens at, and the names that browsers call it by.
    ``team``: people sign in."""

    address: str
    port: int
    names: tuple[str, ...] = ()
    certificate: Path | None = None
    key: Path | None = None
    proxy_header: str | None = None
    team: bool = False

    @property
    def hosts(self) -> frozenset[str]:
        """The names with their ports; behind a proxy, those that were named alone."""
        own = (self.address, *_LOCAL) if self.address != "0.0.0.0" else _LOCAL  # noqa: S104 - compared
        found = {f"{each}:{self.port}" for each in own}
        for each in self.names:
            found |= {each.lower(), each.lower() if ":" in each else f"{each.lower()}:{self.port}"}
        return frozenset(found)


def serve(
    root: Path, out: Path, destination: str | None, call: Call, say: Callable[[str], None]
) -> None:
    """Serve the desk of a workspace until it is stopped.

    Raises:
        UsageError: nothing can be served there, or nobody could sign in.
        HandoverError: the folder is no workspace, or others may read its accounts.
    """
    desk = Desk(_setting(root, out, destination, call))
    desk.board.looking()
    listening = _listening(call)
    way = "https" if call.certificate else "http"
    host = call.names[0] if call.names else f"{call.address}:{listening.getsockname()[1]}"
    say(f"The desk of {root.resolve().name}: {way}://{host}/  Stop with Ctrl+C.")
    configuration = uvicorn.Config(
        application(desk), access_log=False, log_level="warning", server_header=False,
        proxy_headers=False, ssl_certfile=call.certificate, ssl_keyfile=call.key,
        timeout_graceful_shutdown=3, h11_max_incomplete_event_size=64 * 1024,
    )  # fmt: skip
    uvicorn.Server(configuration).run([listening])


def _setting(root: Path, out: Path, destination: str | None, call: Call) -> Setting:
    accounts = accounts_file(root) if call.team else None
    if accounts is not None and not read_accounts(accounts):
        raise UsageError("Nobody could sign in yet. Add an account: handover desk accounts add NAME --role ROLE.")  # fmt: skip
    proxy = Proxy(call.proxy_header) if call.proxy_header and call.team else None
    secure = call.certificate is not None or proxy is not None
    return Setting(root, out, call.hosts, accounts, proxy, destination, secure=secure)


def _listening(call: Call) -> socket.socket:
    try:
        family = socket.AF_INET6 if ":" in call.address else socket.AF_INET
        return socket.create_server((call.address, call.port), family=family)
    except OSError as error:
        raise UsageError(f"Nothing can be served at '{call.address}:{call.port}': {error.strerror}. Name another port: --port NUMBER.") from error  # fmt: skip
