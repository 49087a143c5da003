"""Sends on what was printed for a host that guides have left.

An old host gets ``_redirects``, if it reads such a list, and for all others a small page an address.
Both name every code: they are kept with the private records, and sent to the old host alone.
"""

import re
from collections.abc import Iterator, Mapping
from html import escape
from urllib.parse import urlsplit

from builder.register.lines import Register

LIST_OF_CODES = "_redirects"
_HOST = re.compile(r"[a-z0-9][a-z0-9.:_-]*")
Moves = Mapping[str, str]
"""New addresses by old paths."""


def host_of(former: str) -> str:
    """The host of a former address, as its folder is named; nothing where it names none."""
    host = urlsplit(former).netloc.lower()
    return host if _HOST.fullmatch(host) else ""


def moves_of(register: Register, base_url: str) -> Moves:
    """Where each code leads now: guides, and stickers as printed and as typed."""
    host = base_url.rstrip("/")
    return {path: f"{host}/{path}/" for path in _paths(register)}


def _paths(register: Register) -> Iterator[str]:
    for each in register.codes:
        if each.wanted.leads_to == "guide":
            yield f"g/{each.code}"
        else:
            yield from sticker_paths(each.code)


def files_for(moves: Moves) -> dict[str, str]:
    """What one old host serves: texts by their paths there."""
    lines = "".join(f"/{old} {new} 301\n/{old}/* {new}:splat 301\n" for old, new in moves.items())
    pages = {f"{old}/index.html": page_that_leads_on(new) for old, new in moves.items()}
    return {LIST_OF_CODES: lines, **pages}


def sticker_paths(code: str) -> tuple[str, str]:
    """Where a sticker's page lies: as its symbol says it, and as people type it."""
    return f"Q/{code}", f"q/{code.lower()}"


def page_that_leads_on(address: str) -> str:
    """A page that sends its reader on, with a link for browsers that do not go by themselves."""
    to = escape(address)
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="robots" content="noindex">\n<title>This page has moved</title>\n'
        f'<meta http-equiv="refresh" content="0; url={to}">\n</head>\n<body>\n'
        f'<h1>This page has moved</h1>\n<p><a href="{to}">Go to the new page</a></p>\n'
        "</body>\n</html>\n"
    )
