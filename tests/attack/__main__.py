"""``python -m tests.attack``: the long form. Prints what went wrong as it goes, and a table at the end."""

import argparse
import json
import sys
import time
from dataclasses import asdict
from pathlib import Path

from tests.attack.outcomes import Outcome, Told, table
from tests.attack.running import SHARES, attack, every_try

OFTEN = 50
"""After so many tries, what became of them is kept."""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("groups", nargs="*", help=f"Which: {', '.join(SHARES)}. Default: all.")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument(
        "--keep", type=Path, help="Write what became of each try to this file, as JSON."
    )
    parser.add_argument(
        "--again", type=Path, help="Make those tries of such a file again that went wrong."
    )
    parser.add_argument(
        "--on", action="store_true", help="Go on from what --keep holds, where a run was cut off."
    )
    parser.add_argument("--share", type=float, default=1.0, help="This part of all tries.")
    asked = parser.parse_args()
    wanted = {
        group: max(1, round(number * asked.share))
        for group, number in SHARES.items()
        if not asked.groups or group in asked.groups
    }
    started = time.monotonic()
    before = _read(asked.keep if asked.on else asked.again)
    told = [each for each in before if asked.on or not each.bad]
    known = {(each.group, each.name): each.bad for each in before}
    left = [
        (group, each)
        for group, each in every_try(wanted, asked.seed)
        if known.get((group, each.name), asked.again is None)
        and not (asked.on and (group, each.name) in known)
    ]

    def heard(each: Told) -> None:
        """A run that is cut off leaves what it came to."""
        told.append(each)
        _tell(each)
        if asked.keep and len(told) % OFTEN == 0:
            _keep(asked.keep, told)

    attack(left, asked.processes, heard)
    if asked.keep:
        _keep(asked.keep, told)
    print("\n".join(table(told)))
    print(f"{len(told)} tries in {time.monotonic() - started:.0f} s, seed {asked.seed}")
    sys.exit(any(each.bad for each in told))


def _keep(file: Path, told: list[Told]) -> None:
    file.write_text(json.dumps([asdict(each) for each in told]), encoding="utf-8")


def _read(file: Path | None) -> list[Told]:
    if file is None:
        return []
    held = json.loads(file.read_text(encoding="utf-8"))
    return [Told(**{**each, "outcome": Outcome(each["outcome"])}) for each in held]


def _tell(each: Told) -> None:
    if each.bad:
        print(f"{each.outcome}: {each.group}: {each.name}: {each.seen}", flush=True)


if __name__ == "__main__":
    main()
