"""Opens pictures that people bring along: only as what they say they are, and no larger than sane.

A picture library reads dozens of formats, and hands some of them to other programs. Here a file is a
JPEG, PNG or WebP by its name and by its first bytes, or it is not read.
"""

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from builder.errors import HandoverError

if TYPE_CHECKING:
    from PIL import Image

FORMATS = {".jpg": "JPEG", ".jpeg": "JPEG", ".png": "PNG", ".webp": "WEBP"}
"""The format of a picture by the end of its name."""

MOST_PIXELS = 80_000_000
"""The largest sensors of telephones have 200 million, and save 12 to 50 million of them."""

LONGEST_SIDE = 1200
"""Pixels of the copy that a guide shows: sharp across a telephone held upright, at about 150,000 bytes."""


class PictureError(HandoverError):
    """A file is not a picture that can be shown. ``says``: what is wrong with it, as the file's name
    is said before it; ``right``: what would be right."""

    def __init__(self, path: Path, says: str, right: str) -> None:
        self.says, self.right = says, right
        super().__init__(f"'{path.name}' {says} {right}")


@contextmanager
def opened(path: Path) -> "Iterator[Image.Image]":
    """A picture, of which nothing but its size is read yet. PictureError: it is none to be shown."""
    # Most homes have no picture, and need not wait for what reads one.
    from PIL import Image  # noqa: PLC0415

    again = "Save it again as a JPEG or PNG."
    too_large = PictureError(path, f"has more than {MOST_PIXELS:,} pixels.", "Save a smaller copy.")
    form = FORMATS.get(path.suffix.lower())
    unreadable = PictureError(path, "is not a picture that can be read.", again)
    if form is None:
        raise unreadable
    try:
        with warnings.catch_warnings(action="ignore", category=Image.DecompressionBombWarning):
            picture = Image.open(path, formats=(form,))
        with picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise too_large
            yield picture
    except Image.DecompressionBombError as error:
        raise too_large from error
    except (
        OSError,
        SyntaxError,
        ValueError,
        ArithmeticError,
        LookupError,
    ) as error:
        if _is_cut_short(error):
            says = "is cut short: part of the picture is missing."
            raise PictureError(path, says, "Copy the file again, whole.") from error
        raise unreadable from error


def _is_cut_short(error: Exception) -> bool:
    return "truncated" in str(error) or isinstance(error, EOFError)


def read_through(path: Path) -> None:
    """Read a picture to its end, as cheaply as its format allows. PictureError: it is none."""
    with opened(path) as picture:
        if picture.format == "JPEG":
            picture.draft("L", (1, 1))
        picture.load()


def form_of(content: bytes) -> str | None:
    """The ending for a picture, by its first bytes; nothing where it is of no form that is read here."""
    signs = {b"\xff\xd8\xff": ".jpg", b"\x89PNG\r\n\x1a\n": ".png"}
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return ".webp"
    return next((ending for sign, ending in signs.items() if content.startswith(sign)), None)


def published_copy(path: Path, side: int = LONGEST_SIDE) -> bytes:
    """The picture for a guide: small and upright. Only the pixels are copied: no place, time or camera.
    ``side``: pixels that the longer side has at most.

    PictureError: it cannot be read.
    """
    from PIL import ImageOps  # noqa: PLC0415 - as above

    form = FORMATS.get(path.suffix.lower(), "")
    with opened(path) as picture:
        if form == "JPEG":
            picture.draft("RGB", (side, side))
        upright = ImageOps.exif_transpose(picture)
        clear = form != "JPEG" and upright.has_transparency_data
        clean = upright.convert("RGBA" if clear else "RGB")
        clean.thumbnail((side, side))
        clean.info.clear()
        file = io.BytesIO()
        clean.save(file, form)
    return file.getvalue()
