"""Tables of a page as Typst tables, each column as wide as its longest words need."""

from collections.abc import Callable, Iterator

from bs4 import Tag

from builder.writers.paper.typst_code import array, call

NARROW = 14
"""Letters: a column with no longer cell is as wide as its words."""
LEAST, MOST = 16, 60
"""Letters: the shares of wide columns are weighed between these."""

TALL = 300
"""Letters: a row with a longer cell may run over pages; every other row stays on one."""

Cell = Callable[[Tag], str]


def table_code(table: Tag, cell: Cell) -> str:
    """A table with its header, which is repeated on every page that it runs over."""
    rows = [_cells(row) for row in table.find_all("tr")]
    rows = [row for row in rows if row]
    head = rows[0] if rows and all(each.name == "th" for each in rows[0]) else []
    body = rows[1:] if head else rows
    columns = max((len(row) for row in rows), default=1)
    return call(
        "grid-table",
        array(_widths(rows, columns)),
        array(cell(each) for each in head),
        array(array(_filled_row([cell(each) for each in row], columns)) for row in body),
        breakable="true" if any(map(_is_tall, body)) else "false",
    )


def _is_tall(row: list[Tag]) -> bool:
    return any(len(each.get_text(" ", strip=True)) > TALL for each in row)


def _filled_row(cells: list[str], columns: int) -> list[str]:
    return [*cells, *(["[]"] * (columns - len(cells)))]


def _cells(row: Tag) -> list[Tag]:
    return [each for each in row.find_all(["th", "td"]) if isinstance(each, Tag)]


def _widths(rows: list[list[Tag]], columns: int) -> Iterator[str]:
    for column in range(columns):
        lengths = [len(row[column].get_text(" ", strip=True)) for row in rows if column < len(row)]
        longest = max(lengths, default=0)
        yield "auto" if longest <= NARROW else f"{min(max(longest, LEAST), MOST)}fr"
