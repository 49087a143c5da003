"""Models of other makes: without spaces, in other languages, overlapping, huge, and drawings in DXF."""

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner, Result
from shapely import Polygon

from builder.cli import main
from builder.errors import Findings
from builder.importers.models.draft import identifier
from builder.importers.models.drawn import ModelOrigin, Wall
from builder.importers.models.housetype import kinds_of
from builder.importers.models.ifc import read_ifc
from builder.importers.models.making import MadeDraft, WantedHome, made
from builder.importers.models.own_words import ModelWordsFile
from builder.importers.models.reading import read_here
from builder.importers.models.request import ModelRequest
from builder.importers.models.walled import with_rooms
from builder.importers.models.words import _SHIPPED as SHIPPED_WORDS
from builder.importers.models.words import _by_class as by_class
from builder.importers.models.words import _language as language_of
from builder.importers.models.words import _shipped as read_shipped
from builder.sources.entry import plain
from builder.sources.folder import Folder
from builder.sources.reading import read_file
from tests.test_models import ROOT, WORDS, called, sections
from tests.written_models import Style, read_house_type, write_model

GERMAN = {
    "hall": "Diele", "understairs": "Abstellraum", "kitchen": "Küche", "toilet": "Gäste-WC", "living": "Wohnen/Essen",
    "living-cupboard": "Kammer", "landing": "Flur OG", "bedroom-1": "Schlafzimmer 1", "bathroom": "Bad",
    "bedroom-2": "Kinderzimmer 2", "plant": "Technikraum",
}  # fmt: skip
KINDS = {
    "Hall": "hall", "Cupboard 1": "cupboard", "Kitchen": "kitchen", "Toilet": "toilet", "Living room": "living",
    "Cupboard 2": "cupboard", "Landing": "landing", "Bedroom 1": "bedroom", "Bathroom": "bathroom",
    "Bedroom 2": "bedroom", "Plant cupboard": "plant",
}  # fmt: skip


def run(*arguments: str) -> Result:
    return CliRunner(catch_exceptions=False).invoke(main, list(arguments))


def new(tmp_path: Path, model: Path, *more: str) -> Result:
    where = ("--workspace", str(tmp_path / "w"))
    run("new", "development", "riverside", *where)
    return run("new", "housetype", "heron", "--from", str(model), *where, *more)


def twite() -> dict[str, Any]:
    return read_house_type(ROOT / "housetypes" / "twite.yaml")


def read_made(path: Path) -> MadeDraft:
    return made(
        with_rooms(read_ifc(path, path.name, WORDS)),
        WantedHome("House", kinds=kinds_of(ROOT)),
        WORDS,
    )


def test_a_model_in_german_and_centimetres_becomes_an_english_house(tmp_path: Path) -> None:
    words = {"smoke-alarm": "Rauchwarnmelder", "consumer-unit": "Sicherungskasten", "stopcock": "Hauptabsperrhahn",
             "room-thermostat": "Raumthermostat", "fridge-freezer": "Kühlschrank"}  # fmt: skip
    write_model(
        twite(), tmp_path / "haus.ifc", Style(unit=0.01, names=GERMAN, wall=0.06, angle=12.5), words
    )
    told = new(tmp_path, tmp_path / "haus.ifc")
    assert told.exit_code == 0, told.output
    assert "Checked: 0 errors" in told.output
    house = yaml.safe_load((tmp_path / "w/housetypes/heron.yaml").read_text(encoding="utf-8"))
    assert {room["name"]: room["kind"] for room in house["rooms"].values()} == KINDS
    assert sorted(piece["kind"] for piece in house["equipment"].values()) == [
        "consumer-unit", "fridge-freezer", "room-thermostat", "smoke-alarm", "smoke-alarm", "stopcock",
    ]  # fmt: skip


def test_rooms_are_made_from_walls_where_they_close(tmp_path: Path) -> None:
    house = twite()
    write_model(house, tmp_path / "house.ifc", Style(), called())
    drawing = read_ifc(tmp_path / "house.ifc", "house.ifc", WORDS)
    walls = []
    for room in house["rooms"].values():
        if room.get("outline"):
            above = float(house["floors"][room["floor"]].get("above_ground", 0))
            for one, other in zip(
                room["outline"], [*room["outline"][1:], room["outline"][0]], strict=True
            ):
                x0, x1, y0, y1 = *sorted((one[0], other[0])), *sorted((one[1], other[1]))
                ring = (
                    (x0 - 0.05, y0 - 0.05),
                    (x1 + 0.05, y0 - 0.05),
                    (x1 + 0.05, y1 + 0.05),
                    (x0 - 0.05, y1 + 0.05),
                )
                walls.append(
                    Wall(ring, above, above + 2.4, ModelOrigin("IfcWall", "w", "", "house.ifc"))
                )
    walled = with_rooms(replace(drawing, spaces=(), walls=tuple(walls)))
    assert (
        "The model draws no spaces: 11 rooms were made where its 52 walls close." in walled.faults
    )
    result = made(walled, WantedHome("House", kinds=kinds_of(ROOT)), WORDS)
    drawn = sections(result.draft)
    sizes = sorted(round(Polygon(room["outline"]).area, 1) for room in drawn["rooms"].values())
    said = sorted(
        round(Polygon(room["outline"]).area, 1)
        for room in house["rooms"].values()
        if room.get("outline")
    )
    assert sizes == pytest.approx(said, abs=0.9)
    kinds = [room["kind"] for room in drawn["rooms"].values()]
    assert kinds.count("kitchen") == 1
    assert kinds.count("bathroom") == 1
    assert kinds.count("toilet") == 1


