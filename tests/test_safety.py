"""Publishing is safe: killed, full, locked out, twice at once or half broken, nothing is lost.

A build runs in a forked process that has read everything, so that the points at which it is killed
or finds no room lie in the writing and the swapping. Seeds are fixed; delays depend on the machine.
"""

import gc
import os
import random
import re
import resource
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from pathlib import Path
from traceback import format_exception

import pytest

from builder.build import building, exchanging, executors, plot_writing, swapping
from builder.build.building import publish
from builder.build.manifest import GuideRecord, Records, records_folder
from builder.build.report import Report, Target
from builder.deploy.verifying import verify
from builder.errors import Findings, HandoverError
from builder.preparing import prepare
from builder.register.issuing import issue_stickers
from builder.register.reading import read_register
from builder.sources.folder import Folder
from builder.sources.scope import Scope
from tests.broken_workspaces import run
from tests.conftest import COTTAGE

DAY = date(2026, 11, 26)
KILLS = 36
RIVERSIDE = ("riverside/01", "riverside/02", "riverside/03", "riverside/04")
ALL = (*RIVERSIDE, "hillside/01")
NEW_BENCH = plot_writing.bench.__wrapped__
CREATING = os.O_WRONLY | os.O_RDWR | os.O_CREAT
CONTACT = "  customer-care: {telephone: 01632 960%s}\n"
pytestmark = pytest.mark.filterwarnings("ignore:This process.*multi-threaded:DeprecationWarning")

Content = Mapping[str, bytes]


def workspace_in(folder: Path) -> Path:
    """The small whole example with more plots, a second development, and codes for all of it."""
    shutil.copytree(COTTAGE, folder)
    table = folder / "developments" / "riverside" / "plots.csv"
    head, *_ = table.read_text(encoding="utf-8").splitlines()
    more = (
        f"{number},{number} Riverside,ZZ99 9ZZ,cottage,{hand},,2026-05-{number}\n"
        for number, hand in (("03", "as-drawn"), ("04", "opposite"))
    )
    table.write_text(table.read_text(encoding="utf-8") + "".join(more), encoding="utf-8")
    second = folder / "developments" / "hillside"
    second.mkdir()
    (second / "plots.csv").write_text(
        f"{head}\n01,1 Hillside,ZZ99 9ZZ,cottage,as-drawn,,\n", encoding="utf-8"
    )
    about = (table.parent / "development.yaml").read_text(encoding="utf-8")
    (second / "development.yaml").write_text(
        about.replace("Riverside", "Hillside").replace(
            "guides.example\n",
            "guides.example\n  former_base_urls: [https://guides-before.example]\n",
        ),
        encoding="utf-8",
    )
    telephone(folder, "100")
    preparation = prepare(folder, [], DAY)
    issue_stickers(preparation.workspace, preparation.plots.values(), DAY)
    return folder


def telephone(workspace: Path, ending: str) -> None:
    """Give one development a telephone number of its own."""
    path = workspace / "developments" / "riverside" / "development.yaml"
    text = path.read_text(encoding="utf-8").partition(CONTACT.partition(":")[0])[0]
    path.write_text(text + CONTACT % ending, encoding="utf-8")


def article(workspace: Path, words: str) -> None:
    """Let an article that every home has end in these words."""
    path = workspace / "content" / "articles" / "water-off.md"
    whole = (COTTAGE / "content" / "articles" / "water-off.md").read_text(encoding="utf-8")
    path.write_text(f"{whole}\n{words}\n", encoding="utf-8")


