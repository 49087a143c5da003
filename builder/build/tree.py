"""What static hosts read of a published tree: how to serve it, and what is not there."""

import os
import re
import shutil
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

_HASH = re.compile(r"sha256-[A-Za-z0-9+/=]+")
_ROBOTS = "User-agent: *\nDisallow: /\n"


def write_whole(path: Path, text: str, beside_it: Path) -> None:
    """Write a small file so that a reader sees the old one or the new one, never half of one."""
    draft = beside_it / path.name
    draft.write_text(text, encoding="utf-8", newline="\n")
    draft.replace(path)


def linked(finished: Path, place: Path | str) -> None:
    """The same file in another place, stored once where the file system allows."""
    try:
        os.link(finished, place)
    except OSError:
        shutil.copyfile(finished, place)


def cleared(folder: str | Path) -> None:
    """Take away a folder of ours with all that is in it; what cannot be taken away stays. Of hundreds of
    small folders in half the time of ``shutil.rmtree``, which watches for folders that others exchange."""
    with suppress(OSError):
        with os.scandir(folder) as found:
            inside = list(found)
        for each in inside:
            if each.is_dir(follow_symlinks=False):
                cleared(each.path)
            else:
                os.unlink(each)
        os.rmdir(folder)


@dataclass(frozen=True, slots=True)
class Policies:
    """The hashes that policies name: of scripts in guides, and of style sheets in sticker pages."""

    scripts: frozenset[str] = frozenset()
    styles: frozenset[str] = frozenset()

    def also(self, other: "Policies") -> "Policies":
        return Policies(self.scripts | other.scripts, self.styles | other.styles)


def policies_in(text: str) -> Policies:
    """The hashes that a written headers file names."""
    named = {
        directive: frozenset(_HASH.findall(" ".join(re.findall(rf"{directive} ([^;]*)", text))))
        for directive in ("script-src", "style-src")
    }
    return Policies(named["script-src"], named["style-src"])


def headers(policies: Policies) -> str:
    """What a static host sends with every page: a strict policy, and not to be indexed.

    In a guide only its own scripts run, and the theme's few inline ones by their hashes. A sticker
    page runs nothing, and asks for nothing but photographs of its guide, once they are scrolled to.
    """
    sections = (
        ("/*", _EVERYWHERE),
        ("/assets/*", (_FOR_GOOD,)),
        ("/g/*", (f"Content-Security-Policy: {_guide_policy(policies.scripts)}",)),
        ("/Q/*", (f"Content-Security-Policy: {_sticker_policy(policies.styles)}",)),
        ("/q/*", (f"Content-Security-Policy: {_sticker_policy(policies.styles)}",)),
    )
    return "".join(
        f"{path}\n" + "".join(f"  {line}\n" for line in lines) for path, lines in sections
    )


_FOR_GOOD = "Cache-Control: public, max-age=31536000, immutable"
"""The theme's files lie by what they hold: under one address they never change."""

_EVERYWHERE = (
    "Referrer-Policy: no-referrer",
    "X-Content-Type-Options: nosniff",
    "X-Robots-Tag: noindex, nofollow",
)


def _guide_policy(script_hashes: Iterable[str]) -> str:
    return "; ".join(
        (
            "default-src 'none'",
            f"script-src 'self' {_quoted(script_hashes)}".rstrip(),
            "style-src 'self'",
            "img-src 'self' data:",
            "connect-src 'self'",
            "worker-src 'self'",
            "manifest-src 'self'",
            "base-uri 'none'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        )
    )


def _sticker_policy(style_hashes: Iterable[str]) -> str:
    return "; ".join(
        (
            "default-src 'none'",
            f"style-src {_quoted(style_hashes) or _NOTHING}",
            "img-src 'self' data:",
            "base-uri 'none'",
            "form-action 'none'",
            "frame-ancestors 'none'",
        )
    )


_NOTHING = "'none'"


def _quoted(hashes: Iterable[str]) -> str:
    return " ".join(f"'{each}'" for each in sorted(hashes))


def missing_page() -> str:
    """What a host shows for an address that is not there."""
    advice = "Check the address, letter by letter, or scan the sticker again."
    return page_of_nothing("This page is not here", advice)


def page_of_nothing(title: str, advice: str) -> str:
    """A page where nothing is: what it says, what to do, and whom to call in danger."""
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta name="robots" content="noindex">\n<title>{title}</title>\n'
        f"</head>\n<body>\n<h1>{title}</h1>\n<p>{advice}</p>\n"
        '<p>If anyone is in danger, call <a href="tel:999">999</a>.</p>\n</body>\n</html>\n'
    )


def robots() -> str:
    return _ROBOTS
