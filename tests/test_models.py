"""House types from building models: round trips of the demo's, and a model that nobody here drew."""

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner
from shapely import Polygon

from builder.cli import main
from builder.importers.models.draft import HouseTypeDraft
from builder.importers.models.housetype import kinds_of
from builder.importers.models.ifc import read_ifc
from builder.importers.models.making import MadeDraft, WantedHome, made
from builder.importers.models.words import Vocabulary
from builder.importers.models.writing import plain_of
from tests.written_models import FURNITURE, Style, read_house_type, write_model

ROOT = Path(__file__).parent.parent
DUPLEX = ROOT.parent / "shared" / "models"
HOUSES = ("bistort", "garganey", "melilot", "tormentil", "twite", "whimbrel")
STYLES = {
    "millimetres": Style(),
    "feet, turned": Style(schema="IFC2X3", unit=0.3048, angle=37.0, offset=(1250.5, -830.25, 0.0)),
    "metres, in the corner of a site": Style(unit=1.0, angle=-90.0, offset=(30.0, 12.0, 0.0)),
}
WORDS = Vocabulary.of(None)


def called() -> dict[str, str]:
    """What a program that speaks English calls each kind of equipment."""
    english = next(each for each in WORDS.languages if each.name == "English")
    return {kind: max(words, key=len) for kind, words in english.things.items()}


def read_back(house: Mapping[str, Any], folder: Path, style: Style) -> MadeDraft:
    path = folder / "house.ifc"
    write_model(house, path, style, called())
    return made(read_ifc(path, path.name, WORDS), WantedHome("House", kinds=kinds_of(ROOT)), WORDS)


def sections(draft: HouseTypeDraft) -> dict[str, dict[str, dict[str, Any]]]:
    return {
        section: {name: {key: plain_of(said.value) for key, said in entry.items()} for name, entry in entries.items()}
        for section, entries in draft.sections.items()
    }  # fmt: skip


def rooms_by_name(house: Mapping[str, Any], drawn: Mapping[str, Any]) -> dict[str, str]:
    """For each id of a room that is drawn in the one the id that it has in the other."""
    names = {room["name"]: name for name, room in drawn["rooms"].items()}
    ids = {
        name: names[room["name"]] for name, room in house["rooms"].items() if room.get("outline")
    }
    return {**ids, "outside": "outside", "corridor": "corridor"}


def corner_set(outline: Any) -> set[tuple[float, float]]:
    return {(float(x), float(y)) for x, y in outline}


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", HOUSES)
def test_a_house_type_comes_back_to_the_millimetre(name: str, style: str, tmp_path: Path) -> None:
    house = read_house_type(ROOT / "housetypes" / f"{name}.yaml")
    result = read_back(house, tmp_path, STYLES[style])
    drawn = sections(result.draft)
    assert result.draft.single["form"].value == house["form"]  # type: ignore[union-attr]
    if result.draft.single["form"].value == "apartment" and STYLES[style].angle:  # type: ignore[union-attr]
        return  # no door to the street says which way it looks; its own test turns it
    ids = rooms_by_name(house, drawn)
    for room, its in ids.items():
        if room in ("outside", "corridor"):
            continue
        said, back = house["rooms"][room], drawn["rooms"][its]
        assert corner_set(back["outline"]) == corner_set(said["outline"]), room
        assert back["kind"] == said["kind"], room
    for door in house["doors"].values():
        same_door(door, drawn, ids)
    for window in house["windows"].values():
        same_window(window, drawn, ids)
    for fitting in house.get("fittings", {}).values():
        same_fitting(fitting, drawn, ids)
    found = [piece for piece in house["equipment"].values() if is_written(piece, house)]
    assert len(found) > 25
    for piece in found:
        same_piece(piece, drawn, ids)


