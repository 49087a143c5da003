"""Findings, the places they point at, and the exceptions of the project.

This module imports nothing of ours, so that every stage can report without a cycle.

    HandoverError            the run cannot go on; carries its own exit code
    ├── UnwritableError          the target cannot be written (exit 1)
    ├── PlacedError              a mistake at a known place (exit 1)
    ├── UsageError           the command line names what is not there (exit 2)
    └── FindingsError        the input has mistakes (exit 1); carries the findings
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from enum import IntEnum
from functools import cache
from importlib.resources import files

LISTED = 12
"""How many known words a suggestion lists where no near miss is found."""
QUOTED, LONGEST = 80, 1_500
"""Characters of a value that a finding quotes, and of one of its sentences; what is longer is cut."""
LONGEST_WORD = 100
"""Characters of a word that anybody may have mistyped."""


class Severity(IntEnum):
    """How much a finding matters; only ``ERROR`` stops a plot from being published."""

    NOTE = 1
    WARNING = 2
    ERROR = 3

    @property
    def word(self) -> str:
        return self.name.lower()


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where an author wrote something: path from the workspace, line and column counted from 1."""

    file: str
    line: int = 1
    column: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Finding:
    """One result of a check.

    ``wrong`` says what is wrong and ``right`` what would be right, each as a full sentence.
    ``path`` is the dotted path in the data, ``plots`` the plots it concerns (none: all of them),
    ``layer`` the layer whose value it is about, ``waived`` who set the rule aside, and why.
    """

    code: str
    place: Place
    wrong: str
    right: str
    path: str = ""
    severity: Severity = Severity.ERROR
    basis: str = ""
    plots: tuple[str, ...] = ()
    layer: str = ""
    waived: str = ""

    def __post_init__(self) -> None:
        """Whatever an author wrote, a finding is printed on lines of its own and changes no terminal."""
        for name in ("wrong", "right", "path"):
            object.__setattr__(self, name, printable(getattr(self, name), LONGEST))

    def for_plots(self, *plots: str) -> "Finding":
        """The same finding, about these plots."""
        return replace(self, plots=plots)

    def __str__(self) -> str:
        at = f" at {self.path}" if self.path else ""
        return f"{self.place}: {self.severity.word} {self.code}{at}\n  {self.wrong}\n  {self.right}"


@dataclass(slots=True)
class Findings:
    """Collects the mistakes of a whole run, so that an author mends twelve slips after one run."""

    _found: dict[Finding, set[str]] = field(default_factory=dict)

    def add(self, finding: Finding) -> None:
        """Keep a finding; the same one for another plot only adds that plot's name."""
        plots = self._found.setdefault(replace(finding, plots=()), set())
        plots.update(finding.plots or {""})

    def extend(self, findings: Iterable[Finding]) -> None:
        for finding in findings:
            self.add(finding)

    def __iter__(self) -> Iterator[Finding]:
        """All findings in the order of files and lines, each naming every plot it concerns."""
        ordered = sorted(
            self._found, key=lambda each: (each.place, each.code, each.path, each.wrong)
        )
        for finding in ordered:
            plots = self._found[finding]
            yield replace(finding, plots=() if "" in plots else tuple(sorted(plots)))

    def drop(self, code: str, file: str) -> None:
        """Take out what another finding says better."""
        for finding in [
            each for each in self._found if (each.code, each.place.file) == (code, file)
        ]:
            del self._found[finding]

    def __len__(self) -> int:
        return len(self._found)

    @property
    def errors(self) -> tuple[Finding, ...]:
        return tuple(each for each in self if each.severity is Severity.ERROR)

    def stops(self, plot: str) -> bool:
        """Whether an error concerns this plot, or all plots."""
        return any(not each.plots or plot in each.plots for each in self.errors)


class HandoverError(Exception):
    """The run cannot go on. ``exit_code`` is for the command line alone."""

    exit_code = 1


class UsageError(HandoverError):
    """The command line names something that is not there."""

    exit_code = 2


class UnwritableError(HandoverError):
    """A folder or file of the target cannot be written: no other plot could be either."""


class PlacedError(HandoverError):
    """A mistake at a known place: ``wrong`` says what it is."""

    def __init__(self, place: Place, wrong: str) -> None:
        self.place, self.wrong = place, wrong
        super().__init__(f"{place.file}:{place.line}: {wrong}")


