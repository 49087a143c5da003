"""A code leads to one home, at an address that is served: a folder that was copied, hosts that were left,
two plots that became one, a development that is gone, codes that only a host knows."""

import shutil
from pathlib import Path

import pytest

from builder.build.manifest import Records
from builder.deploy.verifying import verify
from tests.broken_workspaces import run

RIVERSIDE = "developments/riverside"
HOST = "https://guides.example"
REAL = "https://guides.riverside.internal"


def said(workspace: Path, *arguments: str, code: int = 0) -> str:
    done = run(*arguments, "--workspace", str(workspace), "--date", "2026-03-02")
    assert done.exit_code == code, done.output
    return done.output


def built(workspace: Path, code: int = 0) -> str:
    return said(workspace, "build", "--out", str(workspace / "public"), code=code)


def changed(path: Path, before: str, after: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after), encoding="utf-8")


@pytest.fixture
def published(cottage: Path) -> Path:
    """The cottage's workspace, with its stickers issued and its guides published."""
    said(cottage, "stickers", "issue")
    built(cottage)
    return cottage


def test_a_development_that_was_copied_with_its_codes_is_found(published: Path) -> None:
    codes = len((published / RIVERSIDE / "register.csv").read_text().splitlines()) - 1
    copy, kept = published / "developments" / "lakeside", published / "kept"
    shutil.copytree(published / RIVERSIDE, copy)
    both = (
        f"{RIVERSIDE}/register.csv:1:1: error register.shared\n"
        f"  {codes} codes of 'lakeside' stand here too: one folder was copied from the other, and a code leads to one home.\n"
        "  Delete register.csv and register.seal in the folder that is the copy: its homes get codes of their own.\n"
    )
    assert both in said(published, "check", code=1)
    assert both in built(published, code=1)
    assert "register.shared" in said(published, "stickers", "issue", code=1)
    code = (published / RIVERSIDE / "register.csv").read_text().splitlines()[-1].split(",")[0]
    assert "register.shared" in said(published, "stickers", "void", code, code=1)
    kept.mkdir()
    for name in ("register.csv", "register.seal"):
        shutil.move(published / RIVERSIDE / name, kept / name)
    assert (
        f"{RIVERSIDE}/register.csv:1:1: error register.lost\n"
        f"  {codes} codes that were published are not in this register: of 'riverside/01', 'riverside/02'.\n"
    ) in built(published, code=1)
    for name in ("register.csv", "register.seal"):
        shutil.move(kept / name, published / RIVERSIDE / name)
        (copy / name).unlink()
    assert "2 guides published" in built(published)
    issued = said(published, "stickers", "issue")
    assert f"{codes - 2} new codes issued." in issued


def test_a_copy_that_is_told_by_having_no_codes_of_its_own(published: Path) -> None:
    copy = published / "developments" / "lakeside"
    shutil.copytree(published / RIVERSIDE, copy)
    void = (published / RIVERSIDE / "register.csv").read_text().splitlines()[2].split(",")[0]
    for name in ("register.csv", "register.seal"):
        (copy / name).rename(copy / f"{name}.away")
    said(published, "stickers", "void", void)
    said(published, "stickers", "issue", "riverside")
    for name in ("register.csv", "register.seal"):
        (copy / f"{name}.away").rename(copy / name)
    assert ("developments/lakeside/register.csv:1:1: error register.shared\n") in said(
        published, "check", code=1
    )
    assert "Delete register.csv and register.seal in developments/lakeside: its homes get codes of their own." in said(published, "check", code=1)  # fmt: skip


def test_a_development_that_is_gone_is_missed(published: Path) -> None:
    shutil.copytree(published / RIVERSIDE, published / "developments" / "lakeside")
    for name in ("register.csv", "register.seal"):
        (published / "developments" / "lakeside" / name).unlink()
    shutil.rmtree(published / RIVERSIDE)
    told = built(published, code=1)
    assert f"{RIVERSIDE}/register.csv:1:1: error register.lost\n" in told
    assert "  The folder of this development is gone, and " in told
    assert "codes that were published are in no register: of 'riverside/01', 'riverside/02'.\n" in told  # fmt: skip
    assert (
        "  Put the folder back, from the history of the project: stickers live for years after the last home is sold. "
        "Where none of them was ever given to anybody, delete 'public' and '.public.records' instead.\n"
    ) in told
    shutil.rmtree(published / "public")
    shutil.rmtree(published / ".public.records")
    assert "2 guides published" in built(published)


def test_a_development_that_is_renamed_keeps_its_addresses(published: Path) -> None:
    before = set(Records(published / "public").codes())
    (published / RIVERSIDE).rename(published / "developments" / "riverbank")
    built(published)
    assert set(Records(published / "public").codes()) == before


