"""Rows of a table of plots without what is wrong in them, and files of plots that have no row."""

from collections.abc import Collection
from dataclasses import replace

from builder.errors import Finding, Findings, Place, alike, printable, suggestion
from builder.model.people import Plot
from builder.model.record import LONGEST_ID, is_identifier
from builder.model.shape import partial
from builder.sources.checking import check, refused
from builder.sources.entry import Address, Entry, plain, without
from builder.sources.table import Row


def sound_row(row: Row, development: str, findings: Findings) -> tuple[Row, frozenset[Address]]:
    """A row without what is wrong in it, named as far as its number can be printed, and what that is."""
    number = row.number if is_identifier(row.number) else printable(row.number, LONGEST_ID)
    plot, shape, lost = row.entry.children["plot"], partial(Plot), frozenset[Address]()
    plots = (f"{development}/{number}",)
    if check(plot, shape, findings, path=("plot",), plots=plots) is None:
        wrong = refused(plot, shape)
        lost = frozenset(("plot", *address) for address in wrong)
        plot = without(plot, wrong)
    return Row(number, replace(row.entry, value={"plot": plot})), lost


def ignored_columns(development: Entry | None, lost: frozenset[Address]) -> tuple[str, ...] | None:
    """The columns that a development does not read; none where nobody knows which they are."""
    if development is None or ("development", "ignore_columns") in lost:
        return None
    return tuple(plain(development)["development"].get("ignore_columns") or ())


def no_row(file: str, development: str, number: str, plots: Collection[str]) -> Finding:
    """A plot file without a row: its departures would be missing from whatever plot it is of."""
    finding = Finding(
        "plots.no-row",
        Place(file),
        f"plots.csv has no row for plot '{printable(number)}'.",
        suggestion(number, plots, "Its plots are"),
    )
    close = alike(number, plots)
    return finding.for_plots(f"{development}/{close}") if close else finding
