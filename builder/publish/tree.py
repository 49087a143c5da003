"""The published tree: finished guides are swapped in whole, and hosts are told how to serve them."""

import shutil
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import mkdtemp

from builder.errors import HandoverError

_ROBOTS = "User-agent: *\nDisallow: /\n"


@contextmanager
def beside(out: Path) -> Iterator[Path]:
    """A folder to build in, on the same disk as the published tree, gone afterwards."""
    try:
        out.mkdir(parents=True, exist_ok=True)
        folder = Path(mkdtemp(prefix=".building-", dir=out))
    except OSError as error:
        raise HandoverError(f"'{out}' cannot be written: {error.strerror}.") from error
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def swap_in(finished: Path, place: Path, aside: Path) -> None:
    """Put a finished folder in its place; what stood there is moved aside first, and put back if
    the new one cannot take its place."""
    place.parent.mkdir(parents=True, exist_ok=True)
    moved = place.exists()
    if moved:
        place.rename(aside)
    try:
        finished.rename(place)
    except OSError:
        if moved:
            aside.rename(place)
        raise


def write_whole(path: Path, text: str, beside_it: Path) -> None:
    """Write a small file so that a reader sees the old one or the new one, never half of one."""
    draft = beside_it / path.name
    draft.write_text(text, encoding="utf-8", newline="\n")
    draft.replace(path)


def headers(script_hashes: Iterable[str]) -> str:
    """What a static host sends with every page: a strict policy, and not to be indexed.

    Only scripts of the guide itself run, and the theme's few inline ones by their hashes.
    """
    hashes = " ".join(f"'{each}'" for each in sorted(script_hashes))
    policy = "; ".join(
        (
            "default-src 'none'",
            f"script-src 'self' {hashes}".rstrip(),
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
    return (
        "/*\n"
        f"  Content-Security-Policy: {policy}\n"
        "  Referrer-Policy: no-referrer\n"
        "  X-Content-Type-Options: nosniff\n"
        "  X-Robots-Tag: noindex, nofollow\n"
    )


def robots() -> str:
    return _ROBOTS
