"""``handover stickers``: codes, printed sheets, single stickers, codes taken back, registers merged."""

from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from builder.build.manifest import records_of_trees
from builder.build.one_place import shared_codes
from builder.build.outside import is_workspace, keep_off_sources, keep_outside
from builder.build.promises import check_promises, published_codes
from builder.cli.options import date_option, today, workspace_option
from builder.cli.show import show_notes
from builder.disk import save
from builder.errors import Findings, FindingsError, HandoverError, UsageError, counted, suggestion
from builder.guide.labels import Label
from builder.preparing import Preparation, prepare
from builder.register.codes import normal, sound
from builder.register.issuing import issue_stickers
from builder.register.labelling import address_can_be_printed, chosen, labels_of
from builder.register.lines import Register
from builder.register.merging import merge as merge_registers
from builder.register.moving import register_of
from builder.register.printing import print_sheet
from builder.register.reading import read_register
from builder.register.register import take_back, taken_over
from builder.register.stocks import stocks_of
from builder.sources.folder import Folder
from builder.sources.named_plots import today_of
from builder.sources.workspace import read_workspace
from builder.writers.stickers.drawing import png, svg
from builder.writers.stickers.layout import lay_out
from builder.writers.stickers.stock import Stock, fitting
from builder.writers.stickers.stock import chosen as chosen_stock

_plots = click.argument("plots", nargs=-1, metavar="[PLOT]…")


@click.group()
def stickers() -> None:
    """Issue, print and take back the codes of stickers, and merge their registers."""


def _command(function: Callable[..., Any]) -> Callable[..., Any]:
    return stickers.command()(workspace_option(function))


@_command
@_plots
@date_option
def issue(plots: tuple[str, ...], workspace: Path, day: datetime | None) -> None:
    """Give each piece of equipment that wants a sticker its code. A second run issues nothing new."""
    preparation = _prepared(workspace, plots)
    show_notes(taken_over(preparation.workspace))
    before = _registers(preparation)
    registers = issue_stickers(preparation.workspace, preparation.plots.values(), today(day))
    for reference, labels in _labels(preparation, registers).items():
        click.echo(f"{reference}  {counted(len(labels), 'sticker')}")
    new = sum(len(each.codes) - len(before[name].codes) for name, each in registers.items())
    click.echo(f"{counted(new, 'new code')} issued.")
    if new:
        click.echo(
            "A sticker leads to its page after the next build: build and deploy before you stick it on."
        )


@_command
@_plots
@click.option("--stock", "name", help="The label stock; without it, those that fit are listed.")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="The PDF to write.")
@click.option(
    "--start", default=1, show_default=True, help="First free label of a part-used sheet."
)
@click.option(
    "--code", "codes", multiple=True, help="Only the sticker with this code, to print it again."
)
@click.option("--size", "sizes", multiple=True, type=click.Choice(["small", "standard", "large"]),
              help="Only stickers of this size.")  # fmt: skip
def sheet(
    plots: tuple[str, ...],
    workspace: Path,
    name: str | None,
    out: Path | None,
    start: int,
    codes: tuple[str, ...],
    sizes: tuple[str, ...],
) -> None:
    """Print stickers on label sheets, with a fixing list in walking order. Every code is read back."""
    preparation = _prepared(workspace, plots)
    labels = _issued_labels(preparation, tuple(map(_code, codes)), sizes)
    stocks = stocks_of(workspace)
    if name is None or out is None:
        raise UsageError(_which_stock(stocks, labels))
    if out.suffix.lower() != ".pdf":
        raise UsageError(f"'{out}' does not end in .pdf.")
    _fit_for_codes(out)
    placed = print_sheet(labels, chosen_stock(stocks, name), start, workspace, out)
    printed, sheets = counted(len(placed), "sticker"), counted(placed[-1].page, "sheet")
    click.echo(f"{out}: {printed} on {sheets}, every code read back.")
    for size in dict.fromkeys(label.size for label in labels):
        layout = lay_out(next(label for label in labels if label.size == size))
        click.echo(
            f"{size}: scans from {layout.scan_distance / 10:.0f} cm (common practice, 10 to 1)."
        )


@_command
@click.argument("code")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), required=True,
              help="The file to write: .svg or .png.")  # fmt: skip
@click.option("--dpi", default=300, show_default=True, help="Dots an inch, for .png.")
def draw(code: str, workspace: Path, out: Path, dpi: int) -> None:
    """Draw one sticker as a picture."""
    _fit_for_codes(out)
    (label,) = _issued_labels(_prepared(workspace, ()), (_code(code),), ())
    if out.suffix == ".svg":
        save(out, svg(label).encode("utf-8"))
    elif out.suffix == ".png":
        save(out, png(label, dpi))
    else:
        raise UsageError(f"'{out}' is neither .svg nor .png.")
    click.echo(f"{out}")


