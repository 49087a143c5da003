"""What was promised by printing and publishing codes, checked before anything is issued or built."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from pathlib import Path

from builder.build.manifest import GuideRecord, Records, records_of_trees
from builder.build.one_place import left_hosts, shared_codes
from builder.disk import true_place
from builder.errors import Finding, Findings, Place
from builder.register.codes import REGISTER, SYMBOLS
from builder.register.issuing import check_codes
from builder.register.merging import moved
from builder.register.reading import ReadRegister, is_earlier, read_register, register_file
from builder.sources.named_plots import plot_of
from builder.sources.workspace import Workspace

_CODE = SYMBOLS + 1


def check_promises(
    workspace: Workspace,
    findings: Findings,
    *others: Records,
    read: ReadRegister = read_register,
) -> bool:
    """Read the register of every development: what is lost, changed or leads nowhere is a finding.

    So is a code that was published and that no register holds: by the records of trees that lie in
    the workspace, and by ``others``. ``read`` reads a register. Returns whether all is kept: where it is not, a build publishes
    nothing.
    """
    before = set(findings.errors)
    check_codes(workspace, findings, read)
    told = {each.place.file for each in findings.errors}
    findings.extend(_shared_codes(workspace, read))
    records = {true_place(each.folder): each for each in (*records_of_trees(workspace.folder.root), *others)}  # fmt: skip
    for each in records.values():
        for found in lost_codes(workspace, each, told):
            if found.place.file not in told:
                findings.add(found)
                told.add(found.place.file)
        findings.extend(moved_codes(workspace, each))
    findings.extend(left_hosts(workspace.developments.values(), records.values()))
    return before.issuperset(findings.errors)


def _shared_codes(workspace: Workspace, read: ReadRegister) -> Iterator[Finding]:
    """Of all registers that lie there, whichever developments a build looks at."""
    paths = sorted(workspace.folder.root.glob(f"developments/*/{REGISTER}"))
    names = [path.parent.name for path in paths]
    return shared_codes({each: read(workspace.folder, each, Findings()) for each in names})


def lost_codes(
    workspace: Workspace, records: Records, told: Collection[str] = ()
) -> Iterator[Finding]:
    """One finding for each development of a workspace that lacks codes of a published tree.

    A tree in the workspace is its own, and so are developments that it publishes and that are gone. One
    without any register has lost its codes, whoever else has them: a copy of its folder may. But those of
    a plot that came from another development stand there. ``told``: the registers that something is wrong
    with; what stands there is not lost.
    """
    root = workspace.folder.root
    folders = list((root / "developments").glob("*/"))
    issued = {path.name: _issued(path / REGISTER) for path in folders}
    missing = {*records.codes(), *records.sticker_codes()}.difference(*issued.values())
    wrong = {path.name for path in folders if workspace.folder.name(path / REGISTER) in told}
    bare = {path.name for path in folders if not (path / REGISTER).exists()}
    if not missing and not bare:
        return
    lost: dict[str, list[str]] = {}
    own = true_place(records.folder).parent == true_place(root)
    for record in records.all():
        names = _codes_of(record)
        development = record.reference.partition("/")[0]
        lacking = names & missing
        if development in bare:
            came_from = _developments_of(workspace, record.reference) | wrong
            lacking = names.difference(*(issued.get(each, ()) for each in came_from))
        if lacking and (own or (root / "developments" / development).is_dir()):
            lost.setdefault(development, []).extend([record.reference] * len(lacking))
    for development, plots in sorted(lost.items()):
        gone = not (root / "developments" / development).is_dir()
        yield _gone(development, plots, records) if gone else _lost(development, plots)


def moved_codes(workspace: Workspace, *records: Records) -> Iterator[Finding]:
    """One finding for each code of a published tree that its register has for another plot.

    Only registers of the earlier form are asked: in all others a moved line breaks the chain.
    """
    for path in sorted(workspace.folder.root.glob(f"developments/*/{REGISTER}")):
        lines = list(_lines(path)) if path.is_file() else []
        if lines and is_earlier(lines[0].decode("utf-8", "replace")):
            cells = [line.decode("utf-8", "replace").split(",") for line in lines[1:]]
            published = published_codes(workspace, path.parent.name, *records)
            yield from moved(workspace.folder.name(path), cells, published)


def published_codes(
    workspace: Workspace, development: str, *records: Records
) -> Mapping[str, Collection[str]]:
    """Every code that trees publish of a development, with the numbers that its plot has or had. What
    another development issued for a plot that came from there is none of this one's."""
    found: dict[str, Collection[str]] = {}
    for record in (each for tree in records for each in tree.all()):
        references = _references_of(workspace, record.reference)
        numbers = tuple(each.partition("/")[2] for each in references if each.startswith(f"{development}/"))  # fmt: skip
        codes = _codes_of(record) if numbers else set()
        others = _developments_of(workspace, record.reference) - {development}
        theirs = [_issued(register_file(workspace.folder, each)) for each in others]
        found |= dict.fromkeys(codes.difference(*theirs), numbers)
    return found


def _references_of(workspace: Workspace, reference: str) -> tuple[str, ...]:
    """A published reference, and those that its plot has or had."""
    plot = plot_of(workspace, reference)
    return tuple(dict.fromkeys((reference, *(plot.references if plot else ()))))


def _developments_of(workspace: Workspace, reference: str) -> set[str]:
    """The development of a published plot, and those that it came from."""
    return {each.partition("/")[0] for each in _references_of(workspace, reference)}


def _codes_of(record: GuideRecord) -> set[str]:
    """The codes that one guide was published with."""
    return {record.code, *(path.split("/")[1] for path in record.files if path.startswith("Q/"))}


def _issued(register: Path) -> set[str]:
    """What stands at the beginning of the lines of a register, sound or not."""
    lines = _lines(register) if register.is_file() else ()
    return {line[:_CODE].decode("ascii", errors="replace") for line in lines}


def _lines(path: Path) -> Iterable[bytes]:
    try:
        return path.read_bytes().removeprefix(b"\xef\xbb\xbf").replace(b'"', b"").splitlines()
    except OSError:
        return ()


def _lost(development: str, plots: list[str]) -> Finding:
    number = len(plots)
    codes = "1 code that was published is" if number == 1 else f"{number} codes that were published are"  # fmt: skip
    return Finding(
        "register.lost", Place(f"developments/{development}/{REGISTER}"),
        f"{codes} not in this register: of {_few(plots)}.",
        "Put the register back as it was, from the history of the project: addresses and stickers that people have would lead nowhere.",
    )  # fmt: skip


def _gone(development: str, plots: list[str], records: Records) -> Finding:
    number = len(plots)
    codes = "1 code that was published is" if number == 1 else f"{number} codes that were published are"  # fmt: skip
    tree = records.folder.name.removeprefix(".").removesuffix(".records")
    return Finding(
        "register.lost", Place(f"developments/{development}/{REGISTER}"),
        f"The folder of this development is gone, and {codes} in no register: of {_few(plots)}.",
        f"Put the folder back, from the history of the project: stickers live for years after the last home is sold. Where none of them was ever given to anybody, delete '{tree}' and '{records.folder.name}' instead.",
    )  # fmt: skip


def _few(plots: list[str]) -> str:
    named = sorted(set(plots))
    more = len(named) - 3
    return ", ".join(f"'{each}'" for each in named[:3]) + (f" and {more} more" if more > 0 else "")
