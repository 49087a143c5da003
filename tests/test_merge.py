"""The merge rule: maps merge by key, everything else is replaced, null removes."""

from typing import Any

import json_merge_patch
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.errors import Findings, Place
from builder.layers.merge import REMOVED, Layer, Merged, Merging, leaves, plain_value
from builder.sources.entry import Entry

HERE = Place("layer.yaml")


def entry(value: Any) -> Entry:
    if isinstance(value, dict):
        return Entry({key: entry(each) for key, each in value.items()}, HERE, HERE)
    if isinstance(value, list):
        return Entry(tuple(entry(each) for each in value), HERE, HERE)
    return Entry(value, HERE, HERE)


def merge(*layers: Any) -> tuple[Any, Findings]:
    findings = Findings()
    merged = Merged()
    for number, layer in enumerate(layers):
        merged = Merging(findings).over(merged, Layer(f"layer {number}", entry(layer)))
    return plain_value(merged), findings


# RFC 7396 (JSON Merge Patch), Appendix A "Example Test Cases", from memory: original, patch,
# result. Our rule is the same wherever both are objects and a null removes what is there.
RFC_7396 = [
    ({"a": "b"}, {"a": "c"}, {"a": "c"}),
    ({"a": "b"}, {"b": "c"}, {"a": "b", "b": "c"}),
    ({"a": "b"}, {"a": None}, {}),
    ({"a": "b", "b": "c"}, {"a": None}, {"b": "c"}),
    ({"a": ["b"]}, {"a": "c"}, {"a": "c"}),
    ({"a": "c"}, {"a": ["b"]}, {"a": ["b"]}),
    ({"a": {"b": "c"}}, {"a": {"b": "d", "c": None}}, {"a": {"b": "d"}}),
    ({"a": [{"b": "c"}]}, {"a": [1]}, {"a": [1]}),
    ({"e": None}, {"a": 1}, {"e": None, "a": 1}),
    ({}, {"a": {"bb": {"ccc": None}}}, {"a": {"bb": {}}}),
]
NOTHING_TO_REMOVE = (6, 9)
"""Examples in which the patch removes what is not there. The standard is silent; we report it."""
NULL_IN_THE_ORIGINAL = 8
"""Our lowest layer cannot hold a null: there it removes nothing, and is reported too."""


@pytest.mark.parametrize("number", [n for n in range(len(RFC_7396)) if n != NULL_IN_THE_ORIGINAL])
def test_the_examples_of_rfc_7396(number: int) -> None:
    original, patch, result = RFC_7396[number]
    merged, findings = merge(original, patch)
    assert merged == result
    codes = [finding.code for finding in findings]
    assert codes == (["merge.nothing-to-remove"] if number in NOTHING_TO_REMOVE else [])


values = st.recursive(
    st.integers() | st.text("xyz", max_size=3) | st.booleans(),
    lambda inner: (
        st.lists(inner, max_size=2) | st.dictionaries(st.sampled_from("abc"), inner, max_size=3)
    ),
    max_leaves=8,
)
layers = st.dictionaries(st.sampled_from("abc"), values | st.none(), max_size=3)


@given(original=st.dictionaries(st.sampled_from("abc"), values, max_size=3), patch=layers)
def test_agrees_with_an_independent_merge_patch(original: Any, patch: Any) -> None:
    """Against the library ``json-merge-patch`` (an implementation of RFC 7396)."""
    expected = json_merge_patch.merge(original, patch)
    assert merge(original, patch)[0] == expected


@given(st.lists(layers, min_size=1, max_size=4))
def test_the_last_layer_that_speaks_of_a_leaf_holds(stack: list[Any]) -> None:
    findings, merged = Findings(), Merged()
    for number, layer in enumerate(stack):
        merged = Merging(findings).over(merged, Layer(str(number), entry(layer)))
    for address, leaf in leaves(merged):
        speaking = [number for number, layer in enumerate(stack) if speaks(layer, address)]
        assert leaf.removed or int(leaf.sayings[-1].layer) == speaking[-1]


def speaks(layer: Any, address: tuple[str | int, ...]) -> bool:
    """Whether a layer sets or removes an address, or what holds it."""
    for step in address:
        if not isinstance(layer, dict):
            return True
        if step not in layer:
            return False
        layer = layer[step]
    return True


def test_a_leaf_remembers_what_it_replaced() -> None:
    findings, merged = Findings(), Merged()
    for name, layer in (
        ("standard", {"a": 1}),
        ("house type", {"a": 2}),
        ("departure", {"a": None}),
    ):
        merged = Merging(findings).over(merged, Layer(name, entry(layer)))
    leaf = merged.child("a")
    assert leaf is not None
    assert [(saying.layer, saying.value) for saying in leaf.sayings] == [
        ("standard", 1),
        ("house type", 2),
        ("departure", REMOVED),
    ]
    assert plain_value(merged) == {}


def test_merging_leaves_the_tree_below_as_it_was() -> None:
    findings = Findings()
    below = Merging(findings).over(Merged(), Layer("a", entry({"x": {"y": 1, "z": 2}})))
    Merging(findings).over(below, Layer("b", entry({"x": {"y": 3, "z": None}})))
    assert plain_value(below) == {"x": {"y": 1, "z": 2}}


def test_what_was_removed_can_be_added_again() -> None:
    merged, findings = merge({"a": {"b": 1, "c": 2}}, {"a": None}, {"a": {"b": 3}})
    assert merged == {"a": {"b": 3}}
    assert not list(findings)
