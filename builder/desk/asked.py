"""What a page is asked for, as a plain value: no room reads a request itself."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from builder.desk.accounts import Right, Role, may

LONGEST_REASON = 300
"""Characters of the reason of a save."""


@dataclass(frozen=True, slots=True)
class Who:
    """Who asks: in which role, and by which name where there are accounts. ``roles``: all that this
    person may take."""

    role: Role
    name: str = ""
    roles: tuple[Role, ...] = ()

    def may(self, right: Right) -> bool:
        """Whether the role has a right."""
        return may(self.role, right)


@dataclass(frozen=True, slots=True)
class Upload:
    """One file that was sent: the name that its sender gave it, which names no place here, and what
    it holds."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Asked:
    """One request: who asks, the parts of the path by name, the query, and the form that was sent."""

    who: Who
    path: str
    named: Mapping[str, str] = field(default_factory=dict)
    query: Mapping[str, str] = field(default_factory=dict)
    form: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    files: Mapping[str, tuple[Upload, ...]] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """The last value of a field of the form, without space round it; "" where it was not sent."""
        values = self.form.get(name, ())
        return values[-1].strip() if values else ""

    def reason(self, otherwise: str) -> str:
        """Why something is saved, on one line: as its author says, else ``otherwise``."""
        return " ".join(self.text("reason").split())[:LONGEST_REASON] or otherwise

    def several(self, name: str) -> tuple[str, ...]:
        """All values of a field of the form."""
        return self.form.get(name, ())

    def upload(self, name: str) -> Upload | None:
        """The one file of a field, if one was chosen."""
        found = [each for each in self.files.get(name, ()) if each.name or each.content]
        return found[-1] if found else None
