"""Cells of plots.csv are changed in their place; and what two people changed is merged."""

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.saving.changes import (
    AddRow,
    Body,
    Cells,
    Change,
    DropRow,
    Put,
    TakeOut,
    Whole,
    changed,
)
from builder.saving.merging import Contest, merged, merged_lines
from builder.saving.table_text import TableText
from builder.saving.yaml_text import UnchangeableError

TABLE = 'Plot;Address;Options;Completion\r\n07;"7 Mill; Lane";a+b;01/04/2026\r\n\r\n08;  8 Mill Lane ;;"2026-05-01"\r\n'
FILE = "developments/x/plots.csv"


def test_one_cell_changes_and_every_other_byte_stays() -> None:
    assert changed(FILE, TABLE, [Cells("08", {"completion": "2026-06-01"})]) == TABLE.replace('"2026-05-01"', "2026-06-01")  # fmt: skip
    assert changed(FILE, TABLE, [Cells("07", {"options": 'x;"y"'})]) == TABLE.replace("a+b", '"x;""y"""')  # fmt: skip


def test_a_row_is_added_and_dropped_and_a_new_column_widens_the_head() -> None:
    wider = changed(FILE, TABLE, [Cells("07", {"front_faces": "SW"})])
    assert wider == TABLE.replace("Completion", "Completion;front_faces").replace("01/04/2026", "01/04/2026;SW")  # fmt: skip
    assert changed(FILE, TABLE, [AddRow({"plot": "09", "address": "9 Mill Lane"})]) == TABLE + "09;9 Mill Lane;;\r\n"  # fmt: skip
    assert changed(FILE, TABLE, [DropRow("07")]) == TABLE.replace('07;"7 Mill; Lane";a+b;01/04/2026\r\n', "")  # fmt: skip


def test_a_row_that_is_not_there_is_refused() -> None:
    with pytest.raises(UnchangeableError, match=r"^The table has no row of plot '99'\.$"):
        changed(FILE, TABLE, [Cells("99", {"hand": "opposite"})])


CELLS = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")) | st.sampled_from(',;"\n'), max_size=8)  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(CELLS, CELLS), min_size=1, max_size=5), st.data())
def test_what_a_cell_is_set_to_is_read_by_any_reader_of_tables(rows: list[tuple[str, str]], data: st.DataObject) -> None:  # fmt: skip
    written = io.StringIO()
    csv.writer(written, lineterminator="\n").writerows(
        [("plot", "address", "postcode"), *((f"{n:02}", *row) for n, row in enumerate(rows))]
    )
    text = written.getvalue()
    number, value = data.draw(st.integers(0, len(rows) - 1)), data.draw(CELLS).strip()
    after = TableText(text).put(f"{number:02}", {"postcode": value}).text
    read = list(csv.reader(io.StringIO(after, newline="")))
    assert read[number + 1][2].strip() == value
    before = list(csv.reader(io.StringIO(text, newline="")))
    before[number + 1][2] = read[number + 1][2]
    assert read == before


YAML, PLOT = "a: 1  # one\nb: {c: 2, d: 3}\ne:\n  f: 4\n", "developments/x/plots/07.yaml"


def two(base: str, first: Change, second: Change, file: str = PLOT) -> object:
    now = changed(file, base, [first])
    return merged(file, base, now, [second])


def test_values_that_do_not_touch_are_merged() -> None:
    done = merged(PLOT, YAML, "a: 5  # one\nb: {c: 2, d: 3}\ne:\n  f: 4\n", [Put(("b", "c"), 9), Put(("e", "g"), 1)])  # fmt: skip
    assert done.text == "a: 5  # one\nb: {c: 9, d: 3}\ne:\n  f: 4\n  g: 1\n"


def test_a_value_that_both_changed_is_told_from_both_sides() -> None:
    found = merged(PLOT, YAML, YAML.replace("c: 2", "c: 7"), [Put(("b", "c"), 9)])
    assert found.text == YAML.replace("c: 2", "c: 9")
    assert found.contests == (Contest(PLOT, "b.c", 2, 7, 9),)


