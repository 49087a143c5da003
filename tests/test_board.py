"""The board: what it says of each plot after a change is what a board that was begun anew says, and only
plots that a change concerns are looked at again."""

import shutil
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path

import pytest

from builder.board.board import Board
from builder.board.live import LiveGuides
from builder.board.standing import Standing
from builder.build.building import publish
from builder.build.report import Target
from builder.errors import Findings
from builder.preparing import prepare
from builder.readiness.assess import assess
from builder.register.issuing import issue_stickers, sticker_days
from builder.register.reading import read_register
from builder.saving.trying import pages_changed
from builder.shipped import file_of, layered
from builder.writers.site.engine import HeldEngine
from builder.writers.site.pages import Pages
from builder.writers.site.sites import Sites

DAY = date(2026, 3, 2)
ONE, TWO = "riverside/01", "riverside/02"
PLOTS = "developments/riverside/plots"
Change = Callable[[Path], None]


def board_of(root: Path) -> Board:
    return Board(root, root / "public", lambda: DAY)


def looked_at(board: Board) -> dict[str, Standing]:
    """Every plot after all that are waiting were looked at."""
    for reference in board.looking().workspace.plots:
        board.plot(reference)
    view = board.view()
    assert view.waiting == 0
    return {each.reference: each for each in view.plots}


def wrote(file: str, text: str) -> Change:
    def change(root: Path) -> None:
        path = root / file
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")

    return change


def put(file: str, before: str, after: str) -> Change:
    def change(root: Path) -> None:
        text = (root / file).read_text(encoding="utf-8")
        assert before in text
        (root / file).write_text(text.replace(before, after), encoding="utf-8")

    return change


def issued(root: Path) -> None:
    preparation = prepare(root, [ONE], DAY)
    issue_stickers(preparation.workspace, preparation.plots.values(), DAY)


def published(root: Path) -> None:
    publish(Target(root, (TWO,), root / "public", DAY))


CHANGES: dict[str, tuple[Change, set[str]]] = {
    "a plot's own file": (wrote(f"{PLOTS}/01.yaml", "serials: {stopcock: S-1}\n"), {ONE}),
    "a plot's own file with a mistake": (wrote(f"{PLOTS}/02.yaml", "serial: {}\n"), {TWO}),
    "a file of no plot": (wrote(f"{PLOTS}/77.yaml", "serials: {}\n"), set()),
    "one row": (put("developments/riverside/plots.csv", "2 Riverside,", "22 Riverside,"), {TWO}),
    "a row with a mistake": (put("developments/riverside/plots.csv", ",opposite,", ",sideways,"), {TWO}),
    "an option": (put("housetypes/options/car-charger.yaml", "Car charger", "Charger for a car"), {TWO}),
    "the house type": (put("housetypes/cottage.yaml", "Kitchen", "Scullery"), {ONE, TWO}),
    "the development": (put("developments/riverside/development.yaml", "name: Riverside", "name: Water Side"), {ONE, TWO}),
    "codes of one plot": (issued, {ONE}),
    "a guide that is published": (published, {TWO}),
}  # fmt: skip


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_is_seen_as_by_a_board_begun_anew(name: str, cottage: Path) -> None:
    change, concerned = CHANGES[name]
    board = board_of(cottage)
    before = looked_at(board)
    change(cottage)
    assert board.view().waiting == len(concerned), "only these are looked at again"
    after = looked_at(board)
    assert after == looked_at(board_of(cottage))
    assert {each for each in after if after[each] != before[each]} <= concerned


SHARED: dict[str, Change] = {
    "an article": wrote("content/articles/stopcock.md", "---\ntitle: The valve\nsummary: Where it is.\nsystem: water\nequipment: [stopcock]\nreviewed: 2026-01-05\n---\nTurn it to the right usually.\n"),
    "the same article again": wrote("content/articles/stopcock.md", "---\ntitle: The stop valve\nsummary: Where it is.\nsystem: water\nequipment: [stopcock]\nreviewed: 2026-01-05\n---\nTurn it.\n"),
    "the standard": put("housetypes/standard.yaml", "name: ", "name: New "),
    "a symptom": wrote("content/symptoms/own.yaml", "symptoms: {no-such: null}\n"),
    "words of demonstrations": wrote("content/demonstration/own.yaml", "kinds: {no-such: {show: It., say: It., basis: common practice}}\n"),
    "a language": wrote("content/languages/zz/x.po", ""),
}  # fmt: skip


