"""One small house as many programs write it: it is the same house every time."""

from pathlib import Path
from typing import Any

import ifcopenshell
import pytest
import yaml

from builder.errors import UsageError
from builder.importers.models.doubts import wrong_unit
from builder.importers.models.housetype import kinds_of
from builder.importers.models.ifc import read_ifc
from builder.importers.models.making import MadeDraft, WantedHome, made
from builder.importers.models.reading import read_here
from builder.importers.models.report import report_text
from builder.importers.models.request import ModelRequest
from builder.importers.models.writing import file_of
from tests.odd_models import Odd
from tests.test_models import ROOT, WORDS, sections

ROOMS = {
    "hall": ("ground", [[0, 0], [1.95, 0], [1.95, 6.9], [0, 6.9]]),
    "kitchen": ("ground", [[1.95, 0], [5.9, 0], [5.9, 2.95], [1.95, 2.95]]),
    "living": ("ground", [[1.95, 2.95], [5.9, 2.95], [5.9, 6.9], [1.95, 6.9]]),
    "landing": ("first", [[0, 0], [1.95, 0], [1.95, 6.9], [0, 6.9]]),
    "bedroom": ("first", [[1.95, 0], [5.9, 0], [5.9, 3.45], [1.95, 3.45]]),
    "bedroom-2": ("first", [[1.95, 3.45], [4.15, 3.45], [4.15, 6.9], [1.95, 6.9]]),
    "bathroom": ("first", [[4.15, 3.45], [5.9, 3.45], [5.9, 6.9], [4.15, 6.9]]),
}
"""Kinds, floors and outlines as a person draws them: between the faces of the outer walls, and the middle of the inner ones."""
DOORS = {
    ("hall", "outside"): (0.9, "right", "hall"), ("hall", "kitchen"): (0.8, "right", "kitchen"),
    ("hall", "living"): (0.8, "right", "living"), ("landing", "bedroom"): (0.8, "right", "bedroom"),
    ("landing", "bedroom-2"): (0.8, "right", "bedroom-2"), ("bedroom-2", "bathroom"): (0.8, "right", "bathroom"),
}  # fmt: skip
ODD = {
    "German, in feet, turned, by true north": Odd(unit=0.3048, language="german", angle=17, at=(100, 50, 0), north=30),
    "French, in millimetres, as faces, IFC 2x3": Odd("IFC2X3", 0.001, "french", "brep", angle=-33, north=40),
    "IFC 4.3 in centimetres": Odd("IFC4X3", 0.01),
    "IFC 4.3, French, mapped": Odd("IFC4X3", 0.001, "french", "mapped"),
    "mapped": Odd(body="mapped"),
    "cut off by a plane": Odd(body="clipped"),
    "drawn flat": Odd(body="flat"),
    "far from its zero by placement": Odd(unit=0.001, at=(456789.123, 5423456.789, 312.4)),
    "far from its zero by its points": Odd(unit=0.001, far=(456789.123, 5423456.789)),
    "named by Name alone": Odd(language="german", named_by="Name"),
    "doors without shapes": Odd(shapes=False),
    "doors without widths": Odd(widths=False),
    "a storey for each room": Odd(tree="a storey a room"),
    "a space for each floor over its rooms": Odd(tree="a space of spaces"),
    "a gross area, and the garden": Odd(tree="gross"),
    "metres said to be millimetres": Odd(unit=0.001, wrong=0.001),
}  # fmt: skip


def read(path: Path, odd: Odd, home: str | None = None, unit: str | None = None) -> MadeDraft:
    odd.kids.clear()
    odd.write(path)
    return made(read_ifc(path, path.name, WORDS, unit), WantedHome("House", home, kinds=kinds_of(ROOT)), WORDS)  # fmt: skip


def by_kind(house: dict[str, Any]) -> dict[str, str]:
    """Ids of rooms by what they are; the second bedroom is the smaller one."""
    kinds: dict[str, str] = {}
    for name, room in house["rooms"].items():
        kinds[room["kind"] if room["kind"] not in kinds else f"{room['kind']}-2"] = name
    return kinds


@pytest.mark.parametrize("way", ODD)
def test_the_house_is_the_same_however_it_is_written(way: str, tmp_path: Path) -> None:
    unit = "metres" if ODD[way].wrong != 1.0 else None
    house = sections(read(tmp_path / "house.ifc", ODD[way], unit=unit).draft)
    named = by_kind(house)
    kinds = {name: kind for kind, name in named.items()}
    moved = 0.0 if ODD[way].tree != "gross" else min(x for x, _ in house["rooms"][named["hall"]]["outline"])  # fmt: skip
    found = {
        kinds[name]: (room["floor"], [[round(x - moved, 3), y] for x, y in room["outline"]])
        for name, room in house["rooms"].items()
    }
    assert found == ROOMS
    doors = {
        frozenset(kinds.get(each, each) for each in door["between"]): (
            door.get("width"), door.get("hinge"), kinds.get(door.get("opens_into", ""))
        )
        for door in house["doors"].values()
        if door.get("kind") != "opening"
    }  # fmt: skip
    assert doors == {frozenset(rooms): said for rooms, said in DOORS.items()}
    assert sorted((kinds[each["room"]], each["width"], each["sill"]) for each in house["windows"].values()) == [
        ("bedroom", 1.2, 0.9), ("bedroom-2", 1.0, 0.9), ("kitchen", 1.2, 0.9), ("living", 1.8, 0.9),
    ]  # fmt: skip


def test_rooms_are_on_floors_by_their_height_where_a_model_has_no_storeys(tmp_path: Path) -> None:
    odd = Odd(tree="no storeys", doors=False)
    house = sections(read(tmp_path / "house.ifc", odd).draft)
    assert {name: room["floor"] for name, room in house["rooms"].items()} == {
        "hall": "ground", "kitchen": "ground", "living-room": "ground",
        "landing": "first", "bedroom-1": "first", "bedroom-2": "first", "bathroom": "first",
    }  # fmt: skip


