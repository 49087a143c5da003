"""``handover new``: commented, valid files to begin from."""

import os
import re
import sys
from collections.abc import Callable
from contextlib import redirect_stdout
from datetime import date, datetime
from functools import partial
from pathlib import Path
from string import Template
from typing import Any

import click

from builder.build.promises import check_promises
from builder.cli.from_models import model_options, write_new
from builder.cli.options import date_option, today
from builder.cli.schemas import write_schemas
from builder.cli.starters import Near, near_options, starter
from builder.disk import save_inside
from builder.errors import Findings, FindingsError, UsageError, suggestion
from builder.importers.models.housetype import house_type_from
from builder.importers.models.request import ModelRequest
from builder.model.record import no_identifier
from builder.register.register import replace_guide
from builder.rules.reference import library
from builder.saving.newer import with_newer
from builder.saving.yaml_text import UnchangeableError
from builder.shipped import shipped
from builder.sources.entry import dotted, plain
from builder.sources.folder import Folder
from builder.sources.named_plots import chosen_plots
from builder.sources.nations import NATIONS, nations
from builder.sources.table import header_of
from builder.sources.workspace import STANDARD, read_workspace
from builder.sources.yaml_plain import shipped_values
from builder.sources.yaml_reader import read_yaml
from builder.tables import lines_of

_SCAFFOLDS = Path(__file__).parent / "scaffolds"
_ANY_SYSTEM = "new-home"
"""The system that an article begins with, where its workspace has it."""
_GROWING = ("systems", "room_kinds", "kinds")
"""Sections of the standard that later versions of the builder add to."""
_IGNORED = (
    "/public/", ".*.records/", "/paper/", "/records/", "/developments/*/records/",
    "*-run-sheet.*", "*-demonstration.json", "/.handover/",
)  # fmt: skip
"""What git leaves out of a workspace: what is private, and what a build makes again."""

workspace_option = click.option(
    "--workspace",
    type=click.Path(file_okay=False, path_type=Path),
    default=".",
    help="Folder of the workspace; begun if it holds none. Default: here.",
)


@click.group()
def new() -> None:
    """Begin a house type, an option, a plot, an article or a development; add newer kinds."""


def _command(function: Callable[..., Any]) -> Callable[..., Any]:
    return new.command()(workspace_option(function))


@_command
@click.argument("name")
@near_options
@model_options
def housetype(name: str, workspace: Path, near: Near, asked: ModelRequest, report: str) -> None:
    """Begin a house type: housetypes/NAME.yaml, a small house that can be built at once; one that is
    near yours, by --storeys and the like; or the one that a building model shows, by --from."""
    file = f"housetypes/{_identifier(name)}.yaml"
    if asked.files and near:
        raise click.UsageError(
            "A model says what the house is like: leave out --storeys and the like."
        )
    if not asked.files:
        _begin_workspace(workspace)
        _write(
            workspace,
            file,
            "housetype.yaml",
            partial(starter, near=near) if near else str,
            title=_title(name),
        )
        return
    _absent(workspace / file)
    imported = house_type_from(workspace, _title(name), asked)
    with redirect_stdout(sys.stderr if report == "json" else sys.stdout):
        _begin_workspace(workspace)
    write_new(workspace, name, imported, report)


@_command
@click.argument("name")
def option(name: str, workspace: Path) -> None:
    """Begin an option that plots can have: housetypes/options/NAME.yaml."""
    file = f"housetypes/options/{_identifier(name)}.yaml"
    _begin_workspace(workspace)
    _write(workspace, file, "option.yaml", name=name, title=_title(name))


@_command
def kinds(workspace: Path) -> None:
    """Add the kinds that ship with this version, and the groups and kinds of rooms, where
    housetypes/standard.yaml lacks them. What stands there stays as it is, and so does what it takes out
    with null."""
    standard = workspace / STANDARD
    if not standard.is_file():
        _begin_workspace(workspace)
        return
    ships = shipped_values(shipped(STANDARD).read_text(encoding="utf-8"))
    findings = Findings()
    content = Folder(workspace).content(standard, findings)
    if content is None:
        raise FindingsError(findings.errors)
    try:
        text, added = with_newer(content.decode("utf-8"), ships, _GROWING)
    except (UnchangeableError, UnicodeDecodeError) as problem:
        raise UsageError(f"{STANDARD}: {problem} Nothing was added.") from problem
    if added:
        save_inside(workspace, standard, text.encode("utf-8"))
    click.echo("\n".join(map(dotted, added)) or f"{STANDARD} lacks none that ships.")


