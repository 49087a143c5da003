"""Sends a published tree to where people read it: only what differs, and in an order in which no
page that a reader can reach points at what is not there yet."""

import os
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import Executor, ThreadPoolExecutor, as_completed
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Protocol, TypeVar

from builder.build.manifest import GuideRecord, Records
from builder.build.outside import keep_off_sources
from builder.deploy.deployed import (
    CHANGING,
    FOUND,
    LOOSE,
    SENDING,
    Deployed,
    content_of,
    gone,
    is_loose,
    let_loose,
    sent,
    sent_loose,
)
from builder.deploy.deployment_plan import (
    NOTHING_UNKNOWN,
    Deletion,
    DeploymentPlan,
    GuideParcels,
    Parcel,
    Unknown,
    may_be_sent,
    plan_of,
)
from builder.deploy.destinations import Destination, FolderDestination, Held, destination_at
from builder.deploy.verifying import SHARED, digest_of, faults, known_records
from builder.disk import true_place
from builder.errors import HandoverError, UsageError, in_short, suggestion
from builder.register.redirects import LIST_OF_CODES

_PROBES: Final = 20
"""Files that are looked for before what is remembered of a destination is believed."""
_NAMED: Final = 3
_SEVERAL: Final = 2
"""Files of a guide that are worth an exchange: one alone is swapped in whole as it is."""
_Item = TypeVar("_Item")


class Counting(Protocol):
    """Hears of each file that is dealt with."""

    def done(self, _: str, /) -> None: ...


@dataclass(frozen=True, slots=True)
class PlotShare:
    """What a deployment did about one plot, or about what all share."""

    about: str
    copied: int
    deleted: int


@dataclass(frozen=True, slots=True)
class Deployment:
    """What was done, or would be: numbers of files, and bytes sent.

    ``compared`` says that the destination was asked what it holds. ``unreadable`` counts guides
    that were left as they were, because their record cannot be read. ``unknown``: what stands there
    besides, and no record of this tree names; nothing where that cannot be told.
    """

    address: str
    copied: int
    unchanged: int
    deleted: int
    size: int
    plots: tuple[PlotShare, ...]
    unreadable: int
    compared: bool
    unknown: Unknown


@dataclass(frozen=True, slots=True)
class Cargo:
    """What is to stand at a destination: a folder of finished files, and the records of them."""

    tree: Path
    guides: tuple[GuideRecord, ...]
    shared: Mapping[str, str]

    @property
    def files(self) -> dict[str, str]:
        """The SHA-256 of each file, by its path."""
        found = {path: digest for each in self.guides for path, digest in each.files.items()}
        return {**found, **self.shared}


@dataclass(frozen=True, slots=True)
class SendOrder:
    """What is to be sent, and where: the published tree ``out`` to an ``address``. ``dry_run`` touches
    nothing.

    ``records_in``: where the records of the tree lie, if not beside it. ``former_host`` sends, in place
    of the guides, what an old host serves: pages that lead on, and with ``redirects_file`` a list of all
    codes. ``compare`` asks the destination what it holds, whatever is remembered of it.
    """

    out: Path
    address: str
    records_in: Path | None = None
    former_host: str | None = None
    redirects_file: bool = False
    compare: bool = False
    dry_run: bool = False


def deploy(
    order: SendOrder,
    counting: Callable[[int], AbstractContextManager[Counting]],
    opened: Callable[[str], Destination] = destination_at,
) -> Deployment:
    """Bring a destination to what the records of a tree say."""
    records = known_records(order.out, order.records_in)
    destination = opened(order.address)
    _keep_apart(destination, order.out, records)
    cargo = _cargo_for(order, records)
    memory = Deployed(records.folder, destination.address)
    with memory.alone(), nullcontext() if order.dry_run else _healed(destination):
        remembered = None if order.compare else _believed(memory.read(), destination)
        held = _compared(cargo, destination, memory.read() or {}) if remembered is None else remembered  # fmt: skip
        plan = plan_of(cargo.tree, cargo.guides, cargo.shared, held)
        _check(cargo.tree, plan)
        if not order.dry_run:
            _carry_out(plan, _Errand(cargo.tree, destination, memory), held, counting)
    unread = 0 if order.former_host else len(records.codes()) - len(cargo.guides)
    told = NOTHING_UNKNOWN if order.former_host or unread else plan.unknown
    return _deployment(
        plan, cargo.tree, destination.address, unread, told, compared=remembered is None
    )


