"""The commands of ``handover``, each read when it is asked for.

What one command needs, another need not wait for: listing the rules draws no plan and sets no page.
"""

import atexit
import errno
import gc
from importlib import import_module
from typing import Any

import click

from builder import __version__
from builder.errors import HandoverError, near_miss, printable

_COMMANDS = {
    "articles": "articles:articles",
    "build": "build:build",
    "check": "check:check",
    "compare": "compare:compare",
    "copy": "copy:copy",
    "demonstration": "demonstration:demonstration",
    "deploy": "deploy:deploy",
    "desk": "desk:desk",
    "export": "export:export",
    "find": "find:find",
    "impact": "impact:impact",
    "import": "import_:import_command",
    "kinds": "kinds:kinds",
    "languages": "languages:languages",
    "new": "new:new",
    "preview": "preview:preview",
    "print": "paper:print_command",
    "ready": "ready:ready",
    "record": "demonstration:record",
    "rules": "rules:rules",
    "schema": "schemas:schema",
    "sources": "articles:sources",
    "stickers": "stickers:stickers",
    "update": "from_models:update",
    "verify": "verify:verify",
    "why": "why:why",
}
"""Where each command stands: a module beside this one, and its name there."""


COLLECTING = (100_000, 20, 100)
"""How many new objects, and how many rounds, the collector waits for: a run keeps what it makes to
its end, and the collector would look through all of it again and again and find nothing."""


class _Group(click.Group):
    """Reads a command when it is asked for, and turns what stops it into a message and an exit code."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _COMMANDS:
            return None
        module, _, name = _COMMANDS[cmd_name].partition(":")
        command = getattr(import_module(f"builder.cli.{module}"), name)
        if not isinstance(command, click.Command):
            raise TypeError(f"'{_COMMANDS[cmd_name]}' is no command")
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in _COMMANDS and (close := near_miss(args[0], _COMMANDS)):
            ctx.fail(f"There is no command '{printable(args[0])}'. Did you mean '{close}'?")
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except HandoverError as error:
            click.echo(f"Error: {error}", err=True)
            ctx.exit(error.exit_code)
        except OSError as error:
            if error.errno == errno.EPIPE:
                raise  # whoever read the output has gone
            named = f"'{printable(str(error.filename))}' cannot be used: " if error.filename else ""
            click.echo(f"Error: {named}{error.strerror or error}.", err=True)
            ctx.exit(HandoverError.exit_code)


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="handover")
def main() -> None:
    """Turns a housebuilder's data into a guide for every single home it hands over."""
    gc.set_threshold(*COLLECTING)
    atexit.register(gc.freeze)  # Nor does it look through all of it once more at the end.
