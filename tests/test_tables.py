"""Tables for spreadsheets: what stands in a cell comes back from it, and begins no formula."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.tables import for_a_spreadsheet, lines_of

CELLS = ["a\rb", "a\nb", "a\r\nb", "\r", 'a "b" c', "a,b;c", "", " a", "'", "é\u2028", "0", "a\tb"]


@pytest.mark.parametrize("delimiter", [",", ";"])
def test_a_cell_comes_back_as_it_was(delimiter: str) -> None:
    rows = [[each, "next"] for each in CELLS]
    text = lines_of(rows, delimiter)
    assert list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)) == rows


@given(st.lists(st.lists(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")),
                         min_size=2, max_size=3), max_size=4))  # fmt: skip
def test_any_cell_comes_back(rows: list[list[str]]) -> None:
    text = lines_of(rows)
    assert list(csv.reader(io.StringIO(text, newline=""), strict=True)) == rows


def test_a_lone_carriage_return_ends_no_row() -> None:
    """Before Python 3.13 the library writes it bare."""
    assert lines_of([["a\rb", "c"]]) == '"a\rb","c"\n'


@pytest.mark.parametrize(
    "cell", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", " =1", "\uff1d1", "\uff201"]
)
def test_no_cell_of_an_export_begins_a_formula(cell: str) -> None:
    (row,) = csv.reader(io.StringIO(for_a_spreadsheet([[cell, "a-b"]])[1:], newline=""))
    assert row == [f"'{cell}", "a-b"]