def test_a_host_that_was_left_is_to_lead_on(cottage: Path) -> None:
    about = cottage / RIVERSIDE / "development.yaml"
    changed(about, HOST, REAL)
    built(cottage)
    assert Records(cottage / "public").hosts() == {"riverside": ("guides.riverside.internal",)}
    changed(about, REAL, "https://homes.riverside.internal")
    left = (
        "error development.left-host at development.base_url\n"
        "  Guides and stickers were published for 'guides.riverside.internal', and from here on nothing leads there.\n"
        "  Name it, former_base_urls: [https://guides.riverside.internal], and send it what leads on: "
        "handover deploy --former-host guides.riverside.internal DEST\n"
    )
    assert left in said(cottage, "check", code=1)
    assert left in built(cottage, code=1)
    changed(about, "https://homes.riverside.internal", f"https://homes.riverside.internal\n  former_base_urls: [{REAL}]")  # fmt: skip
    built(cottage)
    redirects = cottage / ".public.records" / "redirects" / "guides.riverside.internal"
    assert len(list(redirects.glob("g/*/index.html"))) == 2
    changed(about, f"\n  former_base_urls: [{REAL}]", "")
    assert left in said(cottage, "check", code=1)


@pytest.mark.parametrize("host", [HOST, "https://guides.test", "https://127.0.0.1"])
def test_a_host_that_no_reader_reaches_is_left_freely(host: str, cottage: Path) -> None:
    about = cottage / RIVERSIDE / "development.yaml"
    changed(about, HOST, host)
    built(cottage)
    changed(about, host, REAL)
    assert "left-host" not in said(cottage, "check")


def test_a_host_of_today_is_no_former_one(cottage: Path) -> None:
    about = cottage / RIVERSIDE / "development.yaml"
    changed(about, HOST, f"{REAL}\n  former_base_urls: [{REAL}/]")
    assert (
        "error development.not-left at development.former_base_urls\n"
        "  Guides are served from 'guides.riverside.internal' today: it is no former address, and pages that lead on would lead to themselves.\n"
        "  Take it out of former_base_urls.\n"
    ) in said(cottage, "check", code=1)


def test_two_plots_that_became_one_home_have_one_guide(published: Path, tmp_path: Path) -> None:
    """The address of the one that is gone leads on, and its stickers lead to what is there."""
    out, host = published / "public", tmp_path / "host"
    assert run("deploy", str(host), "--from", str(out)).exit_code == 0
    before = {each.reference: each.code for each in Records(out).all()}
    changed(published / RIVERSIDE / "plots.csv", "\n02,", "\n02x,")
    table = (published / RIVERSIDE / "plots.csv").read_text().splitlines(keepends=True)
    (published / RIVERSIDE / "plots.csv").write_text("".join(each for each in table if not each.startswith("02x,")))  # fmt: skip
    (published / RIVERSIDE / "plots" / "02.yaml").unlink()
    own = published / RIVERSIDE / "plots" / "01.yaml"
    own.write_text(f"{own.read_text() if own.exists() else ''}\nformerly: ['02']\n", encoding="utf-8")  # fmt: skip
    built(published)
    assert not verify(out).problems
    assert run("deploy", str(host), "--from", str(out)).exit_code == 0
    for tree in (out, host):
        gone = tree / "g" / before["riverside/02"]
        assert sorted(each.name for each in gone.rglob("*")) == ["index.html", "worker.js"]
        page = (gone / "index.html").read_text(encoding="utf-8")
        assert f'<a href="../{before["riverside/01"]}/">Go to the new page</a>' in page
        assert not [
            each for each in tree.glob("[Qq]/*/index.html")
            if before["riverside/02"] in each.read_text(encoding="utf-8")
        ]  # fmt: skip
    assert "2 guides" not in built(published)


def test_codes_that_only_a_host_knows_are_told(published: Path, tmp_path: Path) -> None:
    """The register and the tree were lost together, and the workspace began anew."""
    out, host = published / "public", tmp_path / "host"
    first = run("deploy", str(host), "--from", str(out))
    assert "Standing there besides" not in first.output
    stickers = len(list((out / "Q").iterdir()))
    for each in (out, published / ".public.records"):
        shutil.rmtree(each)
    for name in ("register.csv", "register.seal"):
        (published / RIVERSIDE / name).unlink()
    built(published)
    for _ in range(2):
        told = run("deploy", str(host), "--from", str(out))
        assert told.exit_code == 0
        assert (
            f"Standing there besides: 2 guides and {stickers} sticker pages that no record of this tree names. "
            "They stay as they are, and nobody brings them up to date. Where no other workspace sends there, "
            "a register was lost or put back from an old copy: put it back as it was last.\n"
        ) in told.output
