"""``handover deploy``: send what differs to where people read it."""

import json
import sys
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import click

from builder.cli.show import columns, steps
from builder.deploy.deploying import Deployment, SendOrder
from builder.deploy.deploying import deploy as deploy_tree
from builder.deploy.deployment_plan import NOTHING_UNKNOWN, Unknown
from builder.errors import counted


@click.command()
@click.argument("destination", metavar="DEST")
@click.option("--from", "tree", type=click.Path(path_type=Path), default="public", show_default=True, metavar="DIR",
              help="The published tree.")  # fmt: skip
@click.option("--records", "records_in", metavar="DIR",
              type=click.Path(exists=True, file_okay=False, path_type=Path),
              help="The records of a tree that was copied elsewhere. Default: beside the tree, in .NAME.records.")  # fmt: skip
@click.option("--dry-run", is_flag=True, help="Say what would be sent and deleted, and touch nothing.")  # fmt: skip
@click.option("--compare", is_flag=True,
              help="Ask the destination what it holds, in place of trusting what was sent before.")  # fmt: skip
@click.option("--former-host", metavar="HOST",
              help="Send, in place of the guides, the pages that lead on from this old host.")  # fmt: skip
@click.option("--redirects-file", is_flag=True,
              help="With --former-host: send _redirects too. It lists all codes: only for a host that never serves it.")  # fmt: skip
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
              help="A table, or JSON.")  # fmt: skip
def deploy(
    destination: str,
    tree: Path,
    records_in: Path | None,
    dry_run: bool,
    compare: bool,
    former_host: str | None,
    redirects_file: bool,
    form: str,
) -> None:
    """Send the published guides to DEST: only what differs, and never half a guide first.

    DEST is a folder, or an address that fsspec knows, such as s3://bucket/folder. An address needs
    pip install 'handover-pack-builder[deploy]'; keys and the like are read from the environment.

    A page is sent after what it points at, and files are deleted last. A run that was cut off is
    taken up by the next. Guides that have no record here, and sticker pages, are never deleted.

    In a folder each guide is exchanged as a whole: whenever a run is cut off, a guide is the old one or
    the new one. An object store cannot exchange folders: while a guide is sent there, and after a
    run that was cut off until the next, some of its pages are new and others old. Each page is
    whole, and what it leads to is there.

    Exit code 0 when all was sent; 1 when something was left as it was.
    """
    if redirects_file and former_host is None:
        raise click.UsageError("--redirects-file goes with --former-host HOST.")
    order = SendOrder(tree, destination, records_in, former_host, redirects_file, compare, dry_run)
    done = deploy_tree(order, partial(steps, "Sending"))
    lines = [_as_json(done, dry_run)] if form == "json" else _as_text(done, dry_run)
    for line in lines:
        click.echo(line)
    if done.unreadable:
        click.echo(_unreadable(done.unreadable), err=True)
    if done.unknown != NOTHING_UNKNOWN:
        click.echo(_unknown(done.unknown), err=True)
    sys.exit(1 if done.unreadable else 0)


def _unreadable(number: int) -> str:
    """No plot can be named: the record that cannot be read is what would name it."""
    if number == 1:
        return "The record of 1 guide cannot be read. That guide was left as it was: build again."
    return f"The records of {number} guides cannot be read. Those guides were left as they were: build again."


def _unknown(found: Unknown) -> str:
    there = " and ".join(
        counted(number, thing)
        for number, thing in ((found.guides, "guide"), (found.stickers, "sticker page"))
        if number
    )
    one = found.guides + found.stickers == 1
    return (
        f"Standing there besides: {there} that no record of this tree names. "
        f"{'It stays as it is' if one else 'They stay as they are'}, and nobody brings {'it' if one else 'them'} up to date. "
        "Where no other workspace sends there, a register was lost or put back from an old copy: put it back as it was last."
    )


def _as_text(done: Deployment, dry_run: bool) -> Iterator[str]:
    if done.plots:
        headings = ("plot", "to copy", "to delete") if dry_run else ("plot", "copied", "deleted")
        yield from columns(headings, [(each.about, each.copied, each.deleted) for each in done.plots])  # fmt: skip
        yield ""
    said = "To copy" if dry_run else "Copied"
    yield (
        f"{said}: {counted(done.copied, 'file')}, {done.size:,} bytes. Unchanged: {done.unchanged}. "
        f"{'To delete' if dry_run else 'Deleted'}: {done.deleted}."
    )
    if done.compared:
        yield f"'{done.address}' was asked what it holds: nothing sure was known of it."


def _as_json(done: Deployment, dry_run: bool) -> str:
    told = {
        "destination": done.address,
        "dry_run": dry_run,
        "copied": done.copied,
        "bytes": done.size,
        "unchanged": done.unchanged,
        "deleted": done.deleted,
        "left_unreadable": done.unreadable,
        "compared": done.compared,
        "unknown": {"guides": done.unknown.guides, "stickers": done.unknown.stickers},
        "plots": [
            {"plot": each.about, "copied": each.copied, "deleted": each.deleted}
            for each in done.plots
        ],
    }
    return json.dumps(told, indent=2, ensure_ascii=False)