class FindingsError(HandoverError):
    """The input has mistakes; ``findings`` holds all of them."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__("\n".join(str(each) for each in self.findings))


def in_words(error: HandoverError) -> str:
    """What is wrong and what would be right, without the codes and places that a command prints: for a
    page, of a file that its reader has just brought."""
    found = error.findings if isinstance(error, FindingsError) else ()
    return " ".join(f"{each.wrong} {each.right}" for each in found) or str(error)


def printable(text: str, longest: int = QUOTED) -> str:
    """A text for one line of a terminal: cut, and with numbers for what cannot be printed: <U+001B>."""
    cut = text if len(text) <= longest else f"{text[:longest]}…"
    if cut.isprintable():
        return cut
    return "".join(each if each.isprintable() else f"<U+{ord(each):04X}>" for each in cut)


def near_miss(word: str, known: Iterable[str]) -> str | None:
    """The known word closest to a mistyped one, or none that is close enough."""
    if len(word) > LONGEST_WORD:
        return None
    choices = sorted(known)
    for way in (alike, _known_in_the_trade, _contained):
        if found := way(word, choices):
            return found
    if holding := _holding(word, choices):
        return holding[0] if len(holding) == 1 else None
    folded = {choice.lower().replace("_", "-"): choice for choice in choices}
    close = get_close_matches(word.lower().replace("_", "-"), folded, n=1, cutoff=0.6)
    # Where a thing that has a name in the trade is not among them, what is only spelt like it is no help.
    return folded[close[0]] if close and _called_in(word) <= _called_in(close[0]) else None


def alike(word: str, known: Iterable[str]) -> str | None:
    """The known word that differs in capitals, separators or leading zeros alone: 7 and 07."""
    return next((each for each in sorted(known) if bare(each) == bare(word)), None)


def _known_in_the_trade(word: str, known: list[str]) -> str | None:
    """The known word for a thing that people on a site call otherwise: ``mvhr-unit``, ``fuse box``.

    It holds all the words of the thing, and most of what else was written.
    """
    asked = f"-{bare(word)}-"
    for called, thing in _trade_words():
        if f"-{called}-" not in asked and called.replace("-", "") != asked.strip("-"):
            continue
        must = set(thing.split("-"))
        meant = must | set(asked.replace(f"-{called}-", "-").split("-")) - {
            "",
            called.replace("-", ""),
        }
        if found := [each for each in known if must <= set(bare(each).split("-"))]:
            return min(found, key=lambda each: (len(meant ^ set(bare(each).split("-"))), each))
    return None


def _contained(word: str, known: list[str]) -> str | None:
    """The known word of several words that all stand in the one written: bath-blending-valve."""
    asked = set(bare(word).split("-"))
    found = [each for each in known if "-" in bare(each) and set(bare(each).split("-")) < asked]
    return max(found, key=lambda each: (len(each), each), default=None)


def _holding(word: str, known: list[str]) -> list[str]:
    """The known words of several that all written ones stand in: boiler for each sort of boiler."""
    asked = set(bare(word).split("-"))
    return [each for each in known if asked < set(bare(each).split("-"))]


def _called_in(word: str) -> set[str]:
    """The words in a word that people on a site use for a thing."""
    asked = f"-{bare(word)}-"
    return {called for called, _ in _trade_words() if f"-{called}-" in asked}


@cache
def _trade_words() -> tuple[tuple[str, str], ...]:
    """Each word of the trade and what it is called here; the longest first."""
    import yaml  # noqa: PLC0415 - only who has made a mistake needs it

    text = (files("builder") / "trade_words.yaml").read_text(encoding="utf-8")
    listed = yaml.load(text, Loader=yaml.SafeLoader)
    pairs = [(bare(word), bare(thing)) for thing, words in listed.items() for word in words]
    return tuple(sorted(pairs, key=lambda pair: (-len(pair[0]), pair)))


def bare(word: str) -> str:
    """A word without what a spreadsheet or a hand changes: capitals, separators, leading zeros."""
    joined = re.sub(r"[\s_.-]+", "-", word.lower()).strip("-")
    return re.sub(r"(?<![0-9])0+(?=[0-9])", "", joined)


def suggestion(word: str, known: Iterable[str], otherwise: str) -> str:
    """A sentence that says what would be right: the near miss first, else all that is known."""
    choices = sorted(known)
    close = near_miss(word, choices)
    if close is not None:
        return f"Did you mean '{printable(close)}'?"
    if holding := _holding(word, choices):
        named = ", ".join(f"'{printable(each)}'" for each in holding[:LISTED])
        return f"Did you mean one of these: {named}?"
    if not choices:
        return f"{otherwise}: none yet."
    return f"{otherwise}: {in_short([printable(each) for each in choices], LISTED)}."


def in_short(names: Sequence[str], most: int) -> str:
    """The first of some names, and how many more there are: "01, 02, 03 and 12 more"."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return f"{', '.join(names[:most])}{more}"


def counted(number: int, thing: str, things: str = "") -> str:
    """A number of things in words: "1 home", "24 homes"."""
    return f"{number:,} {thing if number == 1 else things or thing + 's'}"
