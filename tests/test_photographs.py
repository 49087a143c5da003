"""Photographs: several of a piece, each with a ring where to look, in copies that a telephone can carry."""

import io
from datetime import date
from pathlib import Path

import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from bs4 import BeautifulSoup, Tag
from PIL import Image

from builder.build.building import publish
from builder.build.report import Target
from builder.craft.pictures import published_copy
from builder.preparing import prepare
from builder.writers.site.pictures import Copies
from tests.broken_workspaces import run

DAY = date(2026, 11, 28)
GREY = (128, 128, 128)
_RED, _NOT_RED = 140, 80
PHOTOS = """
photos:
  cupboard: {file: housetypes/cupboard.png, hand: as-drawn, shows: The open cupboard with the stopcock low down}
  close: {file: housetypes/close.png, shows: The brass handle from near by}
  room: {file: housetypes/close.png, shows: The kitchen from its door}
"""
SHOWN = "make: Tarn, photos: {far: {photo: cupboard, ring: [0.25, 0.5]}, near: {photo: close}}"


@pytest.fixture
def pictured(cottage: Path) -> Path:
    """The example with two photographs of its stopcock, and one of its kitchen."""
    folder = cottage / "housetypes"
    Image.new("RGB", (1600, 1200), GREY).save(folder / "cupboard.png")
    Image.new("RGB", (300, 400), GREY).save(folder / "close.png")
    house_type = folder / "cottage.yaml"
    text = house_type.read_text().replace("make: Tarn", SHOWN)
    text = text.replace("kitchen: {name: Kitchen,", "kitchen: {name: Kitchen, photo: room,")
    house_type.write_text(text + PHOTOS)
    return cottage


def guide_of(workspace: Path, plot: str, out: Path) -> Path:
    report = publish(Target(workspace, (plot,), out, DAY))
    assert not report.findings.errors, list(report.findings)
    return report.published[0].folder


def size(file: Path) -> tuple[int, int]:
    with Image.open(file) as picture:
        return picture.size


