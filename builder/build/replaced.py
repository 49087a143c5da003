"""Addresses at which a guide stands no longer: what stood there is cleared away.

Nothing leads on from one that was replaced, because it was stolen or is unwanted. One whose plot became
part of another, which names it in ``formerly``, leads on to the guide of that one. One page stays that
says so, and a script that takes off readers' devices what they kept of the guide. A deployment sends
both and deletes the rest, as with any guide that has become smaller.
"""

from collections.abc import Iterable, Iterator
from pathlib import Path

from builder.build.manifest import GuideRecord, Records
from builder.build.plot_writing import PlotOrder, WrittenPlot
from builder.build.swapping import Tree
from builder.build.tree import Policies, page_of_nothing
from builder.digests import digest_of
from builder.register.lines import Register
from builder.register.redirects import page_that_leads_on
from builder.sources.workspace import DevelopmentSource
from builder.writers.site.offline import WORKER, ServiceWorkers

TITLE = "This address is no longer used"
ADVICE = "Scan a sticker in the home: it leads to the guide."


def empty_replaced(
    tree: Tree,
    records: Records,
    registers: Iterable[tuple[DevelopmentSource, Register]],
    workers: ServiceWorkers,
) -> None:
    """Clear away each guide whose plot is published at another address now."""
    for development, register in registers:
        for reference, code, now in _replaced(development, register, records):
            page = (
                page_of_nothing(TITLE, ADVICE) if now is None else page_that_leads_on(f"../{now}/")
            )
            files = {
                f"g/{code}/index.html": page.encode(),
                f"g/{code}/{WORKER}": workers.clearing(code).encode(),
            }
            record = GuideRecord(reference, code, {}, {name: digest_of(each) for name, each in files.items()})  # fmt: skip
            before = records.read(code)
            if (
                before is None
                or before.files != record.files
                or not tree.stands(record, seen=False)
            ):
                _swap_in(tree, record, files)


def _replaced(
    development: DevelopmentSource, register: Register, records: Records
) -> Iterator[tuple[str, str, str | None]]:
    """The plots whose guides stand at another address now, the codes of the addresses before, and where
    each of those leads on to."""
    for plot in development.plots.values():
        now = register.guide(plot.numbers)
        if now is None or records.read(now) is None:
            continue
        for each in register.codes:
            guide = each.wanted.leads_to == "guide" and each.wanted.plot in plot.numbers
            if guide and each.code != now and records.read(each.code) is not None:
                yield plot.reference, each.code, None if each.code in register.void else now


def _swap_in(tree: Tree, record: GuideRecord, files: dict[str, bytes]) -> None:
    """Put what is left of a guide in its place."""
    folder = tree.workplace / record.code
    order = PlotOrder(record.reference, record.code, folder, tree.out / "g" / record.code)
    for name, content in files.items():
        _put(folder / name, content)
    tree.swap_in(
        WrittenPlot(order, record.files, {}, {}, (), (), Policies(), 1, "", (), {}), record
    )


def _put(place: Path, content: bytes) -> None:
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(content)