def test_the_same_change_of_both_is_no_contest() -> None:
    now = YAML.replace("c: 2", "c: 9")
    assert merged(PLOT, YAML, now, [Put(("b", "c"), 9)]).text == now


def test_what_its_author_left_alone_is_not_changed_back() -> None:
    now = YAML.replace("c: 2", "c: 7")
    assert merged(PLOT, YAML, now, [Put(("b", "c"), 2), Put(("a",), 9)]).text == now.replace("a: 1", "a: 9")  # fmt: skip


def test_what_was_taken_out_is_not_brought_back_by_half() -> None:
    now = "a: 1  # one\nb: {c: 2, d: 3}\n"
    found = merged(PLOT, YAML, now, [Put(("e", "g"), 1)])
    assert found.contests == (Contest(PLOT, "e", {"f": 4}, None, {"f": 4, "g": 1}),)


def test_a_whole_entry_is_not_taken_out_when_somebody_changed_it() -> None:
    found = merged(PLOT, YAML, YAML.replace("f: 4", "f: 5"), [TakeOut(("e",))])
    assert found.contests == (Contest(PLOT, "e", {"f": 4}, {"f": 5}, None),)


def test_cells_of_one_row_are_merged_and_told() -> None:
    now = changed(FILE, TABLE, [Cells("07", {"address": "7 Mill Row"})])
    done = merged(FILE, TABLE, now, [Cells("07", {"completion": "2026-04-02"})])
    assert done.text == changed(FILE, now, [Cells("07", {"completion": "2026-04-02"})])
    both = merged(FILE, TABLE, now, [Cells("07", {"address": "7 Mill Way"})])
    assert both.contests == (Contest(FILE, "07, address", "7 Mill; Lane", "7 Mill Row", "7 Mill Way"),)  # fmt: skip


ARTICLE = "---\ntitle: One\nsummary: Two\n---\nFirst.\n\nSecond.\n\nThird.\n"


def test_an_article_is_merged_by_lines_and_its_head_by_values() -> None:
    file = "content/articles/one.md"
    now = ARTICLE.replace("Third.", "Third, changed.").replace("Two", "Zwei")
    done = merged(file, ARTICLE, now, [Body("First, mine.\r\n\r\nSecond.\r\n\r\nThird.\r\n"), Put(("title",), "Eins")])  # fmt: skip
    assert done.text == "---\ntitle: Eins\nsummary: Zwei\n---\nFirst, mine.\n\nSecond.\n\nThird, changed.\n"  # fmt: skip
    both = merged(file, ARTICLE, now, [Body("First.\n\nSecond.\n\nThird, mine.\n")])
    assert both.contests == (Contest(file, "body", "Third.\n", "Third, changed.\n", "Third, mine.\n"),)  # fmt: skip


LINES = st.lists(st.sampled_from(["a\n", "b\n", "c\n", "d\n"]), max_size=8).map("".join)


@settings(max_examples=300, deadline=None)
@given(LINES, LINES, LINES)
def test_a_text_that_one_side_left_alone_is_the_other_sides(base: str, mine: str, theirs: str) -> None:  # fmt: skip
    assert merged_lines(base, mine, base) == (mine, [])
    assert merged_lines(base, base, theirs) == (theirs, [])
    assert merged_lines(base, mine, mine) == (mine, [])


@settings(max_examples=300, deadline=None)
@given(LINES, LINES, LINES)
def test_it_does_not_matter_who_saved_first(base: str, mine: str, theirs: str) -> None:
    text, contests = merged_lines(base, mine, theirs)
    other, turned = merged_lines(base, theirs, mine)
    assert bool(contests) == bool(turned)
    assert contests or text == other


def test_a_file_of_another_who_deleted_it_is_not_written_again() -> None:
    found = merged("content/articles/one.md", ARTICLE, None, [Whole("new")])
    assert [each.about for each in found.contests] == ["whole"]
