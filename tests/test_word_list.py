"""The words that a reader's telephone fetches: whatever pages have is read back as it was."""

import json

from hypothesis import given
from hypothesis import strategies as st

from builder.writers.site.script_data import all_words, row_of, rows_in

WORDS = st.sets(st.text("abcdefghij0123456789", min_size=1, max_size=6), min_size=1, max_size=12)


@given(st.lists(WORDS, min_size=1, max_size=60))
def test_rows_are_read_back_as_they_were(pages: list[set[str]]) -> None:
    rows = {
        f"page-{number}/": row_of(f"page-{number}/", "A title", "It's said.", " ".join(words), ["one", "two"])
        for number, words in enumerate(pages)
    }  # fmt: skip
    assert rows_in(all_words(rows.values())) == rows


def test_steps_are_written_as_the_script_reads_them() -> None:
    """Page 1, and 39 pages on: 1, and 1 times 36 with 3 more."""
    rows = [row_of(f"{each}/", "", "", "tap" if each in (0, 39) else "other") for each in range(40)]
    lines = json.loads(all_words(rows))["words"].split("\n")
    assert lines[-1] == "tap 1B3"
