"""``python -m tests.attack``: the long form. Prints what went wrong as it goes, and a table at the end."""

import argparse
import sys
import time

from tests.attack.outcomes import Told, table
from tests.attack.running import SHARES, attack


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("groups", nargs="*", help=f"Which: {', '.join(SHARES)}. Default: all.")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--share", type=float, default=1.0, help="This part of all tries.")
    asked = parser.parse_args()
    wanted = {
        group: max(1, round(number * asked.share))
        for group, number in SHARES.items()
        if not asked.groups or group in asked.groups
    }
    started = time.monotonic()
    told = attack(wanted, asked.seed, asked.processes, _tell)
    print("\n".join(table(told)))
    print(f"{len(told)} tries in {time.monotonic() - started:.0f} s, seed {asked.seed}")
    sys.exit(any(each.bad for each in told))


def _tell(each: Told) -> None:
    if each.bad:
        print(f"{each.outcome}: {each.group}: {each.name}: {each.seen}", flush=True)


if __name__ == "__main__":
    main()
