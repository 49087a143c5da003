"""Opens pictures that people bring along: only as what they say they are, and no larger than sane.

A picture library reads dozens of formats, and hands some of them to other programs. Here a file is a
JPEG, PNG or WebP by its name and by its first bytes, or it is not read.
"""

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from os.path import realpath
from pathlib import Path
from typing import TYPE_CHECKING

from builder.disk import true_place
from builder.errors import HandoverError

if TYPE_CHECKING:
    from PIL import Image

FORMATS = {".jpg": "JPEG", ".jpeg": "JPEG", ".png": "PNG", ".webp": "WEBP"}
"""The format of a picture by the end of its name."""

MOST_PIXELS = 80_000_000
"""The largest sensors of telephones have 200 million, and save 12 to 50 million of them."""

LONGEST_SIDE = 1200
"""Pixels of the copy that is seen when a picture is touched, at about 150,000 bytes."""
COPY_SIDE = 640
"""Pixels of the copy that stands on a page: as wide as a telephone held upright."""


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
        if not path.is_file():  # whoever opens a pipe waits for ever
            raise unreadable
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


class PictureSizes:
    """The sizes of the pictures of one workspace, each looked at once. What lies outside it is not
    looked at."""

    def __init__(self, root: Path) -> None:
        self._root = true_place(root)
        self._known: dict[str, tuple[int, int] | None] = {}

    def size_of(self, file: str) -> tuple[int, int] | None:
        """The pixels of a picture as it is seen upright; none where it cannot be read."""
        if file not in self._known:
            path = Path(realpath(self._root / file))
            inside = path.is_relative_to(self._root)
            self._known[file] = _upright_size(path) if inside else None
        return self._known[file]


def _upright_size(path: Path) -> tuple[int, int] | None:
    try:
        with opened(path) as picture:
            width, height = picture.size
            turned = picture.getexif().get(_ORIENTATION) in _ON_ITS_SIDE
            return (height, width) if turned else (width, height)
    except PictureError:
        return None


def published_copy(
    path: Path,
    side: int = LONGEST_SIDE,
    ring: tuple[float, float] | None = None,
    *,
    mirrored: bool = False,
) -> bytes:
    """The picture for a guide: small and upright. Only the pixels are copied: no place, time or camera.

    ``side``: pixels that the longer side has at most. ``ring``: the middle of a ring that is drawn on it,
    as shares of its width and height. ``mirrored``: left is right. PictureError: it cannot be read.
    """
    from PIL import ImageOps  # noqa: PLC0415 - as above

    form = FORMATS.get(path.suffix.lower(), "")
    with opened(path) as picture:
        if form == "JPEG":
            picture.draft("RGB", (side, side))
        upright = _in_eight_bits(ImageOps.exif_transpose(picture))
        clear = form != "JPEG" and upright.has_transparency_data
        clean = upright.convert("RGBA" if clear else "RGB")
        clean.thumbnail((side, side))
        clean.info.clear()
        if mirrored:
            clean = ImageOps.mirror(clean)
        if ring is not None:
            _draw_ring(clean, ring)
        file = io.BytesIO()
        clean.save(file, form)
    return file.getvalue()


def _in_eight_bits(picture: "Image.Image") -> "Image.Image":
    """A picture of 65,536 greys as one of 256: the library would show all but the darkest as white."""
    if not picture.mode.startswith("I"):
        return picture
    return picture.convert("I").point(lambda grey: grey * (1 / 256)).convert("L")


def _draw_ring(picture: "Image.Image", middle: tuple[float, float]) -> None:
    """A red ring between two white ones: it is told from any picture, in colour or without."""
    from PIL import Image, ImageDraw  # noqa: PLC0415 - as above

    reach = max(8, round(min(picture.size) * _RING))
    box = Image.new("L", (reach * 2 * _FINER,) * 2)
    white, red = box.copy(), box
    for layer, shares in ((white, (1.0, 0.74)), (red, (0.94, 0.80))):
        draw = ImageDraw.Draw(layer)
        for share, filled in zip(shares, (255, 0), strict=True):
            inset = round(reach * _FINER * (1 - share))
            draw.ellipse(
                (inset, inset, layer.width - 1 - inset, layer.height - 1 - inset), fill=filled
            )
    at = tuple(
        round(share * size) - reach for share, size in zip(middle, picture.size, strict=True)
    )
    for layer, colour in ((white, "#ffffff"), (red, "#b3261e")):
        mask = layer.resize((reach * 2, reach * 2))
        picture.paste(Image.new(picture.mode, mask.size, colour), (at[0], at[1]), mask)


_ORIENTATION, _ON_ITS_SIDE = 0x0112, (5, 6, 7, 8)
"""The tag of a picture's orientation, and its values for one that lies on its side (Exif 2.32, from memory)."""
_RING = 0.14
"""The radius of a ring, as a share of a picture's shorter side."""
_FINER = 4
"""Rings are drawn so much larger and made smaller, so that they are smooth."""
