"""The pictures of the demo: things that do not exist, drawn here, and small.

``python -m tests.demo_pictures`` writes them again.
"""

from collections.abc import Callable
from pathlib import Path

from PIL import Image, ImageDraw

FOLDER = Path(__file__).parent.parent / "housetypes" / "photos"
_SIZE = (960, 720)
_WALL, _STEEL, _COPPER, _BRASS = "#e9e4da", "#c3c9cf", "#b87445", "#c9a348"
_WOOD, _SHADE, _SKY, _MOSS = "#d8c3a0", "#d5d0c6", "#cfe3ee", "#6f8a82"
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


def under_the_sink() -> Image.Image:
    """A cupboard with its doors open: the waste pipe in the middle, and the stopcock low down beside it."""
    picture, draw = _canvas()
    draw.rectangle((0, 0, 960, 90), fill=_STEEL, outline=_DARK, width=4)
    draw.rectangle((110, 90, 850, 640), fill=_SHADE, outline=_DARK, width=4)
    for outer, inner in ((0, 110), (960, 850)):
        door = ((outer, 90), (inner, 130), (inner, 640), (outer, 720))
        draw.polygon(door, fill=_WOOD, outline=_DARK, width=4)
    draw.rectangle((430, 90, 490, 300), fill=_WHITE, outline=_DARK, width=4)
    draw.arc((430, 240, 640, 420), 0, 180, fill=_DARK, width=6)
    draw.arc((490, 260, 580, 380), 0, 180, fill=_DARK, width=6)
    draw.rectangle((290, 330, 316, 640), fill=_COPPER, outline=_DARK, width=3)
    draw.rectangle((276, 470, 330, 540), fill=_BRASS, outline=_DARK, width=4)
    draw.ellipse((246, 430, 360, 470), fill=_BRASS, outline=_DARK, width=4)
    draw.rectangle((110, 640, 850, 720), fill=_WOOD, outline=_DARK, width=4)
    return picture


def service_cupboard() -> Image.Image:
    """An open cupboard: a heat unit above, a box with switches beside it, and a valve at the foot."""
    picture, draw = _canvas()
    draw.rectangle((150, 30, 810, 720), fill=_SHADE, outline=_DARK, width=6)
    draw.rectangle((220, 90, 520, 420), fill=_WHITE, outline=_DARK, width=5)
    draw.ellipse((320, 190, 420, 290), fill=_STEEL, outline=_DARK, width=4)
    for left in (260, 330, 400, 470):
        draw.rectangle((left, 420, left + 18, 700), fill=_COPPER, outline=_DARK, width=3)
    draw.rectangle((590, 130, 770, 260), fill=_WHITE, outline=_DARK, width=4)
    for left in range(606, 740, 26):
        draw.rectangle((left, 160, left + 18, 230), fill=_DARK)
    draw.rectangle((640, 560, 668, 720), fill=_COPPER, outline=_DARK, width=3)
    draw.ellipse((600, 540, 708, 580), fill=_BRASS, outline=_DARK, width=4)
    return picture


def kitchen() -> Image.Image:
    """A kitchen along one wall: worktop, sink under a window, and oven."""
    picture, draw = _room("#f0ece2", "#cdb892")
    _window(draw, (350, 120, 610, 330))
    draw.rectangle((120, 410, 840, 600), fill=_WOOD, outline=_DARK, width=4)
    draw.rectangle((110, 385, 850, 412), fill=_SHADE, outline=_DARK, width=4)
    for left in (260, 400, 560, 700):
        draw.line((left, 412, left, 600), fill=_DARK, width=3)
    draw.arc((460, 320, 510, 400), 180, 360, fill=_DARK, width=7)
    draw.rectangle((710, 430, 830, 570), fill=_DARK)
    for left in (130, 660):
        draw.rectangle((left, 120, left + 170, 280), fill=_WOOD, outline=_DARK, width=4)
    return picture


def living_room() -> Image.Image:
    """A living room: a sofa below a wide window, and a radiator beside it."""
    picture, draw = _room("#e8ebe4", "#c7b08b")
    _window(draw, (280, 110, 680, 320))
    draw.rounded_rectangle((270, 400, 690, 560), 30, fill=_MOSS, outline=_DARK, width=5)
    for left in (230, 660):
        draw.rounded_rectangle((left, 440, left + 70, 600), 20, fill=_MOSS, outline=_DARK, width=5)
    draw.rectangle((745, 400, 845, 540), fill=_WHITE, outline=_DARK, width=4)
    for left in range(760, 845, 18):
        draw.line((left, 410, left, 530), fill=_STEEL, width=4)
    return picture


