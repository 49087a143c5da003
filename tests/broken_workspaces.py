"""Broken workspaces: one folder a mistake, laid over the whole example ``cottage``.

``python -m tests.broken_workspaces`` writes every ``expected.txt`` again, to be read in the diff.
"""

import os
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from click.testing import CliRunner, Result

from builder.cli import main

HERE = Path(__file__).parent
WHOLE = HERE / "workspaces" / "cottage"
BROKEN = HERE / "broken"
EXPECTED = "expected.txt"


def _hundred_megabytes(workspace: Path) -> None:
    with (workspace / "housetypes" / "cottage.yaml").open("wb") as file:
        file.truncate(100 * 1024 * 1024)


def _link_outside(workspace: Path) -> None:
    outside = workspace.parent / "outside.yaml"
    outside.write_text("option: {name: Secret, summary: Not ours.}\n", encoding="utf-8")
    (workspace / "housetypes" / "options" / "secret.yaml").symlink_to(outside)


def _broken_link(workspace: Path) -> None:
    (workspace / "content" / "articles" / "gone.md").symlink_to(workspace / "nowhere.html")


def _folder_for_file(workspace: Path) -> None:
    (workspace / "housetypes" / "options" / "folder.yaml").mkdir()


def _no_plots(workspace: Path) -> None:
    (workspace / "developments" / "riverside" / "plots.csv").unlink()


def _no_standard(workspace: Path) -> None:
    (workspace / "housetypes" / "standard.yaml").unlink()


def _pipe_for_file(workspace: Path) -> None:
    os.mkfifo(workspace / "housetypes" / "options" / "pipe.yaml")
    os.mkfifo(workspace / "developments" / "riverside" / "plots" / "01.yaml")


def _long_header(workspace: Path) -> None:
    table = workspace / "developments" / "riverside" / "plots.csv"
    table.write_text("plot," + "x" * 200_000 + "\n" + table.read_text(encoding="utf-8"))


def _long_number(workspace: Path) -> None:
    table = workspace / "developments" / "riverside" / "plots.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("02,", "9" * 5_000 + ","))


def _thousands_of_columns(workspace: Path) -> None:
    table = workspace / "developments" / "riverside" / "plots.csv"
    header, rows = table.read_text(encoding="utf-8").split("\n", 1)
    columns = ",".join(f"column {number}" for number in range(5_000))
    table.write_text(f"{header},{columns}\n{rows}", encoding="utf-8")


def _devices_of_windows(workspace: Path) -> None:
    riverside, options = workspace / "developments" / "riverside", workspace / "housetypes" / "options"  # fmt: skip
    table = riverside / "plots.csv"
    text = table.read_text(encoding="utf-8")
    table.write_text(f"{text}com1,3 Riverside,ZZ99 9ZZ,cottage,as-drawn,,\n", encoding="utf-8")
    own = riverside / "plots" / "02.yaml"
    text = own.read_text(encoding="utf-8").replace("equipment:\n", "equipment:\n        nul: {kind: stopcock, room: kitchen, place: high up}\n")  # fmt: skip
    own.write_text(text, encoding="utf-8")
    shutil.copy(options / "car-charger.yaml", options / "aux.yaml")
    shutil.copytree(riverside, riverside.with_name("con"))


def _templates_that_are_none(workspace: Path) -> None:
    folder = workspace / "site_templates" / "pages"
    folder.mkdir(parents=True)
    (folder / "finishes.md").write_bytes(b"x" * 3_000_000)
    (folder / "dates.md").mkdir()
    os.mkfifo(folder / "room.html")
    (folder / "system.html").symlink_to("nowhere.html")
    (folder / "north.html").symlink_to("/dev/zero")


MADE: dict[str, Callable[[Path], None]] = {
    "hundred-megabytes": _hundred_megabytes,
    "link-out-of-the-workspace": _link_outside,
    "link-to-nothing": _broken_link,
    "folder-for-a-file": _folder_for_file,
    "devices-of-windows": _devices_of_windows,
    "header-without-end": _long_header,
    "pipe-for-a-file": _pipe_for_file,
    "plot-number-of-thousands": _long_number,
    "templates-that-are-none": _templates_that_are_none,
    "thousands-of-columns": _thousands_of_columns,
    "no-plots-table": _no_plots,
    "no-standard": _no_standard,
}
"""Mistakes that no folder of files can hold: too large, links, and what is missing."""


def names() -> list[str]:
    return sorted({path.name for path in BROKEN.iterdir() if path.is_dir()} | MADE.keys())


def lay(name: str, folder: Path) -> Path:
    """The whole example in a folder, with one mistake laid over it."""
    workspace = folder / "workspace"
    shutil.copytree(WHOLE, workspace)
    shutil.copytree(BROKEN / name, workspace, dirs_exist_ok=True)
    (workspace / EXPECTED).unlink(missing_ok=True)
    if name in MADE:
        MADE[name](workspace)
    return workspace


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, arguments)


def refresh() -> None:
    for name in names():
        (BROKEN / name).mkdir(exist_ok=True)
        with TemporaryDirectory() as folder:
            result = run("check", "--workspace", str(lay(name, Path(folder))))
        (BROKEN / name / EXPECTED).write_text(result.output, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    sys.exit(refresh())