def contents(folder: Path) -> dict[str, bytes]:
    """Every file of a tree but for what a build that was stopped left in its workplace."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and not path.relative_to(folder).parts[0].startswith(".building-")
    }


def parts(tree: Content) -> dict[str, dict[str, bytes]]:
    """A tree by what is swapped as one: each guide, each page of a sticker, each other file."""
    found: dict[str, dict[str, bytes]] = {}
    for name, content in tree.items():
        steps = name.split("/")
        part = "/".join(steps[:2]) if steps[0] == "g" else name
        found.setdefault(part, {})[name] = content
    return found


@dataclass
class Ground:
    """One published tree, two editions of a workspace, and how the tree looks with each."""

    out: Path
    roots: tuple[Path, Path]
    benches: dict[tuple[Path, str, date, Scope | None, bool], plot_writing.Bench] = field(
        default_factory=dict
    )
    trees: list[dict[str, bytes]] = field(default_factory=list)
    written: dict[tuple[str, str], plot_writing.WrittenPlot] = field(default_factory=dict)
    replays: bool = False

    def bench(
        self, root: Path, sources: str, day: date, scope: Scope | None, own_code: bool = False
    ) -> plot_writing.Bench:
        """As the builder keeps one, for more than one workspace."""
        key = (root, sources, day, scope, own_code)
        if key not in self.benches:
            self.benches[key] = NEW_BENCH(*key)
        return self.benches[key]

    def write(self, order: plot_writing.Order) -> plot_writing.OrderResult:
        """As the builder writes, or, to save time, the same files out of memory."""
        if not self.replays:
            answer = plot_writing.write(order)
            written = {(order.sources, each.order.reference): each for each in answer.written}
            self.written.update(written)
            return answer
        found = []
        for plot in order.plots:
            found.append(replace(self.written[order.sources, plot.reference], order=plot))
            for name in found[-1].files:
                place = plot.folder / name
                try:
                    place.parent.mkdir(parents=True, exist_ok=True)
                    place.write_bytes(self.trees[self.roots.index(order.root)][name])
                except OSError as error:
                    raise plot_writing.unwritable(plot.reference, error) from error
        return plot_writing.OrderResult(tuple(found), ())

    def publish(self, edition: int) -> Report:
        return publish(Target(self.roots[edition], (), self.out, DAY))

    def code(self, reference: str) -> str:
        """The code of a plot's guide."""
        return next(each.code for each in Records(self.out).all() if each.reference == reference)

    def whole(self) -> None:
        """Each guide and each page is of one edition or the other, whole, and none is missing."""
        now = parts(contents(self.out))
        old, new = map(parts, self.trees)
        assert now.keys() == old.keys() == new.keys()
        mixed = [part for part, files in now.items() if files not in (old[part], new[part])]
        assert mixed == []

    def healed(self, edition: int) -> None:
        """The tree is as if nothing had happened, and its records say so."""
        assert contents(self.out) == self.trees[edition]
        assert verify(self.out).problems == ()
        left = [*self.out.glob(".building-*"), *self.out.rglob(".*.new")]
        assert left == [] == list((records_folder(self.out) / "swapping").iterdir())


@pytest.fixture(scope="module")
def ground(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Ground]:
    """Built there and back again, so that each guide's log of changes has said all it will."""
    folder = tmp_path_factory.mktemp("safety")
    first, second = workspace_in(folder / "first"), folder / "second"
    shutil.copytree(first, second)
    telephone(second, "200")
    article(second, "Turn it gently.")
    made = Ground(folder / "public", (first, second))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(building, "bench", made.bench)
        patch.setattr(plot_writing, "bench", made.bench)
        patch.setattr(building, "write", made.write)
        patch.setattr(executors, "FEW", 9)
        made.publish(0)
        made.publish(1)
        made.trees = [{}, {}]
        for edition in (0, 1):
            assert len(made.publish(edition).published) == len(ALL)
            made.trees[edition] = contents(made.out)
        differing = [part for part, files in parts(made.trees[0]).items()
                     if files != parts(made.trees[1])[part]]  # fmt: skip
        assert sum(part.startswith("g/") for part in differing) == len(ALL)
        assert sum(part.startswith(("q/", "Q/")) for part in differing) == 2 * len(RIVERSIDE)
        gc.freeze()  # or each child copies the memory that its collector marks
        yield made
        gc.unfreeze()


