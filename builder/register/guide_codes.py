"""The code of each guide: from the register, or drawn for a plot that is published the first time.

A drawn code goes into the register when its guide is finished and before it is published, so that a
plot that cannot be published leaves no code behind.
"""

from collections.abc import Iterable, Mapping
from datetime import date

from builder.errors import HandoverError
from builder.register.codes import draw
from builder.register.lines import Register
from builder.register.moving import register_of, with_moved
from builder.register.register import keep_drawn
from builder.sources.workspace import PlotSource, Workspace


class GuideCodes:
    """The guide codes of one build."""

    def __init__(self, workspace: Workspace, day: date) -> None:
        self._workspace, self._day = workspace, day
        self._registers: dict[str, Register] = {}
        self._drawn: dict[str, str] = {}
        self._lines: dict[str, int] = {}

    def register(self, development: str) -> Register:
        """The register of a development as it was when the build began, or last wrote to it."""
        if development not in self._registers:
            register = register_of(self._workspace, development)
            self._registers[development] = register
            self._lines[development] = len(register.lines)
        return self._registers[development]

    def written_alone(self) -> bool:
        """Whether nobody else has added to a register since the build first read it."""
        now = {each: len(register_of(self._workspace, each).lines) for each in self._lines}
        return now == self._lines

    @property
    def registers(self) -> Mapping[str, Register]:
        """The registers that were read, by development."""
        return self._registers

    def code(self, plot: PlotSource) -> str:
        """The code of a plot's guide; the same one for the whole build."""
        register = self.register(plot.development)
        known = register.guide(plot.numbers) or self._drawn.get(plot.reference)
        if known is None:
            known = self._drawn[plot.reference] = self._draw(register)
        return known

    def _draw(self, register: Register) -> str:
        taken = {each.code for each in register.lines} | set(self._drawn.values())
        code = draw()
        while code in taken:
            code = draw()
        return code

    def is_new(self, plot: PlotSource) -> bool:
        """Whether the code of a plot is not in the register yet."""
        return plot.reference in self._drawn

    def keep(self, plots: Iterable[PlotSource]) -> None:
        """Write the drawn codes of these plots into the registers."""
        by_development: dict[str, dict[str, str]] = {}
        for plot in plots:
            if plot.reference in self._drawn:
                drawn = by_development.setdefault(plot.development, {})
                drawn[plot.number] = self._drawn.pop(plot.reference)
        for development, drawn in by_development.items():
            self._keep(development, drawn)

    def _keep(self, development: str, drawn: Mapping[str, str]) -> None:
        register = keep_drawn(self._workspace.folder, development, drawn, self._day)
        self._registers[development] = with_moved(self._workspace, development, register)
        self._lines[development] += len(drawn)
        for number, code in drawn.items():
            if register.guide((number,)) != code:
                raise HandoverError(
                    f"Another builder gave plot '{development}/{number}' a code meanwhile. "
                    "Build again: it is published with that one."
                )
