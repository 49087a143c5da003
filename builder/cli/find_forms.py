"""How what was found looks as a table, as JSON and in a spreadsheet."""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

from builder.questions.asking import Match
from builder.tables import for_a_spreadsheet

_LONGEST = 60
"""Letters of a value in the table. A spreadsheet and JSON get all of it."""

COLUMNS: Mapping[str, Callable[[Match], Any]] = {
    "plot": lambda each: each.plot,
    "address": lambda each: each.address,
    "postcode": lambda each: each.postcode,
    "completion": lambda each: each.completion or None,
    "path": lambda each: each.path,
    "value": lambda each: each.value,
    "equipment": lambda each: each.piece and each.piece.id,
    "make": lambda each: (each.piece and each.piece.make) or None,
    "model": lambda each: (each.piece and each.piece.model) or None,
    "serial": lambda each: (each.piece and each.piece.serial) or None,
    "where": lambda each: each.piece and each.piece.where,
    "layer": lambda each: each.origin.layer,
    "file": lambda each: each.origin.place and each.origin.place.file,
    "line": lambda each: each.origin.place and each.origin.place.line,
    "column": lambda each: each.origin.place and each.origin.place.column,
}
"""What is told of a match, in JSON and in a spreadsheet: the name of each column, and what stands there."""


def as_table(found: Sequence[Match]) -> str:
    """One row a match, in columns as wide as they need to be."""
    rows = [("plot", "address", "path", "value", "said by")]
    rows += [
        (each.plot, each.address, each.path, _short(each), _where_said(each)) for each in found
    ]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines = ("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
             for row in rows)  # fmt: skip
    return "\n".join(lines) + "\n"


def as_csv(found: Iterable[Match]) -> str:
    """One row a match, the first row names the columns. No cell begins a formula."""
    rows = ([_cell(given(match)) for given in COLUMNS.values()] for match in found)
    return for_a_spreadsheet([tuple(COLUMNS), *rows])


def as_json(question: str, asked: int, unread: Sequence[str], found: Iterable[Match]) -> str:
    """The question, how many homes were asked, the plots that could not be, and every match."""
    told = {
        "question": question,
        "homes_asked": asked,
        "plots_not_asked": list(unread),
        "matches": [_match_as_data(each) for each in found],
    }
    return json.dumps(told, indent=2, ensure_ascii=False) + "\n"


def _match_as_data(match: Match) -> dict[str, Any]:
    return {name: given(match) for name, given in COLUMNS.items()}


def _cell(value: Any) -> str:
    if value is None:
        return ""
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _short(match: Match) -> str:
    """A value in a few words: a piece by what a maker's notice names it by."""
    piece = match.piece
    if piece is not None and isinstance(match.value, dict) and "kind" in match.value:
        return "; ".join(filter(None, _make_and_place(match)))
    text = _cell(match.value)
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"


def _make_and_place(match: Match) -> Iterator[str]:
    piece = match.piece
    if piece is not None:
        yield " ".join(filter(None, (piece.make, piece.model))) or "make not recorded"
        yield f"serial {piece.serial}" if piece.serial else ""
        yield piece.where


def _where_said(match: Match) -> str:
    place = match.origin.place
    return f"{place.file}:{place.line}  {match.origin.layer}" if place else match.origin.layer
