"""Photographs that are none, are broken, or do more than to be looked at."""

import io
import random
import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

from PIL import Image

from tests.attack.ground import CANARY, PHOTO, Ground
from tests.attack.outcomes import Outcome

POSTSCRIPT = (
    f"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n(%pipe%touch {CANARY}) (w) file\nshowpage\n"
)
SVG = "<svg xmlns='http://www.w3.org/2000/svg' onload='attack()'><script>attack()</script><image href='file:///etc/passwd'/></svg>"
NAMES = ("stopcock.jpg", "stopcock.png", "stopcock.webp", "stopcock.gif", "stopcock.svg", "stopcock.eps", "stopcock.tiff", "stopcock.JPG", "stopcock", "stop cock.jpg", "stopcock.jpg.html", "<b>.jpg")  # fmt: skip


def _saved(
    form: str, size: tuple[int, int] = (120, 90), mode: str = "RGB", **settings: object
) -> bytes:
    out = io.BytesIO()
    Image.effect_noise(size, 40).convert(mode).save(out, form, **settings)  # type: ignore[arg-type]
    return out.getvalue()


def _png(width: int, height: int) -> bytes:
    """A picture that says that it is this large, and has next to nothing in it."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    parts = (b"IHDR", head), (b"IDAT", zlib.compress(b"\x00" * 300_000)), (b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + b"".join(struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data)) for name, data in parts)  # fmt: skip


KINDS: dict[str, bytes] = {
    "jpeg": _saved("JPEG"), "progressive jpeg": _saved("JPEG", progressive=True), "large jpeg": _saved("JPEG", (5_000, 4_000)), "grey jpeg": _saved("JPEG", mode="L"),
    "cmyk jpeg": _saved("JPEG", mode="CMYK"), "png": _saved("PNG"), "png with alpha": _saved("PNG", mode="RGBA"), "palette png": _saved("PNG", mode="P"), "webp": _saved("WEBP"),
    "gif": _saved("GIF", mode="P"), "tiff": _saved("TIFF"), "bmp": _saved("BMP"), "ico": _saved("ICO", (32, 32)), "eps": _saved("EPS"), "pdf": _saved("PDF"), "ppm": _saved("PPM"),
    "tga": _saved("TGA"), "one pixel": _saved("PNG", (1, 1)), "one row": _saved("PNG", (9_000, 1)), "postscript": POSTSCRIPT.encode(), "svg": SVG.encode(), "a page": b"<html><script>attack()</script>",
    "says it is huge": _png(60_000, 60_000), "says it is without end": _png(2**31 - 1, 2**31 - 1), "says it is nothing": _png(0, 0), "nothing": b"", "text": b"attack" * 50,
    "jpeg and page": _saved("JPEG") + b"<script>attack()</script>", "jpeg with words": _saved("JPEG", comment=b"<script>attack()</script>root:x:0:0"),
    "jpeg that begins as php": b"\xff\xd8\xff\xe0<?php attack(); ?>", "zip": b"PK\x03\x04" + b"\x00" * 90,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class PictureTry:
    """A photograph of some kind, under some name, whole or damaged."""

    kind: str
    file: str
    damage: str
    seed: int

    @property
    def name(self) -> str:
        return f"{self.kind} as {self.file}, {self.damage} ({self.seed})"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        content, rng = bytearray(KINDS[self.kind]), random.Random(self.seed)
        if self.damage == "cut off":
            content = content[: rng.randrange(len(content) + 1)]
        elif self.damage == "flipped" and content:
            for _ in range(rng.choice((1, 3, 30))):
                content[rng.randrange(len(content))] = rng.randrange(256)
        path = PHOTO.replace("stopcock.jpg", self.file)
        ground.write(path, bytes(content))
        house = "housetypes/cottage.yaml"
        ground.write(
            house, ground.before[house].decode().replace(f"file: {PHOTO}", f'file: "{path}"')
        )
        return ground.checked_and_built()


def tries(rng: random.Random, number: int) -> Iterator[PictureTry]:
    """So many pictures; every kind under its own name and others."""
    kinds, damages = list(KINDS), ("whole", "cut off", "flipped", "cut off", "flipped")
    for turn in range(number):
        file = NAMES[0] if rng.random() < 0.4 else rng.choice(NAMES)
        damage = damages[turn // len(kinds) % len(damages)]
        yield PictureTry(kinds[turn % len(kinds)], file, damage, rng.randrange(2**32))