def _healed(destination: Destination) -> AbstractContextManager[None]:
    """What a killed run left at a folder is put right before anything is believed of it."""
    return destination.healed() if isinstance(destination, FolderDestination) else nullcontext()


def _keep_apart(destination: Destination, out: Path, records: Records) -> None:
    """A folder that holds the records would publish every code; one in the tree would be sent."""
    if not isinstance(destination, FolderDestination):
        return
    keep_off_sources(destination.root)
    place, tree = true_place(destination.root), true_place(out)
    for inside in (tree, true_place(records.folder)):
        if inside.is_relative_to(place):
            raise UsageError(f"'{destination.address}' holds '{inside}', which is private until it is sent. Name another folder.")  # fmt: skip
    if place.is_relative_to(tree) or place.is_relative_to(true_place(records.folder)):
        raise UsageError(f"'{destination.address}' lies inside what is to be sent. Name a folder outside '{out}'.")  # fmt: skip


def _cargo_for(order: SendOrder, records: Records) -> Cargo:
    """The guides, or what is kept for one old host."""
    former_host = order.former_host
    if former_host is None:
        return Cargo(order.out, tuple(records.all()), records.shared())
    kept, start = records.redirects(), f"{former_host}/"
    files = {path.removeprefix(start): kept[path] for path in kept if path.startswith(start)}
    if not files:
        hosts = {path.split("/")[0] for path in kept}
        raise UsageError(f"Nothing is kept for an old host '{former_host}'. {suggestion(former_host, hosts, 'Old hosts')}")  # fmt: skip
    if not order.redirects_file:
        files.pop(LIST_OF_CODES, None)
    return Cargo(records.redirects_folder / former_host, (), files)


