"""Pictures that people bring along: read whole, as what they say they are, or refused in plain words."""

import io
import os
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image, ImageChops, ImageStat

from builder.craft.pictures import (
    FORMATS,
    PictureError,
    PictureSizes,
    opened,
    published_copy,
    read_through,
)
from tests.demo_pictures import FOLDER, PICTURES

POSTSCRIPT = (
    b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n(executed) (w) file closefile\nshowpage\n"
)
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"><script>alert(1)</script></svg>'


def picture(form: str = "JPEG", size: tuple[int, int] = (640, 480), mode: str = "RGB") -> bytes:
    file = io.BytesIO()
    Image.linear_gradient("L").resize(size).convert(mode).save(file, form)
    return file.getvalue()


def bomb(side: int) -> bytes:
    """A PNG of a few hundred bytes that says it is so many pixels wide and high."""

    def chunk(name: bytes, data: bytes) -> bytes:
        body = name + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    packed = zlib.compress(b"\0" * 100_000)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")
    )


REFUSED = {
    "postscript.jpg": (POSTSCRIPT, "is not a picture that can be read."),
    "postscript.png": (POSTSCRIPT, "is not a picture that can be read."),
    "drawing.png": (SVG, "is not a picture that can be read."),
    "drawing.svg": (SVG, "is not a picture that can be read."),
    "of-another-form.png": (picture("JPEG"), "is not a picture that can be read."),
    "of-another-form.jpg": (picture("PNG"), "is not a picture that can be read."),
    "table.jpg": (picture("TIFF"), "is not a picture that can be read."),
    "film.jpg": (picture("GIF", mode="L"), "is not a picture that can be read."),
    "picture.bmp": (picture("BMP"), "is not a picture that can be read."),
    "empty.jpg": (b"", "is not a picture that can be read."),
    "head.jpg": (picture()[:40], "is not a picture that can be read."),
    "words.jpg": (b"not a picture", "is not a picture that can be read."),
    "half.jpg": (picture()[: len(picture()) // 2], "is cut short: part of the picture is missing."),
    "half.png": (picture("PNG")[: len(picture("PNG")) // 2], "is cut short: part of the picture is missing."),
    "nearly-whole.jpg": (picture()[:-400], "is cut short: part of the picture is missing."),
    "half.webp": (picture("WEBP")[: len(picture("WEBP")) // 2], "is not a picture that can be read."),
    "large.png": (bomb(10_000), "has more than 80,000,000 pixels."),
    "bomb.png": (bomb(50_000), "has more than 80,000,000 pixels."),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_no_picture(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    content, says = REFUSED[name]
    file = tmp_path / name
    file.write_bytes(content)
    for read in (read_through, published_copy):
        with pytest.raises(PictureError) as told:
            read(file)
        assert told.value.says == says
    assert os.listdir(tmp_path) == [name], "nothing was run"


@pytest.mark.parametrize("odd", ["pipe", "folder", "nothing"])
def test_what_is_no_file_is_no_picture_and_nobody_waits_for_it(odd: str, tmp_path: Path) -> None:
    file = tmp_path / "a.jpg"
    {"pipe": os.mkfifo, "folder": Path.mkdir, "nothing": lambda _: None}[odd](file)
    for read in (read_through, published_copy):
        with pytest.raises(PictureError):
            read(file)
    assert PictureSizes(tmp_path).size_of("a.jpg") is None


def test_the_size_of_a_picture_outside_the_workspace_is_not_told(tmp_path: Path) -> None:
    inside = tmp_path / "workspace"
    inside.mkdir()
    for folder in (tmp_path, inside):
        (folder / "a.jpg").write_bytes(picture())
    (inside / "link.jpg").symlink_to(tmp_path / "a.jpg")
    sizes = PictureSizes(inside)
    assert sizes.size_of("a.jpg") == (640, 480)
    for file in ("../a.jpg", "link.jpg", str(tmp_path / "a.jpg")):
        assert sizes.size_of(file) is None


MODES = {
    "jpg": ("RGB", "L", "CMYK"),
    "JPEG": ("RGB",),
    "png": ("RGB", "L", "RGBA", "P", "1", "LA"),
    "webp": ("RGB", "RGBA"),
}


@pytest.mark.parametrize(("grey", "shown"), [(300, 1), (30_000, 117), (65_535, 255)])
def test_a_picture_of_sixteen_bits_keeps_its_greys(grey: int, shown: int, tmp_path: Path) -> None:
    file = tmp_path / "a.png"
    Image.new("I;16", (40, 30), grey).save(file)
    with Image.open(io.BytesIO(published_copy(file))) as copy:
        assert copy.getpixel((5, 5)) == (shown, shown, shown)


@pytest.mark.parametrize(("end", "mode"), [(end, mode) for end in MODES for mode in MODES[end]])
def test_what_is_a_picture_is_copied_small_and_upright(end: str, mode: str, tmp_path: Path) -> None:
    form = FORMATS[f".{end.lower()}"]
    file = tmp_path / f"a.{end}"
    file.write_bytes(picture(form, (3000, 1500), mode))
    read_through(file)
    copy = published_copy(file)
    assert copy == published_copy(file)
    with Image.open(io.BytesIO(copy)) as shown:
        assert (shown.format, shown.size) == (form, (1200, 600))
        assert shown.mode in ("RGB", "RGBA")
    (tmp_path / f"b.{end}").write_bytes(copy)
    with opened(tmp_path / f"b.{end}") as again:
        assert again.info.keys() <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "loop", "background", "timestamp", "duration"}  # fmt: skip


@pytest.mark.parametrize("name", PICTURES)
def test_the_pictures_of_the_demo_are_those_that_are_drawn(name: str) -> None:
    with Image.open(FOLDER / name) as kept:
        apart = ImageChops.difference(kept.convert("RGB"), PICTURES[name]())
    assert max(high for _, high in ImageStat.Stat(apart.resize((96, 72))).extrema) < 60


def test_a_picture_on_its_side_is_turned(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    Image.new("RGB", (400, 200)).save(tmp_path / "a.jpg", exif=exif)
    with Image.open(io.BytesIO(published_copy(tmp_path / "a.jpg"))) as shown:
        assert shown.size == (200, 400)