@_command
@click.argument("code")
@date_option
def void(code: str, workspace: Path, day: datetime | None) -> None:
    """Take back the code of a stolen or wrong sticker. Its page then gives only help."""
    read, damaged = read_workspace(workspace, Findings()), Findings()
    show_notes(taken_over(read))
    registers = {each: read_register(read.folder, each, damaged) for each in read.developments}
    damaged.extend(shared_codes(registers))
    if damaged.errors:
        raise FindingsError(damaged.errors)
    wanted = _code(code)
    for development, register in registers.items():
        if issued := next((each for each in register.codes if each.code == wanted), None):
            reference = today_of(read, f"{development}/{issued.wanted.plot}")
            if issued.wanted.leads_to == "guide":
                raise UsageError(_address_of_a_guide(wanted, reference))
            take_back(read.folder, development, wanted, today(day))
            click.echo(_voided(wanted, reference, before=wanted in register.void))
            return
    raise UsageError(f"No sticker has the code '{wanted}'.")


def _voided(code: str, reference: str, *, before: bool) -> str:
    if before:
        return f"{code} was void already. A new code: handover stickers issue {reference}"
    return f"{code} is void. Build the plot again, and issue a new code for it."


def _address_of_a_guide(code: str, reference: str) -> str:
    return f"'{code}' is the address of the guide of {reference}, and no sticker. For another address: handover new address {reference}"


@_command
@click.argument("development")
@click.argument("others", nargs=-1, metavar="[FILE]…",
                type=click.Path(exists=True, dir_okay=False, path_type=Path))  # fmt: skip
@click.option("--keep", "kept", multiple=True, metavar="CODE",
              help="The guide code that stays, where both versions gave a plot one.")  # fmt: skip
@date_option
def merge(
    development: str,
    workspace: Path,
    others: tuple[Path, ...],
    kept: tuple[str, ...],
    day: datetime | None,
) -> None:
    """Put the registers of two branches together, and seal them.

    Where git left its marks in register.csv, both versions are in it. Otherwise name the FILE of the
    other one. Every line of both stays. Run it too where register.seal alone is lost or torn.
    """
    folder = Folder(workspace)
    known = [path.name for path in folder.folders("developments")]
    if development not in known:
        hint = suggestion(development, known, "Developments are")
        raise UsageError(f"There is no development '{development}'. {hint}")
    read = read_workspace(workspace, Findings())
    published = published_codes(read, development, *records_of_trees(workspace))
    done = merge_registers(
        folder, development, others, today(day), tuple(map(_code, kept)), published
    )
    for plot, code, stays in done.taken_back:
        click.echo(f"Plot {plot}: {stays} stays, and {code} is taken back.")
    lines = done.ours + done.added + len(done.taken_back)
    click.echo(f"{development}: {done.ours} of one version, {done.added} more of another; {counted(lines, 'line')}, sealed.")  # fmt: skip


def _code(typed: str) -> str:
    """A code from what was typed; one that lost a letter is refused at once."""
    code = normal(typed)
    if not sound(code):
        raise UsageError(f"'{typed}' is not a code: a letter was lost or changed.")
    return code


def _prepared(workspace: Path, plots: tuple[str, ...]) -> Preparation:
    """The plots asked for, all of them sound, at hosts that stickers can name."""
    preparation = prepare(workspace, plots, today(None))
    check_promises(preparation.workspace, preparation.findings)
    stopping = list(preparation.findings.errors)
    for prepared in preparation.plots.values():
        stopping += address_can_be_printed(prepared.traced)
    if stopping:
        findings = Findings()
        findings.extend(stopping)
        raise FindingsError(findings)
    return preparation


def _registers(preparation: Preparation) -> Mapping[str, Register]:
    workspace = preparation.workspace
    return {name: register_of(workspace, name) for name in workspace.developments}


def _labels(
    preparation: Preparation, registers: Mapping[str, Register]
) -> dict[str, tuple[Label, ...]]:
    return {
        reference: labels_of(prepared, registers[prepared.plot.development])
        for reference, prepared in preparation.plots.items()
    }


def _issued_labels(
    preparation: Preparation, codes: tuple[str, ...], sizes: tuple[str, ...]
) -> tuple[Label, ...]:
    """The stickers to print, plot by plot in walking order."""
    by_plot = _labels(preparation, _registers(preparation))
    without = [reference for reference, labels in by_plot.items() if not labels]
    labels = chosen(tuple(label for each in by_plot.values() for label in each), codes)
    wanted = tuple(label for label in labels if not sizes or label.size in sizes)
    if not wanted:
        named = f" {', '.join(without)}" if without else ""
        raise HandoverError(f"There is no sticker to print. Run: handover stickers issue{named}")
    return wanted


def _fit_for_codes(out: Path) -> None:
    keep_outside(out, "stickers name codes. Write them elsewhere.")
    if not is_workspace(out):
        keep_off_sources(out)


def _which_stock(stocks: Mapping[str, Stock], labels: tuple[Label, ...]) -> str:
    fit = ", ".join(fitting(stocks, {label.size for label in labels}))
    return f"Name a label stock and a file: --stock NAME --out FILE.pdf. Stocks that fit: {fit or 'none'}."