class Steps:
    """Counts what a process does to the disk below a folder, and acts at one of the steps.

    A step: a file opened to be written, a folder made or taken out, a name changed, linked or taken
    out, two names exchanged. ``act`` is called before the step with whether it takes room.
    """

    def __init__(self, below: Path, act: Callable[[int, bool], None]) -> None:
        self._below, self._act, self.count = str(below), act, 0

    def listen(self) -> None:
        """For as long as this process lives: only for a forked one."""
        exchange = exchanging.at_once

        def at_once(first: Path, second: Path) -> bool:
            self._step(False)
            return exchange(first, second)

        exchanging.at_once = at_once  # the system's call tells no hook
        sys.addaudithook(self._hear)

    def _hear(self, event: str, arguments: tuple[object, ...]) -> None:
        if event == "open":
            flags = arguments[2]
            if not (isinstance(flags, int) and flags & CREATING):
                return
        elif event not in ("os.mkdir", "os.link", "os.rename", "os.remove", "os.rmdir"):
            return
        if isinstance(arguments[0], str | os.PathLike) and os.fspath(arguments[0]).startswith(
            self._below
        ):
            self._step(event in ("open", "os.mkdir", "os.link"))

    def _step(self, takes_room: bool) -> None:
        self.count += 1
        self._act(self.count, takes_room)


def forked(work: Callable[[], str]) -> tuple[int, int]:
    """A child that does some work and says its result; its id, and where it can be read."""
    reading, writing = os.pipe()
    child = os.fork()
    if child:
        os.close(writing)
        return child, reading
    try:
        os.write(writing, work().encode()[-60_000:])
        os._exit(0)
    except BaseException as error:
        os.write(writing, repr(error).encode()[-60_000:])
    finally:
        os._exit(70)


def ended(child: int, reading: int) -> tuple[int, str]:
    """How a child ended, negative for a signal, and what it said."""
    with os.fdopen(reading, "rb") as said:
        text = said.read().decode()
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), text


def at_step(number: int, act: Callable[[], None]) -> Callable[[int, bool], None]:
    return lambda count, _: act() if count == number else None


def kill_self() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def stepped(
    ground: Ground, edition: int, act: Callable[[int, bool], None], replays: bool = False
) -> str:
    ground.replays = replays
    steps = Steps(ground.out.parent, act)
    steps.listen()
    ground.publish(edition)
    return str(steps.count)


def whole_run(ground: Ground, edition: int) -> int:
    """An edition, published in a child to the end; how many steps that took."""
    status, said = ended(*forked(partial(stepped, ground, edition, lambda *_: None)))
    assert status == 0, said
    return int(said)


def killed_after(ground: Ground, edition: int, seconds: float) -> int:
    child, reading = forked(lambda: str(len(ground.publish(edition).published)))
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    return ended(child, reading)[0]


def killed_at(ground: Ground, edition: int, step: int) -> int:
    return ended(*forked(partial(stepped, ground, edition, at_step(step, kill_self), True)))[0]


def test_a_build_that_is_killed_at_any_moment_leaves_every_guide_whole(ground: Ground) -> None:
    """Half of the kills fall at a random moment, half before a random step on the disk.

    A build has less to do where the last one, killed, had undone little: most kills come early, and
    where one came too late, another edition is killed earlier.
    """
    chance = random.Random(20261126)
    steps = whole_run(ground, 0)
    start = time.monotonic()
    whole_run(ground, 1)
    lasts = time.monotonic() - start
    edition = 1
    for number in range(KILLS):
        point, status = chance.random() ** 2 * 0.8, 0
        while status == 0:
            edition = 1 - edition
            if number % 4 < 2:
                status = killed_after(ground, edition, point * lasts)
            else:
                status = killed_at(ground, edition, 1 + int(point * steps))
            assert status in (0, -signal.SIGKILL)
            ground.whole()
            point /= 2
        if number % 10 == 9:
            edition = chance.randint(0, 1)
            whole_run(ground, edition)
            ground.healed(edition)


