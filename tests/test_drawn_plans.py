"""Plans in DXF: rooms by their outlines, doors by their swings, windows, and what could not be read."""

from pathlib import Path
from typing import Any

import ezdxf
import pytest
import yaml

from builder.importers.models.dxf import read_dxf
from builder.importers.models.housetype import kinds_of
from builder.importers.models.making import MadeDraft, WantedHome, made
from builder.importers.models.reading import read_here
from builder.importers.models.request import ModelRequest
from tests.drawn_plans import draw_plan
from tests.test_models import ROOT, WORDS, sections
from tests.test_other_models import new, twite
from tests.written_models import read_house_type


def read(path: Path, layer: str = "rooms", **said: str) -> MadeDraft:
    drawing = read_dxf(path, path.name, WORDS, ModelRequest((path,), layer=layer, **said))
    return made(drawing, WantedHome("House", kinds=kinds_of(ROOT)), WORDS)


def doors(house: dict[str, Any]) -> set[tuple[Any, ...]]:
    """Doors by the names of their rooms: place, width, hinge, the room that they open into, and kind."""
    names = {name: room["name"] for name, room in house["rooms"].items()}
    return {
        (
            frozenset(names.get(each, each) if each != "outside" else each for each in door["between"]),
            tuple(map(float, door["at"])), float(door.get("width", 0.838)), door.get("hinge"),
            door["opens_into"] if door["opens_into"] == "outside" else names[door["opens_into"]],
            door.get("kind", "hinged"),
        )
        for door in house["doors"].values()
        if "opens_into" in door
    }  # fmt: skip


@pytest.mark.parametrize("name", ["twite", "whimbrel"])
@pytest.mark.parametrize(
    ("style", "unit", "size"),
    [("blocks", 4, 1000.0), ("arcs", 6, 1.0), ("arcs", 0, 1.0), ("nested", 1, 1000 / 25.4), ("blocks", 0, 100.0)],
)  # fmt: skip
def test_doors_and_windows_come_back_from_their_swings_and_lines(
    name: str, style: str, unit: int, size: float, tmp_path: Path
) -> None:
    house = read_house_type(ROOT / "housetypes" / f"{name}.yaml")
    draw_plan(house, tmp_path / "plan.dxf", unit, size, style)
    back = sections(read(tmp_path / "plan.dxf").draft)
    found = doors(back)
    assert found == doors(house)
    rooms = {name: room["name"] for name, room in house["rooms"].items()}
    windows = {
        (rooms[each["room"]], tuple(map(float, each["at"])), float(each["width"]))
        for each in house["windows"].values()
        if each.get("kind") != "roof"
    }
    assert windows == {
        (back["rooms"][each["room"]]["name"], tuple(map(float, each["at"])), float(each["width"]))
        for each in back["windows"].values()
    }
    assert not any("sill" in each for each in back["windows"].values()), "a plan says no heights"


@pytest.mark.parametrize("style", ["blocks", "arcs"])
def test_doors_in_thick_walls_hang_on_the_same_side(style: str, tmp_path: Path) -> None:
    """Rooms that end 60 mm before the middle of their walls move every door by as much, and turn none."""
    house = read_house_type(ROOT / "housetypes" / "whimbrel.yaml")
    draw_plan(house, tmp_path / "plan.dxf", 4, 1000.0, style, wall=0.06)
    found = {(rooms, width, *hung) for rooms, _, width, *hung in doors(sections(read(tmp_path / "plan.dxf").draft))}  # fmt: skip
    assert found == {(rooms, width, *hung) for rooms, _, width, *hung in doors(house)}


def test_what_could_not_be_read_of_a_plan_is_told_and_no_furniture_becomes_a_door(
    tmp_path: Path,
) -> None:
    house = twite()
    draw_plan(house, tmp_path / "plan.dxf", 4, 1000.0, "arcs")
    document = ezdxf.readfile(tmp_path / "plan.dxf")
    space = document.modelspace()
    for at, radius in (((2100, 9500), 600), ((1300, 10000), 450), ((3500, 3800), 800)):
        space.add_arc(at, radius, 0, 90, dxfattribs={"layer": "FURNITURE"})  # round tables
    space.add_blockref("Single leaf", (-5000, -5000), dxfattribs={"layer": "DOORS", "xscale": 900, "yscale": 900})  # fmt: skip
    space.add_line((100, 3300), (100, 23300), dxfattribs={"layer": "Windows"})
    document.saveas(tmp_path / "plan.dxf")
    result = read(tmp_path / "plan.dxf")
    assert doors(sections(result.draft)) == doors(house)
    assert [each for each in result.draft.noticed if each.startswith("Not read: ")] == [
        "Not read: INSERT 'Single leaf' on layer 'DOORS' at -5.00, -4.55: no room lies beside it.",
        "Not read: LINE on layer 'Windows' at 0.10, 13.30: it is 20.00 m long and 0.00 m thick.",
    ]
    assert "The drawing shows 11 doors, 11 of them with the swing of their leaf, and 4 windows." in result.draft.noticed  # fmt: skip


