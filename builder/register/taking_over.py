"""Takes over registers of the earlier form, whose lines carry no digests: once, and said."""

from collections.abc import Iterator

from builder.errors import Finding, Findings, HandoverError, Place, Severity
from builder.register.reading import read_register
from builder.register.register import take_over
from builder.sources.workspace import Workspace


def taken_over(workspace: Workspace) -> Iterator[Finding]:
    """Give the lines of every such register their digests, and say so for each.

    One that cannot be written stays as it is: it was good enough until now.
    """
    for development in workspace.developments.values():
        register = read_register(workspace.folder, development.id, Findings())
        if not register.earlier:
            continue
        try:
            take_over(workspace.folder, development.id)
        except HandoverError:
            continue
        number = len(register.lines)
        lines = "Its line carries" if number == 1 else f"Each of its {number} lines carries"
        yield Finding(
            "register.taken-over", Place(register.file),
            f"This register was of the earlier form, and is taken over. {lines} a digest now, and register.seal beside it seals them.",
            "Keep both files under version control.", severity=Severity.NOTE,
        )  # fmt: skip