def _believed(
    remembered: dict[str, str] | None, destination: Destination
) -> Mapping[str, str] | None:
    """What is remembered of a destination, unless files of it are no longer there."""
    if remembered is None:
        return None
    names = sorted(path for path, mark in remembered.items() if content_of(mark))
    probes = names[:: max(1, len(names) // _PROBES)][:_PROBES]
    return remembered if all(map(destination.exists, probes)) else None


def _compared(
    cargo: Cargo, destination: Destination, remembered: Mapping[str, str]
) -> Mapping[str, str]:
    """What a destination says that it holds. What of it was sent from here is remembered."""
    wanted = {path: digest for path, digest in cargo.files.items() if may_be_sent(path)}

    def mark(found: tuple[str, Held]) -> str:
        path, held = found
        before = remembered.get(path, FOUND)
        if path not in wanted:
            return before
        loose = is_loose(before)
        if _agrees(cargo.tree / path, path, held, destination):
            return f"{LOOSE}-{wanted[path]}" if loose else wanted[path]
        if before == FOUND:
            return FOUND
        return LOOSE if loose else CHANGING

    listed = sorted(destination.holds().items())
    with ThreadPoolExecutor(destination.at_once) as executor:
        marks = executor.map(mark, listed)
        return {path: found for (path, _), found in zip(listed, marks, strict=True)}


def _agrees(source: Path, path: str, held: Held, destination: Destination) -> bool:
    try:
        return destination.agrees(path, held, source.read_bytes())
    except OSError:
        return False


def _check(tree: Path, plan: DeploymentPlan) -> None:
    """Nothing is sent of a tree that is not as it was recorded."""
    parcels = {each.path: each for each in plan.parcels}
    wrong = [
        parcels[path].about
        for path, _ in faults(tree, {path: parcels[path].digest for path in parcels})
    ]
    if wrong:
        plots = in_short(sorted(set(wrong)), _NAMED)
        files = "1 file is" if len(wrong) == 1 else f"{len(wrong)} files are"
        raise HandoverError(
            f"{files} missing from '{tree}' or not as recorded: of {plots}. "
            "Nothing was sent. Build again; 'handover verify' lists the files."
        )


@dataclass(frozen=True, slots=True)
class _Errand:
    """Where files come from and go to, and what remembers it."""

    tree: Path
    destination: Destination
    memory: Deployed

    def send(self, parcel: Parcel) -> None:
        self._send_parcel(parcel)
        self.memory.add([sent(parcel.path, parcel.digest)])

    def send_loose(self, parcel: Parcel) -> None:
        """Send a file to which nothing leads yet."""
        self._send_parcel(parcel)
        self.memory.add([sent_loose(parcel.path, parcel.digest)])

    def _send_parcel(self, parcel: Parcel) -> None:
        self.destination.put(parcel.path, self._content(parcel))

    def _content(self, parcel: Parcel) -> bytes:
        try:
            content = (self.tree / parcel.path).read_bytes()
        except OSError:
            content = b""
        if digest_of(content) != parcel.digest:
            raise HandoverError(f"A file of {parcel.about} changed while it was sent. Wait until the build has ended.")  # fmt: skip
        return content

    def exchange(self, guide: GuideParcels) -> tuple[Parcel, ...]:
        """Send all pages and files of a guide at once, where the destination can; those that it took."""
        own = tuple(each for each in guide.parcels if each.path.startswith("g/"))
        if len(own) < _SEVERAL or not isinstance(self.destination, FolderDestination):
            return ()
        folder = "/".join(own[0].path.split("/")[:2])
        files = {each.path.removeprefix(f"{folder}/"): self._content(each) for each in own}
        self.destination.exchange(folder, files)
        self.memory.add(sent(each.path, each.digest) for each in own)
        return own

    def delete(self, deletion: Deletion) -> None:
        self.destination.remove(deletion.path)
        self.memory.add([gone(deletion.path)])


def _carry_out(
    plan: DeploymentPlan,
    errand: _Errand,
    held: Mapping[str, str],
    counting: Callable[[int], AbstractContextManager[Counting]],
) -> None:
    """Do what was planned, group by group. What is cut off is taken up by the next run."""
    errand.memory.write(_files_in_doubt(plan, held))
    total = sum(1 for _ in plan.parcels) + len(plan.deletions)
    with counting(total) as count, _sending_threads(errand.destination.at_once) as executor:

        def send(parcel: Parcel) -> None:
            errand.send(parcel)
            count.done(parcel.about)

        def send_guide(guide: GuideParcels) -> None:
            taken = errand.exchange(guide)
            for each in taken:
                count.done(each.about)
            for each in guide.new if not taken else ():
                errand.send_loose(each)
                count.done(each.about)
            errand.memory.add(sent(path, digest) for path, digest in guide.settled)
            for each in guide.others:
                if each not in taken:
                    send(each)

        def delete(deletion: Deletion) -> None:
            errand.delete(deletion)
            count.done(deletion.about)

        _do_all(executor, send, plan.assets)
        _do_all(executor, send_guide, plan.guides)
        _do_all(executor, send, plan.last)
        errand.memory.add(let_loose(each.path) for each in plan.deletions)
        _do_all(executor, delete, plan.deletions)
    remembered = errand.memory.read()
    if remembered is not None:
        errand.memory.write(remembered)


def _files_in_doubt(plan: DeploymentPlan, held: Mapping[str, str]) -> dict[str, str]:
    """What is remembered before anything is sent: of a file on its way, no content is sure."""
    return {**held, **{each.path: SENDING if each.new else CHANGING for each in plan.parcels}}


@contextmanager
def _sending_threads(number: int) -> Iterator[Executor]:
    """Threads to send with. What stops one run says how to take it up again."""
    try:
        with ThreadPoolExecutor(number) as executor:
            yield executor
    except HandoverError as error:
        raise HandoverError(f"{error} What was sent before is kept: run the same command again to go on.") from error  # fmt: skip


def _do_all(executor: Executor, work: Callable[[_Item], None], items: Iterable[_Item]) -> None:
    """Do work for all items, and return when all is done; after a failure, begin no more of it."""
    futures = [executor.submit(work, each) for each in items]
    try:
        for future in as_completed(futures):
            future.result()
    finally:
        for future in futures:
            future.cancel()


def _deployment(
    plan: DeploymentPlan,
    tree: Path,
    address: str,
    unreadable: int,
    unknown: Unknown,
    *,
    compared: bool,
) -> Deployment:
    copied = Counter(each.about for each in plan.parcels)
    deleted = Counter(each.about for each in plan.deletions)
    plots = sorted({*copied, *deleted}, key=lambda about: (about == SHARED, about))
    return Deployment(
        address,
        copied.total(),
        plan.unchanged,
        deleted.total(),
        sum(os.path.getsize(tree / each.path) for each in plan.parcels),
        tuple(PlotShare(each, copied[each], deleted[each]) for each in plots),
        unreadable,
        compared,
        unknown,
    )