def test_layers_with_other_names_are_named_by_hand(tmp_path: Path) -> None:
    draw_plan(twite(), tmp_path / "plan.dxf", 4, 1000.0, "blocks")
    document = ezdxf.readfile(tmp_path / "plan.dxf")
    for entity in document.modelspace():
        layer = entity.dxf.layer
        entity.dxf.layer = layer.replace("A-GLAZ", "L7").replace("A-DOOR", "L8")
    document.saveas(tmp_path / "plan.dxf")
    assert len(sections(read(tmp_path / "plan.dxf").draft)["doors"]) == 12, (
        "swings tell doors anyway"
    )
    assert "windows" not in sections(read(tmp_path / "plan.dxf").draft)
    assert len(sections(read(tmp_path / "plan.dxf", windows="L7").draft)["windows"]) == 4


def test_floors_side_by_side_on_one_layer_are_asked_about(tmp_path: Path) -> None:
    draw_plan(twite(), tmp_path / "plan.dxf", 4, 1000.0, "blocks")
    document = ezdxf.readfile(tmp_path / "plan.dxf")
    for entity in document.modelspace():
        if entity.dxf.layer.startswith("ROOMS"):
            entity.dxf.layer = "ROOMS"
    document.saveas(tmp_path / "plan.dxf")
    assert (
        "Rooms on layer 'ROOMS' stand 15.6 m apart and were read as one floor. Are they several floors side by side?"
        " Give each a layer of its own ('ROOMS-1', 'ROOMS-2')."
    ) in read(tmp_path / "plan.dxf").draft.noticed


def test_a_drawing_needs_its_layer_named_and_says_which_there_are(tmp_path: Path) -> None:
    draw_plan(twite(), tmp_path / "house.dxf", 4, 1000.0, "arcs")
    drawing, told = read_here(tmp_path / "house.dxf", WORDS, ModelRequest(()))
    assert drawing is None
    listed = "Layers with closed lines: ROOMS-0, ROOMS-1."
    assert told == ("model.no-outlines", f"A drawing does not say which layer has the outlines of rooms. {listed}", "Name one: --layer NAME.")  # fmt: skip
    _, (_, wrong, _) = read_here(tmp_path / "house.dxf", WORDS, ModelRequest((), layer="walls"))
    assert wrong == f"No layer 'walls' has closed lines. {listed}"


def test_what_lies_nowhere_in_a_drawing_is_told_and_left_out(tmp_path: Path) -> None:
    """Coordinates that are no numbers, or a radius that no site has: a curve of it would never end."""
    draw_plan(twite(), tmp_path / "house.dxf", 4, 1000.0, "arcs")
    document = ezdxf.readfile(tmp_path / "house.dxf")
    space = document.modelspace()
    for number in (float("nan"), float("inf"), 1e30):
        space.add_arc((number, 0), 900, 0, 90, dxfattribs={"layer": "DOORS"})
        space.add_text("Hall", dxfattribs={"insert": (number, 0)})
        space.add_lwpolyline(
            [(0, 0), (number, 0), (0, 9)], close=True, dxfattribs={"layer": "ROOMS-0"}
        )
    document.saveas(tmp_path / "odd.dxf")
    noticed = read(tmp_path / "odd.dxf").draft.noticed
    lost = "Coordinates that are no numbers, or too large for any site: 9 parts left out."
    assert lost in noticed
    assert [each for each in noticed if each != lost] == list(read(tmp_path / "house.dxf").draft.noticed)  # fmt: skip


@pytest.mark.parametrize(
    ("part", "says"),
    [
        (slice(None, 9000), "This model ends in the middle."),
        (slice(0, 0), "This is no DXF drawing: it has no sections."),
    ],
)
def test_a_drawing_that_is_cut_off_is_told(part: slice, says: str, tmp_path: Path) -> None:
    draw_plan(twite(), tmp_path / "house.dxf", 4, 1000.0, "arcs")
    (tmp_path / "cut.dxf").write_bytes((tmp_path / "house.dxf").read_bytes()[part])
    told = new(tmp_path, tmp_path / "cut.dxf", "--layer", "rooms")
    assert told.exit_code == 1
    assert says in told.output


def test_a_plan_in_a_wrong_unit_is_refused_and_in_the_right_one_a_house_type_that_checks(
    tmp_path: Path,
) -> None:
    house = twite()
    draw_plan(house, tmp_path / "house.dxf", 6, 1000.0, "blocks")
    told = new(tmp_path, tmp_path / "house.dxf", "--layer", "rooms")
    assert told.exit_code == 1
    assert (
        "Read in metres, its rooms are about 3.3 km wide. No home is like that.\n"
        "  Its numbers fit millimetres: add --unit millimetres, or have the model exported in its right unit."
    ) in told.output
    told = new(tmp_path, tmp_path / "house.dxf", "--layer", "rooms", "--unit", "millimetres")
    assert told.exit_code == 0, told.output
    assert "Checked: 0 errors" in told.output
    assert "the sills of windows: a plan does not say how high they are" in told.output
    text = (tmp_path / "w/housetypes/heron.yaml").read_text(encoding="utf-8")
    assert "width: 0.93  # INSERT.width A-DOOR-0/" in text
    back = yaml.safe_load(text)
    names = {room["name"]: room for room in back["rooms"].values()}
    for room in house["rooms"].values():
        if room.get("outline"):
            assert {tuple(map(float, each)) for each in names[room["name"]]["outline"]} == {
                tuple(map(float, each)) for each in room["outline"]
            }
            assert names[room["name"]]["kind"] == room["kind"]
