"""Weighs finished pages as a phone in a cupboard receives them."""

import gzip
from collections.abc import Iterator
from pathlib import Path

from builder.errors import Finding, Place

FIRST_WINDOW = 14_600
"""Bytes that a server sends before it waits for an answer: ten segments of 1,460 bytes (RFC 6928,
from memory). A page that fits arrives in one round trip."""


def transfer(content: bytes) -> int:
    """The bytes of a file as a host sends it, compressed."""
    return len(gzip.compress(content, compresslevel=6, mtime=0))


def overweight(root: Path, pattern: str) -> Iterator[Finding]:
    """One finding for each page that does not arrive in one round trip."""
    for path in sorted(root.glob(pattern)):
        bytes_sent = transfer(path.read_bytes())
        if bytes_sent > FIRST_WINDOW:
            yield Finding(
                "proof.sticker-weight",
                Place(path.relative_to(root).as_posix()),
                f"This page has {bytes_sent:,} bytes compressed; at most {FIRST_WINDOW:,} fit.",
                "Shorten its article's actions, or the style sheet of sticker pages.",
            )
