"""Forms made from the model's own types: what each field holds, and which changes are read from it."""

from datetime import date

import pytest

from builder.desk.asked import Asked, Who
from builder.desk.forms.fields import Field, fields_of
from builder.desk.forms.reading import as_sent, changes_of
from builder.model.equipment import Equipment
from builder.model.handover import Handover
from builder.model.home import Home
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


def test_yes_no_and_a_point_are_values() -> None:
    fields = (Field(("y",), "y", "yes"), Field(("p",), "p", "point"))
    assert read(fields, {"y": "", "p": ""}, {"y": "no", "p": "0.5, 2"}) == (Put(("y",), False), Put(("p",), [0.5, 2]))  # fmt: skip
