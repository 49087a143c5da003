"""Takes the last release back: the guides that it replaced stand again, and every code leads on."""

from collections.abc import Callable
from pathlib import Path

from builder.build.manifest import Records
from builder.build.release_damage import damage, stands_again
from builder.build.releases import (
    GUIDE,
    Former,
    Release,
    folder_of,
    forget,
    formers,
    record_of,
    releases,
    stickers_to_put,
)
from builder.build.swapping import Tree
from builder.errors import HandoverError


def take_back(out: Path, number: str, done: Callable[[str], None] = lambda _: None) -> Release:
    """Take a release back, which must be the last one. ``done`` hears of each plot.

    As in a build each guide is the old one or the new one, whole, at every moment.
    HandoverError: there is no such release, a later one stands over it, it is damaged, or the disk takes it not.
    """
    known = releases(out)
    release = next((each for each in known if each.number == number), None)
    if release is None:
        raise HandoverError("That release is not kept any more.")
    if release is not known[0]:
        raise HandoverError("Take the later release back first: guides are taken back one step at a time.")  # fmt: skip
    with Tree(out) as tree:
        folder = folder_of(out, release)
        try:
            if wrong := damage(folder, out):
                raise HandoverError(f"What was kept of that release is damaged: {wrong}. Nothing was taken back: change the data, and publish.")  # fmt: skip
            tree.put_shared(folder)
            for former in formers(folder):
                _put(tree, former, Records(out))
                done(former.record.reference)
            Records(out).drop_last_build()
            tree.record_shared()
        except OSError as error:
            raise HandoverError(f"'{out}' cannot be written: {error.strerror}. Take the release back again.") from error  # fmt: skip
        forget(out, release)
    return release


def _put(tree: Tree, former: Former, records: Records) -> None:
    stickers = stickers_to_put(former, records.read(former.record.code), tree.out)
    guide = None if stands_again(former, tree.out) else former.folder / GUIDE
    tree.put_back(guide, stickers, record_of(former, stickers))
