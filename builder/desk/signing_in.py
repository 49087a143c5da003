"""Signing in and out, and the choice of a role. None of it is a room: it needs no right."""

from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

import anyio
from anyio import to_thread
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from builder.desk.accounts import ROLES, Account, Role, is_password
from builder.desk.answers import Answer, PageAnswer
from builder.desk.asked import Who
from builder.desk.desk import Desk

Shown = Callable[[Desk, Request, Who | None, Answer], Response]
_YEAR = 365 * 24 * 3600
SIGN_IN = "/sign-in"
_WRONG = "The name or the password is not right."
ROLE, SESSION = "desk-role", "desk-session"
"""The names of the cookies: the role that was chosen, and the session of who signed in."""


def routes(desk: Desk, shown: Shown) -> list[Route]:
    """The pages of signing in, and the forms of it."""

    door = anyio.CapacityLimiter(1)
    """One password is looked at at a time, because each takes 64 MB. Whoever waits takes no thread that a
    page of somebody else needs."""

    async def page(request: Request) -> Response:
        return shown(
            desk, request, None, _page(desk, _own_path(request.query_params.get("to", "/")))
        )

    async def sign_in(request: Request) -> Response:
        form = await request.form(max_files=0, max_fields=10, max_part_size=4096)
        name, password = str(form.get("name", "")).strip(), str(form.get("password", ""))
        to = _own_path(str(form.get("to", "/")))
        token, wrong = await to_thread.run_sync(_signed_in, desk, name, password, limiter=door)
        if token is None:
            return shown(desk, request, None, _page(desk, to, wrong, name))
        # Whatever this browser was signed in by before is over.
        desk.sessions.end(request.cookies.get(SESSION, ""))
        answer = RedirectResponse(to, 303)
        _keep(answer, desk, SESSION, token, None)
        return answer

    async def sign_out(request: Request) -> Response:
        desk.sessions.end(request.cookies.get(SESSION, ""))
        answer = RedirectResponse(SIGN_IN, 303)
        answer.delete_cookie(SESSION)
        return answer

    async def role(request: Request) -> Response:
        form = await request.form(max_files=0, max_fields=10, max_part_size=4096)
        who, chosen = await run_in_threadpool(who_asks, desk, request), str(form.get("role", ""))
        answer = RedirectResponse(_own_path(str(form.get("back", "/"))), 303)
        if who is not None and chosen in who.roles:
            _keep(answer, desk, ROLE, chosen, _YEAR)
        return answer

    return [
        Route(SIGN_IN, page, methods=["GET"]),
        Route(SIGN_IN, sign_in, methods=["POST"]),
        Route("/sign-out", sign_out, methods=["POST"]),
        Route("/role", role, methods=["POST"]),
    ]


def _signed_in(desk: Desk, name: str, password: str) -> tuple[str | None, str]:
    """The token of a session, or nothing and what is wrong."""
    if desk.accounts is None or desk.setting.proxy is not None:
        return None, "Nobody signs in at this desk."
    until = desk.tries.begin(name)
    if until is not None:
        return None, f"There were too many tries for this name. Try again after {until:%H:%M}."
    account = desk.accounts.of(name)
    if not is_password(account, password) or account is None:
        return None, _WRONG
    desk.tries.forget(name)
    return desk.sessions.begin(account), ""


def _page(desk: Desk, to: str, wrong: str = "", name: str = "") -> PageAnswer:
    """The page to sign in on. ``to``: the path that is gone to then."""
    by_proxy = desk.setting.proxy is not None
    values: dict[str, Any] = {
        "wrong": wrong,
        "name": name,
        "to": to,
        "by_proxy": by_proxy,
        "open": desk.accounts is None,
    }
    return PageAnswer("sign_in.html", "Sign in", "", values, 401 if wrong else 200)


def way_in(request: Request) -> str:
    """The way to sign in, and from there to the page that was asked for."""
    url = request.url
    asked = f"{url.path}?{url.query}" if url.query else url.path
    return SIGN_IN if asked == "/" else f"{SIGN_IN}?{urlencode({'to': asked})}"


def _own_path(path: str) -> str:
    """A path of this desk, and of no other host."""
    plain = path.startswith("/") and not path.startswith(("//", "/\\"))
    return path if plain and path.isprintable() and "\\" not in path else "/"


def _keep(answer: Response, desk: Desk, name: str, value: str, age: int | None) -> None:
    answer.set_cookie(
        name, value, max_age=age, httponly=True, samesite="strict", secure=desk.setting.secure
    )


def who_asks(desk: Desk, request: Request) -> Who | None:
    """Who asks; nothing where they have to sign in first."""
    chosen = request.cookies.get(ROLE, "")
    if desk.accounts is None:
        return Who(_role(chosen, ROLES), roles=ROLES)
    account = _account(desk, request)
    if account is None or not account.roles:
        return None
    return Who(_role(chosen, account.roles), account.name, account.roles)


def _role(chosen: str, roles: tuple[Role, ...]) -> Role:
    return next((each for each in roles if each == chosen), roles[0])


def _account(desk: Desk, request: Request) -> Account | None:
    proxy = desk.setting.proxy
    if desk.accounts is None:
        return None
    if proxy is None:
        signed_in = desk.sessions.of(request.cookies.get(SESSION, ""))
        account = desk.accounts.of(signed_in.name) if signed_in else None
        same = account is not None and signed_in is not None and account.digest == signed_in.digest
        return account if same else None
    named = request.headers.getlist(proxy.header)
    trusted = request.client is not None and request.client.host in proxy.addresses
    # Two headers of the name: one of them is not the proxy's.
    return desk.accounts.of(named[0]) if trusted and len(named) == 1 else None
