"""Puts a finished folder in the place of another: in one step where the system and the disk can."""

import ctypes
import os
import sys
from functools import cache
from pathlib import Path
from typing import Any, Final

_EXCHANGE: Final = 2
_HERE: Final = -100


def exchange(finished: Path, place: Path, aside: Path) -> None:
    """Put a finished folder in its place; what stood there goes with the workplace."""
    place.parent.mkdir(parents=True, exist_ok=True)
    if not place.exists():
        finished.rename(place)
        return
    if at_once(finished, place):
        return
    place.rename(aside)
    try:
        finished.rename(place)
    except OSError:
        aside.rename(place)
        raise


def at_once(first: Path, second: Path) -> bool:
    """Exchange two folders in one step; false where the system or the disk cannot."""
    rename = _renameat2()
    if rename is None:
        return False
    return bool(rename(_HERE, os.fsencode(first), _HERE, os.fsencode(second), _EXCHANGE) == 0)


@cache
def _renameat2() -> Any:
    """Linux's call that exchanges two names (man page renameat2(2), from memory)."""
    if sys.platform != "linux":
        return None
    return getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