def built(workspace: Path, out: Path, *more: str) -> tuple[int, str]:
    """The command, in this process: its exit code and what it says. No traceback, ever."""
    asked = ("--workspace", str(workspace), "--out", str(out), "--date", DAY.isoformat())
    result = run("build", *more, *asked)
    told = isinstance(result.exception, SystemExit | None)
    assert told, "".join(format_exception(result.exception))
    return result.exit_code, result.output


def in_a_child(work: Callable[[], tuple[int, str]]) -> tuple[int, str]:
    """What a command came to in a process of its own."""
    status, said = ended(*forked(lambda: "{} {}".format(*work())))
    assert status == 0, said
    code, _, output = said.partition(" ")
    return int(code), output


def without_room(ground: Ground, edition: int, step: int) -> tuple[int, str]:
    """The command on a disk that is full from some step on; names can be changed and taken out."""

    def act(count: int, takes_room: bool) -> None:
        if takes_room and count >= step:
            raise OSError(28, "No space left on device")

    ground.replays = step % 3 > 0
    Steps(ground.out.parent, act).listen()
    return built(ground.roots[edition], ground.out)


def test_a_build_that_is_killed_before_anything_stands_is_made_good(
    ground: Ground, tmp_path: Path
) -> None:
    """Each sticker that is there leads to a guide, and drawn codes are whole lines."""
    chance = random.Random(11)
    seen = set[int]()
    for number in range(12):
        fresh = replace(ground, out=tmp_path / str(number) / "public")
        fresh.out.parent.mkdir()
        killed_at(fresh, 0, 60 + number * 30 + chance.randint(0, 29))
        standing = parts(contents(fresh.out)) if fresh.out.exists() else {}
        guides = {part for part in standing if part.startswith("g/")}
        seen.add(len(guides))
        if guides:
            assert {"robots.txt", "_headers", "404.html"} <= standing.keys()
            assert any(part.startswith("assets/") for part in standing)
        for part, files in standing.items():
            assert files.keys() == parts(ground.trees[0])[part].keys()
            if part.startswith(("Q/", "q/")):
                leads_to = re.findall(rb"\.\./g/(\w+)/", files[part])
                assert leads_to
                assert all(f"g/{code.decode()}" in guides for code in leads_to)
        if number % 4 == 3:
            whole_run(fresh, 0)
            assert contents(fresh.out).keys() == ground.trees[0].keys()
            assert verify(fresh.out).problems == ()
    assert len(seen) > 2, "killed between the first guide and the last"


def test_a_register_is_whole_after_a_kill(ground: Ground, tmp_path: Path) -> None:
    """Without any code: each is drawn, kept in the register, and then published, or not at all."""
    registered = set[int]()
    for number, step in enumerate((50, 370, 400, 430, 460)):
        workspace, out = tmp_path / f"workspace-{number}", tmp_path / f"public-{number}"
        shutil.copytree(ground.roots[0], workspace)
        for register in workspace.rglob("register.*"):
            register.unlink()

        def build(root: Path = workspace, out: Path = out, step: int = step) -> str:
            Steps(tmp_path, at_step(step, kill_self)).listen()
            return str(publish(Target(root, (), out, DAY)).left)

        ended(*forked(build))
        findings = Findings()
        codes = {
            each.code
            for name in ("riverside", "hillside")
            for each in read_register(Folder(workspace), name, findings).codes
        }
        assert not list(findings)
        assert {path.name for path in (out / "g").glob("*")} <= codes
        registered.add(len(codes))
    assert len(registered) > 1, registered
    publish(Target(workspace, (), out, DAY))
    assert {path.name for path in (out / "g").iterdir()} >= codes
    assert verify(out).problems == ()


