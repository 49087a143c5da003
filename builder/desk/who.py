"""Who asks: whoever sits at this machine, or a person with an account."""

from starlette.requests import Request

from builder.desk.accounts import Account
from builder.desk.asked import Who
from builder.desk.desk import Desk
from builder.desk.rights import ROLES, Role

ROLE, SESSION = "desk-role", "desk-session"
"""The names of the cookies: the role that was chosen, and the session of who signed in."""


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
        name = desk.sessions.name(request.cookies.get(SESSION, ""))
        return desk.accounts.of(name) if name else None
    named = request.headers.getlist(proxy.header)
    trusted = request.client is not None and request.client.host in proxy.addresses
    # Two headers of the name: one of them is not the proxy's.
    return desk.accounts.of(named[0]) if trusted and len(named) == 1 else None
