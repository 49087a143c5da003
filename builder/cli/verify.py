"""``handover verify``: whether a published tree still is what was built."""

import json
import sys
from collections.abc import Iterator
from pathlib import Path

import click

from builder.cli.show import SHOWN, columns
from builder.deploy.verifying import Verified, by_plot, without_code
from builder.deploy.verifying import verify as verify_tree
from builder.deploy.verifying_papers import Fault
from builder.errors import counted


@click.command()
@click.argument("tree", type=click.Path(path_type=Path), default="public", metavar="[DIR]")
@click.option("--records", "records_in", metavar="DIR",
              type=click.Path(exists=True, file_okay=False, path_type=Path),
              help="The records of a tree that was copied elsewhere. Default: beside the tree, in .NAME.records.")  # fmt: skip
@click.option("--papers", multiple=True, metavar="DIR",
              type=click.Path(file_okay=False, path_type=Path),
              help="Read papers, run sheets and sheets of stickers in this folder too; may be said several times.")  # fmt: skip
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
              help="A table and a list, or JSON.")  # fmt: skip
def verify(tree: Path, records_in: Path | None, papers: tuple[Path, ...], form: str) -> None:
    """Say whether every file of a published tree is there, as it was built, and none besides.

    DIR is the tree: public, if none is named. What a running build keeps there for a while is
    passed over: folders named .building-… and drafts named .….new.

    No page, and with --papers no paper, says what only other homes may read.

    Codes are never shown whole: whoever knows one can open the guide.

    Exit code 0 when all is as recorded; 1 when anything is not.
    """
    found = verify_tree(tree, records_in, papers)
    lines = [_as_json(found)] if form == "json" else _as_text(found)
    for line in lines:
        click.echo(line)
    sys.exit(1 if found.problems else 0)


def _as_text(found: Verified) -> Iterator[str]:
    read = ", ".join(_what_was_read(found))
    if not found.problems:
        yield f"{read}: all as recorded."
        return
    plots = by_plot(found.problems)
    rows: list[tuple[str | int, ...]] = [
        (about, *(counts[fault] for fault in Fault)) for about, counts in plots.items()
    ]
    yield from columns(("plot", *(fault.value for fault in Fault)), rows)
    yield ""
    for problem in found.problems[:SHOWN]:
        yield f"{problem.about}: {problem.fault.value}: {without_code(problem.path)}"
    if len(found.problems) > SHOWN:
        yield f"… and {len(found.problems) - SHOWN} more."
    yield ""
    problems = counted(len(found.problems), "problem")
    yield f"{read} recorded: {problems}. {' '.join(_how_to_mend(found))}"


def _how_to_mend(found: Verified) -> Iterator[str]:
    """What mends the problems: a build for files, another text for words."""
    of_words = {each.fault is Fault.OTHERS for each in found.problems}
    if False in of_words:
        yield f"Build with --afresh to mend {'the files' if True in of_words else 'them'}."
    if True in of_words:
        yield "Mend the texts that say what other homes may read, and build again."


def _what_was_read(found: Verified) -> Iterator[str]:
    yield counted(found.guides, "guide")
    yield counted(found.files, "file")
    if found.papers:
        yield counted(found.papers, "paper")


def _as_json(found: Verified) -> str:
    """What is not as recorded, for a program: counts of every plot, and the first problems."""
    told = {
        "guides": found.guides,
        "files": found.files,
        "papers": found.papers,
        "problems": len(found.problems),
        "plots": [
            {"plot": about, **{fault.value: number for fault, number in counts.items()}}
            for about, counts in by_plot(found.problems).items()
        ],
        "listed": [
            {"plot": each.about, "fault": each.fault.value, "path": without_code(each.path)}
            for each in found.problems[:SHOWN]
        ],
    }
    return json.dumps(told, indent=2, ensure_ascii=False)
