"""Whatever stands in a source file, there are findings and never a traceback, and what the check lets
pass can be built."""

from pathlib import Path
from tempfile import TemporaryDirectory

from click.testing import Result
from hypothesis import given, settings

from tests.broken_workspaces import run
from tests.hostile_values import lay_spoilt, spoilt


def asked(*arguments: str) -> Result:
    """What a command says; anything but its own end is a failure."""
    result = run(*arguments)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise AssertionError(result.output) from result.exception
    assert "mistake of the builder" not in result.output, result.output
    return result


@settings(max_examples=120)
@given(spoilt())
def test_any_bytes_give_findings(file_and_content: tuple[str, bytes]) -> None:
    with TemporaryDirectory() as folder:
        workspace = lay_spoilt(Path(folder), *file_and_content)
        result = asked("check", "--workspace", str(workspace), "--date", "2026-03-01")
    assert result.output.isascii() or all(
        each.isprintable() or each == "\n" for each in result.output
    )


@settings(max_examples=40)
@given(spoilt())
def test_what_passes_the_check_can_be_built(file_and_content: tuple[str, bytes]) -> None:
    with TemporaryDirectory() as folder:
        workspace, out = lay_spoilt(Path(folder), *file_and_content), Path(folder) / "public"
        where = ("--workspace", str(workspace), "--date", "2026-03-01")
        said = asked("check", *where).output.splitlines()[-1]
        asked("build", *where, "--out", str(out))
        built = len(list((out / "g").glob("*"))) if (out / "g").exists() else 0
    assert built == int(said.split(" of ")[0])
