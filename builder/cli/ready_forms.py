"""How readiness looks as text, as JSON and in a spreadsheet."""

import json
from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date
from itertools import groupby
from textwrap import wrap
from typing import Any, get_args

from builder.model.handover import OwedBy
from builder.readiness.assess import MissingNeed, NeedQuestion, Readiness, in_a_word, spoken_owner
from builder.readiness.need import Stage
from builder.tables import for_a_spreadsheet

COLUMNS = ("plot", "stage", "need", "missing", "owed by", "write it in", "basis")
_WIDTH = 76
_HEADINGS = ("plot", *(f"can be {each.words}" for each in Stage))
Tree = dict[str, Any]


def as_csv(found: Iterable[Readiness], asked: NeedQuestion) -> str:
    """One row an item, the first row names the columns. No cell begins a formula."""
    return for_a_spreadsheet([COLUMNS, *_rows(found, asked)])


def _rows(found: Iterable[Readiness], asked: NeedQuestion) -> Iterator[tuple[str, ...]]:
    for plot in found:
        for each in asked.items(plot):
            yield (plot.plot, each.stage.words, each.need, each.says, spoken_owner(each.owed_by),
                   _place(each), each.basis)  # fmt: skip


def as_json(found: Iterable[Readiness], day: date, asked: NeedQuestion) -> str:
    """Every plot with what it lacks: the day, the stages asked for, and one record an item."""
    told = {
        "day": day.isoformat(),
        "stages": [each.value for each in asked.last.before],
        "owed_by": list(asked.owed_by or get_args(OwedBy)),
        "plots": [_plot(each, asked) for each in found],
    }
    return json.dumps(told, indent=2, ensure_ascii=False) + "\n"


def _plot(plot: Readiness, asked: NeedQuestion) -> dict[str, Any]:
    return {
        "plot": plot.plot,
        "address": plot.address,
        "judged": plot.judged,
        "ready": {each.value: plot.ready(each) for each in asked.last.before},
        "missing": [
            {
                "stage": each.stage.value,
                "need": each.need,
                "needs": each.needs,
                "missing": each.says,
                "owed_by": each.owed_by,
                "basis": each.basis,
                "write_in": each.write_in,
                "path": ".".join(each.path),
                "add": "\n".join(_yaml([each])),
            }
            for each in asked.items(plot)
        ],
    }


def as_text(found: Sequence[Readiness], asked: NeedQuestion, named: Collection[str]) -> str:
    """A table with one row a plot, then all that is missing for the plots that are named."""
    lines = [*_table(found, asked)]
    for plot in found:
        if plot.plot in named:
            lines += ["", *_details(plot, asked)]
    return "\n".join(lines) + "\n"


def _table(found: Sequence[Readiness], asked: NeedQuestion) -> Iterator[str]:
    stages = asked.last.before
    rows = [_HEADINGS[: len(stages) + 1]]
    rows += [(each.plot, *(in_a_word(each, stage, asked) for stage in stages)) for each in found]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
    if any("waits" in row for row in rows):
        yield "waits: nothing is missing for it but what comes before it."
    counts = ", ".join(f"{sum(each.ready(stage) for each in found)} can be {stage.words}" for stage in stages)  # fmt: skip
    yield f"Of {len(found)} plot{'' if len(found) == 1 else 's'}: {counts}."


def _details(plot: Readiness, asked: NeedQuestion) -> Iterator[str]:
    items = asked.items(plot)
    yield f"{plot.plot}  {plot.address}".rstrip()
    if not plot.judged:
        yield "Its data makes no home yet: what else is missing cannot be told."
    elif not items:
        yield "Nothing is owed." if asked.owed_by else "Nothing is missing."
    for owner in get_args(OwedBy):
        owed = [each for each in items if each.owed_by == owner]
        if owed:
            yield from ("", f"{spoken_owner(owner).upper()} OWES {len(owed)}")
            yield from _owed_lines(owed)


def _owed_lines(items: list[MissingNeed]) -> Iterator[str]:
    for stage, staged in groupby(items, key=lambda each: each.stage):
        yield from ("", f"Before it can be {stage.words}:")
        for needs, lacks in groupby(staged, key=lambda each: each.needs):
            yield from ("", *_need(needs, list(lacks)))
    files = dict.fromkeys(each.write_in for each in items if each.path)
    for file in files:
        yield from ("", f"Write it in {file}:")
        written = _yaml([each for each in items if each.write_in == file and each.path])
        yield from (f"    {line}" for line in written)


def _need(needs: str, lacks: list[MissingNeed]) -> Iterator[str]:
    """A need and what it lacks; the basis once where it is the same for all."""
    bases = {each.basis for each in lacks}
    yield from wrap(f"{needs} ({lacks[0].basis})" if len(bases) == 1 else needs, _WIDTH)
    for each in lacks:
        yield from _box(each, f" ({each.basis})" if len(bases) > 1 else "")


def _box(item: MissingNeed, basis: str) -> Iterator[str]:
    says = f"{item.says}{basis}"
    yield from wrap(says, _WIDTH, initial_indent="  [ ] ", subsequent_indent="      ")
    if not item.path:
        yield f"      in {item.write_in}"


def _place(item: MissingNeed) -> str:
    return f"{item.write_in}, {'.'.join(item.path)}" if item.path else item.write_in


def _yaml(items: Iterable[MissingNeed]) -> list[str]:
    """What to write for all of these, as YAML; what is inside something else is written with it."""
    tree: Tree = {}
    for item in items:
        if item.path:
            _plant(tree, item.path, item.value)
    return list(_tree_lines(tree, ""))


def _plant(tree: Tree, path: tuple[str, ...], value: str) -> None:
    *way, last = path
    for step in way:
        inner = tree.setdefault(step, {})
        if not isinstance(inner, dict):
            return
        tree = inner
    tree.setdefault(last, value)


def _tree_lines(tree: Tree, indent: str) -> Iterator[str]:
    for key, value in tree.items():
        if isinstance(value, dict):
            yield f"{indent}{key}:"
            yield from _tree_lines(value, f"{indent}  ")
        else:
            yield f"{indent}{key}: {value}"
