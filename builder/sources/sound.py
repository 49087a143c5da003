"""What is left of a file with mistakes: enough to look for others, and never published."""

from dataclasses import dataclass
from typing import Any

from builder.errors import Findings
from builder.sources.checking import check, refused
from builder.sources.entry import Address, Entry, without
from builder.sources.files import FileKind
from builder.sources.yaml_reader import Read


@dataclass(frozen=True, slots=True)
class SoundPart:
    """The entries of a file that are right. ``lost``: the addresses in a home of all others."""

    entry: Entry
    lost: frozenset[Address]


def is_sound(entry: Entry, kind: FileKind[Any]) -> bool:
    """Whether a file has no mistake by itself. Its narrow record is made sooner, and says the same."""
    return check(entry, kind.narrow(entry), Findings()) is not None


def sound_part(read: Read, kind: FileKind[Any], findings: Findings) -> SoundPart | None:
    """What of a file is right, or nothing where it lacks what every file of its kind has.

    All that is wrong in it goes to ``findings``.
    """
    check(read.entry, kind.whole, findings)
    cut = {_whole_list(address) for address in refused(read.entry, kind.whole)}
    left = without(read.entry, cut)
    if () in cut or not _stands(left, kind):
        return None
    return SoundPart(left, frozenset(_address_in_a_home(address) for address in (*cut, *read.lost)))


def _whole_list(address: Address) -> Address:
    """The address up to the list that it leads into: of one wrong corner no outline is left."""
    end = next((index for index, step in enumerate(address) if isinstance(step, int)), None)
    return address[:end]


def _stands(entry: Entry, kind: FileKind[Any]) -> bool:
    """Whether the sections that name a file of its kind are there, whatever they lack."""
    needed = [name for name, info in kind.whole.model_fields.items() if info.is_required()]
    return all(name in entry.children and entry.children[name].children for name in needed)


def _address_in_a_home(address: Address) -> Address:
    """An address of a file as one of a home: departures say ``departures.<id>.changes.<address>``."""
    inside = address[:1] == ("departures",) and address[2:3] == ("changes",)
    return address[3:] if inside else address
