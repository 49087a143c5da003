"""``handover deploy``: only what differs, in an order in which no link is dead at any moment,
taken up where it was cut off, and never a code given away."""

import hashlib
import json
import random
import shutil
import signal
from collections.abc import Callable, Iterator, Mapping
from contextlib import nullcontext, suppress
from functools import partial
from pathlib import Path
from threading import Lock
from types import SimpleNamespace
from typing import Any

import boto3
import fsspec
import pytest
from click.testing import CliRunner, Result
from moto.server import ThreadedMotoServer

from builder.build import exchanging
from builder.build.manifest import Records, records_folder
from builder.cli.commands import main
from builder.deploy.deploying import Deployment, SendOrder, deploy
from builder.deploy.destinations import FolderDestination, Held, StoreDestination
from builder.deploy.serving import kept_for, media_type
from builder.errors import HandoverError, UsageError
from tests.hand_made_trees import Files, contents, dead_links, guide, page, publish
from tests.test_safety import Steps, at_step, ended, forked, kill_self

ONE, TWO = "7K3MABCDEFGH2", "9QRSTVWXYZ234"
THEME = '<link rel="stylesheet" href="../../assets/{}/theme.css">'


class Killed(BaseException):
    """What ends a run as a lost machine does."""


class Watched:
    """A destination that keeps files in memory, and after every single change asks ``look``."""

    address = "watched"

    def __init__(self, look: Callable[[Files], None] = lambda _: None, at_once: int = 3) -> None:
        self.files: dict[str, bytes] = {}
        self.log: list[str] = []
        self.at_once = at_once
        self.killed_at: int | None = None
        self.killed_before = False
        self._look = look
        self._lock = Lock()

    def holds(self) -> Mapping[str, Held]:
        return {path: Held(len(content)) for path, content in self.files.items()}

    def exists(self, path: str) -> bool:
        return path in self.files

    def agrees(self, path: str, held: Held, content: bytes) -> bool:
        return self.files[path] == content

    def put(self, path: str, content: bytes) -> None:
        with self._lock:
            self._live()
            self.files[path] = content
            self._done(f"+ {path}")

    def remove(self, path: str) -> None:
        with self._lock:
            self._live()
            self.files.pop(path, None)
            self._done(f"- {path}")

    def _live(self) -> None:
        if self.killed_before and self._is_lost(len(self.log) + 1):
            raise Killed

    def _is_lost(self, changes: int) -> bool:
        return self.killed_at is not None and changes >= self.killed_at

    def _done(self, line: str) -> None:
        self.log.append(line)
        self._look(self.files)
        if self._is_lost(len(self.log)):
            raise Killed


def send(out: Path, destination: Any, **options: Any) -> Deployment:
    order = SendOrder(out, "watched", **options)
    return deploy(order, lambda _: nullcontext(SimpleNamespace(done=lambda _: None)), lambda _: destination)  # fmt: skip


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, ["deploy", *map(str, arguments)])


def front(*links: str, theme: str = "0a1b2c3d") -> bytes:
    return page(*links) + THEME.format(theme).encode()


def shared(theme: str = "0a1b2c3d") -> dict[str, bytes]:
    return {
        f"assets/{theme}/theme.css": theme.encode(),
        "_headers": b"/*\n",
        "robots.txt": b"Disallow: /\n",
        "404.html": page(),
    }


def first_edition() -> dict[tuple[str, str], Files]:
    pages = {
        "index.html": front("water/index.html"),
        "water/index.html": page("../index.html", "stopcock/index.html"),
        "water/stopcock/index.html": page("../../index.html"),
        "calendar.ics": b"BEGIN:VCALENDAR",
        "worker.js": b"one",
        "images/plan.svg": b"<svg/>",
    }
    return {
        ("mill-lane/01", ONE): guide(ONE, pages, "STICKER0000AA"),
        ("mill-lane/02", TWO): guide(TWO, pages, "STICKER0000BB"),
    }


