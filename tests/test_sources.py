"""Reading YAML and spreadsheets: scalars, places, separators and forms of date."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.errors import Findings, Place
from builder.model.people import Builder
from builder.sources.checking import check
from builder.sources.entry import along, plain
from builder.sources.table import header_of, read_plots
from builder.sources.yaml_reader import read_on, read_yaml


def yaml_of(text: str) -> object:
    findings = Findings()
    entry = read_yaml(text, "file.yaml", findings)
    assert not list(findings), list(map(str, findings))
    assert entry is not None
    return plain(entry)


# YAML 1.2 core schema, from memory: yaml.org/spec/1.2.2, example 10.9 and section 10.3.2.
@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("true", True),
        ("no", "no"),
        ("on", "on"),
        ("07", "07"),
        ("01632 960100", "01632 960100"),
        ("7", 7),
        ("-3", -3),
        ("0.5", 0.5),
        ("1e3", 1000.0),
        ("2026-03-31", "2026-03-31"),
        ("12:30", "12:30"),
        ('"24"', "24"),
        ("~", None),
        ("", None),
        ("123456789012345678901234", "123456789012345678901234"),
    ],
)
def test_scalars(written: str, value: object) -> None:
    assert yaml_of(f"key: {written}") == {"key": value}


def test_places_count_from_one() -> None:
    entry = read_yaml("a:\n  b: [1, 2]\n", "file.yaml", Findings(), first_line=5)
    assert entry is not None
    met = dict(along(entry, ("a", "b", 1)))
    assert met["a", "b"].named_at == Place("file.yaml", 6, 3)
    assert met["a", "b", 1].place == Place("file.yaml", 6, 10)


@given(st.text(max_size=200))
def test_no_text_makes_the_reader_fail(text: str) -> None:
    findings = Findings()
    entry = read_yaml(text, "file.yaml", findings)
    assert entry is not None or list(findings)


HEADER = "plot,address,postcode,house_type,hand,options,completion"
ROW = "7,7 Mill Lane,ZZ99 9ZZ,alder,opposite,car-charger+solar,31/03/2026"


def row_of(text: str, ignore: tuple[str, ...] = ()) -> object:
    findings = Findings()
    rows = read_plots(text, "plots.csv", ignore, findings)
    assert not list(findings), list(map(str, findings))
    assert rows is not None
    return plain(rows[0].entry)


EXPECTED = {
    "plot": {
        "number": "7",
        "address": "7 Mill Lane",
        "postcode": "ZZ99 9ZZ",
        "house_type": "alder",
        "hand": "opposite",
        "options": ["car-charger", "solar"],
        "completion": "2026-03-31",
    }
}


@pytest.mark.parametrize(
    "text",
    [
        f"{HEADER}\n{ROW}\n",
        f"{HEADER}\n{ROW}".replace(",", ";"),
        f"{HEADER}\n\n,,,,,,\n{ROW}\n",
        f"{HEADER}\n{ROW}".replace("31/03/2026", "2026-03-31"),
        f"{HEADER}\n{ROW}".replace("7 Mill Lane", '"7 Mill Lane"'),
        f"{HEADER}\n{ROW}".replace("house_type", "House type").replace("alder", " Alder "),
        f"{HEADER}\n{ROW}".replace("opposite", "Opp"),
        f"{HEADER}\n{ROW}".replace("car-charger+solar", '"Car charger, Solar"'),
        f"{HEADER}\n{ROW}".replace("completion", "Legal completion"),
    ],
)
def test_a_spreadsheet_in_its_many_forms(text: str) -> None:
    assert row_of(text) == EXPECTED


def test_columns_for_others_are_ignored() -> None:
    assert row_of(f"Buyer name,{HEADER}\nA. Body,{ROW}\n", ("buyer name",)) == EXPECTED


def test_a_cell_knows_its_line_and_column() -> None:
    text = f"{HEADER}\n{ROW.replace('7 Mill Lane', chr(34) + '7, Mill Lane' + chr(34))}\n"
    rows = read_plots(text, "plots.csv", (), Findings())
    assert rows is not None
    plot = rows[0].entry.children["plot"].children
    assert plot["address"].value == "7, Mill Lane"
    assert plot["address"].place == Place("plots.csv", 2, 3)
    assert plot["postcode"].place == Place("plots.csv", 2, 18)


def test_a_cell_of_two_lines_keeps_the_lines_after_it_right() -> None:
    text = f'{HEADER}\n1,"1 Mill\nLane",ZZ99 9ZZ,alder,opp,,\n{ROW}\n'
    rows = read_plots(text, "plots.csv", (), Findings())
    assert rows is not None
    assert rows[1].entry.place == Place("plots.csv", 4)


def test_the_header_in_the_builder_s_words() -> None:
    assert header_of("Plot number;Hand\n1;opp") == (("plot", "hand"), ";")


@given(st.text(max_size=200))
def test_no_text_makes_the_table_fail(text: str) -> None:
    read_plots(text, "plots.csv", (), Findings())
    read_plots(f"{HEADER}\n{text}", "plots.csv", (), Findings())


def test_a_quote_that_never_closes_is_a_finding() -> None:
    findings = Findings()
    read_plots(f'{HEADER}\n1,"1 Mill Lane{"x" * 200_000}', "plots.csv", (), findings)
    assert [(each.code, each.right) for each in findings] == [
        ("plots.syntax", "Look for a quote that opens and does not close.")
    ]


@pytest.mark.parametrize(
    ("written", "shown"),
    [("1.50", "1.50"), ("1e3", "1e3"), ("7", "7"), ("true", "true"), ("-0", "-0")],
)
def test_a_number_for_text_is_quoted_as_it_was_written(written: str, shown: str) -> None:
    findings = Findings()
    entry = read_yaml(f"name: {written}", "file.yaml", findings)
    assert entry is not None
    check(entry, Builder, findings)
    assert [each.right for each in findings] == [f'Put it in quotes: "{shown}".']


@pytest.mark.parametrize(
    "text",
    [
        "a: 1\na: 2\nb: [1, 2",
        "a: *x\nb: &x 1\n",
        "a: !!int x\n",
        "? [a]\n: 1\nb: 2\n",
        "a: 1\n---\nb: 2\n",
    ],
)
def test_what_can_be_read_is_read_on(text: str) -> None:
    findings = Findings()
    read = read_on(text, "file.yaml", findings)
    assert list(findings)
    assert read is None or set(read.entry.children) <= {"a", "b"}