def test_what_plots_share_is_seen_as_by_a_board_begun_anew(cottage: Path) -> None:
    """One change after the other, with all that was worked out before at hand."""
    board = board_of(cottage)
    looked_at(board)
    for name, change in SHARED.items():
        change(cottage)
        anew = board_of(cottage)
        for reference in (ONE, TWO):
            now, then = board.plot(reference), anew.plot(reference)
            assert now.findings == then.findings, name
            assert now.guide == then.guide, name
        assert set(board.looking().read) == set(anew.looking().read), name
        assert set(board.looking().shared) == set(anew.looking().shared), name


def test_changes_one_after_the_other_are_all_seen(cottage: Path) -> None:
    board = board_of(cottage)
    looked_at(board)
    for name in ("one row", "a plot's own file", "codes of one plot", "an option", "a guide that is published", "the house type"):  # fmt: skip
        CHANGES[name][0](cottage)
        assert looked_at(board) == looked_at(board_of(cottage)), name


def test_a_plot_that_comes_and_goes(cottage: Path) -> None:
    board = board_of(cottage)
    looked_at(board)
    table = cottage / "developments/riverside/plots.csv"
    text = table.read_text(encoding="utf-8")
    table.write_text(text + "03,3 Riverside,ZZ99 9ZZ,cottage,as-drawn,,\n", encoding="utf-8")
    assert looked_at(board) == looked_at(board_of(cottage))
    assert "riverside/03" in looked_at(board)
    table.write_text(text, encoding="utf-8")
    assert set(looked_at(board)) == {ONE, TWO}


def test_another_day_looks_at_all_again(cottage: Path) -> None:
    today = [DAY]
    board = Board(cottage, cottage / "public", lambda: today[0])
    looked_at(board)
    today[0] = date(2026, 3, 3)
    assert board.view().waiting == 2


def test_the_board_says_of_each_plot_what_the_command_says(cottage: Path) -> None:
    issued(cottage)
    preparation = prepare(cottage, (), DAY)
    register = read_register(preparation.workspace.folder, "riverside", Findings())
    days = {name: sticker_days(each, register) for name, each in preparation.homes.items()}
    told = {each.plot: each for each in assess(preparation, days, DAY)}
    assert {name: each.readiness for name, each in looked_at(board_of(cottage)).items()} == told


def test_a_trial_writes_nothing_and_is_forgotten(cottage: Path) -> None:
    board = board_of(cottage)
    before = looked_at(board)
    then = board.trial(ONE, {f"{PLOTS}/01.yaml": b"serial: {}\n"})
    assert any("'serial' is not known here." in each.wrong for each in then.findings)
    assert not then.sound
    assert board.plot(ONE).sound
    assert not (cottage / f"{PLOTS}/01.yaml").exists()
    assert looked_at(board) == before


OF_FILES = {
    name: change
    for name, (change, _) in CHANGES.items()
    if name not in ("codes of one plot", "a guide that is published")
}
"""Those of them that are a text in place of another."""


@pytest.mark.parametrize("name", [*OF_FILES, *SHARED])
def test_a_trial_says_what_a_board_begun_anew_says(
    name: str, cottage: Path, tmp_path: Path
) -> None:
    """However little of the workspace is read again for it, and with a mistake in another file."""
    wrote(f"{PLOTS}/78.yaml", "serial: {}\n")(cottage)
    changed = tmp_path / "changed"
    shutil.copytree(cottage, changed)
    {**OF_FILES, **SHARED}[name](changed)
    files = {each.relative_to(changed).as_posix(): each.read_bytes() for each in changed.rglob("*") if each.is_file()}  # fmt: skip
    instead = {file: text for file, text in files.items() if not (cottage / file).is_file() or (cottage / file).read_bytes() != text}  # fmt: skip
    board, anew = board_of(cottage), board_of(changed)
    looked_at(board)
    for reference in (ONE, TWO):
        then, now = board.trial(reference, instead), anew.plot(reference)
        assert set(then.findings) == set(now.findings)
        assert (then.guide, then.sound) == (now.guide, now.sound)


