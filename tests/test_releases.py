"""Releases: what a publishing replaced stands again after one act, and every code still leads on."""

import re
import shutil
from collections.abc import Callable
from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest

from builder.build.building import publish
from builder.build.manifest import Records, records_folder
from builder.build.releases import KEPT, Keeping, releases
from builder.build.report import Target
from builder.build.taking_back import take_back
from builder.deploy.verifying import verify
from builder.errors import HandoverError
from builder.preparing import prepare
from builder.register.issuing import issue_stickers

DAY = date(2026, 3, 2)


def published(root: Path, *plots: str) -> None:
    out = root / "public"
    publish(Target(root, plots, out, DAY), keeping=Keeping(out, f"2026-03-02 {len(releases(out)):02}", "sales"))  # fmt: skip


def issued(root: Path) -> None:
    preparation = prepare(root, (), DAY)
    issue_stickers(preparation.workspace, preparation.plots.values(), DAY)


def changed(root: Path, before: str, after: str, file: str = "housetypes/cottage.yaml") -> None:
    path = root / file
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after), encoding="utf-8")


def contents(out: Path) -> dict[str, bytes]:
    """Every page of the tree."""
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in sorted(out.rglob("*.html"))}  # fmt: skip


def dead_links(out: Path) -> list[str]:
    """Links of sticker pages to guides' pages that are not there."""
    found = []
    for page in sorted(out.glob("[Qq]/*/index.html")):
        for link in re.findall(r'href="(\.\./\.\./g/[^"#]*)', page.read_text(encoding="utf-8")):
            target = (page.parent / link).resolve()
            if not (target / "index.html").is_file() and not target.is_file():
                found.append(f"{page.parent.name}: {link}")
    return found


def test_a_release_is_taken_back_in_one_act(cottage: Path) -> None:
    out = cottage / "public"
    issued(cottage)
    published(cottage)
    first = contents(out)
    changed(cottage, "Kitchen", "Scullery")
    published(cottage)
    assert contents(out) != first
    latest = releases(out)[0]
    assert latest.replaced == ("riverside/01", "riverside/02")
    assert latest.by == "sales"
    done: list[str] = []
    take_back(out, latest.number, done.append)
    assert contents(out) == first
    assert sorted(done) == ["riverside/01", "riverside/02"]
    assert not verify(out).problems
    assert [each.number for each in releases(out)] == ["000001"]


def test_the_data_brings_a_release_forward_again(cottage: Path) -> None:
    out = cottage / "public"
    published(cottage)
    changed(cottage, "Kitchen", "Scullery")
    published(cottage)
    second = contents(out)
    take_back(out, releases(out)[0].number)
    published(cottage)
    assert contents(out) == second
    assert not verify(out).problems


def test_a_guide_that_was_new_stays(cottage: Path) -> None:
    out = cottage / "public"
    published(cottage, "riverside/01")
    changed(cottage, "Kitchen", "Scullery")
    published(cottage)
    latest = releases(out)[0]
    assert (latest.replaced, latest.new) == (("riverside/01",), ("riverside/02",))
    codes = set(Records(out).codes())
    take_back(out, latest.number)
    assert {path.name for path in (out / "g").iterdir()} == codes
    assert not verify(out).problems


def test_stickers_issued_since_lead_on_to_a_guide_that_has_not_their_page(cottage: Path) -> None:
    out = cottage / "public"
    published(cottage, "riverside/01")
    table = "developments/riverside/plots.csv"
    changed(cottage, "cottage,as-drawn,,", "cottage,as-drawn,car-charger,", table)
    issued(cottage)
    published(cottage, "riverside/01")
    codes = {path.name for path in (out / "Q").iterdir()}
    assert codes
    take_back(out, releases(out)[0].number)
    assert {path.name for path in (out / "Q").iterdir()} == codes
    assert dead_links(out) == []
    assert not verify(out).problems


