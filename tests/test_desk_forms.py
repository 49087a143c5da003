"""Forms made from the model's own types: what each field holds, and which changes are read from it."""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import get_origin

import pytest
from pydantic import BaseModel

from builder.desk.asked import Asked, Who
from builder.desk.forms.fields import Field, fields_of, titles_of
from builder.desk.forms.reading import as_sent, changes_of, id_from
from builder.desk.forms.words import CALLED, HELP
from builder.desk.pages import field_called, file_in_words, with_field_called
from builder.desk.rooms.changes import FACTS, SECTIONS
from builder.model.equipment import Equipment
from builder.model.handover import Handover
from builder.model.home import Home
from builder.model.shape import bare, child_type, type_at
from builder.model.shape import fields as fields_in
from builder.preparing import prepare
from builder.saving.changes import Put, TakeOut
from tests.conftest import COTTAGE

WHO = Who("technical")


@pytest.fixture(scope="module")
def home() -> Home:
    return prepare(COTTAGE, ["riverside/01"], date(2026, 3, 2)).homes["riverside/01"].traced.home


def asked(was: dict[str, str], now: dict[str, str | tuple[str, ...]]) -> Asked:
    form = {f"was.{name}": (value,) for name, value in was.items()}
    sent = {name: value if isinstance(value, tuple) else (value,) for name, value in now.items()}
    return Asked(WHO, "/", form={**form, **sent})


def read(fields: tuple[Field, ...], was: dict[str, str], now: dict[str, str | tuple[str, ...]]) -> tuple[object, ...]:  # fmt: skip
    request = asked(was, now)
    return changes_of(as_sent(fields, request), request)


def test_a_field_is_what_its_type_says(home: Home) -> None:
    fields = {each.name: each for each in fields_of(Equipment, ("equipment", "stopcock"), {"kind": "stopcock", "at": [2.5, 4.8]}, home, {})}  # fmt: skip
    assert fields["equipment.stopcock.room"].sort == "choice"
    assert dict(fields["equipment.stopcock.room"].choices)["kitchen"] == "Kitchen"
    assert (fields["equipment.stopcock.at"].sort, fields["equipment.stopcock.at"].value) == ("point", "2.5, 4.8")  # fmt: skip
    assert (fields["equipment.stopcock.height"].sort, fields["equipment.stopcock.height"].unit) == ("number", "metres")  # fmt: skip
    assert fields["equipment.stopcock.needs_mains"].sort == "yes"
    assert fields["equipment.stopcock.registered"].sort == "day"
    handover = {each.name: each for each in fields_of(Handover, ("handover",), {}, home, {("handover", "keys"): {"front": "Front door"}})}  # fmt: skip
    assert (handover["handover.keys.front"].label, handover["handover.keys.front"].sort) == ("Front door", "whole")  # fmt: skip
    assert "ventilation-engineer" in dict(handover["handover.commissioning.water.by"].choices)


def test_fields_are_called_what_who_has_never_seen_one_understands(home: Home) -> None:
    fields = {each.path[-1]: each for each in fields_of(Equipment, ("equipment", "stopcock"), {}, home, {})}  # fmt: skip
    assert fields["at"].label == "Place on the plan"
    assert fields["at"].help == "Metres as drawn: across, then back, as in 3.3, 0.2."
    assert fields["served_by"].label == "Who services and mends it"
    assert (fields["make"].label, fields["make"].help) == ("Make", "")
    every = {name for section in SECTIONS for name in _names_in(child_type(type_at(Home, (section,)), ""))}  # fmt: skip
    assert CALLED.keys() | HELP.keys() <= every | set(FACTS), (
        "each word is of a field that is there"
    )


def test_what_is_called_the_same_is_told_apart_by_its_room_or_its_id(home: Home) -> None:
    alarm = home.equipment["stopcock"].model_copy(update={"name": "Alarm"})
    other = alarm.model_copy(update={"room": "hall"})
    two = home.model_copy(update={"equipment": {"one": alarm, "two": other}})
    assert titles_of(two, "equipment") == {"one": "Alarm, Kitchen", "two": "Alarm, Hall"}
    three = home.model_copy(update={"equipment": {"one": alarm, "two": other, "three": alarm}})
    assert titles_of(three, "equipment") == {"one": "Alarm, Kitchen (one)", "two": "Alarm, Hall", "three": "Alarm, Kitchen (three)"}  # fmt: skip
    assert titles_of(home, "equipment")["stopcock"] == "Stopcock"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("content/articles/water/turning-off.md", "the article “turning off”"),
        ("developments/mill-lane/plots/09.yaml", "what is written of plot 09 alone"),
        ("developments/mill-lane/development.yaml", "the development mill lane"),
        ("housetypes/standard.yaml", "the builder's standard"),
        ("housetypes/options/car-charger.yaml", "the option car charger"),
        ("housetypes/heron.yaml", "the house type heron"),
        ("the builder itself", "the builder itself"),
    ],
)
def test_a_file_is_told_by_what_it_holds(name: str, words: str) -> None:
    assert file_in_words(name) == words


