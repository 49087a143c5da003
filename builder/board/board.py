"""The board: every plot of a workspace as it stands, looked at again only where files changed.

Safe to be asked from several threads. One plot is looked at when it is asked for; the others in the
background, one after the other, so that a workspace of thousands is there at once.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from threading import Event, RLock, Thread, local

from builder.board.looking import Looked, Looking, Seen
from builder.board.reaching import plots_reached
from builder.board.stamps import changed, stamps_in
from builder.board.standing import Standing, facts_of
from builder.build.source_files import SETTINGS
from builder.errors import Finding, HandoverError
from builder.home.assemble import TracedHome
from builder.recent import RecentResults
from builder.sources.kept_files import KeptFiles, Stamp
from builder.sources.workspace import PlotSource, Workspace

PLOTS_KEPT = 40
"""Plots of which home and guide are kept after a look; of all others, how they stand."""


def nothing() -> None:
    """What is done where nothing is asked for."""


class _Held(local):
    """Whether one look lasts in a thread, and whether it was taken."""

    lasts = False
    taken = False


@dataclass(frozen=True, slots=True)
class BoardView:
    """A workspace as it is now. ``outdated``: the plots that have not been looked at since they changed."""

    workspace: Workspace
    day: date
    plots: tuple[Standing, ...]
    outdated: frozenset[str]
    errors: tuple[Finding, ...]

    @property
    def waiting(self) -> int:
        """How many plots are still to be looked at."""
        return len(self.outdated)


class Board:
    """Every plot of the workspace in a folder, and its published tree in another."""

    def __init__(self, root: Path, out: Path, today: Callable[[], date]) -> None:
        self.root, self.out = root, out
        self._today = today
        self._kept = KeptFiles()
        self._lock, self._held = RLock(), _Held()
        self._stamps: Mapping[str, Stamp] = {}
        self._looking: Looking | None = None
        self._standing: dict[str, Standing] = {}
        self._outdated: set[str] = set()
        self._recent: RecentResults[str, Looked] = RecentResults(PLOTS_KEPT)
        self._view: BoardView | None = None
        self._wake, self._stop = Event(), Event()

    @contextmanager
    def one_look(self) -> Iterator[None]:
        """While it lasts, this thread looks at the files once: for a page that asks for many things and
        changes none of them. What another thread has seen since is used all the same."""
        outer = self._held.lasts, self._held.taken
        self._held.lasts = True
        try:
            yield
        finally:
            self._held.lasts, self._held.taken = outer

    def looking(self) -> Looking:
        """The workspace as its files are now. HandoverError where the folder holds none."""
        if self._held.taken and self._looking is not None:
            return self._looking
        now = self._looked()
        self._held.taken = self._held.lasts
        return now

    def _looked(self) -> Looking:
        with self._lock:
            stamps, day, before = stamps_in(self.root, self.out), self._today(), self._looking
            if before is not None and stamps == self._stamps and day == before.day:
                return before
            now = Looking(self.root, self.out, day, self._kept, before)
            if before is None or day != before.day:
                self._outdated = set(now.workspace.plots)
            else:
                reached = plots_reached(changed(self._stamps, stamps), before, now)
                self._outdated = (self._outdated | reached) & now.workspace.plots.keys()
            self._looking, self._stamps, self._view = now, stamps, None
            self._wake.set()
            return now

    def view(self) -> BoardView:
        """All plots as they were last looked at, in the order of their developments and tables."""
        with self._lock:
            looking = self.looking()
            if self._view is None:
                plots = looking.workspace.plots.values()
                standing = tuple(self._standing_of(each, looking.workspace) for each in plots)
                errors = tuple(each for each in looking.errors if not each.plots)
                outdated = frozenset(self._outdated)
                self._view = BoardView(looking.workspace, looking.day, standing, outdated, errors)
            return self._view

    def _standing_of(self, plot: PlotSource, workspace: Workspace) -> Standing:
        return self._standing.get(plot.reference) or Standing(facts_of(plot, workspace))

    def plot(self, reference: str) -> Looked:
        """One plot as its files are now. KeyError where the workspace has none of that name."""
        with self._lock:
            looking = self.looking()
            kept = None if reference in self._outdated else self._recent.get(reference)
            if kept is None:
                kept = self._recent.keep(reference, looking.look(reference))
                self._keep_standing(reference, kept.standing)
            return kept

    def stands(self, looked: Looked) -> bool:
        """Whether a plot still is as it was when it was looked at, and no other look was taken since."""
        with self._lock:
            self._looked()
            reference = looked.plot.reference
            return reference not in self._outdated and self._recent.get(reference) is looked

    def _keep_standing(self, reference: str, standing: Standing) -> None:
        self._standing[reference] = standing
        self._outdated.discard(reference)
        self._view = None

    @property
    def templates(self) -> object:
        """What changes with the templates and settings of guides."""
        with self._lock:
            own = ("site_templates/", SETTINGS)
            return tuple(
                (name, each) for name, each in self._stamps.items() if name.startswith(own)
            )

    def house_type(self, name: str) -> tuple[TracedHome | None, tuple[Finding, ...]]:
        """A house type as its file is now, as a home, and what is wrong with it."""
        with self._lock:
            return self.looking().house_type(name)

    def trial(self, reference: str, instead: Mapping[str, bytes | None]) -> Seen:
        """One plot as it would be if some files held something else; nothing is written."""
        return self.trial_of(reference, instead)[0]

    def trial_of(
        self, reference: str, instead: Mapping[str, bytes | None]
    ) -> tuple[Seen, tuple[Finding, ...]]:
        """The same, and all that would be found in these files themselves."""
        with self._lock:
            now = self.looking()
            then = Looking(self.root, self.out, now.day, self._kept, now, instead)
            return then.see(reference), tuple(each for file in instead for each in then.of_file(file))  # fmt: skip

    def look_on(self, whole: Callable[[], None] = nothing) -> None:
        """Look at plots in the background from now on, until ``close``. ``whole``: called once all of
        them have been looked at for the first time."""
        Thread(target=self._look_on, args=(whole,), name="board", daemon=True).start()

    def close(self) -> None:
        """Look at no more plots."""
        self._stop.set()
        self._wake.set()

    def _look_on(self, whole: Callable[[], None]) -> None:
        while not self._stop.is_set():
            self._wake.clear()
            with suppress(HandoverError):  # each page that is asked for tells it
                self._look_at_all()
                whole()
                whole = nothing
            self._wake.wait()

    def _look_at_all(self) -> None:
        while not self._stop.is_set() and self._look_at_next():
            self._stop.wait(0.001)  # whoever waits for a page comes first

    def _look_at_next(self) -> bool:
        """Look at one plot that is to be looked at; false where there is none."""
        with self._lock:
            looking = self._looking or self.looking()
            reference = next((each for each in looking.workspace.plots if each in self._outdated), None)  # fmt: skip
            if reference is not None:
                looked = looking.look(reference)
                if self._recent.get(reference) is not None:
                    self._recent.keep(
                        reference, looked
                    )  # else the next page would show the one before
                self._keep_standing(reference, looked.standing)
            return reference is not None