def red(picture: Image.Image, x: float, y: float) -> bool:
    """Whether the picture is red somewhere near a place."""
    left, top = round(x * picture.width), round(y * picture.height)
    near = picture.convert("RGB").crop((left - 3, top - 3, left + 4, top + 4))
    pixels = [near.getpixel((at % 7, at // 7)) for at in range(49)]
    return any(isinstance(each, tuple) and each[0] > _RED and each[1] < _NOT_RED for each in pixels)


def test_a_ring_stands_around_where_to_look(tmp_path: Path) -> None:
    file = tmp_path / "grey.png"
    Image.new("RGB", (1000, 500), GREY).save(file)
    drawn = Image.open(io.BytesIO(published_copy(file, 640, (0.25, 0.5))))
    assert drawn.getpixel((160, 160)) == GREY, "what the ring is about is seen"
    radius = 0.14 * 320 * 0.87
    for across, down in ((radius, 0), (-radius, 0), (0, radius), (0, -radius)):
        assert red(drawn, (160 + across) / 640, (160 + down) / 320)
    assert drawn.getpixel((480, 160)) == GREY


def test_a_ring_at_the_edge_is_cut_off(tmp_path: Path) -> None:
    file = tmp_path / "grey.jpg"
    Image.new("RGB", (640, 480), GREY).save(file)
    drawn = Image.open(io.BytesIO(published_copy(file, 640, (1.0, 0.0))))
    assert drawn.size == (640, 480)
    assert red(drawn, 1 - 0.14 * 480 * 0.87 / 640, 0.01)


def test_a_piece_shows_all_of_its_photographs(pictured: Path, tmp_path: Path) -> None:
    guide = guide_of(pictured, "riverside/01", tmp_path / "public")
    page = BeautifulSoup((guide / "equipment" / "stopcock" / "index.html").read_text(), "lxml")
    shown = [each for each in page.select("main img") if isinstance(each, Tag)]
    assert [each["alt"] for each in shown] == [
        "The open cupboard with the stopcock low down. A ring marks where to look.",
        "The brass handle from near by",
    ]
    for each in shown:
        assert each["loading"] == "lazy"
        small = size(guide / "equipment" / "stopcock" / str(each["src"]))
        assert small == (int(str(each["width"])), int(str(each["height"])))
        link = each.parent
        assert isinstance(link, Tag)
        assert size(guide / "equipment" / "stopcock" / str(link["href"])) >= small
    assert (shown[0]["width"], shown[0]["height"]) == ("640", "480")
    assert (shown[1]["width"], shown[1]["height"]) == ("300", "400"), "none is made larger"


def test_a_room_shows_its_picture_beside_its_name(pictured: Path, tmp_path: Path) -> None:
    guide = guide_of(pictured, "riverside/01", tmp_path / "public")
    first = BeautifulSoup((guide / "index.html").read_text(), "lxml")
    tile = first.select_one(".tiles a")
    assert tile is not None
    assert tile["href"] == "rooms/kitchen/"
    assert tile.get_text(strip=True) == "Kitchen"
    picture = tile.img
    assert picture is not None
    assert picture["alt"] == "", "its name stands beside it"
    assert max(size(guide / str(picture["src"]))) == 240
    assert 'alt="The kitchen from its door"' in (guide / "rooms/kitchen/index.html").read_text()


def test_homes_of_the_other_hand_see_it_mirrored(pictured: Path) -> None:
    plots = prepare(pictured, [], DAY).plots
    hands = {each.traced.home.plot.hand: each.guide for each in plots.values()}
    for hand, x in (("as-drawn", 0.25), ("opposite", 0.75)):
        ringed = next(each for each in hands[hand].photographs if each.ring)
        drawn = Image.open(io.BytesIO(Copies(pictured).large(ringed)))
        edge = 0.14 * 900 * 0.87 / 1200
        assert red(drawn, x + edge, 0.5)
        assert not red(drawn, 1 - x + edge, 0.5)


def test_each_copy_is_made_once(pictured: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[tuple[object, ...]] = []

    def counted(path: Path, side: int, ring: object, *, mirrored: bool) -> bytes:
        made.append((path.name, side, ring, mirrored))
        return b""

    monkeypatch.setattr("builder.writers.site.pictures.published_copy", counted)
    plots = prepare(pictured, [], DAY).plots
    copies = Copies(pictured)
    for _ in range(3):
        for each in plots.values():
            copies.files(each.guide.photographs)
    assert len(made) == len(set(made))
    assert made


def test_a_heavy_picture_is_a_finding(pictured: Path) -> None:
    noise = Image.effect_noise((900, 900), 200).convert("RGB")
    noise.save(pictured / "housetypes" / "close.png")
    found = [each for each in prepare(pictured, [], DAY).findings if each.code == "photos.weight"]
    assert {each.path for each in found} == {"photos.close.file", "photos.room.file"}
    assert found[0].right == "Save it as a JPEG."
    assert "at most 150,000 come quickly" in found[0].wrong


def test_a_photograph_that_nobody_shows_is_a_note(pictured: Path) -> None:
    house_type = pictured / "housetypes" / "cottage.yaml"
    house_type.write_text(house_type.read_text().replace(", near: {photo: close}", ""))
    findings = prepare(pictured, [], DAY).findings
    (found,) = [each for each in findings if each.code == "photos.unseen"]
    assert found.wrong == "No room and no piece of this home shows 'close'."


def test_the_book_shows_them_too(pictured: Path, tmp_path: Path) -> None:
    """Both of the stopcock and that of the kitchen; the small one beside the room's name is left out."""
    command = ("print", "riverside/01", "--paper", "book", "--workspace", str(pictured))
    result = run(*command, "--out", str(tmp_path / "paper"), "--date", DAY.isoformat())
    assert result.exit_code == 0, result.output
    book = pypdfium2.PdfDocument(tmp_path / "paper" / "riverside" / "01" / "guide-book.pdf")
    kinds = [each.type for page in book for each in page.get_objects()]
    assert kinds.count(pdfium.FPDF_PAGEOBJ_IMAGE) >= 3
