"""``handover impact``: what a change of a file reaches, before anyone changes it."""

import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

import click

from builder.cli.impact_forms import ImpactAnswer, as_csv, as_json, as_table
from builder.cli.options import listing_option, workspace_option
from builder.cli.show import steps
from builder.guide.sticker_pages import StickerRecord
from builder.questions.files import target_of
from builder.questions.homes import Homes, read_homes
from builder.questions.impact import impact_of
from builder.questions.showing import WritePage
from builder.register.lines import Register
from builder.register.moving import register_of
from builder.shipped import layered
from builder.sources.workspace import Workspace
from builder.writers.site.pages import Pages

NOTHING_REACHED, NOT_ALL_ASKED = 1, 3


@click.command()
@click.argument("files", nargs=-1, required=True, metavar="FILE[:LINE]…")
@listing_option
@workspace_option
def impact(files: tuple[str, ...], form: str, workspace: Path) -> None:
    """Name the plots and pages that a change of a file reaches, before you change it.

    FILE is any file of the workspace: a house type, an option, an article, a photograph, a page
    template. FILE:LINE asks about one line: one value, or one entry with all that is in it.

    \b
      handover impact housetypes/options/car-charger.yaml
      handover impact housetypes/standard.yaml:42
      handover impact content/articles/boiler-care.md

    Nothing is written. The changes that the file could see are tried out in memory, and a page
    that comes out otherwise is named, with the sort of change: a value is changed, something is
    taken away, or something is added: a missing value, or one more of what is there. Something
    wholly new, such as the first lift, can reach any page of the plots that read the file.

    Exit code 0 when a page, a sticker page or a menu is reached, 1 when nothing is, 2 when there
    is no such file, and 3 when some plots could not be asked.
    """  # fmt: skip
    targets = [target_of(workspace, each) for each in files]
    homes = read_homes(workspace, ())
    write, stickers = _writing(homes.workspace), _stickers(homes)
    told = []
    for target in targets:
        with steps(f"Trying {target}", len(homes.asked)) as count:
            told.append(
                ImpactAnswer(
                    impact_of(homes, target, write, stickers, count.done), len(homes.asked)
                )
            )
    forms = {"table": as_table, "csv": as_csv, "json": as_json}
    click.echo(forms[form](told), nl=False)
    if homes.unread:
        click.echo(
            f"Not asked, because the data makes no home: {', '.join(homes.unread)}. See 'handover check'.",
            err=True,
        )
    reached = any(each.impact.reaching for each in told)
    sys.exit(NOT_ALL_ASKED if homes.unread else 0 if reached else NOTHING_REACHED)


def _writing(workspace: Workspace) -> WritePage:
    """Writes pages as the site does."""
    pages = Pages(layered(workspace.folder.root, "site_templates/pages"))
    return lambda guide, page: pages.one(guide, page).markdown


def _stickers(homes: Homes) -> Mapping[str, tuple[StickerRecord, ...]]:
    """Every sticker that was ever issued, by plot."""
    registers = {name: register_of(homes.workspace, name) for name in homes.workspace.developments}
    return {
        reference: tuple(_records(registers[home.plot.development], home.plot.numbers))
        for reference, home in homes.homes.items()
    }


def _records(register: Register, numbers: tuple[str, ...]) -> Iterator[StickerRecord]:
    for each in register.stickers(numbers):
        wanted = each.wanted
        void = each.code in register.void
        yield StickerRecord(
            each.code, wanted.kind, wanted.room, wanted.make, wanted.equipment, void
        )
