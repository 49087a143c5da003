"""Where the values of a YAML text begin and end, and other text in their place."""

from typing import Any

import yaml

from builder.saving.yaml_forms import entry_lines, is_flat, value_lines, written
from builder.sources.entry import Address
from builder.sources.yaml_plain import FAST_LOADER


class NotSplicedError(Exception):
    """This form of text is not changed in place."""


class Nodes:
    """The nodes of one text, with the places of their first and last characters."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.line_end = "\r\n" if "\r\n" in text else "\n"
        self._refuse_shared_values()
        self.root = yaml.compose(text, Loader=FAST_LOADER)

    def _refuse_shared_values(self) -> None:
        """A value that stands in two places at once is changed by nobody who sees one of them."""
        for event in yaml.parse(self.text, Loader=FAST_LOADER):
            if getattr(event, "anchor", None) or getattr(event, "tag", None):
                raise NotSplicedError

    def at(self, path: Address) -> tuple[Any, list[Any], Any]:
        """What stands at a path as far as it leads: the key's node, the parents, and the value's."""
        here, key, parents = self.root, None, []
        for step in path:
            found = self._child(here, step)
            if found is None:
                break
            parents.append(here)
            key, here = found
        return key, parents, here

    def _child(self, node: Any, step: str | int) -> tuple[Any, Any] | None:
        if isinstance(node, yaml.MappingNode):
            return next((entry for entry in node.value if entry[0].value == step), None)
        if isinstance(node, yaml.SequenceNode) and isinstance(step, int) and step < len(node.value):
            return None, node.value[step]
        return None

    def begin(self, node: Any) -> int:
        return int(node.start_mark.index)

    def end(self, node: Any) -> int:
        """Behind the last character of a value itself, not of the comments and lines that follow."""
        if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">"):
            return len(self.text[: node.end_mark.index].rstrip())
        if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
            last = node.value[-1]
            return self.end(last[1] if isinstance(last, tuple) else last)
        return int(node.end_mark.index)

    def behind_colon(self, key: Any) -> int:
        return self.text.index(":", self.end(key)) + 1

    def line_begin(self, index: int) -> int:
        return self.text.rfind("\n", 0, index) + 1

    def to_line_end(self, index: int) -> int:
        """The end of the line, without its line end."""
        found = self.text.find("\n", index)
        if found < 0:
            return len(self.text)
        return found - 1 if self.text[found - 1 : found] == "\r" else found

    def with_text(self, begin: int, end: int, new: str) -> str:
        return self.text[:begin] + new + self.text[end:]


def spliced_over(nodes: Nodes, path: Address, value: Any) -> str:
    """A value at a path, over the old one or as a new entry."""
    key, parents, node = nodes.at(path)
    missing = path[len(parents) :]
    if not missing:
        return _value_over(nodes, key, parents, node, value)
    for step in reversed(missing[1:]):
        value = {step: value}
    if isinstance(node, yaml.MappingNode) and (node.value or _is_in_flow(parents)):
        return _new_entry(nodes, parents, node, str(missing[0]), value)
    return _value_over(nodes, key, parents, node, {missing[0]: value})


def _is_in_flow(parents: list[Any]) -> bool:
    return any(each.flow_style for each in parents)


def _value_over(nodes: Nodes, key: Any, parents: list[Any], node: Any, value: Any) -> str:
    style = node.style if isinstance(node, yaml.ScalarNode) else None
    begin, end = nodes.begin(node), nodes.end(node)
    if _is_in_flow(parents) or key is None:
        flow = _is_in_flow(parents)
        bare = written(value, flow=flow, style=style)
        return nodes.with_text(begin, end, bare if begin < end or key is None else f" {bare}")
    lines = value_lines(value, key.start_mark.column, style)
    one_line = len(lines) == 1 and begin < end and not _is_block(node)
    if one_line:
        return nodes.with_text(begin, end, lines[0][1:])
    return nodes.with_text(nodes.behind_colon(key), end, nodes.line_end.join(lines))


def _is_block(node: Any) -> bool:
    if isinstance(node, yaml.ScalarNode):
        return node.style in ("|", ">")
    return not node.flow_style


def _new_entry(nodes: Nodes, parents: list[Any], node: Any, name: str, value: Any) -> str:
    """One more entry of a mapping, behind its last one."""
    if node.flow_style:
        text = f"{written({name: value}, flow=True)[1:-1]}"
        if not node.value:
            return nodes.with_text(nodes.begin(node), nodes.end(node), f"{{{text}}}")
        place = nodes.end(node.value[-1][1])
        return nodes.with_text(place, place, f", {text}")
    column = node.value[0][0].start_mark.column
    lines = entry_lines(name, value, column)
    if column == 0 and isinstance(value, dict) and nodes.line_end * 2 in nodes.text:
        lines = ["", *lines]  # sections stand apart in this file
    place = nodes.to_line_end(nodes.end(node))
    return nodes.with_text(place, place, nodes.line_end + nodes.line_end.join(lines))


def spliced_out(nodes: Nodes, path: Address) -> str:
    """Without what stands at a path, its line and the comment on it. Comments above stay."""
    key, parents, node = nodes.at(path)
    parent = parents[-1]
    if _is_in_flow(parents):
        return _out_of_flow(nodes, parent, key, node)
    first = nodes.begin(key if key is not None else node)
    begin, end = nodes.line_begin(first), nodes.to_line_end(nodes.end(node))
    before = nodes.text[begin:first].strip()
    if before not in ("", "-") or (before == "-") != (key is None):
        raise NotSplicedError
    end += len(nodes.line_end) if end < len(nodes.text) else 0
    if len(parent.value) > 1 or len(parents) == 1:
        return nodes.with_text(begin, end, "")
    outer, _, _ = nodes.at(path[:-1])
    if outer is None:
        raise NotSplicedError
    colon = nodes.behind_colon(outer)
    nothing = " {}" if key is not None else " []"
    return nodes.text[:colon] + nothing + nodes.text[colon:begin] + nodes.text[end:]


def _out_of_flow(nodes: Nodes, parent: Any, key: Any, node: Any) -> str:
    items = [each if isinstance(each, tuple) else (each, each) for each in parent.value]
    place = next(i for i, (_, each) in enumerate(items) if each is node)
    begin, end = nodes.begin(items[place][0]), nodes.end(node)
    if place > 0:
        begin = nodes.end(items[place - 1][1])
    elif len(items) > 1:
        end = nodes.begin(items[1][0])
    return nodes.with_text(begin, end, "")


def spliced_under(nodes: Nodes, path: Address, position: int, value: Any) -> str:
    """One more item of a list that has some."""
    _, parents, node = nodes.at(path)
    items, last = node.value, position >= len(node.value)
    beside = items[-1] if last else items[position]
    if node.flow_style or _is_in_flow(parents):
        text = written(value, flow=True)
        place = nodes.end(beside) if last else nodes.begin(beside)
        return nodes.with_text(place, place, f", {text}" if last else f"{text}, ")
    if not is_flat(value):
        raise NotSplicedError
    line = " " * node.start_mark.column + "- " + written(value, flow=False)
    if last:
        place = nodes.to_line_end(nodes.end(beside))
        return nodes.with_text(place, place, nodes.line_end + line)
    place = nodes.line_begin(nodes.begin(beside))
    return nodes.with_text(place, place, line + nodes.line_end)
