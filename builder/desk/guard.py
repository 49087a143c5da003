"""The one gate that every request passes: who may call, from where, how much may be sent, and what a
browser may do with the answer.

- ``Host`` is one of the names of this desk, so that no other site can point its own name here.
- A request that changes something comes from a page of this desk: by ``Sec-Fetch-Site``, and by
  ``Origin`` where a browser does not send that. One that says neither is refused.
- Nothing of another site may load or frame anything of this one.
- Whoever begins to send something goes on with it, or makes room for others.
"""

import asyncio
from collections.abc import Mapping
from contextlib import suppress
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST_BODY = 64 * 1024 * 1024
"""Bytes of a request: a spreadsheet of 10,000 plots, or a dozen photographs of a telephone."""
LONGEST_PAUSE = 30.0
"""Seconds between two pieces of what is sent: a telephone in a cellar may lose its signal for a while."""
SAFE = frozenset({"GET", "HEAD"})
METHODS = SAFE | {"POST"}
_OWN, _ADDRESS_BAR = "same-origin", "none"

POLICY = "; ".join((
    "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' data: blob:",
    "font-src 'self'", "connect-src 'self'", "media-src 'self' blob:", "frame-src 'self'",
    "manifest-src 'self'", "worker-src 'self'", "form-action 'self'", "base-uri 'none'",
    "frame-ancestors 'none'",
))  # fmt: skip
"""What a page of the desk may do: run its one script, and load what is its own."""

HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=()",
    "Cache-Control": "no-store",
}


class Guard:
    """Stands before the application. ``hosts``: the names by which it may be called, with ports.
    ``largest``: bytes of a request; ``pause``: seconds that whoever sends one may rest."""

    def __init__(
        self,
        application: ASGIApp,
        hosts: frozenset[str],
        largest: int = LARGEST_BODY,
        pause: float = LONGEST_PAUSE,
    ) -> None:
        self._application, self._hosts = application, hosts
        self._largest, self._pause = largest, pause

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self._application(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        refusal = self._refusal(scope["method"], scope["path"], Headers(scope=scope))
        if refusal is not None:
            status, why = refusal
            await PlainTextResponse(why, status)(scope, receive, _with_headers(send))
            return
        # Whatever goes wrong is answered by the application; what was sent stays out of every log.
        with suppress(Exception):
            await self._application(scope, self._within_size(receive), _with_headers(send))

    def _refusal(self, method: str, path: str, headers: Headers) -> tuple[int, str] | None:
        """Why a request is not let in, and the number that says so."""
        if headers.getlist("host") != [headers.get("host")] or headers["host"].lower() not in self._hosts:  # fmt: skip
            return 421, "This desk is not called by that name."
        if method not in METHODS:
            return 405, "The desk reads and takes forms, and nothing else."
        if not self._from_here(method, path, headers):
            return 403, "This did not come from a page of the desk. Open the desk and do it there."
        if "transfer-encoding" in headers and "content-length" in headers:
            return (
                400,
                "This says its length twice.",
            )  # what stands between may read another request
        length = headers.get("content-length", "0")
        if not (length.isascii() and length.isdecimal()) or int(length) > self._largest:
            return 413, self._too_large
        return None

    @property
    def _too_large(self) -> str:
        return f"At most {self._largest // (1024 * 1024)} MB are taken at once."

    def _from_here(self, method: str, path: str, headers: Headers) -> bool:
        site, origin = headers.get("sec-fetch-site"), headers.get("origin")
        if method in SAFE:
            # Whoever follows a link to the desk may come; nothing of it is loaded into another page.
            opened = headers.get("sec-fetch-mode") == "navigate" and headers.get("sec-fetch-dest") == "document"  # fmt: skip
            return site in (None, _OWN, _ADDRESS_BAR) or opened
        if origin is not None and urlsplit(origin).netloc.lower() != headers["host"].lower():
            return False
        return site == _OWN if site is not None else origin is not None

    def _within_size(self, receive: Receive) -> Receive:
        taken, whole = 0, False

        async def counted() -> Message:
            nonlocal taken, whole
            # What comes after a whole request is that its browser went away, whenever it does.
            message = await (receive() if whole else self._soon(receive))
            taken += len(message.get("body", b""))
            whole = whole or not message.get("more_body", False)
            if taken > self._largest:
                raise HTTPException(413, self._too_large)
            return message

        return counted

    async def _soon(self, receive: Receive) -> Message:
        try:
            return await asyncio.wait_for(receive(), self._pause)
        except TimeoutError as error:
            raise HTTPException(408, "What you sent did not arrive. Nothing was changed. Send it again.") from error  # fmt: skip


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return sent