def test_a_model_without_spaces_and_walls_says_so(tmp_path: Path) -> None:
    house = twite()
    house["rooms"] = {name: {**room, "outline": None} for name, room in house["rooms"].items()}
    house["doors"], house["windows"] = {}, {}
    write_model(house, tmp_path / "house.ifc")
    told = new(tmp_path, tmp_path / "house.ifc")
    assert told.exit_code == 1
    assert "It has no spaces, and no walls that close round a room." in told.output


def test_spaces_that_overlap_are_told_and_drawn_apart(tmp_path: Path) -> None:
    house = twite()
    house["rooms"]["kitchen"]["outline"] = [[1.8, 0], [4.4, 0], [4.4, 3.3], [1.8, 3.3]]
    write_model(house, tmp_path / "house.ifc", Style(), called())
    result = read_made(tmp_path / "house.ifc")
    assert any(
        re.search(
            r"'1 Hall' .*'3 Kitchen' .*overlap by 0\.66 m²; the smaller of them keeps it\.", each
        )
        for each in result.draft.noticed
    ), result.draft.noticed
    rooms = [
        Polygon(room["outline"])
        for room in sections(result.draft)["rooms"].values()
        if room["floor"] == "ground"
    ]
    for i, one in enumerate(rooms):
        assert all(one.intersection(other).area < 0.001 for other in rooms[i + 1 :])


def test_a_door_to_nowhere_and_a_room_without_a_door_leave_a_house_that_checks(
    tmp_path: Path,
) -> None:
    house = twite()
    del (
        house["doors"]["bathroom-door"],
        house["doors"]["front-door"],
        house["doors"]["french-doors"],
    )
    write_model(house, tmp_path / "house.ifc", Style(), called())
    told = new(tmp_path, tmp_path / "house.ifc")
    assert "no door of the model leads here" in told.output
    assert "the model shows no door to the outside" in told.output
    assert "Checked: 0 errors" in told.output, told.output


def test_the_reader_of_models_is_bounded_and_a_file_that_stops_it_is_a_finding(
    tmp_path: Path,
) -> None:
    broken = tmp_path / "house.ifc"
    write_model(twite(), broken, Style(), called())
    text = broken.read_text(encoding="utf-8")
    broken.write_text(
        re.sub(r"IFCEXTRUDEDAREASOLID\(#\d+", "IFCEXTRUDEDAREASOLID($", text), encoding="utf-8"
    )
    told = new(tmp_path, broken)
    assert told.exit_code == 1
    assert "Traceback" not in told.output
    assert "It has no spaces, and no walls that close round a room." in told.output
    drawing, _ = read_here(broken, WORDS, ModelRequest((broken,)))
    assert drawing is not None
    assert any("cannot be worked out" in each for each in drawing.faults)


@pytest.mark.parametrize(
    "rooms",
    [
        ("Przedpokój", "Kuchnia", "Salon", "Łazienka", "Sypialnia 1", "Pom. techniczne"),
        ("Předsíň", "Kuchyň", "Obývací pokoj", "Koupelna", "Ložnice 1", "Technická místnost"),
        ("Előszoba", "Konyha", "Nappali", "Fürdőszoba", "Hálószoba", "Gépészet"),
        ("Entrée", "Cuisine", "Séjour", "Salle de bains", "Chambre 1", "Local technique"),
        ("Entré", "Kök", "Vardagsrum", "Badrum", "Sovrum 1", "Teknikrum"),
        ("Ingresso", "Cucina", "Soggiorno", "Bagno", "Camera 1", "Locale tecnico"),
        ("Hal", "Keuken", "Woonkamer", "Badkamer", "Slaapkamer 1", "Technische ruimte"),
    ],
    ids=["polish", "czech", "hungarian", "french", "swedish", "italian", "dutch"],
)  # fmt: skip
def test_rooms_are_known_by_what_programs_of_other_countries_call_them(
    rooms: tuple[str, ...],
) -> None:
    heard = [WORDS.speaking(rooms).room([each]) for each in rooms]
    assert [each.kind if each else None for each in heard] == [
        "hall", "kitchen", "living", "bathroom", "bedroom", "plant",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "written"),
    [
        ("Przedpokój", "przedpokoj"), ("Küche 1", "kueche-1"), ("Łazienka", "lazienka"),
        ("Fürdőszoba", "fuerdoszoba"), ("Stairs/Hall", "stairs-hall"), ("厨房", "room"),
    ],
)  # fmt: skip
def test_an_id_is_written_in_plain_letters(name: str, written: str) -> None:
    assert identifier(name, "room") == written


def test_tables_that_ship_say_the_same_to_both_readers() -> None:
    """A fast reader takes those that ship, a careful one those that people write."""
    for path in SHIPPED_WORDS.glob("*.yaml"):
        findings = Findings()
        read = read_file(Folder(SHIPPED_WORDS), path, ModelWordsFile, findings)
        assert read is not None
        assert list(findings) == []
        fast, careful = read_shipped(path), plain(read.entry)
        assert [by_class(each) for each in fast.get("classes") or ()] == [
            by_class(each) for each in careful.get("classes") or ()
        ]
        if fast.get("language"):
            assert language_of(fast) == language_of(careful), path.name