def same_door(door: Mapping[str, Any], drawn: Mapping[str, Any], ids: Mapping[str, str]) -> None:
    between = {ids[each] for each in door["between"]}
    if between == {"corridor", "outside"}:
        return  # the door of the building is in no model of the home
    beside = [each for each in drawn["doors"].values() if set(each["between"]) == between]
    if door.get("at") is None:
        assert [each["kind"] for each in beside] == ["opening"], door
        return
    back = next(each for each in beside if each.get("at") == door["at"])
    assert back["width"] == door.get("width", 0.76), door
    assert back.get("kind", "hinged") == door.get("kind", "hinged"), door
    assert back.get("hinge") == door.get("hinge"), door
    assert back.get("opens_into") == ids.get(str(door.get("opens_into"))), door


def same_window(
    window: Mapping[str, Any], drawn: Mapping[str, Any], ids: Mapping[str, str]
) -> None:
    room = ids[window["room"]]
    back = next(
        each
        for each in drawn["windows"].values()
        if each["room"] == room and each["at"] == window["at"]
    )
    assert back["width"] == window.get("width", 1.2)
    assert back.get("kind", "casement") == window.get("kind", "casement")
    assert back.get("sill") == window.get("sill")


def same_fitting(
    fitting: Mapping[str, Any], drawn: Mapping[str, Any], ids: Mapping[str, str]
) -> None:
    if fitting["drawn"] not in FURNITURE or "turn" in fitting:
        return
    room, at = ids[fitting["room"]], fitting["at"]
    back = [
        each
        for each in drawn["fittings"].values()
        if (each["drawn"], each["room"], each["at"]) == (fitting["drawn"], room, at)
    ]
    assert back, fitting
    if "size" in fitting:
        assert back[0]["size"] == fitting["size"], fitting


def is_written(piece: Mapping[str, Any], house: Mapping[str, Any]) -> bool:
    heats = piece["kind"] in ("panel-heater", "radiator", "towel-rail")
    drawn = house["rooms"].get(piece["room"], {}).get("outline")
    return bool(piece.get("at") and drawn and piece["kind"] in called() and not heats)


def same_piece(piece: Mapping[str, Any], drawn: Mapping[str, Any], ids: Mapping[str, str]) -> None:
    back = next(
        (each for each in drawn["equipment"].values()
         if each["kind"] == piece["kind"] and each["room"] == ids[piece["room"]] and each["at"] == piece["at"]), None,
    )  # fmt: skip
    assert back is not None, piece
    assert back.get("height") == piece.get("height")
    assert (back.get("make"), back.get("model")) == (piece.get("make"), piece.get("model"))


def test_rooms_that_end_at_their_walls_are_drawn_to_the_middle_and_keep_their_area(
    tmp_path: Path,
) -> None:
    house = read_house_type(ROOT / "housetypes" / "twite.yaml")
    drawn = sections(read_back(house, tmp_path, Style(wall=0.05)).draft)
    ids = rooms_by_name(house, drawn)
    by_floor: dict[str, list[Polygon]] = {}
    for room, its in ids.items():
        if room in ("outside", "corridor"):
            continue
        back = drawn["rooms"][its]
        outline = Polygon(back["outline"])
        by_floor.setdefault(back["floor"], []).append(outline)
        said = Polygon(house["rooms"][room]["outline"]).buffer(-0.05, join_style="mitre")
        assert back.get("area", outline.area) == pytest.approx(said.area, abs=0.06), room
    for outlines in by_floor.values():
        together = outlines[0]
        for each in outlines[1:]:
            assert together.intersection(each).area < 1e-6
            together = together.union(each)
        assert together.geom_type == "Polygon"
        assert not list(together.interiors)


@cache
def duplex(home: str) -> MadeDraft:
    from builder.importers.models.making import together  # noqa: PLC0415

    models = [
        read_ifc(DUPLEX / f"duplex-{name}.ifc", name, WORDS)
        for name in ("architecture", "electrical")
    ]
    return made(together(models), WantedHome("Duplex", home, kinds=kinds_of(ROOT)), WORDS)


