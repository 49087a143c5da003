"""``handover desk``: the web application of the team, and its accounts."""

from pathlib import Path

import click

from builder.cli.options import workspace_option
from builder.errors import UsageError

_LOCAL = frozenset({"127.0.0.1", "localhost", "::1"})
_EVERY_ADDRESS = ("0.0.0.0", "::")  # noqa: S104 - compared with what was asked for
_PORT = 8700
_EXTRA = "The desk needs its own libraries: pip install 'handover-pack-builder[desk]'."


@click.group(invoke_without_command=True)
@click.option("--port", type=click.IntRange(1, 65_535), default=_PORT, show_default=True, help="Where to serve.")  # fmt: skip
@click.option("--listen", metavar="ADDRESS", help="Serve a team at this address of the machine; people sign in. Default: this machine alone.")  # fmt: skip
@click.option("--host", "names", multiple=True, metavar="NAME[:PORT]", help="A name by which browsers call the desk, with --listen. May be said several times.")  # fmt: skip
@click.option("--certificate", type=click.Path(exists=True, dir_okay=False, path_type=Path), help="The certificate for HTTPS, in PEM.")  # fmt: skip
@click.option("--key", type=click.Path(exists=True, dir_okay=False, path_type=Path), help="Its private key, in PEM.")  # fmt: skip
@click.option("--proxy-header", metavar="HEADER", help="A proxy on this machine signs people in, and names them in this header.")  # fmt: skip
@click.option("--unencrypted", is_flag=True, help="With --listen: serve by HTTP, so that passwords cross the network as they are typed.")  # fmt: skip
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder of the published tree. Default: public, in the workspace.")  # fmt: skip
@click.option("--destination", metavar="DEST", help="Where releases are sent, as 'handover deploy' knows it.")  # fmt: skip
@workspace_option
@click.pass_context
def desk(
    context: click.Context, port: int, listen: str | None, names: tuple[str, ...],
    certificate: Path | None, key: Path | None, proxy_header: str | None, unencrypted: bool,
    out: Path | None, destination: str | None, workspace: Path,
) -> None:  # fmt: skip
    """Serve the desk: publish, record, print and correct in a browser, over the files of the workspace.

    It serves this machine alone, and whoever sits at it chooses a role. With --listen it serves a team:
    add accounts first, with 'handover desk accounts add NAME --role ROLE'.
    """
    context.obj = workspace
    listen = listen.strip("[]") if listen else listen
    if context.invoked_subcommand is not None:
        return
    _check_ways(listen, certificate, key, proxy_header, unencrypted)
    if listen in _EVERY_ADDRESS and not names:
        raise UsageError(f"'{listen}' is every address of this machine. Name those by which browsers call it: --host NAME.")  # fmt: skip
    try:
        from builder.desk.serving import DeskAddress, serve  # noqa: PLC0415 - an extra, and slow to load
    except ModuleNotFoundError as error:
        raise UsageError(_EXTRA) from error
    call = DeskAddress(listen or "127.0.0.1", port, names, certificate, key, proxy_header, listen is not None)  # fmt: skip
    serve(workspace, out or workspace / "public", destination, call, click.echo)


def _check_ways(
    listen: str | None, certificate: Path | None, key: Path | None, proxy_header: str | None,
    unencrypted: bool,
) -> None:  # fmt: skip
    """UsageError where the ways in do not go together."""
    if (certificate is None) is not (key is None):
        raise UsageError("--certificate and --key go together.")
    outside = listen is not None and listen not in _LOCAL
    if proxy_header is not None and (outside or listen is None):
        raise UsageError("--proxy-header goes with --listen 127.0.0.1: whoever reached the desk past the proxy could name anybody.")  # fmt: skip
    if outside and certificate is None and not unencrypted:
        raise UsageError("Passwords would cross the network as they are typed. Name --certificate and --key, or put a proxy before the desk (--listen 127.0.0.1), or say --unencrypted.")  # fmt: skip


@desk.group()
def accounts() -> None:
    """Who may sign in at a desk that serves a team, and in which roles."""


@accounts.command()
@click.argument("name")
@click.option("--role", "roles", multiple=True, required=True, help="technical, site, sales, customer-care or editor; may be said several times.")  # fmt: skip
@click.option("--no-password", is_flag=True, help="For a desk behind a proxy that knows who asks.")
@click.pass_obj
def add(workspace: Path, name: str, roles: tuple[str, ...], no_password: bool) -> None:
    """Add an account, or change its roles and password. The password is asked for, and never shown."""
    from builder.desk.accounts import (  # noqa: PLC0415 - an extra
        accounts_file,
        new_account,
        read_accounts,
        write_accounts,
    )

    new_account(name, roles, None)
    asked = None if no_password else click.prompt("Password", hide_input=True, confirmation_prompt="Once more")  # fmt: skip
    path = accounts_file(workspace)
    account = new_account(name, roles, asked)
    write_accounts(path, {**read_accounts(path), name: account})
    click.echo(f"{name}: {', '.join(account.roles)}. Kept in {path.as_posix()}.")


@accounts.command("list")
@click.pass_obj
def list_command(workspace: Path) -> None:
    """List the accounts and their roles."""
    from builder.desk.accounts import accounts_file, read_accounts  # noqa: PLC0415 - an extra

    for each in read_accounts(accounts_file(workspace)).values():
        how = "" if each.digest else "  (named by a proxy)"
        click.echo(f"{each.name}  {', '.join(each.roles)}{how}")


@accounts.command()
@click.argument("name")
@click.pass_obj
def remove(workspace: Path, name: str) -> None:
    """Take an account away. Whoever is signed in by it is out at once."""
    from builder.desk.accounts import (  # noqa: PLC0415 - an extra
        accounts_file,
        read_accounts,
        write_accounts,
    )

    path = accounts_file(workspace)
    known = dict(read_accounts(path))
    if known.pop(name, None) is None:
        raise UsageError(f"There is no account '{name}'.")
    write_accounts(path, known)
    click.echo(f"{name} is taken away.")
