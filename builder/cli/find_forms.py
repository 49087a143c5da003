"""How what was found looks as a table, as JSON and in a spreadsheet."""

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from builder.questions.asking import Match
from builder.tables import for_a_spreadsheet

_LONGEST = 60
"""Letters of a value in the table. A spreadsheet and JSON get all of it."""

COLUMNS = (
    "plot", "address", "postcode", "completion", "path", "value", "equipment", "make", "model",
    "serial", "where", "layer", "file", "line", "column",
)  # fmt: skip


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
    rows = ([_cell(plain[column]) for column in COLUMNS] for plain in map(_match_as_data, found))
    return for_a_spreadsheet([COLUMNS, *rows])


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
    piece, place = match.piece, match.origin.place
    return {
        "plot": match.plot,
        "address": match.address,
        "postcode": match.postcode,
        "completion": match.completion or None,
        "path": match.path,
        "value": match.value,
        "equipment": piece and piece.id,
        "make": (piece and piece.make) or None,
        "model": (piece and piece.model) or None,
        "serial": (piece and piece.serial) or None,
        "where": piece and piece.where,
        "layer": match.origin.layer,
        "file": place and place.file,
        "line": place and place.line,
        "column": place and place.column,
    }


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