needs_duplex = pytest.mark.skipif(not DUPLEX.is_dir(), reason="the model is not in this clone")
AREAS = {"A101": 15.59, "A102": 27.66, "A103": 12.95, "A104": 3.16, "A201": 6.89, "A202": 22.04, "A203": 22.04,
         "A204": 4.73, "A205": 1.42, "A105": 3.80}  # fmt: skip
"""Square metres of the rooms of home A, as an independent library of geometry measured them."""


@needs_duplex
def test_the_areas_of_the_duplex_are_those_that_others_measured() -> None:
    for room in duplex("A").home.rooms:
        assert room.shape.area == pytest.approx(AREAS[room.space.number], abs=0.02)
    for room in duplex("B").home.rooms:
        assert room.shape.area == pytest.approx(AREAS["A" + room.space.number[1:]], abs=0.025)


@needs_duplex
def test_what_is_in_the_duplex_is_in_the_right_rooms() -> None:
    found = {
        home: sorted((entry["kind"].value, entry["room"].value) for entry in duplex(home).draft.entries("equipment").values())
        for home in ("A", "B")
    }  # fmt: skip
    for home in ("A", "B"):
        rooms = duplex(home).draft.entries("rooms")
        kinds = [
            (kind, rooms[room]["kind"].value) for kind, room in found[home] if room != "outside"
        ]
        assert [room for kind, room in kinds if kind == "smoke-alarm"] == [
            "bedroom",
            "bedroom",
            "hall",
        ]
        assert [room for kind, room in kinds if kind == "room-thermostat"] == ["living"]
        assert [each["kind"].value for each in rooms.values()].count("stairs") == 1
        assert [room for kind, room in kinds if kind == "consumer-unit"] == ["hall"]
        assert [room for kind, room in kinds if kind == "gas-combination-boiler"] == ["utility"]


@needs_duplex
def test_the_homes_of_the_duplex_are_alike_room_by_room() -> None:
    """B is A turned half round, and of the same hand: turning moves every corner to its own, mirroring moves none."""
    alike = {each.other: each for each in duplex("A").alike}
    assert (alike["B"].mirrored, alike["B"].turned) == (False, 180)
    one, other = sections(duplex("A").draft), sections(duplex("B").draft)
    pairs = {"stair": "room"}
    for name, room in one["rooms"].items():
        mine, its = (
            Polygon(room["outline"]),
            Polygon(other["rooms"][pairs.get(name, name)]["outline"]),
        )
        assert mine.symmetric_difference(its).area < 0.35, name


@needs_duplex
def test_the_duplex_checks_and_builds_at_once(tmp_path: Path) -> None:
    run = CliRunner(catch_exceptions=False)
    where = ["--workspace", str(tmp_path)]
    assert run.invoke(main, ["new", "development", "riverside", *where]).exit_code == 0
    told = run.invoke(main, [
        "new", "housetype", "duplex", *where, "--home", "A", "--report", "json",
        "--from", str(DUPLEX / "duplex-architecture.ifc"), "--from", str(DUPLEX / "duplex-electrical.ifc"),
    ])  # fmt: skip
    assert told.exit_code == 0, told.output
    report = json.loads(told.stdout)
    assert {each["origin"]["file"] for each in report["values"] if each["origin"]} == {
        "duplex-architecture.ifc",
        "duplex-electrical.ifc",
    }
    assert run.invoke(main, ["new", "plot", "riverside/01", *where]).exit_code == 0
    checked = run.invoke(main, ["check", *where])
    assert checked.exit_code == 0, checked.output
    why = run.invoke(main, ["why", "riverside/01", "rooms.foyer.kind", *where])
    assert (
        "from the model (duplex-architecture.ifc: IfcSpace.LongName 0BTBFw6f90Nfh9rP1dlXrr; guessed: by the word 'foyer')"
        in why.output
    )