def second_edition(theme: str = "0a1b2c3d") -> dict[tuple[str, str], Files]:
    pages = {
        "index.html": front("water/index.html", "heat/index.html", theme=theme),
        "water/index.html": page("../index.html", "../heat/index.html"),
        "heat/index.html": page("../index.html", "../water/index.html", "pump.png"),
        "heat/pump.png": b"png",
        "calendar.ics": b"BEGIN:VCALENDAR 2",
        "worker.js": b"two",
        "images/plan.svg": b"<svg/>",
    }
    return {**first_edition(), ("mill-lane/01", ONE): guide(ONE, pages, "STICKER0000AA")}


@pytest.fixture
def out(tmp_path: Path) -> Path:
    publish(tmp_path / "work" / "public", first_edition(), shared())
    return tmp_path / "work" / "public"


def no_dead_links(files: Files) -> None:
    assert dead_links(files) == set()


def test_the_reader_of_these_tests_finds_dead_links() -> None:
    files = {**first_edition()["mill-lane/01", ONE], **shared()}
    assert dead_links(files) == set()
    del files[f"g/{ONE}/water/stopcock/index.html"]
    assert dead_links(files) == {(f"g/{ONE}/water/index.html", "stopcock/index.html")}


def test_a_folder_gets_what_differs(out: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    result = run(site, "--from", out)
    assert result.exit_code == 0
    assert contents(site) == contents(out)
    size = sum(map(len, contents(out).values()))
    assert result.output == (
        "plot                 copied  deleted\n"
        "mill-lane/01              8        0\n"
        "mill-lane/02              8        0\n"
        "shared by all plots       4        0\n"
        "\n"
        f"Copied: 20 files, {size:,} bytes. Unchanged: 0. Deleted: 0.\n"
        f"'{site}' was asked what it holds: nothing sure was known of it.\n"
    )
    assert run(site, "--from", out).output == "Copied: 0 files, 0 bytes. Unchanged: 20. Deleted: 0.\n"  # fmt: skip
    publish(out, second_edition(), shared())
    assert run(site, "--from", out).output.splitlines()[:2] == [
        "plot          copied  deleted",
        "mill-lane/01       6        1",
    ]
    assert contents(site) == contents(out)
    assert not (site / f"g/{ONE}/water/stopcock").exists()


def test_a_dry_run_says_the_same_and_touches_nothing(out: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    run(site, "--from", out)
    publish(out, second_edition(), shared())
    before = contents(site)
    dry = run(site, "--from", out, "--dry-run", "--format", "json")
    assert contents(site) == before
    assert run(site, "--from", out, "--dry-run").output.startswith("plot          to copy  to delete\n")  # fmt: skip
    done = run(site, "--from", out, "--format", "json")
    told = json.loads(dry.output)
    assert told == {**json.loads(done.output), "dry_run": True}
    assert (told["copied"], told["deleted"], told["unchanged"]) == (6, 1, 15)


def test_the_order_of_one_guide(out: Path) -> None:
    watched = Watched(at_once=1)
    send(out, watched)
    assert watched.log[0] == "+ assets/0a1b2c3d/theme.css"
    assert watched.log[-3:] == ["+ 404.html", "+ _headers", "+ robots.txt"]
    assert watched.log[1:9] == [
        f"+ g/{ONE}/images/plan.svg",
        f"+ g/{ONE}/calendar.ics",
        f"+ g/{ONE}/worker.js",
        f"+ g/{ONE}/water/stopcock/index.html",
        f"+ g/{ONE}/water/index.html",
        f"+ g/{ONE}/index.html",
        "+ Q/STICKER0000AA/index.html",
        "+ q/sticker0000aa/index.html",
    ]
    watched.log.clear()
    publish(out, second_edition(), shared())
    send(out, watched)
    assert watched.log == [
        f"+ g/{ONE}/heat/pump.png",
        f"+ g/{ONE}/heat/index.html",
        f"+ g/{ONE}/calendar.ics",
        f"+ g/{ONE}/water/index.html",
        f"+ g/{ONE}/index.html",
        f"+ g/{ONE}/worker.js",
        f"- g/{ONE}/water/stopcock/index.html",
    ]


def random_edition(chance: random.Random) -> tuple[dict[tuple[str, str], Files], Files]:
    """Guides whose pages lead to any others of theirs, in circles too, under one of three themes."""
    theme = chance.choice(["0a1b2c3d", "4e5f6071", "8293a4b5"])
    guides = {}
    for reference, code in (("mill-lane/01", ONE), ("mill-lane/02", TWO), ("mill-lane/03", "THIRD00000001")):  # fmt: skip
        names = ["index.html", *chance.sample([f"{each}/index.html" for each in "abcdefgh"], 4)]
        up = {name: "../" * name.count("/") for name in names}
        pages = {
            name: page(*(up[name] + each for each in chance.sample(names, chance.randint(0, 5))), says=str(chance.randint(0, 2)))
            + f'<link href="{up[name]}../../assets/{theme}/theme.css">'.encode()
            for name in names
        }  # fmt: skip
        guides[reference, code] = guide(code, pages, f"STICKER00000{reference[-1]}")
    return guides, shared(theme)


@pytest.mark.parametrize("seed", range(25))
def test_no_link_is_dead_at_any_moment_and_what_is_cut_off_is_healed(seed: int, tmp_path: Path) -> None:  # fmt: skip
    """Editions one after another; every run but the last is killed somewhere, and the next may
    find that the tree was built again meanwhile."""
    chance = random.Random(seed)
    watched = Watched(no_dead_links)
    out = tmp_path / "public"
    publish(out, *random_edition(chance))
    send(out, watched)
    for _ in range(4):
        publish(out, *random_edition(chance))
        watched.killed_at = len(watched.log) + chance.randint(1, 12)
        with suppress(Killed):
            send(out, watched)
        watched.killed_at = None
    looked = len(watched.log)
    publish(out, *random_edition(chance))
    send(out, watched)
    assert looked > 30
    assert watched.files == {**watched.files, **contents(out)}
    for path in set(watched.files) - set(contents(out)):
        assert path.startswith("assets/"), path
    assert send(out, watched).copied == 0


def test_the_kill_of_these_tests_leaves_a_run_half_done(out: Path) -> None:
    watched = Watched()
    watched.killed_at = 7
    with pytest.raises(Killed):
        send(out, watched)
    assert 0 < len(watched.files) < 20
    watched.killed_at = None
    done = send(out, watched)
    assert watched.files == contents(out)
    assert 0 < done.copied < 20
    assert done.copied + done.unchanged == 20


def test_a_run_that_was_cut_off_and_an_edition_that_was_taken_back(out: Path) -> None:
    """A file may have been replaced before the machine was lost: what was there before is not
    believed to be there still."""
    watched = Watched(at_once=1)
    send(out, watched)
    publish(out, second_edition(), shared())
    watched.killed_at = len(watched.log) + 4
    with pytest.raises(Killed):
        send(out, watched)
    watched.killed_at = None
    changed = {path for path, content in watched.files.items() if contents(out).get(path) == content}  # fmt: skip
    assert f"g/{ONE}/calendar.ics" in changed
    publish(out, first_edition(), shared())
    send(out, watched)
    assert watched.files == contents(out)


def small(**pages: bytes) -> dict[tuple[str, str], Files]:
    """One guide of an index and pages in folders by their names."""
    listed = {"index.html": page(*(f"{each}/index.html" for each in pages if each == "a"))}
    listed |= {f"{name}/index.html": content for name, content in pages.items()}
    return {("mill-lane/01", ONE): guide(ONE, listed)}


def test_a_new_page_that_a_lost_run_sent_alone_is_mended_before_any_page_leads_to_it(out: Path) -> None:  # fmt: skip
    watched = Watched(no_dead_links, at_once=1)
    publish(out, small(a=page()), {})
    records_folder(out).joinpath("guides", f"{TWO}.json").unlink()
    send(out, watched)
    publish(out, small(a=page("../x/index.html"), x=page("../y/index.html"), y=page()), {})
    watched.killed_at, watched.killed_before = len(watched.log) + 2, True
    with pytest.raises(Killed):
        send(out, watched)
    watched.killed_at = None
    assert watched.files[f"g/{ONE}/x/index.html"] == page("../y/index.html")
    assert f"g/{ONE}/y/index.html" not in watched.files
    publish(out, small(a=page("../x/index.html"), x=page()), {})
    send(out, watched)
    assert watched.files == contents(out)


def test_a_page_that_lost_what_it_led_to_is_mended_before_any_page_leads_to_it(out: Path) -> None:
    watched = Watched(no_dead_links, at_once=1)
    publish(out, small(a=page("../x/index.html"), b=page(), x=page("../b/index.html")), {})
    records_folder(out).joinpath("guides", f"{TWO}.json").unlink()
    send(out, watched)
    publish(out, small(a=page()), {})
    watched.killed_at, watched.killed_before = len(watched.log) + 3, True
    with pytest.raises(Killed):
        send(out, watched)
    watched.killed_at = None
    assert f"g/{ONE}/b/index.html" not in watched.files
    assert watched.files[f"g/{ONE}/x/index.html"] == page("../b/index.html")
    publish(out, small(a=page("../x/index.html"), x=page()), {})
    send(out, watched)
    assert watched.files == contents(out)


def test_guides_without_a_record_and_stickers_stay(out: Path) -> None:
    """A plot that is no longer built here keeps its pages, and the theme that they were made with."""
    watched = Watched()
    send(out, watched)
    (records_folder(out) / "guides" / f"{TWO}.json").unlink()
    later = second_edition("4e5f6071")
    kept = {path: content for path, content in watched.files.items() if TWO in path or path.startswith(("q/", "Q/", "assets/"))}  # fmt: skip
    alone = {("mill-lane/01", ONE): {path: content for path, content in later["mill-lane/01", ONE].items() if path.startswith("g/")}}  # fmt: skip
    publish(out, alone, shared("4e5f6071"))
    done = send(out, watched)
    assert watched.files == {**kept, **contents(out)}
    assert f"g/{ONE}/water/stopcock/index.html" not in watched.files
    assert done.deleted == 1
    assert dead_links(watched.files) == set()


def test_the_front_page_of_a_guide_stays_whatever_its_record_says(out: Path) -> None:
    watched = Watched()
    send(out, watched)
    publish(out, {("mill-lane/01", ONE): guide(ONE, {"water/index.html": page()})}, shared())
    send(out, watched)
    of_one = {path for path in watched.files if path.startswith(f"g/{ONE}/")}
    assert of_one == {f"g/{ONE}/index.html", f"g/{ONE}/water/index.html"}


def test_a_record_that_cannot_be_read_leaves_its_guide_and_fails(out: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    run(site, "--from", out)
    (records_folder(out) / "guides" / f"{TWO}.json").write_text("{")
    publish(out, {("mill-lane/01", ONE): second_edition()["mill-lane/01", ONE]}, shared())
    result = run(site, "--from", out)
    assert result.exit_code == 1
    assert result.stderr == "The record of 1 guide cannot be read. That guide was left as it was: build again.\n"  # fmt: skip
    assert (site / f"g/{ONE}/heat/index.html").is_file()
    assert (site / f"g/{TWO}/water/stopcock/index.html").is_file()


def test_old_assets_go_when_no_guide_names_them(out: Path) -> None:
    watched = Watched()
    send(out, watched)
    half = second_edition("4e5f6071")
    publish(out, half, shared("4e5f6071"))
    assert send(out, watched).deleted == 1
    assert "assets/0a1b2c3d/theme.css" in watched.files  # of mill-lane/02 still
    both = {key: guide(key[1], {"index.html": front(theme="4e5f6071")}) for key in half}
    publish(out, both, shared("4e5f6071"))
    send(out, watched)
    assert "assets/0a1b2c3d/theme.css" not in watched.files
    assert "assets/4e5f6071/theme.css" in watched.files


def test_assets_that_were_not_sent_from_here_stay(out: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    (site / "assets" / "ours").mkdir(parents=True)
    (site / "assets" / "ours" / "logo.svg").write_bytes(b"<svg/>")
    (site / "shop.html").write_bytes(b"shop")
    (site / f"g/{ONE}").mkdir(parents=True)
    (site / f"g/{ONE}/left-over.html").write_bytes(b"old")
    run(site, "--from", out)
    run(site, "--from", out, "--compare")
    assert set(contents(site)) == {*contents(out), "assets/ours/logo.svg", "shop.html"}


def test_a_destination_never_seen_is_compared(out: Path, tmp_path: Path) -> None:
    """Whoever loses the memory of a destination sends only what differs."""
    site = tmp_path / "site"
    run(site, "--from", out)
    shutil.rmtree(records_folder(out) / "deployed")
    (site / f"g/{ONE}/calendar.ics").write_bytes(b"BEGIN:VCALENDAx")
    told = json.loads(run(site, "--from", out, "--format", "json").output)
    assert (told["copied"], told["unchanged"], told["compared"]) == (1, 19, True)
    assert contents(site) == contents(out)


def test_a_destination_that_was_emptied_is_filled_again(out: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    run(site, "--from", out)
    shutil.rmtree(site)
    told = json.loads(run(site, "--from", out, "--format", "json").output)
    assert (told["copied"], told["compared"]) == (20, True)
    assert contents(site) == contents(out)


def test_what_was_changed_there_by_hand_is_mended_when_asked(out: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    run(site, "--from", out)
    (site / f"g/{ONE}/calendar.ics").write_bytes(b"by hand")
    assert json.loads(run(site, "--from", out, "--format", "json").output)["copied"] == 0
    assert json.loads(run(site, "--from", out, "--compare", "--format", "json").output)["copied"] == 1  # fmt: skip
    assert contents(site) == contents(out)


@pytest.mark.parametrize("damage", ["", "cut off", "handover-deployed 1\nfound ../x\n"])
def test_a_memory_that_cannot_be_read_is_no_memory(out: Path, tmp_path: Path, damage: str) -> None:
    site = tmp_path / "site"
    run(site, "--from", out)
    (memory,) = (records_folder(out) / "deployed").glob("*.txt")
    memory.write_text(damage)
    told = json.loads(run(site, "--from", out, "--format", "json").output)
    assert (told["copied"], told["unchanged"], told["compared"]) == (0, 20, True)


def test_no_list_of_codes_and_no_dotfile_is_sent(out: Path, tmp_path: Path) -> None:
    hidden = {".well/x": b"", f"g/{ONE}/.draft": b""}
    lists = {"old.example/_redirects": b"/g/1 2 301\n", f"old.example/g/{ONE}/index.html": page()}
    records = publish(out, first_edition(), {**shared(), **hidden}, lists)
    run(tmp_path / "site", "--from", out)
    assert set(contents(tmp_path / "site")) == set(contents(out)) - {*hidden}
    assert all(ONE not in text for path, text in _texts(tmp_path / "site") if ONE.lower() not in path.lower() and "sticker" not in path.lower())  # fmt: skip
    assert records.folder.name not in {path.name for path in (tmp_path / "site").iterdir()}


def _texts(root: Path) -> Iterator[tuple[str, str]]:
    for path, content in contents(root).items():
        yield path, content.decode()


def test_an_old_host_gets_pages_that_lead_on(out: Path, tmp_path: Path) -> None:
    lists = {"old.example/_redirects": b"/g/1 2 301\n", f"old.example/g/{ONE}/index.html": page()}
    publish(out, first_edition(), shared(), lists)
    site = tmp_path / "old"
    run(site, "--from", out, "--former-host", "old.example")
    assert set(contents(site)) == {f"g/{ONE}/index.html"}
    run(site, "--from", out, "--former-host", "old.example", "--redirects-file")
    assert set(contents(site)) == {f"g/{ONE}/index.html", "_redirects"}
    wrong = run(site, "--from", out, "--former-host", "odl.example")
    assert wrong.exit_code == 2
    assert wrong.stderr == "Error: Nothing is kept for an old host 'odl.example'. Did you mean 'old.example'?\n"  # fmt: skip


def test_a_tree_that_is_not_as_recorded_is_not_sent(out: Path, tmp_path: Path) -> None:
    (out / f"g/{ONE}/calendar.ics").write_bytes(b"changed")
    (out / f"g/{TWO}/index.html").unlink()
    result = run(tmp_path / "site", "--from", out)
    assert result.exit_code == 1
    assert result.stderr == (
        f"Error: 2 files are missing from '{out}' or not as recorded: of mill-lane/01, mill-lane/02. "
        "Nothing was sent. Build again; 'handover verify' lists the files.\n"
    )
    assert not (tmp_path / "site").exists()


def test_destinations_that_would_publish_the_records_are_refused(out: Path) -> None:
    untold, records = f"'{out}', which is private until it is sent", records_folder(out)
    holding = {
        out.parent: untold, out: untold, records: "the records of a published tree, which are private"
    }  # fmt: skip
    for inside, private in holding.items():
        result = run(inside, "--from", out)
        assert result.exit_code == 2
        assert result.stderr == f"Error: '{inside}' holds {private}. Name another folder.\n"
    result = run(out / "copy", "--from", out)
    assert result.stderr == f"Error: '{out / 'copy'}' lies inside what is to be sent. Name a folder outside '{out}'.\n"  # fmt: skip


def test_an_error_of_the_destination_is_one_message_without_a_code(out: Path, tmp_path: Path) -> None:  # fmt: skip
    site = tmp_path / "site"
    site.mkdir()
    (site / "g").write_bytes(b"a file where a folder must be")
    result = run(site, "--from", out)
    assert result.exit_code == 1
    (line,) = result.stderr.splitlines()
    assert line.startswith(
        tuple(f"Error: 'g/{code}…' cannot be written to '{site}': " for code in ("7K3M", "9QRS"))
    )
    assert line.endswith(". What was sent before is kept: run the same command again to go on.")
    assert ONE not in line
    assert TWO not in line
    (site / "g").unlink()
    assert run(site, "--from", out).exit_code == 0
    assert contents(site) == contents(out)


@pytest.mark.parametrize(
    ("address", "message"),
    [
        ("nosuch://a", "'nosuch://a' cannot be sent to: Protocol not known: nosuch. Write a folder, or an address such as s3://bucket/folder."),
        ("nosuch://me:secret@a/b", "'nosuch://a/b' cannot be sent to: Protocol not known: nosuch. Write a folder, or an address such as s3://bucket/folder."),
    ],
)  # fmt: skip
def test_an_address_of_no_known_kind(out: Path, address: str, message: str) -> None:
    result = run(address, "--from", out)
    assert result.exit_code == 2
    assert result.stderr == f"Error: {message}\n"


def test_without_the_extra_an_address_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "fsspec.core", None)
    with pytest.raises(UsageError, match=r"^'s3://bucket/site' is no folder\. Install what it needs: pip install 'handover-pack-builder\[deploy\]'\.$"):  # fmt: skip
        StoreDestination.at("s3://bucket/site")
    assert FolderDestination(Path("/srv/site")).address == "/srv/site"


def test_a_second_deployment_to_one_place_waits_outside(out: Path) -> None:
    class Nested(Watched):
        def holds(self) -> Mapping[str, Held]:
            with pytest.raises(HandoverError, match=r"^Another deployment to 'watched' is under way\. Wait until it has ended\.$"):  # fmt: skip
                send(out, Watched())
            return super().holds()

    assert send(out, Nested()).copied == 20


def test_a_build_in_the_middle_is_noticed(out: Path) -> None:
    def build(_: Files) -> None:
        publish(out, second_edition(), shared())

    with pytest.raises(HandoverError, match=r"^A file of mill-lane/01 changed while it was sent\. Wait until the build has ended\."):  # fmt: skip
        send(out, Watched(build, at_once=1))


# What fsspec reaches: its own memory, and a store that speaks S3, on this machine.


def test_the_memory_of_fsspec(out: Path) -> None:
    memory = fsspec.filesystem("memory")
    memory.store.clear()
    assert run("memory://site/guides", "--from", out).exit_code == 0
    assert _in_memory(memory) == contents(out)
    publish(out, second_edition(), shared())
    told = json.loads(run("memory://site/guides/", "--from", out, "--format", "json").output)
    assert (told["copied"], told["deleted"], told["unchanged"]) == (6, 1, 15)
    assert _in_memory(memory) == contents(out)
    memory.store.clear()


def _in_memory(memory: Any) -> dict[str, bytes]:
    return {path.removeprefix("/site/guides/"): memory.cat_file(path) for path in memory.find("/site/guides")}  # fmt: skip


@pytest.fixture(scope="module")
def store() -> Iterator[Any]:
    """A store that speaks S3, in this process: boto3's client of it, with an empty bucket."""
    server = ThreadedMotoServer("127.0.0.1", 0, verbose=False)
    server.start()
    host, port = server.get_host_and_port()
    about = {"AWS_ENDPOINT_URL": f"http://{host}:{port}", "AWS_ACCESS_KEY_ID": "drama", "AWS_SECRET_ACCESS_KEY": "drama", "AWS_DEFAULT_REGION": "us-east-1"}  # fmt: skip
    with pytest.MonkeyPatch.context() as patch:
        for name, value in about.items():
            patch.setenv(name, value)
        client = boto3.client("s3")
        client.create_bucket(Bucket="guides")
        yield client
        client.close()
    server.stop()


def test_a_store_that_speaks_s3(out: Path, store: Any) -> None:
    assert run("s3://guides/site", "--from", out).exit_code == 0
    assert _stored(store) == contents(out)
    told = {path: _told(store, path) for path in ("index.html", "calendar.ics", "images/plan.svg", "worker.js")}  # fmt: skip
    assert told == {
        "index.html": ("text/html; charset=utf-8", "max-age=300"),
        "calendar.ics": ("text/calendar; charset=utf-8", "max-age=300"),
        "images/plan.svg": ("image/svg+xml", "max-age=300"),
        "worker.js": ("text/javascript; charset=utf-8", "no-cache"),
    }
    theme = store.head_object(Bucket="guides", Key="site/assets/0a1b2c3d/theme.css")
    assert theme["CacheControl"] == "public, max-age=31536000, immutable"
    publish(out, second_edition(), shared())
    shutil.rmtree(records_folder(out) / "deployed")
    again = json.loads(run("s3://guides/site", "--from", out, "--format", "json").output)
    assert (again["copied"], again["deleted"], again["unchanged"]) == (6, 1, 15)
    assert _stored(store) == contents(out)


def _stored(store: Any) -> dict[str, bytes]:
    listed = store.list_objects_v2(Bucket="guides", Prefix="site/").get("Contents", [])
    return {each["Key"].removeprefix("site/"): store.get_object(Bucket="guides", Key=each["Key"])["Body"].read() for each in listed}  # fmt: skip


def _told(store: Any, path: str) -> tuple[str, str]:
    head = store.head_object(Bucket="guides", Key=f"site/g/{ONE}/{path}")
    return head["ContentType"], head["CacheControl"]


@pytest.mark.usefixtures("store")
def test_a_bucket_that_is_not_there(out: Path) -> None:
    result = run("s3://no-such-bucket/site", "--from", out)
    assert result.exit_code == 1
    assert result.stderr == (
        "Error: 'assets/0a1b2c3d/theme.css' cannot be written to 's3://no-such-bucket/site': "
        "The specified bucket does not exist. "
        "What was sent before is kept: run the same command again to go on.\n"
    )


@pytest.mark.parametrize(
    ("path", "kind", "kept"),
    [
        ("g/A/index.html", "text/html; charset=utf-8", "max-age=300"),
        ("g/A/PHOTO.JPG", "image/jpeg", "max-age=300"),
        ("_headers", "text/plain; charset=utf-8", "max-age=300"),
        ("assets/0a/app.js", "text/javascript; charset=utf-8", "public, max-age=31536000, immutable"),
        ("g/A/assets/app.js", "text/javascript; charset=utf-8", "max-age=300"),
        ("g/A/home.js", "text/javascript; charset=utf-8", "max-age=300"),
        ("g/A/worker.js", "text/javascript; charset=utf-8", "no-cache"),
        ("g/A/odd.xyz", "application/octet-stream", "max-age=300"),
    ],
)  # fmt: skip
def test_how_files_are_served(path: str, kind: str, kept: str) -> None:
    assert media_type(path) == kind
    assert kept_for(path) == kept


def test_the_records_of_a_copied_tree_may_be_named(out: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(out, copy)
    assert run(tmp_path / "site", "--from", copy).exit_code == 2
    assert run(tmp_path / "site", "--from", copy, "--records", Records(out).folder).exit_code == 0
    assert contents(tmp_path / "site") == contents(copy)


# A folder: each guide is exchanged as a whole, whenever a run is stopped.


def guides_of(files: Files) -> dict[str, dict[str, bytes]]:
    """The files of each guide by its code, but for what a stopped run keeps in its workplace."""
    found: dict[str, dict[str, bytes]] = {}
    for path, content in files.items():
        if path.startswith("g/"):
            found.setdefault(path.split("/")[1], {})[path] = content
    return found


def both_again(theme: str) -> dict[tuple[str, str], Files]:
    """A second edition of both guides."""
    files = second_edition(theme)["mill-lane/01", ONE]
    renamed = (("STICKER0000AA", "STICKER0000BB"), ("sticker0000aa", "sticker0000bb"), (ONE, TWO))

    def other(text: str) -> str:
        for before, after in renamed:
            text = text.replace(before, after)
        return text

    second = {other(path): other(each.decode()).encode() for path, each in files.items()}
    return {("mill-lane/01", ONE): files, ("mill-lane/02", TWO): second}


def stopped_at(out: Path, site: Path, act: Callable[[int, bool], None]) -> tuple[int, str]:
    """A run in a process of its own; how it ended, and what it said."""

    def sending() -> str:
        Steps(site, act).listen()
        try:
            send(out, FolderDestination(site))
        except HandoverError as error:
            return str(error)
        return "sent"

    return ended(*forked(sending))


def no_room(count: int, takes_room: bool, since: int) -> None:
    if takes_room and count >= since:
        raise OSError(28, "No space left on device")


@pytest.mark.parametrize("how", ["killed", "without room", "killed, in two renames"])
def test_a_guide_is_of_one_edition_whenever_a_run_is_stopped(
    how: str, out: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped before each step on the disk in turn; the next run makes all of it good."""
    records = records_folder(out)
    old = contents(out)
    run(first := tmp_path / "first", "--from", out)
    kept_records = tmp_path / "kept"
    shutil.copytree(records, kept_records)
    (memory,) = (kept_records / "deployed").glob("*.txt")
    publish(out, both_again("4e5f6071"), shared("4e5f6071"))
    new = contents(out)
    both = [guides_of(old), guides_of(new)]
    assert all(both[0][code] != both[1][code] for code in both[0])
    if "two renames" in how:
        monkeypatch.setattr(exchanging, "at_once", lambda *_: False)
    step, said, seen, site = 0, "", set[tuple[bool, ...]](), tmp_path / "site"
    while said != "sent":
        step += 4
        shutil.rmtree(site, ignore_errors=True)
        shutil.copytree(first, site)
        name = FolderDestination(site).address
        digest = hashlib.sha256(name.encode(), usedforsecurity=False).hexdigest()[:16]
        shutil.copyfile(memory, records / "deployed" / f"{digest}.txt")
        act = partial(no_room, since=step) if how == "without room" else at_step(step, kill_self)
        status, said = stopped_at(out, site, act)
        assert status in (0, -signal.SIGKILL), said
        now = guides_of(contents(site))
        if "two renames" in how:
            with FolderDestination(site).healed():
                now = guides_of(contents(site))
        left = {code: files for code, files in now.items() if files not in (both[0][code], both[1][code])}  # fmt: skip
        for code, files in left.items():
            assert files == {**files, **both[1][code]}, (
                "the new one whole, beside files that go last"
            )
        assert now.keys() == both[0].keys()
        seen.add(tuple(now[code] == {**now[code], **both[1][code]} for code in sorted(now)))
        result = run(site, "--from", out)
        assert result.exit_code == 0, result.output
        assert guides_of(contents(site)) == both[1]
        assert not list(site.glob(".deploying-*"))
    assert {(False, False), (True, True)} <= seen
    assert step > 15
