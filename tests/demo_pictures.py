"""The pictures of the demo: things that do not exist, drawn here, and small.

``python -m tests.demo_pictures`` writes them again.
"""

from collections.abc import Callable
from pathlib import Path

from PIL import Image, ImageDraw

FOLDER = Path(__file__).parent.parent / "housetypes" / "photos"
_SIZE = (960, 720)
_WALL, _STEEL, _COPPER, _BRASS = "#e9e4da", "#c3c9cf", "#b87445", "#c9a348"
_DARK, _RED, _WHITE, _GREEN = "#2d3338", "#b3261e", "#fafafa", "#2e7d32"


def stopcock() -> Image.Image:
    """A pipe with a round handle and a drain screw under it."""
    picture, draw = _canvas()
    draw.rectangle((440, 0, 520, 720), fill=_COPPER, outline=_DARK, width=4)
    draw.rectangle((400, 280, 560, 470), fill=_BRASS, outline=_DARK, width=6)
    draw.rectangle((455, 190, 505, 290), fill=_BRASS, outline=_DARK, width=6)
    draw.ellipse((300, 90, 660, 200), fill=_BRASS, outline=_DARK, width=8)
    draw.ellipse((440, 125, 520, 165), fill=_DARK)
    draw.rectangle((560, 400, 640, 440), fill=_BRASS, outline=_DARK, width=5)
    draw.line((600, 385, 600, 455), fill=_DARK, width=6)
    return picture


def consumer_unit() -> Image.Image:
    """A metal box with its cover open: a row of switches, and a larger one at the end."""
    picture, draw = _canvas()
    draw.rectangle((90, 140, 870, 600), fill=_WHITE, outline=_DARK, width=8)
    draw.rectangle((140, 250, 820, 490), fill=_STEEL, outline=_DARK, width=4)
    for index in range(9):
        left = 160 + index * 56
        draw.rectangle((left, 275, left + 46, 465), fill=_WHITE, outline=_DARK, width=3)
        draw.rectangle((left + 12, 310, left + 34, 370), fill=_DARK)
    draw.rectangle((680, 275, 800, 465), fill=_WHITE, outline=_DARK, width=3)
    draw.rectangle((712, 300, 768, 380), fill=_RED, outline=_DARK, width=3)
    draw.rectangle((700, 520, 780, 560), fill=_GREEN, outline=_DARK, width=3)
    return picture


def smoke_alarm() -> Image.Image:
    """A round alarm from below, with slots all round, a button and a lamp."""
    picture, draw = _canvas()
    draw.ellipse((180, 60, 780, 660), fill=_WHITE, outline=_DARK, width=8)
    draw.ellipse((240, 120, 720, 600), outline=_STEEL, width=6)
    for start in range(0, 360, 24):
        draw.arc((210, 90, 750, 630), start, start + 12, fill=_DARK, width=10)
    draw.ellipse((400, 280, 560, 440), fill=_STEEL, outline=_DARK, width=6)
    draw.ellipse((590, 430, 620, 460), fill=_GREEN, outline=_DARK, width=3)
    return picture


def _canvas() -> tuple[Image.Image, ImageDraw.ImageDraw]:
    picture = Image.new("RGB", _SIZE, _WALL)
    return picture, ImageDraw.Draw(picture)


PICTURES: dict[str, Callable[[], Image.Image]] = {
    "stopcock.jpg": stopcock,
    "consumer-unit.png": consumer_unit,
    "smoke-alarm.webp": smoke_alarm,
}

if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, drawn in PICTURES.items():
        if name.endswith("png"):
            drawn().quantize(32).save(FOLDER / name, optimize=True)
        else:
            drawn().save(FOLDER / name, quality=70)