def test_two_homes_that_are_mirror_images_are_told_apart_and_found_alike(tmp_path: Path) -> None:
    house = read_house_type(ROOT / "housetypes" / "twite.yaml")
    first, second = tmp_path / "a.ifc", tmp_path / "b.ifc"
    write_model(house, first, Style(prefix="A"), called())
    write_model(house, second, Style(prefix="B", mirrored=True, offset=(20.0, 0.0, 0.0)), called())
    from dataclasses import replace  # noqa: PLC0415

    one, other = (read_ifc(path, path.name, WORDS) for path in (first, second))
    both = replace(one, spaces=(*one.spaces, *other.spaces), doors=(*one.doors, *other.doors),
                   windows=(*one.windows, *other.windows), things=(*one.things, *other.things))  # fmt: skip
    result = made(both, WantedHome("Twite", "A", kinds=kinds_of(ROOT)), WORDS)
    assert [each.name for each in result.homes] == ["A", "B"]
    assert [(each.other, each.mirrored) for each in result.alike] == [("B", True)]
    assert len(result.draft.entries("equipment")) == len(
        read_back(house, tmp_path, Style()).draft.entries("equipment")
    )


def test_an_update_changes_what_the_model_says_and_nothing_that_a_person_wrote(
    tmp_path: Path,
) -> None:
    run, workspace = CliRunner(catch_exceptions=False), tmp_path / "workspace"
    where = ["--workspace", str(workspace)]
    house = read_house_type(ROOT / "housetypes" / "twite.yaml")
    model = tmp_path / "house.ifc"
    write_model(house, model, Style(), called())
    assert run.invoke(main, ["new", "development", "riverside", *where]).exit_code == 0
    assert (
        run.invoke(main, ["new", "housetype", "heron", *where, "--from", str(model)]).exit_code == 0
    )
    file = workspace / "housetypes" / "heron.yaml"
    again = run.invoke(main, ["update", "housetype", "heron", *where, "--from", str(model)])
    assert "The model says what it said before. Nothing was changed." in again.output
    mine = file.read_text(encoding="utf-8").replace(
        "name: Kitchen window", "name: The window over the sink"
    )
    mine = mine.replace("  kitchen:", "  # The kitchen is ours.\n  kitchen:", 1)
    file.write_text(mine, encoding="utf-8")
    house["windows"]["kitchen-window"]["at"] = [3.2, 0]
    house["doors"]["kitchen-door"]["width"] = 0.84
    write_model(house, model, Style(), called())
    told = run.invoke(main, ["update", "housetype", "heron", *where, "--from", str(model)])
    assert told.exit_code == 0, told.output
    now = yaml.safe_load(file.read_text(encoding="utf-8"))
    assert now["windows"]["kitchen-window"] == {
        "name": "The window over the sink",
        "room": "kitchen",
        "at": [3.2, 0],
        "width": 1.2,
        "sill": 1.05,
    }
    assert now["doors"]["kitchen-door"]["width"] == 0.84
    before, after = mine.splitlines(), file.read_text(encoding="utf-8").splitlines()
    assert len(before) == len(after)
    assert sum(one != other for one, other in zip(before, after, strict=True)) == 2
    assert "2 changes made, 0 kept as a person wrote it." in told.output


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "error model.not-ifc"),
        (b"%PDF-1.7 a drawing", "error model.not-ifc"),
        (b"PK\x03\x04zipped", "This model is packed as a ZIP file."),
        (b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n#1=IFCSPACE(", "This model ends in the middle."),
        (
            b"ISO-10303-21;\nHEADER;\nFILE_SCHEMA(('IFC9'));\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n",
            "error model.unreadable",
        ),
    ],
)
def test_what_is_no_model_is_refused_in_plain_words(
    content: bytes, says: str, tmp_path: Path
) -> None:
    (tmp_path / "house.ifc").write_bytes(content)
    told = CliRunner().invoke(
        main,
        [
            "new",
            "housetype",
            "heron",
            "--workspace",
            str(tmp_path / "w"),
            "--from",
            str(tmp_path / "house.ifc"),
        ],
    )
    assert told.exit_code == 1
    assert says in told.output
    assert "Traceback" not in told.output
    assert not (tmp_path / "w" / "housetypes").exists()