@pytest.mark.parametrize("doors", [True, False])
def test_homes_in_several_buildings_are_told_apart_and_found_alike(
    doors: bool, tmp_path: Path
) -> None:
    odd = Odd(language="german", copies=(0.0, 20.0), doors=doors)
    with pytest.raises(UsageError, match=r"told apart by the buildings that its spaces are in\. Name one with --home: House 1 \(7 rooms, 79 m²\); House 2"):  # fmt: skip
        read(tmp_path / "house.ifc", odd)
    result = read(tmp_path / "house.ifc", odd, home="House 2")
    assert len(sections(result.draft)["rooms"]) == 7
    assert [(each.other, each.mirrored, each.turned) for each in result.alike] == [("House 1", False, 0)]  # fmt: skip


@pytest.mark.parametrize(
    ("odd", "said"),
    [
        (Odd(language="finnish"), "7 of 7 names of rooms are in no language that words are known of ('Eteinen', 'Keittiö', 'Olohuone', 'Ylähalli', 'Makuuhuone 1', …): their kinds were guessed by their size. Correct them, or add the words as content/model-words/<language>.yaml and begin again."),
        (Odd(language="none"), "7 of 7 spaces have no name: what kind of room each is was guessed by its size. Correct them."),
        (Odd(body="flat"), "7 spaces are drawn flat: they were taken to be 2.4 m high."),
        (Odd(wrong=1 / 0.3048), "Read in metres, its rooms are about 12.8 m wide and 7.9 m high. Its numbers fit feet: if that is its unit, begin again with --unit feet."),
    ],
)  # fmt: skip
def test_what_is_doubtful_is_said_in_plain_words(odd: Odd, said: str, tmp_path: Path) -> None:
    assert said in read(tmp_path / "house.ifc", odd).draft.noticed


@pytest.mark.parametrize(
    ("odd", "wrong", "fits"),
    [
        (Odd(wrong=1000), "Read in metres, its rooms are about 3.9 km wide and 2.4 km high. No home is like that.", "millimetres"),
        (Odd(unit=0.001, wrong=0.001), "Read in millimetres, its rooms are about 0.39 cm wide and 0.24 cm high. No home is like that.", "metres"),
        (Odd(unit=0.001, wrong=0.1), "Read in millimetres, its rooms are about 39.00 cm wide and 24.00 cm high. No home is like that.", "centimetres"),
    ],
)  # fmt: skip
def test_a_model_in_a_wrong_unit_is_refused_with_the_right_one(
    odd: Odd, wrong: str, fits: str, tmp_path: Path
) -> None:
    odd.write(tmp_path / "house.ifc")
    found = wrong_unit(read_ifc(tmp_path / "house.ifc", "house.ifc", WORDS), "house.ifc")
    assert found is not None
    assert (found.code, found.wrong) == ("model.unit", wrong)
    assert found.right == f"Its numbers fit {fits}: add --unit {fits}, or have the model exported in its right unit."  # fmt: skip


@pytest.mark.parametrize("what", ["parts", "placements"])
def test_a_model_that_leads_back_to_itself_is_told_at_once(what: str, tmp_path: Path) -> None:
    path = tmp_path / "house.ifc"
    Odd().write(path)
    model = ifcopenshell.open(str(path))
    if what == "parts":
        first, *_, last = model.by_type("IfcRelAggregates")
        last.RelatedObjects = [first.RelatingObject]
    else:
        one, other = model.by_type("IfcLocalPlacement")[1], model.by_type("IfcLocalPlacement")[-1]
        one.PlacementRelTo, other.PlacementRelTo = other, one
    model.write(str(path))
    drawing, (_, wrong, _) = read_here(path, WORDS, ModelRequest((path,)))
    assert (drawing, wrong) == (None, "Something in this model leads back to itself.")


def test_no_name_in_a_model_ends_a_line_or_turns_letters_round(tmp_path: Path) -> None:
    """What a model calls its rooms stands in comments and values of a file that people and programs read."""
    path = tmp_path / "house.ifc"
    Odd().write(path)
    model = ifcopenshell.open(str(path))
    for each, name in zip(
        model.by_type("IfcSpace"),
        ("Hall\nrooms: {}", "\u202eneb", "a\u2028b: c", "d\x85e"),
        strict=False,
    ):
        each.LongName = name
    model.write(str(path))
    result = made(read_ifc(path, path.name, WORDS), WantedHome("House", kinds=kinds_of(ROOT)), WORDS)  # fmt: skip
    written = file_of(result, ["house.ifc"])
    assert all(each.isprintable() for each in (*written.split("\n"), *report_text(result)))
    names = {each["name"] for each in yaml.safe_load(written)["rooms"].values()}
    assert {"Hall rooms:", "Neb", "A b: c", "D e"} <= names


def test_things_that_share_a_globalid_are_told(tmp_path: Path) -> None:
    path = tmp_path / "house.ifc"
    Odd().write(path)
    model = ifcopenshell.open(str(path))
    first, second, third = model.by_type("IfcDoor")[:3]
    first.GlobalId = second.GlobalId = third.GlobalId
    model.write(str(path))
    result = made(read_ifc(path, path.name, WORDS), WantedHome("House", kinds=kinds_of(ROOT)), WORDS)  # fmt: skip
    assert len([each for each in sections(result.draft)["doors"].values() if "at" in each]) == 6
    said = f"1 GlobalIds stand for several things each ({third.GlobalId}): an update cannot tell these things apart."  # fmt: skip
    assert said in result.draft.noticed