@_command
@click.argument("name")
@click.option(
    "--date", "day", type=click.DateTime(["%Y-%m-%d"]), help="When it was reviewed, as YYYY-MM-DD."
)
def article(name: str, workspace: Path, day: datetime | None) -> None:
    """Begin an article: content/articles/NAME.md."""
    _begin_workspace(workspace)
    reviewed = (day.date() if day else date.today()).isoformat()
    systems = _systems_of(workspace)
    system = _ANY_SYSTEM if _ANY_SYSTEM in systems else systems[0]
    _write(workspace, f"content/articles/{_identifier(name)}.md", "article.md",
           title=_title(name), day=reviewed, system=system, systems=", ".join(systems))  # fmt: skip


def _systems_of(workspace: Path) -> tuple[str, ...]:
    """The systems that the standard of a workspace has; that of any home where it cannot be read."""
    findings = Findings()
    text = Folder(workspace).read(workspace / STANDARD, findings)
    entry = read_yaml(text, STANDARD, findings) if text else None
    systems = entry.child("systems") if entry else None
    return tuple(systems.children) if systems and systems.children else (_ANY_SYSTEM,)


@_command
@click.argument("name")
@click.option(
    "--nation", type=click.Choice(NATIONS), default=NATIONS[0], show_default=True,
    help="Where it stands: its words, numbers, papers and editions of standards follow.",
)  # fmt: skip
def development(name: str, nation: str, workspace: Path) -> None:
    """Begin a development: developments/NAME/, with a table that waits for plots."""
    _begin_workspace(workspace)
    folder = f"developments/{_identifier(name)}"
    water = _water(nation)
    _write(workspace, f"{folder}/development.yaml", "development.yaml",
           title=_title(name), nation=nation, editions=_editions(nation), metered=water["metered"],
           meter=water["meter"], equipment=water["equipment"])  # fmt: skip
    _write(workspace, f"{folder}/plots.csv", "plots.csv")


def _water(nation: str) -> dict[str, str]:
    """The lines of a development that say whether water is counted, and where it is shut off."""
    tap = "  external-stop-tap: {kind: external-stop-tap, room: outside, place: "
    if not plain(nations()[nation])["nation"].get("water_metered", True):
        return {"metered": "false", "meter": "", "equipment": f"{tap}under the small cover in the pavement}}"}  # fmt: skip
    meter = "  water-meter: {kind: water-meter, room: outside, place: under the small cover in the pavement}"
    return {
        "metered": "true",
        "meter": ", meter: water-meter",
        "equipment": f"{meter}\n{tap}under the same cover as the water meter}}",
    }


def _editions(nation: str) -> str:
    """The lines of a development that say by which editions its homes are checked."""
    if plain(nations()[nation])["nation"].get("editions_by") == "warrant":
        return (
            "  # The day on which the building warrant was applied for decides the edition of every\n"
            "  # standard. A column 'warrant' in plots.csv says it of single plots.\n"
            "  # warrant: 2026-01-15"
        )
    latest = {subject: library().latest(nation, subject) for subject in library().subjects}
    listed = ", ".join(f'{subject}: "{edition}"' for subject, edition in latest.items() if edition)
    return (
        "  # The editions of the standards that the homes are built to; without them, the latest.\n"
        f"  editions: {{{listed}}}"
    )


@_command
@click.argument("plot")
@click.option("--housetype", "house_type", help="Its house type. Default: the only one there is.")
@click.option(
    "--hand", type=click.Choice(["as-drawn", "opposite"]), default="as-drawn", show_default=True
)
@click.option("--postcode", default="ZZ99 9ZZ", show_default=True)
@click.option(
    "--address", "postal_address", help="Its postal address. Default: number and development."
)
def plot(
    plot: str,
    workspace: Path,
    house_type: str | None,
    hand: str,
    postcode: str,
    postal_address: str | None,
) -> None:
    """Begin a plot, named <development>/<plot>: its row in plots.csv, and plots/<plot>.yaml."""
    development, _, number = plot.partition("/")
    table = workspace / "developments" / development / "plots.csv"
    if not number or not table.is_file():
        raise UsageError(f"'{plot}' is not <development>/<plot> of a development that exists.")
    own = f"developments/{development}/plots/{_identifier(number)}.yaml"
    _absent(workspace / own)
    row = {
        "plot": number,
        "address": postal_address or f"{number.lstrip('0') or number} {_title(development)}",
        "postcode": postcode,
        "house_type": _house_type(workspace, house_type),
        "hand": hand,
    }
    _append_row(Folder(workspace), table, row)
    _write(workspace, own, "plot.yaml")