def test_only_the_last_release_is_taken_back(cottage: Path) -> None:
    out = cottage / "public"
    published(cottage)
    changed(cottage, "Kitchen", "Scullery")
    published(cottage)
    with pytest.raises(HandoverError, match="Take the later release back first"):
        take_back(out, "000001")
    with pytest.raises(HandoverError, match="not kept any more"):
        take_back(out, "000009")


def test_a_publishing_that_changes_nothing_is_no_release(cottage: Path) -> None:
    published(cottage)
    published(cottage)
    assert len(releases(cottage / "public")) == 1


def test_a_few_releases_are_kept(cottage: Path) -> None:
    names = ["Kitchen", *(f"Kitchen {n}" for n in range(KEPT + 2))]
    published(cottage, "riverside/01")
    for before, after in pairwise(names):
        changed(cottage, f"name: {before}", f"name: {after}")
        published(cottage, "riverside/01")
    assert len(releases(cottage / "public")) == KEPT
    assert (records_folder(cottage / "public") / "releases").stat().st_mode & 0o077 == 0


def the_guide(release: Path) -> Path:
    return next(iter(sorted(release.glob("*/g"))))


def cut(path: Path) -> None:
    content = path.read_bytes()
    path.unlink()
    path.write_bytes(content[:40])


def lead(path: Path, to: str) -> None:
    shutil.rmtree(path)
    path.symlink_to(to)


DAMAGES: dict[str, tuple[Callable[[Path], object], str]] = {
    "a page cut off": (lambda kept: cut(the_guide(kept) / "index.html"), "'g/index.html' is another"),
    "a page gone": (lambda kept: (the_guide(kept) / "index.html").unlink(), "'g/index.html' is gone"),
    "a page added": (lambda kept: (the_guide(kept) / "x.html").write_text("<script>"), "'g/x.html' was added"),
    "a guide gone": (lambda kept: shutil.rmtree(the_guide(kept)), "the guide of 'riverside/0"),
    "a guide that is a link": (lambda kept: lead(the_guide(kept), "/etc"), " is a link"),
    "a record gone": (lambda kept: (the_guide(kept).parent / "record.json").unlink(), "is gone or cannot be read"),
    "all of a plot gone": (lambda kept: shutil.rmtree(the_guide(kept).parent), "is gone or cannot be read"),
    "a sticker gone": (lambda kept: next(kept.glob("*/Q/*/index.html")).unlink(), "/index.html' is gone"),
    "a sticker cut off": (lambda kept: cut(next(kept.glob("*/Q/*/index.html"))), "/index.html' is another"),
    "what hosts are told": (lambda kept: cut(kept / "_headers"), "'_headers' is another"),
}  # fmt: skip


def test_nothing_of_a_damaged_release_is_published_again(cottage: Path, tmp_path: Path) -> None:
    issued(cottage)
    published(cottage)
    changed(cottage, "Kitchen", "Scullery")
    published(cottage)
    for damage, (harm, told) in DAMAGES.items():
        out = Path(shutil.copytree(cottage, tmp_path / damage)) / "public"
        harm(records_folder(out) / "releases" / "000002")
        now = contents(out)
        with pytest.raises(HandoverError, match="Nothing was taken back") as refused:
            take_back(out, "000002")
        assert told in str(refused.value), damage
        assert contents(out) == now
        assert not verify(out).problems
    about = records_folder(out) / "releases" / "000002" / "release.json"
    about.write_text("[" * 90_000, encoding="utf-8")
    assert releases(out) == (), "below one that cannot be read, none is taken back"


def test_a_take_back_that_was_stopped_is_finished(
    cottage: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The guide was exchanged, and its record was not written yet."""
    out = cottage / "public"
    issued(cottage)
    published(cottage)
    first = contents(out)
    changed(cottage, "Kitchen", "Scullery")
    published(cottage)
    with monkeypatch.context() as stopped:
        stopped.setattr(Records, "write", lambda *_: (_ for _ in ()).throw(KeyboardInterrupt))
        with pytest.raises(KeyboardInterrupt):
            take_back(out, "000002")
    take_back(out, "000002")
    assert contents(out) == first
    assert not verify(out).problems
