"""Serves a desk: where, to whom, and without a word of what is asked in any log."""

import gc
import re
import socket
from asyncio import TimerHandle, Transport
from collections.abc import Callable
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path
from threading import Thread

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from builder.desk.accounts import accounts_file, read_accounts
from builder.desk.application import application
from builder.desk.certificate import belong_together
from builder.desk.desk import Desk, Proxy, Setting
from builder.desk.guard import LONGEST_PAUSE
from builder.disk import true_place
from builder.errors import UsageError

_LOCAL = ("127.0.0.1", "localhost", "::1")
EVERY_ADDRESS = ("0.0.0.0", "::")  # noqa: S104 - compared with what was asked for
_WITH_PORT = re.compile(r"(\[.+\]|[^:]+):[0-9]+")


def in_an_address(host: str) -> str:
    """A name or number of a machine as browsers write it: IPv6 in brackets (RFC 3986, section 3.2.2)."""
    try:
        number = ip_address(host.strip("[]"))
    except ValueError:
        return host.lower()
    return f"[{number}]" if number.version == 6 else str(number)  # noqa: PLR2004


@dataclass(frozen=True, slots=True)
class DeskAddress:
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
        own = _LOCAL if self.address in EVERY_ADDRESS else (self.address, *_LOCAL)
        named = {each.lower() if _WITH_PORT.fullmatch(each) else in_an_address(each) for each in self.names}  # fmt: skip
        return frozenset({*named, *map(self._host_with_port, (*own, *self.names))})

    def _host_with_port(self, host: str) -> str:
        return host.lower() if _WITH_PORT.fullmatch(host) else f"{in_an_address(host)}:{self.port}"

    @property
    def home(self) -> str:
        """The address to open. A proxy in front has a port of its own, and serves by HTTPS: cookies of the
        desk go no other way then."""
        way = "https" if self.certificate else "http"
        if self.names and self.proxy_header:
            return f"https://{self.names[0]}/"
        return f"{way}://{self._host_with_port(self.names[0] if self.names else self.address)}/"


class PromptConnection(H11Protocol):
    """A connection that is closed where the head of a request has not arrived ``pause`` seconds after its
    beginning, or nothing at all after it was opened: so that nobody holds all that a machine can keep open."""

    pause = LONGEST_PAUSE
    _patience: TimerHandle | None = None

    def connection_made(self, transport: Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        if self.cycle is not None and not self.cycle.response_complete:
            self._wait_no_longer()
        elif self._patience is None:
            self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        self._wait_no_longer()
        super().connection_lost(exc)

    def _wait(self) -> None:
        self._patience = self.loop.call_later(self.pause, self.transport.close)

    def _wait_no_longer(self) -> None:
        if self._patience is not None:
            self._patience.cancel()
            self._patience = None


def serve(
    root: Path, out: Path, destination: str | None, call: DeskAddress, say: Callable[[str], None]
) -> None:
    """Serve the desk of a workspace until it is stopped.

    Raises:
        UsageError: nothing can be served there, or nobody could sign in.
        HandoverError: the folder is no workspace, or others may read its accounts.
    """
    if call.certificate is not None and call.key is not None:
        belong_together(call.certificate, call.key)
    # What a desk keeps is no garbage: a collector that walked all of it would make pages wait.
    desk = Desk(_setting(root, out, destination, call), settle=gc.freeze)
    desk.board.looking()
    listening = _listening(call)
    Thread(target=desk.get_ready, name="getting ready", daemon=True).start()
    say(f"The desk of {true_place(root).name}: {call.home}  Stop with Ctrl+C.")
    configuration = uvicorn.Config(
        application(desk), http=PromptConnection, ws="none", access_log=False, log_level="error", server_header=False,
        proxy_headers=False, ssl_certfile=call.certificate, ssl_keyfile=call.key,
        timeout_graceful_shutdown=3, h11_max_incomplete_event_size=64 * 1024,
    )  # fmt: skip
    uvicorn.Server(configuration).run([listening])


def _setting(root: Path, out: Path, destination: str | None, call: DeskAddress) -> Setting:
    accounts = accounts_file(root) if call.team else None
    if accounts is not None and not read_accounts(accounts):
        raise UsageError("Nobody could sign in yet. Add an account: handover desk accounts add NAME --role ROLE.")  # fmt: skip
    proxy = Proxy(call.proxy_header) if call.proxy_header and call.team else None
    secure = call.certificate is not None or proxy is not None
    return Setting(root, out, call.hosts, accounts, proxy, destination, secure=secure)


def _listening(call: DeskAddress) -> socket.socket:
    try:
        if ":" not in call.address:
            return socket.create_server((call.address, call.port))
        both = call.address in EVERY_ADDRESS and socket.has_dualstack_ipv6()
        return socket.create_server((call.address, call.port), family=socket.AF_INET6, dualstack_ipv6=both)  # fmt: skip
    except OSError as error:
        raise UsageError(f"Nothing can be served at '{in_an_address(call.address)}:{call.port}': {error.strerror}. Name another port: --port NUMBER.") from error  # fmt: skip
