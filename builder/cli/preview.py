"""``handover preview``: one plot's guide in a browser."""

import errno
import re
import socket
from collections.abc import Mapping
from pathlib import Path

import click

from builder.cli.asked import the_plot
from builder.cli.options import own_code_option, today, workspace_option
from builder.cli.preview_plan import preview_plan
from builder.errors import UsageError
from builder.guide.pages import Guide
from builder.preparing import prepare
from builder.writers.calendar.writing import next_editions
from builder.writers.site.preview import preview as preview_site

_ADDRESS = re.compile(r"(\[[0-9A-Fa-f:.]+\]|[^:\s\[\]]+):(\d{1,5})")
_HIGHEST = 65_535


@click.command()
@click.argument("plot", required=False)
@click.option("--plan", "house_type", type=click.Path(path_type=Path),
              help="Show the plan of this house type instead, with its findings, drawn again at each save.")  # fmt: skip
@click.option("--address", default="127.0.0.1:8000", show_default=True, help="Where to serve it.")
@own_code_option
@workspace_option
def preview(
    plot: str | None, house_type: Path | None, address: str, own_code: bool, workspace: Path
) -> None:
    """Show one plot's guide in a browser, or the plan of a house type, again at every change."""
    if house_type is not None and plot is None:
        _check_free(address)
        preview_plan(workspace, house_type, address)
    elif plot is not None and house_type is None:
        _preview_guide(plot, address, own_code, workspace)
    else:
        raise click.UsageError("Name a PLOT, or a house type with --plan.")


def _preview_guide(plot: str, address: str, own_code: bool, workspace: Path) -> None:
    the_plot(prepare(workspace, [plot], today(None)), plot)
    _check_free(address)
    click.echo(
        f"The guide of {plot}: http://{address}/  Written again at each save. Stop with Ctrl+C."
    )
    preview_site(workspace, plot, address, _calendar, own_code=own_code)


def _calendar(guide: Guide) -> Mapping[str, bytes]:
    """What the page of dates leads to."""
    return next_editions(guide, "preview", today(None), lambda _: None)


def _check_free(address: str) -> None:
    """UsageError where nothing can be served at an address, and what to write in its place."""
    found = _ADDRESS.fullmatch(address)
    if found is None or int(found[2]) > _HIGHEST:
        raise UsageError(f"'{address}' is no address. Write HOST:PORT, as 127.0.0.1:8000.")
    host, port = found[1].strip("[]"), int(found[2])
    try:
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        socket.create_server((host, port), family=family).close()
    except OSError as error:
        if error.errno != errno.EADDRINUSE:
            raise UsageError(f"Nothing can be served at '{address}': {error.strerror}.") from error
        another = port + 1 if port < _HIGHEST else port - 1
        raise UsageError(
            f"Another program is serving at '{address}', perhaps another preview. "
            f"Stop it, or name another address: --address {found[1]}:{another}."
        ) from error
