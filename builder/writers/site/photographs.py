"""Makes the copies of photographs that a guide shows: small, upright, and without location data."""

import io
from pathlib import Path

LONGEST_SIDE = 1200
"""Pixels: sharp across a telephone held upright, at about 150,000 bytes."""

_FORMATS = {".jpg": "JPEG", ".jpeg": "JPEG", ".png": "PNG", ".webp": "WEBP"}


def published_copy(path: Path) -> bytes:
    """The picture for the guide. Only the pixels are copied: no place, time or camera."""
    # Most guides show no photograph, and need not wait for what makes copies.
    from PIL import Image, ImageOps  # noqa: PLC0415

    form = _FORMATS[path.suffix.lower()]
    with Image.open(path) as picture:
        upright = ImageOps.exif_transpose(picture)
        upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        clean = upright.convert("RGB" if form == "JPEG" else upright.mode)
        clean.info.clear()
        file = io.BytesIO()
        clean.save(file, form)
    return file.getvalue()
