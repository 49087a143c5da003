"""Starting is quick: a command reads what it needs, and nothing that only another one needs."""

import subprocess
import sys

import click
import pytest

from builder.cli import main

HEAVY = ("PIL", "bs4", "cv2", "icalendar", "mkdocs", "numpy", "pypdfium2", "shapely", "typst", "zxingcpp")  # fmt: skip


def _read_by(statement: str) -> set[str]:
    """The heavy libraries that a new process has read after a statement."""
    asked = f"import sys; {statement}; print(*(each for each in {HEAVY} if each in sys.modules))"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_starting_reads_no_library_that_only_some_command_needs() -> None:
    assert _read_by("import builder.cli") == set()


def test_checking_sets_no_page_and_reads_no_print() -> None:
    read = _read_by("import builder.cli.check")
    assert "shapely" in read
    assert read.isdisjoint({"bs4", "cv2", "icalendar", "mkdocs", "pypdfium2", "typst", "zxingcpp"})


@pytest.mark.parametrize("name", main.list_commands(click.Context(main)))
def test_every_command_has_the_name_that_it_is_asked_by(name: str) -> None:
    command = main.get_command(click.Context(main), name)
    assert command is not None
    assert command.name == name
    assert command.help


def test_a_command_that_is_not_there_is_none() -> None:
    assert main.get_command(click.Context(main), "demolish") is None
