"""Whatever stands in a source file, there are findings and never a traceback, and what the check lets
pass can be built."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from click.testing import Result
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.broken_workspaces import WHOLE, run
from tests.hostile_values import FILES, NEW_FILES, lay_spoilt, spoilt


def asked(*arguments: str) -> Result:
    """What a command says; anything but its own end is a failure."""
    result = run(*arguments)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise AssertionError(result.output) from result.exception
    assert "mistake of the builder" not in result.output, result.output
    return result


BUILT = 3
"""Of so many hostile files one is built too."""


@settings(max_examples=90)
@given(spoilt(), st.integers(1, BUILT))
def test_any_bytes_give_findings_and_what_passes_can_be_built(
    file_and_content: tuple[str, bytes], turn: int
) -> None:
    with TemporaryDirectory() as folder:
        workspace, out = lay_spoilt(Path(folder), *file_and_content), Path(folder) / "public"
        where = ("--workspace", str(workspace), "--date", "2026-03-01")
        said = asked("check", *where).output
        assert said.isascii() or all(each.isprintable() or each == "\n" for each in said)
        if turn == BUILT:
            asked("build", *where, "--out", str(out))
            built = len(list((out / "g").glob("*"))) if (out / "g").exists() else 0
            assert built == int(said.splitlines()[-1].split(" of ")[0])


ODD: dict[str, Callable[[Path], None]] = {
    "pipe": os.mkfifo,
    "folder": Path.mkdir,
    "link to itself": lambda path: path.symlink_to(path),
    "link to nothing": lambda path: path.symlink_to(path.with_name("nothing")),
}


@pytest.mark.parametrize("odd", ODD)
@pytest.mark.parametrize("file", [*FILES, *NEW_FILES, "mkdocs.yml"])
def test_what_is_no_file_gives_findings(file: str, odd: str, tmp_path: Path) -> None:
    workspace = tmp_path / "workspace"
    shutil.copytree(WHOLE, workspace)
    place = workspace / file
    place.parent.mkdir(parents=True, exist_ok=True)
    place.unlink(missing_ok=True)
    ODD[odd](place)
    asked("check", "--workspace", str(workspace), "--date", "2026-03-01")
