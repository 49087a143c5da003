"""How files of a published tree are served: their media types, and how long they may be kept."""

from pathlib import PurePosixPath
from typing import Final

from builder.writers.site.script_data import HOME

_MEDIA_TYPES: Final = {
    ".css": "text/css; charset=utf-8",
    ".csv": "text/csv; charset=utf-8",
    ".gif": "image/gif",
    ".gz": "application/gzip",
    ".html": "text/html; charset=utf-8",
    ".ico": "image/vnd.microsoft.icon",
    ".ics": "text/calendar; charset=utf-8",
    ".jpeg": "image/jpeg",
    ".jpg": "image/jpeg",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".map": "application/json",
    ".mjs": "text/javascript; charset=utf-8",
    ".pdf": "application/pdf",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".webmanifest": "application/manifest+json",
    ".webp": "image/webp",
    ".woff": "font/woff",
    ".woff2": "font/woff2",
    ".xml": "application/xml",
}
"""IANA's registry of media types; text/javascript is RFC 9239, text/calendar RFC 5545. From memory."""
_FOR_EVER: Final = "public, max-age=31536000, immutable"
"""A year: a folder of assets is named by its content (RFC 8246, from memory)."""
_SHORT: Final = "max-age=300"
"""Five minutes: what a guide says in an emergency may not be old."""
_ASKED_AGAIN: Final = "no-cache"


def media_type(path: str) -> str:
    """The media type of a file by the end of its name; plain text for files with no end."""
    suffix = PurePosixPath(path).suffix.lower()
    return _MEDIA_TYPES.get(suffix, "application/octet-stream" if suffix else _MEDIA_TYPES[".txt"])


def kept_for(path: str) -> str:
    """The Cache-Control of a file. A script in a guide's own folder is asked for again each time:
    it may be the one that keeps pages on a device."""
    if path.startswith("assets/"):
        return _FOR_EVER
    return _ASKED_AGAIN if is_guide_script(path) else _SHORT


def is_guide_script(path: str) -> bool:
    """Whether a file is a script at the top of a guide, as a worker must be to serve all of it
    (Service Workers, scope, from memory); not the one that says whose home it is."""
    top = path.startswith("g/") and path.count("/") == 2  # noqa: PLR2004 - g, its code, the file
    return top and path.endswith(".js") and not path.endswith(f"/{HOME}")