def _begin_workspace(workspace: Path) -> None:
    """Give an empty folder the standard and the schemas; and have git leave out what is private. The
    article library lies below it as it ships."""
    _leave_out(workspace / ".gitignore")
    standard = workspace / STANDARD
    if standard.exists():
        return
    text = shipped(STANDARD).read_text(encoding="utf-8")
    save_inside(workspace, standard, _LOOK.sub("", text).encode("utf-8"))
    click.echo(STANDARD)
    write_schemas(workspace / "schemas", workspace)
    (workspace / "developments").mkdir(exist_ok=True)
    click.echo("schemas")


def _leave_out(note: Path) -> None:
    """Add the lines that a workspace's own file lacks, and leave all others as they are."""
    text = note.read_text(encoding="utf-8") if note.is_file() else ""
    lacking = [line for line in _IGNORED if line not in text.splitlines()]
    if not lacking or note.is_symlink() or (note.exists() and not note.is_file()):
        return
    begun = text if not text or text.endswith("\n") else f"{text}\n"
    about = "# Private, or made again by the builder. Keep the registers: they are for ever.\n"
    whole = f"{begun}{about}" + "".join(f"{line}\n" for line in lacking)
    save_inside(note.parent, note, whole.encode("utf-8"))
    click.echo(note.name)


def _write(
    workspace: Path, file: str, scaffold: str, made: Callable[[str], str] = str, **values: str
) -> None:
    """Write a scaffold with its values. ``made``: what becomes of its text besides."""
    path = workspace / file
    _absent(path)
    text = Template((_SCAFFOLDS / scaffold).read_text(encoding="utf-8")).substitute(values)
    save_inside(workspace, path, made(text).encode("utf-8"))
    click.echo(file)


def _absent(path: Path) -> None:
    if os.path.lexists(path):
        raise UsageError(f"'{path}' is there already; it was left as it is.")


def _identifier(name: str) -> str:
    if problem := no_identifier(name):
        raise UsageError(f"'{name}' {problem[0]}. {problem[1]}")
    return name


_LOOK = re.compile(r"^  look:\n(?:    .*\n)+", re.MULTILINE)
"""The colours and the logo of the builder of the demo, which are nobody else's."""


def _title(name: str) -> str:
    return name.replace("-", " ").capitalize()


def _house_type(workspace: Path, named: str | None) -> str:
    """The one that is named, which must be there, or else the only one."""
    names = sorted(
        path.stem for path in (workspace / "housetypes").glob("*.yaml") if path.stem != "standard"
    )
    if named is not None and named not in names:
        raise UsageError(f"There is no house type '{named}'. {suggestion(named, names, 'House types here')}")  # fmt: skip
    if named is None and len(names) != 1:
        raise UsageError(
            f"Name its house type with --housetype: {', '.join(names) or 'there is none yet'}."
        )
    return named or names[0]


def _append_row(folder: Folder, table: Path, row: dict[str, str]) -> None:
    """A row in the table's own order and with its own separator."""
    findings = Findings()
    text = folder.read(table, findings)
    if text is None:
        raise UsageError("\n".join(map(str, findings)))
    names, delimiter = header_of(text)
    line = lines_of([[row.get(name, "") for name in names]], delimiter)
    before = table.read_bytes()
    begun = b"" if before.endswith((b"\n", b"\r")) else b"\n"
    save_inside(folder.root, table, before + begun + line.encode("utf-8"))
    click.echo(f"{folder.name(table)}: one row")


@_command
@click.argument("plot", metavar="PLOT")
@date_option
def address(plot: str, workspace: Path, day: datetime | None) -> None:
    """Replace the address of a guide that was stolen or is unwanted. Its stickers lead to the new one,
    and the old one leads nowhere for good."""
    replace_address(plot, workspace, day)


def replace_address(plot: str, workspace: Path, day: datetime | None) -> None:
    """Give the guide of a plot another address, and say what is to be done next."""
    findings = Findings()
    read = read_workspace(workspace, findings)
    chosen = chosen_plots(read, (plot,))
    if chosen != (plot.strip("/"),):
        raise UsageError(f"'{plot}' is no single plot. Name one: <development>/<plot>.")
    promised = Findings()
    if not check_promises(read, promised):
        raise FindingsError(promised.errors)
    source = read.plots[chosen[0]]
    register = replace_guide(read.folder, source, today(day))
    click.echo(f"{source.reference} has a new address, /g/{register.guide((source.number,))}/.")
    click.echo(
        f"Build the plot and deploy: from then on its stickers lead there, and the old address leads "
        f"nowhere. Run: handover build {source.reference}"
    )