def test_the_pages_that_a_trial_names_are_those_whose_bytes_differ(cottage: Path) -> None:
    board, live = board_of(cottage), LiveGuides(cottage)
    table = (cottage / "developments/riverside/plots.csv").read_text(encoding="utf-8")
    with_charger = {"developments/riverside/plots.csv": table.replace("as-drawn,,", "as-drawn,car-charger,").encode()}  # fmt: skip
    other_place = {f"{PLOTS}/01.yaml": b"departures:\n  moved:\n    note: A drain was there.\n    date: 2026-01-05\n    changes: {equipment: {stopcock: {place: under the stairs}}}\n"}  # fmt: skip
    one_more = {f"{PLOTS}/01.yaml": b"departures:\n  more:\n    note: The owner asked.\n    date: 2026-01-05\n    changes: {equipment: {more: {kind: smoke-alarm, room: kitchen, place: over the door, at: [1.0, 1.0]}}}\n"}  # fmt: skip
    for instead in (with_charger, other_place, one_more):
        now, then = board.plot(ONE).guide, board.trial(ONE, instead).guide
        assert now is not None
        assert then is not None, board.trial(ONE, instead).findings
        before, after = ({page.id: live.file(each, f"{page.path}/index.html".lstrip("/"), board.templates) for page in each.pages} for each in (now, then))  # fmt: skip
        differ = {each for each in before.keys() | after.keys() if before.get(each) != after.get(each)}  # fmt: skip
        assert {each.page for each in pages_changed(now, then)} == differ
        assert 0 < len(differ) < len(after)


def test_one_look_at_the_files_lasts_for_a_page_and_no_longer(cottage: Path) -> None:
    board = board_of(cottage)
    before = looked_at(board)
    with board.one_look():
        board.looking()
        CHANGES["one row"][0](cottage)
        assert looked_at(board) == before
        with ThreadPoolExecutor(1) as another:
            seen = another.submit(looked_at, board).result()
        assert seen != before
        assert looked_at(board) == seen, "what was seen elsewhere is never put back"
    assert looked_at(board) == looked_at(board_of(cottage))


def test_the_background_looks_at_all(cottage: Path) -> None:
    board = board_of(cottage)
    board.look_on()
    for _ in range(600):
        if board.view().waiting == 0:
            break
        board._stop.wait(0.1)
    board.close()
    assert board.view().waiting == 0


def test_a_page_that_is_looked_at_alone_is_as_a_build_makes_it(cottage: Path) -> None:
    board, live = board_of(cottage), LiveGuides(cottage)
    guide = board.plot(TWO).guide
    assert guide is not None
    sites = Sites(cottage, HeldEngine(cottage), Pages(layered(cottage, "site_templates/pages")))
    built = sites.finished(sites.opened(guide, None), guide, "0000000000000").files
    of_scripts = {"find/words.json", "worker.js"}
    alone = {name: live.file(guide, name, board.templates) for name in built}
    assert {name for name in built if alone[name] != built[name]} == of_scripts
    assert live.file(guide, "no-such-page/index.html", board.templates) is None


def test_who_corrects_an_article_that_ships_need_not_take_out_what_it_names(cottage: Path) -> None:
    (cottage / "content/library.yaml").unlink()
    ships = next(each for each in board_of(cottage).looking().workspace.articles.values() if each.article.id == "bleeding-a-radiator")  # fmt: skip
    file = cottage / "content/articles/bleeding-a-radiator.md"
    text = file_of(cottage, ships.article.file).read_text(encoding="utf-8")
    assert "filling-loop" in text, "a kind that the cottage has not"
    file.write_text(text, encoding="utf-8")
    found = board_of(cottage).looking().shared
    assert [each for each in found if "filling-loop" in each.wrong] == []
    named = text.replace("system: heating\n", "system: heating\nmentions: [warming-drawer]\n")
    file.write_text(named, encoding="utf-8")
    found = board_of(cottage).looking().shared
    assert "There is no kind 'warming-drawer'." in {each.wrong for each in found}