@pytest.mark.parametrize("limit", [64, 4_000, 8_000])
def test_files_that_may_not_grow(ground: Ground, limit: int) -> None:
    """The system's own limit of a file's size (setrlimit(2), from memory), nothing played."""

    def limited() -> tuple[int, str]:
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
        return built(ground.roots[1], ground.out)

    ground.publish(0)
    before = contents(ground.out)
    code, output = in_a_child(limited)
    assert code == 1, output
    assert "File too large" in output
    assert contents(ground.out) == before
    ground.publish(1)
    ground.healed(1)


@pytest.mark.parametrize(
    ("taken", "says"),
    [
        (".", "cannot be written: Not a directory."),
        ("public", "cannot be written: File exists."),
        (".public.records", "cannot be written: File exists."),
        (".public.records/guides", "cannot be written: File exists."),
        ("public/g", "The guide of riverside/01 cannot be written: [Errno 17] File exists"),
        ("public/assets", "cannot be written: File exists."),
        ("public/q", "The guide of riverside/01 cannot be written: [Errno 20] Not a directory"),
        ("public/robots.txt/", "The guide of riverside/01 cannot be written: [Errno 21] Is a directory"),
        ("public/_headers/", "The guide of riverside/01 cannot be written: [Errno 21] Is a directory"),
    ],
)  # fmt: skip
def test_something_else_lies_where_a_build_must_write(
    taken: str, says: str, ground: Ground, tmp_path: Path
) -> None:
    place = tmp_path / "tree" / taken
    place.parent.mkdir(parents=True, exist_ok=True)
    if taken.startswith("public/"):
        records_folder(tmp_path / "tree" / "public").mkdir()  # a build was there before
    if taken.endswith("/"):
        place.mkdir()
    else:
        place.write_text("not a folder", encoding="utf-8")
    with pytest.raises(HandoverError) as caught:
        publish(Target(ground.roots[0], ("riverside/01",), tmp_path / "tree" / "public", DAY))
    assert says in str(caught.value)
    if place.is_file():
        assert place.read_text(encoding="utf-8") == "not a folder"
    assert not list(tmp_path.rglob(".building-*"))


