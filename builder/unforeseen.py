"""What stops the work on one plot becomes a finding of that plot, so that all others go on."""

import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from builder.errors import (
    Finding,
    Findings,
    FindingsError,
    HandoverError,
    Place,
    PlacedError,
    UnwritableError,
    printable,
)

_PACKAGE = Path(__file__).parent
_LONGEST = 300
_MEND = "Mend what it names."


@contextmanager
def one_plot(reference: str, place: Place, doing: str, findings: Findings) -> Iterator[None]:
    """Do something for one plot. Whatever stops it is told at ``place``, and nothing is raised but
    UnwritableError. ``doing``: what could not be done to the plot, such as "printed"."""
    try:
        yield
    except UnwritableError:
        raise
    except FindingsError as error:
        findings.extend(error.findings)
    except PlacedError as error:
        findings.add(Finding("plot.stopped", error.place, error.wrong, _MEND, plots=(reference,)))
    except HandoverError as error:
        wrong = f"Plot '{reference}' cannot be {doing}: {error}"
        findings.add(Finding("plot.stopped", place, wrong, _MEND, plots=(reference,)))
    except Exception as error:  # whatever it is: the other plots are none the worse for it
        findings.add(_unforeseen(reference, place, doing, error))


def _unforeseen(reference: str, place: Place, doing: str, error: Exception) -> Finding:
    said = " ".join(str(error).split())[:_LONGEST]
    wrong = f"Plot '{reference}' cannot be {doing}: {type(error).__name__}: {printable(said)} ({where(error)})."
    right = "This is a mistake of the builder. Report it in these words; the other plots are done."
    return Finding("plot.unforeseen", place, wrong, right, plots=(reference,))


def mistake_of(what: str, error: Exception) -> str:
    """What is told of an error that nobody foresaw where others may read it: its kind and its place alone,
    because what somebody typed may stand in its words."""
    return f"This is a mistake of the {what}: {type(error).__name__} ({where(error)}). Report it in these words."


def where(error: Exception) -> str:
    """The last line of ours that an error passed through."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [each for each in frames if Path(each.filename).is_relative_to(_PACKAGE)]
    if not ours:
        return "outside the builder"
    return f"{Path(ours[-1].filename).relative_to(_PACKAGE).as_posix()}:{ours[-1].lineno}"
