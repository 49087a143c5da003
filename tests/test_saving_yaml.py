"""Values of YAML files are changed in their place: what was wanted, and no other byte."""

import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st

from builder.saving.yaml_forms import key_of, written
from builder.saving.yaml_text import (
    ABSENT,
    UnchangeableError,
    data_of,
    insert,
    put,
    same,
    take_out,
    value_at,
)

ROOT = Path(__file__).parent.parent
FILES = sorted(
    path
    for pattern in ("housetypes/**/*.yaml", "developments/**/*.yaml", "content/**/*.yaml")
    for path in ROOT.glob(pattern)
    if "records" not in path.parts
)

NAMES = st.from_regex(r"\A[a-z][a-z0-9]{0,4}(-[a-z0-9]{1,3})?\Z") | st.sampled_from(["07", "no", "null-1"])  # fmt: skip
TEXTS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc", "Co", "Cn", "Cf", "Zl", "Zp")), max_size=12
) | st.sampled_from(
    ["yes", "07", "1.50", "a: b", "x #y", "- z", "{left} of it", "[1]", "*a", "&b", "!c", "null", "~", "", "one\ntwo",
     "one\ntwo\n", "2026-04-09", "12:30", "'", '"', "\\", "é 😀", "@", "`", "%", "a,b", "?", "|", ">", " a", "1e3", "0x1F"]
)  # fmt: skip
SCALARS = st.none() | st.booleans() | st.integers(-999, 10**9) | TEXTS | st.floats(-1e6, 1e6, allow_nan=False)  # fmt: skip
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=4),
    max_leaves=8,
)


@st.composite
def documents(draw: st.DrawFn) -> str:
    """A file as people write one: blocks, braces, comments, quotes and spaces of any habit."""
    data = draw(st.dictionaries(NAMES, VALUES, min_size=1, max_size=5))
    lines = ["# At the top."] if draw(st.booleans()) else []
    for number, (name, value) in enumerate(data.items()):
        lines += _entry(draw, name, value, 0, f"{number}")
    return "\n".join(lines) + ("\n" if draw(st.booleans()) else "")


def _entry(draw: st.DrawFn, name: str, value: Any, column: int, number: str) -> list[str]:
    space = " " * column
    above = [f"{space}# Above {number}."] if draw(st.integers(0, 3)) == 0 else []
    beside = f"  # Beside {number}." if draw(st.integers(0, 2)) == 0 else ""
    head = f"{space}{key_of(name)}:"
    if isinstance(value, dict) and value and draw(st.booleans()):
        step = draw(st.sampled_from([1, 2, 4]))
        inner = [
            line
            for place, (key, each) in enumerate(value.items())
            for line in _entry(draw, key, each, column + step, f"{number}.{place}")
        ]
        return [*above, head + beside, *inner]
    if isinstance(value, list) and value and draw(st.booleans()):
        step = draw(st.sampled_from([0, 2]))
        dashes = [f"{space}{' ' * step}- {written(each, flow=False)}" for each in value]
        return [*above, head + beside, *dashes]
    gap = draw(st.sampled_from([" ", "   "]))
    style = draw(st.sampled_from([None, "'", '"']))
    return [*above, head + gap + written(value, flow=False, style=style) + beside]


