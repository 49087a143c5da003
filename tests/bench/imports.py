"""How long it takes to read other people's files: ``python -m tests.bench.imports [MODEL]``.

Prints ratios to what the issue of the day allows, on processor time: below 1 is within it. A machine that
does other things at the same time changes nothing.
"""

import resource
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import openpyxl

ROOT = Path(__file__).parents[2]
ALLOWED = 5.0
"""Seconds of one core for a model of 2 MB, and for 10,000 rows of plots."""
ROWS = 10_000
_HANDOVER = (sys.executable, "-m", "builder.cli")


def seconds_of(*arguments: str) -> float:
    """Processor time that a command takes, with that of the processes that it starts."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([*_HANDOVER, *arguments], check=True, capture_output=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def sales_sheet(path: Path) -> None:
    """A workbook of plots, as a sales system exports it."""
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Plots")
    sheet.append(
        ["Plot No", "Address", "Postcode", "House type", "Hand", "Options", "Legal completion"]
    )
    for number in range(1, ROWS + 1):
        day = f"{number % 28 + 1:02}/{number % 12 + 1:02}/2026"
        sheet.append(
            [
                number,
                f"{number} Riverside",
                "ZZ99 9ZZ",
                "cottage",
                ("as", "opp")[number % 2],
                "",
                day,
            ]
        )
    book.save(path)


def main(models: list[str]) -> None:
    """Time each part once and print the table."""
    with tempfile.TemporaryDirectory() as folder:
        workspace = Path(folder) / "cottage"
        shutil.copytree(ROOT / "tests/workspaces/cottage", workspace)
        sales_sheet(Path(folder) / "sales.xlsx")
        where = ("--workspace", str(workspace))
        taken = {
            f"{ROWS:,} rows of plots": seconds_of(
                "import", "plots", f"{folder}/sales.xlsx", "riverside", "--yes", *where
            )
        }
        taken["the same rows again"] = seconds_of(
            "import", "plots", f"{folder}/sales.xlsx", "riverside", "--yes", *where
        )
        for number, model in enumerate(models):
            size = Path(model).stat().st_size / 1e6
            home = ("--home", "A") if "duplex" in model else ()
            taken[f"a model of {size:.1f} MB"] = seconds_of(
                "new", "housetype", f"model-{number}", "--from", model, *home, *where
            )
    for name, seconds in taken.items():
        sys.stdout.write(f"{name:<24} {seconds / ALLOWED:5.2f} of the time allowed\n")


if __name__ == "__main__":
    main(sys.argv[1:])
