"""What old hosts serve from now on, kept among the records of a tree and never in the tree itself.

Several developments may have left one host: each has its share of what that host serves.
"""

from collections.abc import Mapping

from builder.build.manifest import Records
from builder.errors import HandoverError
from builder.register.lines import Register
from builder.register.redirects import Moves, files_for, host_of, moves_of
from builder.sources.entry import plain
from builder.sources.workspace import DevelopmentSource


def write_former_hosts(
    records: Records, developments: Mapping[str, tuple[DevelopmentSource, Register]]
) -> None:
    """Bring the share of these developments up to date, and write what differs."""
    shares = {host: dict(each) for host, each in records.moves().items()}
    for name, (development, register) in developments.items():
        for share in shares.values():
            share.pop(name, None)
        for host, moves in _moves(development, register).items():
            shares.setdefault(host, {})[name] = moves
    shares = {host: share for host, share in shares.items() if share}
    files = {
        f"{host}/{path}": text
        for host, share in sorted(shares.items())
        for path, text in files_for(_together(share)).items()
    }
    try:
        records.write_redirects(shares, files)
    except OSError as error:
        raise HandoverError(f"'{records.redirects_folder}' cannot be written: {error.strerror}.") from error  # fmt: skip


def _moves(development: DevelopmentSource, register: Register) -> Mapping[str, Moves]:
    """By each host that a development has left."""
    about = plain(development.entry)["development"] if development.entry else {}
    former = about.get("former_base_urls") or ()
    host = str(about.get("base_url") or "")
    return {left: moves_of(register, host) for each in former if (left := host_of(str(each)))}


def _together(share: Mapping[str, Moves]) -> Moves:
    return {old: new for _, moves in sorted(share.items()) for old, new in moves.items()}
