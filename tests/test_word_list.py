"""The words that a reader's telephone fetches: what pages have stands in it, and what some have anew."""

import json
import re

from hypothesis import given
from hypothesis import strategies as st

from builder.writers.site.script_data import WordRow, all_words, row_of, with_other_rows

WORDS = st.sets(st.text("abcdefghij0123456789", min_size=1, max_size=6), min_size=1, max_size=12)
PAGES = st.lists(WORDS, min_size=1, max_size=60)


def rows_of(pages: list[set[str]], title: str = "A title") -> list[WordRow]:
    return [
        row_of(f"page-{number}/", title, "It's said.", " ".join(words), ["one", "two"])
        for number, words in enumerate(pages)
    ]


def words_in(content: bytes) -> dict[str, set[str]]:
    """The words of each page by its address, read as the script of a guide reads them."""
    listed = json.loads(content)
    pages = [address for address, *_ in listed["pages"]]
    found: dict[str, set[str]] = {address: set() for address in pages}
    for line in listed["words"].split("\n"):
        word, steps = line.split(" ")
        number = 0
        for letters, digit in re.findall("([A-Z]*)([0-9a-z])", steps):
            more = 0
            for letter in letters:
                more = more * 26 + ord(letter) - ord("A")
            number += more * 36 + int(digit, 36)
            found[pages[number - 1]].add(word)
    return found


@given(PAGES)
def test_each_page_has_its_words(pages: list[set[str]]) -> None:
    read = words_in(all_words(rows_of(pages)))
    assert read == {f"page-{number}/": words for number, words in enumerate(pages)}


@given(PAGES, st.data())
def test_some_pages_have_other_words(pages: list[set[str]], data: st.DataObject) -> None:
    """The list is then, byte for byte, what it would be if it were written anew."""
    rows = rows_of(pages)
    changed = data.draw(st.sets(st.integers(0, len(pages) - 1)))
    others = {each: rows_of([set()] * each + [data.draw(WORDS)], "Other")[each] for each in changed}
    addresses = [each.address for each in rows]
    anew = all_words(others.get(number, each) for number, each in enumerate(rows))
    assert with_other_rows(all_words(rows), addresses, others.values()) == anew


def test_a_list_of_other_pages_is_not_changed() -> None:
    """Another page, one more, or the same in another order: such a list is written anew."""
    content = all_words(rows_of([{"tap"}, {"boiler"}]))
    for pages in (["page-0/"], ["page-1/", "page-0/"], ["page-0/", "page-1/", "page-2/"]):
        assert with_other_rows(content, pages, []) is None


def test_steps_are_written_as_the_script_reads_them() -> None:
    """Page 1, and 39 pages on: 1, and 1 times 36 with 3 more."""
    rows = [row_of(f"{each}/", "", "", "tap" if each in (0, 39) else "other") for each in range(40)]
    lines = json.loads(all_words(rows))["words"].split("\n")
    assert lines[-1] == "tap 1B3"