def paths(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every path that leads to something."""
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()  # fmt: skip
    found = [] if not path else [path]
    for step, each in items:
        found += paths(each, (*path, step))
    return found


def comments(text: str) -> list[str]:
    return re.findall(r"# (?:Above|Beside|At)[ a-z0-9.]*", text)


def without(data: Any, path: tuple[Any, ...]) -> Any:
    """All that stands beside a path."""
    if not path:
        return ABSENT
    if isinstance(data, dict):
        return {k: without(v, path[1:]) if k == path[0] else v for k, v in data.items() if k != path[0] or len(path) > 1}  # fmt: skip
    return [without(v, path[1:]) if k == path[0] and len(path) > 1 else v for k, v in enumerate(data) if k != path[0] or len(path) > 1]  # fmt: skip


@settings(max_examples=100, deadline=None)
@given(documents(), st.data())
def test_a_value_that_was_set_is_read_and_nothing_else_differs(text: str, data: st.DataObject) -> None:  # fmt: skip
    before = data_of(text)
    path, value = data.draw(st.sampled_from(paths(before))), data.draw(VALUES)
    after = put(text, path, value)
    assert same(value_at(data_of(after), path), value)
    assert same(without(data_of(after), path), without(before, path))


@settings(max_examples=100, deadline=None)
@given(documents(), st.data())
def test_a_scalar_changes_one_line_and_keeps_every_comment(text: str, data: st.DataObject) -> None:
    leaves = [
        path
        for path in paths(data_of(text))
        if not isinstance(value_at(data_of(text), path), dict | list)
        and "\n" not in str(value_at(data_of(text), path))
    ]
    if not leaves:
        return
    path = data.draw(st.sampled_from(leaves))
    after = put(text, path, data.draw(SCALARS.filter(lambda each: "\n" not in str(each))))
    assert comments(after) == comments(text)
    lines = list(zip(text.split("\n"), after.split("\n"), strict=True))
    assert sum(old != new for old, new in lines) <= 1


@settings(max_examples=80, deadline=None)
@given(documents(), st.data())
def test_what_is_new_is_added_and_all_lines_stay(text: str, data: st.DataObject) -> None:
    before = data_of(text)
    owners = [(), *(each for each in paths(before) if isinstance(value_at(before, each), dict) and value_at(before, each))]  # fmt: skip
    path = (*data.draw(st.sampled_from(owners)), "new-entry")
    after = put(text, path, data.draw(VALUES))
    assert same(without(data_of(after), path), before)
    assert comments(after) == comments(text)


@settings(max_examples=200, deadline=None)
@given(st.text(alphabet="ab ?:,-#&*!|>'\"%@`{}[]", min_size=1, max_size=8))
@example("Is it dead? Look here first.")
def test_what_is_written_bare_is_the_same_to_both_parsers(text: str) -> None:
    """PyYAML has one of its own and libyaml's, which differ over a question mark between brackets."""
    written = put("before: {list: [one]}\n", ("before", "list"), [text, "two"])
    for loader in (yaml.SafeLoader, yaml.CSafeLoader):
        assert yaml.load(written, Loader=loader) == {"before": {"list": [text, "two"]}}


@settings(max_examples=80, deadline=None)
@given(documents(), st.data())
def test_what_is_taken_out_is_gone_and_all_else_stays(text: str, data: st.DataObject) -> None:
    before = data_of(text)
    path = data.draw(st.sampled_from(paths(before)))
    after = take_out(text, path)
    wanted = without(before, path)
    assert same(data_of(after), wanted)
    assert set(comments(after)) <= set(comments(text))
    assert [each for each in comments(text) if each.startswith("# At")] == [each for each in comments(after) if each.startswith("# At")]  # fmt: skip


@settings(max_examples=80, deadline=None)
@given(documents(), st.data())
def test_an_item_is_put_into_a_list(text: str, data: st.DataObject) -> None:
    before = data_of(text)
    lists = [each for each in paths(before) if isinstance(value_at(before, each), list)]
    if not lists:
        return
    path, value = data.draw(st.sampled_from(lists)), data.draw(VALUES)
    items = value_at(before, path)
    place = data.draw(st.integers(0, len(items)))
    after = insert(text, path, place, value)
    assert same(value_at(data_of(after), path), [*items[:place], value, *items[place:]])
    assert same(without(data_of(after), path), without(before, path))


@settings(max_examples=80, deadline=None)
@given(documents(), st.data())
def test_two_changes_that_do_not_touch_commute(text: str, data: st.DataObject) -> None:
    leaves = [each for each in paths(data_of(text)) if not isinstance(value_at(data_of(text), each), dict | list)]  # fmt: skip
    one, other = data.draw(st.sampled_from(leaves or [()])), data.draw(st.sampled_from(leaves or [()]))  # fmt: skip
    if one == other:
        return
    first, second = data.draw(SCALARS), data.draw(SCALARS)
    assert put(put(text, one, first), other, second) == put(put(text, other, second), one, first)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_in_every_file_of_the_demo_one_value_changes_one_line(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    data = data_of(text)
    leaves = [each for each in paths(data) if not isinstance(value_at(data, each), dict | list)]
    for chosen in leaves[:: max(1, len(leaves) // 5)]:
        new = 12345 if isinstance(value_at(data, chosen), int | float) else "Something else"
        after = put(text, chosen, new)
        assert same(value_at(data_of(after), chosen), new)
        assert "#" not in text or after.count("#") == text.count("#")
        if "\n" not in str(value_at(data, chosen)):
            changed = [pair for pair in zip(text.split("\n"), after.split("\n"), strict=False) if pair[0] != pair[1]]  # fmt: skip
            assert len(changed) == 1 or text.count("\n") != after.count("\n")


def test_a_mapping_over_a_mapping_keeps_comments_beside_what_stays() -> None:
    text = "contacts:\n  care:\n    name: Care  # the desk\n    telephone: '01632 960100'\n    hours: Monday\n"
    value = {"name": "Care", "telephone": "01632 960200", "email": "care@builder.example"}
    assert put(text, ("contacts", "care"), value) == (
        "contacts:\n  care:\n    name: Care  # the desk\n    telephone: '01632 960200'\n    email: care@builder.example\n"
    )


def test_windows_line_ends_stay() -> None:
    text = "a: 1\r\nb:\r\n  c: 2  # two\r\n"
    assert put(text, ("b", "d"), 3) == "a: 1\r\nb:\r\n  c: 2  # two\r\n  d: 3\r\n"
    assert take_out(text, ("a",)) == "b:\r\n  c: 2  # two\r\n"


def test_a_file_with_a_mistake_is_not_changed() -> None:
    with pytest.raises(UnchangeableError, match=r"^Line 3 cannot be read: "):
        put("a: 1\nb: [1\n", ("a",), 2)


def test_a_new_section_stands_apart_where_sections_do() -> None:
    text = "serials: {boiler: A1}\n\nhandover: {}\n"
    assert put(text, ("departures", "moved", "note"), "It was moved") == (
        f"{text}\ndepartures:\n  moved: {{note: It was moved}}\n"
    )


def test_a_file_that_says_nothing_begins_to() -> None:
    text = "# Plot 7.\n# departures:\n"
    assert put(text, ("departures", "moved"), {"note": "It was moved"}) == (
        "# Plot 7.\n# departures:\n\ndepartures:\n  moved: {note: It was moved}\n"
    )
    assert put("", ("serials", "boiler"), "A1") == "serials: {boiler: A1}\n"
