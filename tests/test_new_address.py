"""A stolen or unwanted address of a guide is replaced: stickers lead to the new one, the old one is dead."""

from pathlib import Path

import pytest

from tests.broken_workspaces import run

PLOT = "riverside/02"


def said(*arguments: str | Path, code: int = 0) -> str:
    done = run(*map(str, arguments))
    assert done.exit_code == code, done.output
    return done.output


def built(workspace: Path, out: Path) -> str:
    return said("build", "--workspace", workspace, "--out", out, "--date", "2026-11-28")


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


@pytest.fixture
def published(cottage: Path, tmp_path: Path) -> Path:
    """The cottage's guides with their stickers, built and deployed into a folder."""
    out = tmp_path / "public"
    built(cottage, out)
    said("stickers", "issue", "--workspace", cottage, PLOT)
    built(cottage, out)
    said("deploy", tmp_path / "host", "--from", out)
    return out


def code_of(published: Path) -> str:
    """The code of the only guide with a wall charger."""
    return next(
        path.name
        for path in (published / "g").iterdir()
        if (path / "equipment" / "car-charger").exists()
    )


def test_stickers_lead_to_the_new_address_and_the_old_one_leads_nowhere(
    cottage: Path, published: Path, tmp_path: Path
) -> None:
    old, host = code_of(published), tmp_path / "host"
    stickers = {path.parent.name for path in (published / "Q").glob("*/index.html")}
    told = said("new", "address", PLOT, "--workspace", cottage, "--date", "2026-11-29")
    built(cottage, published)
    new = code_of(published)
    assert told == (
        f"riverside/02 has a new address, /g/{new}/.\n"
        "Build the plot and deploy: from then on its stickers lead there, and the old address leads "
        "nowhere. Run: handover build riverside/02\n"
    )
    assert new != old
    said("verify", published)
    said("deploy", host, "--from", published)
    for tree in (published, host):
        assert sorted(files(tree / "g" / old)) == ["index.html", "worker.js"]
        page = (tree / "g" / old / "index.html").read_text(encoding="utf-8")
        assert "This address is no longer used" in page
        assert "Scan a sticker in the home: it leads to the guide." in page
        assert "<a href" not in page.replace('<a href="tel:999">', "")
        assert f"guide {old} " in (tree / "g" / old / "worker.js").read_text(encoding="utf-8")
        pages = {path.parent.name: path.read_text(encoding="utf-8") for path in (tree / "Q").glob("*/index.html")}  # fmt: skip
        assert set(pages) == stickers
        assert not [text for text in pages.values() if old in text]
        assert any(f"/g/{new}/" in text for text in pages.values())
        assert (tree / "g" / new / "index.html").is_file()


def test_the_old_address_stays_dead_and_nothing_is_built_again(
    cottage: Path, published: Path
) -> None:
    old = code_of(published)
    said("new", "address", PLOT, "--workspace", cottage, "--date", "2026-11-29")
    built(cottage, published)
    before = files(published)
    assert built(cottage, published).endswith("0 guides published.\n2 guides up to date.\n")
    assert files(published) == before
    assert "2 guides published." in said("build", "--afresh", "--workspace", cottage, "--out", published, "--date", "2026-11-28")  # fmt: skip
    assert sorted(files(published / "g" / old)) == ["index.html", "worker.js"]


def test_until_the_new_one_is_published_the_old_one_stands(cottage: Path, published: Path) -> None:
    """A plot with a mistake is left as it was: its owner is not left without a guide."""
    old = code_of(published)
    said("new", "address", PLOT, "--workspace", cottage, "--date", "2026-11-29")
    path = cottage / "developments" / "riverside" / "plots" / "02.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("room: hall", "room: nowhere"))
    run("build", "--workspace", str(cottage), "--out", str(published), "--date", "2026-11-28")
    assert (published / "g" / old / "emergency" / "index.html").is_file()


def test_every_earlier_address_stays_in_the_register(cottage: Path, published: Path) -> None:
    codes = [code_of(published)]
    for day in ("2026-11-29", "2026-11-30"):
        said("new", "address", PLOT, "--workspace", cottage, "--date", day)
        built(cottage, published)
        codes.append(code_of(published))
    assert len(set(codes)) == 3
    register = (cottage / "developments" / "riverside" / "register.csv").read_text(encoding="utf-8")
    for code in codes[:2]:
        assert register.count(code) == 2, "issued, and taken back"
        assert sorted(files(published / "g" / code)) == ["index.html", "worker.js"]


def test_what_has_no_address_cannot_get_another(cottage: Path) -> None:
    assert said("new", "address", PLOT, "--workspace", cottage, code=1) == (
        "Error: The guide of 'riverside/02' has no address yet. Build it first.\n"
    )
    assert said("new", "address", "riverside", "--workspace", cottage, code=2) == (
        "Error: 'riverside' is no single plot. Name one: <development>/<plot>.\n"
    )