def test_the_command_says_so_and_exits_with_one(ground: Ground, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder", encoding="utf-8")
    out = tmp_path / "file" / "public"
    code, output = built(ground.roots[0], out)
    assert code == 1
    assert output.endswith(f"Error: '{out}' cannot be written: Not a directory.\n")


def test_a_folder_that_may_only_be_read(ground: Ground) -> None:
    """As a user who is not root: root may write everywhere, and becomes nobody for this."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "public"
        (Path(folder) / "file").touch()
        workspace = Path(shutil.copytree(ground.roots[0], Path(folder) / "workspace"))
        built(workspace, Path(folder) / "file" / "public")  # loads all that tells of errors
        out.mkdir()
        for each in (out, out.parent):
            each.chmod(0o555)

        def as_nobody() -> tuple[int, str]:
            if os.geteuid() == 0:
                os.setuid(65534)
            return built(workspace, out)

        code, output = in_a_child(as_nobody)
        out.parent.chmod(0o755)
        assert code == 1, output
        assert output.endswith(f"Error: '{out}' cannot be written: Permission denied.\n")


@pytest.mark.parametrize("spelled", ["public", "link", "link/../public", "deep/link"])
def test_two_builds_at_once(ground: Ground, spelled: str) -> None:
    """The second says so and leaves the first alone, which goes on to its end: by whatever name it
    knows the tree."""
    above = ground.out.parent
    (above / "deep").mkdir(exist_ok=True)
    for link in (above / "link", above / "deep" / "link"):
        if not link.is_symlink():
            link.symlink_to(ground.out)
    named = above / spelled
    ground.publish(0)
    steps = whole_run(ground, 1)
    (waits, told), (goes_on, tell) = os.pipe(), os.pipe()

    def wait() -> None:
        os.write(told, b".")
        os.read(goes_on, 1)

    child, reading = forked(partial(stepped, ground, 0, at_step(steps // 2, wait)))
    assert os.read(waits, 1) == b"."
    code, output = built(ground.roots[1], named)
    os.write(tell, b".")
    assert ended(child, reading)[0] == 0
    for each in (waits, told, goes_on, tell):
        os.close(each)
    assert code == 1
    says = f"Another build is writing to '{named}'. Try again when it has ended."
    assert output.endswith(f"Error: {says}\n")
    ground.healed(0)


def test_a_plot_that_fails_leaves_the_others_to_be_published(
    ground: Ground, tmp_path: Path
) -> None:
    ground.publish(0)
    workspace = tmp_path / "workspace"
    shutil.copytree(ground.roots[1], workspace)
    table = workspace / "developments" / "riverside" / "plots.csv"
    text = table.read_text(encoding="utf-8")
    table.write_text(text.replace("03 Riverside,ZZ99 9ZZ,cottage", "03 Riverside,ZZ99 9ZZ,cotage"))
    code, output = built(workspace, ground.out)
    assert code == 1
    assert "4 guides published.\n" in output
    assert "Left as they were: riverside/03." in output
    assert "developments/riverside/plots.csv:4:" in output
    assert "cotage" in output
    kept = ground.code("riverside/03")
    old, new = map(parts, ground.trees)
    now = parts(contents(ground.out))
    assert now[f"g/{kept}"] == old[f"g/{kept}"]
    others = [part for part in now if part.startswith("g/") and part != f"g/{kept}"]
    assert len(others) == 4
    assert [now[part] for part in others] == [new[part] for part in others]
    assert verify(ground.out).problems == ()


def test_what_has_not_changed_is_not_built_again(ground: Ground, tmp_path: Path) -> None:
    """Touched files and a copy elsewhere change nothing; words change what they concern."""
    ground.publish(0)
    workspace = tmp_path / "workspace"
    shutil.copytree(ground.roots[0], workspace, copy_function=shutil.copyfile)
    for path in workspace.rglob("*"):
        os.utime(path, (1, 1))

    def published() -> tuple[str, ...]:
        report = publish(Target(workspace, (), ground.out, DAY))
        assert len(report.published) + len(report.unchanged) == len(ALL)
        assert verify(ground.out).problems == ()
        return tuple(each.reference for each in report.published)

    assert published() == ()
    assert contents(ground.out) == ground.trees[0]
    telephone(workspace, "200")
    assert sorted(published()) == sorted(RIVERSIDE)
    telephone(workspace, "100")
    assert sorted(published()) == sorted(RIVERSIDE)
    assert contents(ground.out) == ground.trees[0], "changed back gives the same bytes"
    article(workspace, "Turn it gently.")
    assert sorted(published()) == sorted(ALL)


def test_a_build_that_ends_midway_still_tells_hosts_of_every_guide(
    ground: Ground, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Policies of an older theme stay as long as a guide of it does; those of the new one come
    before its first guide."""
    ground.publish(0)
    headers = ground.out / "_headers"
    whole = headers.read_text(encoding="utf-8")
    old = "'sha256-AnOlderThemeOfALongerTimeAgo0000000000000000='"
    hashes = re.findall(r"'sha256-[^']*'", whole)
    assert hashes
    headers.write_text(whole.replace(hashes[0], old), encoding="utf-8")
    exchange, said = swapping.exchange, list[str]()

    def failing(finished: Path, place: Path, aside: Path) -> None:
        said.append(headers.read_text(encoding="utf-8"))
        if len(said) > 2:
            raise OSError(28, "No space left on device")
        exchange(finished, place, aside)

    with monkeypatch.context() as patch:
        patch.setattr(swapping, "exchange", failing)
        with pytest.raises(HandoverError, match="No space left on device"):
            ground.publish(1)
    assert len(said) == 3
    for text in (*said, headers.read_text(encoding="utf-8")):
        assert all(each in text for each in (*hashes, old))
    assert verify(ground.out).problems == (), "two guides are new, the others old, all recorded"
    ground.publish(1)
    both = headers.read_text(encoding="utf-8")
    assert old in both, "two guides were not built again: they may be of the older theme"
    ground.publish(0)
    assert headers.read_text(encoding="utf-8") == whole, "all guides were built in one build"
    ground.healed(0)


def test_a_first_build_that_ends_midway_is_served_safely(
    ground: Ground, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One guide stands: not to be indexed, with its policy, and as recorded."""
    out = tmp_path / "public"
    write = swapping.Tree.swap_in
    swapped = list[str]()

    def failing(
        tree: swapping.Tree, written: plot_writing.WrittenPlot, record: GuideRecord
    ) -> None:
        if swapped:
            raise HandoverError("Stopped.")
        swapped.append(written.order.code)
        write(tree, written, record)

    monkeypatch.setattr(swapping.Tree, "swap_in", failing)
    with pytest.raises(HandoverError, match="Stopped"):
        publish(Target(ground.roots[0], (), out, DAY))
    assert [path.name for path in (out / "g").iterdir()] == swapped
    assert "'sha256-" in (out / "_headers").read_text(encoding="utf-8")
    assert (out / "robots.txt").read_text(encoding="utf-8") == "User-agent: *\nDisallow: /\n"
    assert verify(out).problems == ()


def test_without_an_exchange_in_one_step_the_old_guide_is_put_back(
    ground: Ground, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two renames: killed between them, the guide is out until the next build begins."""
    ground.publish(0)
    code = ground.code("riverside/01")
    monkeypatch.setattr(exchanging, "at_once", lambda *_: False)

    def act(count: int, _: bool) -> None:
        if any(ground.out.glob(".building-*/*.old")):
            kill_self()

    status, _said = ended(*forked(partial(stepped, ground, 1, act)))
    assert status == -signal.SIGKILL
    now, old = parts(contents(ground.out)), parts(ground.trees[0])
    out = {part for part in old if part not in now}
    assert len(out) == 1
    assert out <= {part for part in old if part.startswith("g/")}
    with swapping.Tree(ground.out):
        assert contents(ground.out) == ground.trees[0]
    assert not list(ground.out.glob(".building-*"))
    ground.publish(1)
    ground.healed(1)
    ground.publish(0)
    assert (ground.out / "g" / code / "index.html").is_file()


def test_theme_files_and_guides_that_were_taken_out_are_put_back(ground: Ground) -> None:
    ground.publish(0)
    missing = next((ground.out / "assets").rglob("*.js"))
    missing.unlink()
    page = ground.out / "g" / ground.code("riverside/02") / "contacts" / "index.html"
    page.unlink()
    (ground.out / "404.html").write_text("changed", encoding="utf-8")
    report = ground.publish(0)
    assert [each.reference for each in report.published] == ["riverside/02"]
    ground.healed(0)


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="reads Linux's list of processes")
def test_workers_end_with_a_build_that_is_killed(
    ground: Ground, monkeypatch: pytest.MonkeyPatch
) -> None:
    """They would wait for orders for ever, and write where the next build clears away."""
    monkeypatch.setattr(executors, "FEW", 0)
    monkeypatch.setattr(building, "write", plot_writing.write)
    ground.publish(1)
    child, reading = forked(lambda: str(len(ground.publish(0).published)))
    workers, deadline = list[str](), time.monotonic() + 30
    while not workers and time.monotonic() < deadline:
        workers = Path(f"/proc/{child}/task/{child}/children").read_text(encoding="ascii").split()
    os.kill(child, signal.SIGKILL)
    assert ended(child, reading)[0] == -signal.SIGKILL
    assert workers
    while any(map(is_running, workers)) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not [each for each in workers if is_running(each)]
    ground.whole()


def is_running(process: str) -> bool:
    """Whether a process is at work or waits; one that ended may still be in the list."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    except (FileNotFoundError, ProcessLookupError):
        return False