def bathroom() -> Image.Image:
    """A bathroom: a bath along the wall, a basin, and a small high window."""
    picture, draw = _room("#dfe9ea", "#b8c4c6")
    for height in range(120, 420, 50):
        draw.line((110, height, 850, height), fill=_STEEL, width=2)
    _window(draw, (560, 110, 720, 210))
    draw.rounded_rectangle((130, 430, 560, 600), 40, fill=_WHITE, outline=_DARK, width=6)
    draw.arc((150, 360, 210, 440), 180, 360, fill=_DARK, width=7)
    draw.rectangle((700, 460, 740, 610), fill=_WHITE, outline=_DARK, width=4)
    draw.rounded_rectangle((640, 400, 800, 470), 30, fill=_WHITE, outline=_DARK, width=5)
    return picture


def bedroom() -> Image.Image:
    """A bedroom: a bed with its head to the wall, a lamp beside it, and a window."""
    picture, draw = _room("#efe6e0", "#bfa987")
    _window(draw, (640, 110, 820, 320))
    draw.rectangle((200, 300, 560, 420), fill=_WOOD, outline=_DARK, width=5)
    bed = ((200, 420), (560, 420), (620, 640), (140, 640))
    draw.polygon(bed, fill=_WHITE, outline=_DARK, width=5)
    for left in (230, 390):
        draw.rounded_rectangle(
            (left, 400, left + 140, 460), 20, fill=_SHADE, outline=_DARK, width=4
        )
    lamp = ((600, 330), (660, 330), (640, 380), (620, 380))
    draw.polygon(lamp, fill=_BRASS, outline=_DARK, width=4)
    draw.line((630, 380, 630, 470), fill=_DARK, width=5)
    return picture


def hall() -> Image.Image:
    """A hall towards the front door, with hooks for coats beside it."""
    picture, draw = _room("#ece8df", "#b79c74")
    draw.rectangle((400, 170, 560, 600), fill=_MOSS, outline=_DARK, width=6)
    _window(draw, (440, 210, 520, 330))
    draw.ellipse((534, 380, 552, 398), fill=_BRASS, outline=_DARK, width=3)
    draw.polygon(
        ((380, 640), (580, 640), (610, 690), (350, 690)), fill=_SHADE, outline=_DARK, width=4
    )
    draw.line((620, 300, 790, 300), fill=_WOOD, width=16)
    for left in (640, 690, 740):
        draw.line((left, 300, left, 340), fill=_DARK, width=7)
    return picture


def _window(draw: ImageDraw.ImageDraw, pane: tuple[int, int, int, int]) -> None:
    draw.rectangle(pane, fill=_SKY, outline=_DARK, width=5)
    middle = (pane[0] + pane[2]) // 2
    draw.line((middle, pane[1], middle, pane[3]), fill=_DARK, width=4)


def _room(wall: str, floor: str) -> tuple[Image.Image, ImageDraw.ImageDraw]:
    """A room as one stands in it: the wall ahead, and the edges that lead to its corners."""
    picture = Image.new("RGB", _SIZE, wall)
    draw = ImageDraw.Draw(picture)
    draw.polygon(((0, 720), (110, 600), (850, 600), (960, 720)), fill=floor)
    draw.rectangle((110, 60, 850, 600), outline=_STEEL, width=4)
    for x, inner_x in ((0, 110), (960, 850)):
        for y, inner_y in ((0, 60), (720, 600)):
            draw.line((x, y, inner_x, inner_y), fill=_STEEL, width=4)
    return picture, draw


def _canvas() -> tuple[Image.Image, ImageDraw.ImageDraw]:
    picture = Image.new("RGB", _SIZE, _WALL)
    return picture, ImageDraw.Draw(picture)


PICTURES: dict[str, Callable[[], Image.Image]] = {
    "stopcock.jpg": stopcock,
    "consumer-unit.png": consumer_unit,
    "smoke-alarm.webp": smoke_alarm,
    "under-the-sink.jpg": under_the_sink,
    "service-cupboard.jpg": service_cupboard,
    "kitchen.jpg": kitchen,
    "living-room.jpg": living_room,
    "bathroom.jpg": bathroom,
    "bedroom.jpg": bedroom,
    "hall.jpg": hall,
}

if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, drawn in PICTURES.items():
        if name.endswith("png"):
            drawn().quantize(32).save(FOLDER / name, optimize=True)
        else:
            drawn().save(FOLDER / name, quality=70)
