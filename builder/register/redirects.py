"""Sends on what was printed for a host that guides have left: one folder for each old host.

Each holds ``_redirects`` for hosts that read it, and for all others a small page an address.
"""

from collections.abc import Iterable
from html import escape
from urllib.parse import urlsplit

from builder.register.lines import Register


def redirect_files(register: Register, former: str, base_url: str) -> dict[str, str]:
    """The files of one old host, by their paths from the published tree."""
    folder = f"redirects/{urlsplit(former).netloc}"
    moves = list(_moves(register, base_url.rstrip("/")))
    lines = "".join(f"/{old} {new} 301\n/{old}/* {new}:splat 301\n" for old, new in moves)
    pages = {f"{folder}/{old}/index.html": _page(new) for old, new in moves}
    return {f"{folder}/_redirects": lines, **pages}


def _moves(register: Register, host: str) -> Iterable[tuple[str, str]]:
    """Each old path and its new address: guides, and stickers as printed and as typed."""
    for each in register.codes:
        if each.wanted.leads_to == "guide":
            yield f"g/{each.code}", f"{host}/g/{each.code}/"
        else:
            for path in sticker_paths(each.code):
                yield path, f"{host}/{path}/"


def sticker_paths(code: str) -> tuple[str, str]:
    """Where a sticker's page lies: as its symbol says it, and as people type it."""
    return f"Q/{code}", f"q/{code.lower()}"


def _page(address: str) -> str:
    to = escape(address)
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="robots" content="noindex">\n<title>This page has moved</title>\n'
        f'<meta http-equiv="refresh" content="0; url={to}">\n</head>\n<body>\n'
        f'<h1>This page has moved</h1>\n<p><a href="{to}">Go to the new page</a></p>\n'
        "</body>\n</html>\n"
    )