def test_fields_of_a_spreadsheet_are_told_in_words() -> None:
    assert field_called("house_type") == "House type"
    assert field_called("serials.boiler") == "Serials → Boiler"
    assert with_field_called("house_type: There is no house type 'x'.") == "House type: There is no house type 'x'."  # fmt: skip
    assert with_field_called("Plot '3' stands in row 4 already.") == "Plot '3' stands in row 4 already."  # fmt: skip


def _names_in(annotation: object) -> Iterator[str]:
    record = bare(annotation)
    if isinstance(record, type) and issubclass(record, BaseModel):
        for name, info in fields_in(record).items():
            yield name
            yield from _names_in(child_type(info.rebuild_annotation(), ""))


def test_only_what_differs_is_a_change() -> None:
    number, text = Field(("a", "n"), "n", "number"), Field(("a", "t"), "t", "text")
    assert read((number, text), {"a.n": "1.5", "a.t": "old"}, {"a.n": "1.5", "a.t": "new"}) == (Put(("a", "t"), "new"),)  # fmt: skip
    assert read((number, text), {"a.n": "1.5", "a.t": "old"}, {"a.n": "2", "a.t": "old"}) == (Put(("a", "n"), 2),)  # fmt: skip
    assert read((number,), {"a.n": "1.5"}, {"a.n": "many"}) == (Put(("a", "n"), "many"),)


def test_what_is_emptied_goes_with_what_is_empty_then() -> None:
    fields = tuple(Field(("meters", "water", each), each, "text") for each in ("reading", "day"))
    was = {"meters.water.reading": "1", "meters.water.day": "2026-03-01"}
    assert read(fields, was, {"meters.water.reading": "", "meters.water.day": ""}) == (TakeOut(("meters",)),)  # fmt: skip
    assert read(fields, was, {"meters.water.reading": "", "meters.water.day": "2026-03-01"}) == (TakeOut(("meters", "water", "reading")),)  # fmt: skip


def test_the_order_of_several_is_no_change() -> None:
    field = (Field(("rooms",), "rooms", "several", "b+a", (("a", "A"), ("b", "B"), ("c", "C"))),)
    assert read(field, {"rooms": "b+a"}, {"rooms": ("a", "b")}) == ()
    assert read(field, {"rooms": "b+a"}, {"rooms": ("a", "c")}) == (Put(("rooms",), ["a", "c"]),)
    assert read(field, {"rooms": "b+a"}, {}) == (TakeOut(("rooms",)),)


def test_yes_no_points_and_words_are_values() -> None:
    sorts = {"y": "yes", "p": "point", "c": "points", "w": "words"}
    fields = tuple(Field((name,), name, sort) for name, sort in sorts.items())  # type: ignore[arg-type]
    sent = {"y": "no", "p": "0.5, 2", "c": "0, 0; 3, 0; 3, 2.5", "w": "old-tap, other"}
    values = (False, [0.5, 2], [[0, 0], [3, 0], [3, 2.5]], ["old-tap", "other"])
    assert read(fields, dict.fromkeys(sorts, ""), sent) == tuple(Put((name,), value) for name, value in zip(sorts, values, strict=True))  # fmt: skip


def test_everything_of_a_thing_that_a_plot_may_differ_in_has_a_field(home: Home) -> None:
    """But for the condition of a contact: a plot is one home, and nobody asks which."""
    left_out = []
    for section in SECTIONS:
        record = bare(child_type(type_at(Home, (section,)), "x"))
        shown = {each.path[2] for each in fields_of(record, (section, "x"), {}, home, {})}
        mappings = {name for name, info in fields_in(record).items() if get_origin(bare(info.rebuild_annotation())) is Mapping}  # fmt: skip
        left_out += [f"{section}.{name}" for name in fields_in(record) if name not in shown | mappings]  # fmt: skip
    assert left_out == ["contacts.when"]


def test_only_what_a_new_thing_must_have_is_needed(home: Home) -> None:
    def needed(*, required: bool) -> set[str]:
        found = fields_of(Equipment, ("equipment", "x"), {}, home, {}, required=required)
        return {each.path[-1] for each in found if each.required}

    assert needed(required=True) == {name for name, info in fields_in(Equipment).items() if info.is_required()}  # fmt: skip
    assert needed(required=False) == set()


def test_an_id_is_made_from_words_and_is_not_taken() -> None:
    assert id_from("Outside tap, by the shed!", ()) == "outside-tap-by-the-shed"
    assert id_from("Outside tap", {"outside-tap", "outside-tap-2"}) == "outside-tap-3"
    assert id_from("", ()) == id_from("…", ()) == "new"
    assert len(id_from("long" * 40, ())) == 58
