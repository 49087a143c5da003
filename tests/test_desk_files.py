"""Rooms of the desk over the files: history, find and recall, articles, and stickers on site."""

import csv
import io
import json
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from tempfile import gettempdir
from typing import Any

import pypdfium2
import pytest
from bs4 import BeautifulSoup
from httpx import Client, Response
from PIL import Image, ImageDraw

from builder.craft.symbols import web_symbol
from builder.desk.accounts import ROLES, Role
from builder.desk.asked import Who
from builder.desk.desk import Desk
from builder.desk.rooms import spreadsheet
from builder.desk.rooms.history import may_change
from builder.errors import UsageError
from builder.importers.spreadsheets.plots import plots_from
from builder.register.on_site import code_in
from builder.saving.changes import Cells, Save, Whole
from builder.saving.store import JournalEntry
from builder.writers.letters import check_text, filled
from tests.broken_workspaces import run
from tests.conftest import PROJECT
from tests.desk.desks import COTTAGE, DAY, browsing, copy_of, desk_of, ended, form_at, said
from tests.test_models import called
from tests.written_models import Style, read_house_type, write_model

TABLE = "developments/riverside/plots.csv"
PLOT = "developments/riverside/plots/02.yaml"
ARTICLE = "content/articles/water-off.md"
ON_SITE = "/on-site/riverside/02"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return copy_of(COTTAGE, tmp_path)


@contextmanager
def at_desk(root: Path) -> Iterator[tuple[Desk, Client]]:
    """A desk that has looked at every plot."""
    desk = desk_of(root)
    for reference in desk.board.looking().workspace.plots:
        desk.board.plot(reference)
    with browsing(desk) as client:
        client.cookies.set("desk-role", "technical")
        yield desk, client


def saved(desk: Desk, file: str, *changes: Any, reason: str = "Because") -> None:
    digest = desk.saves.opened(file).digest
    save = Save("sales", reason, {file: changes}, {file: digest})
    assert not isinstance(desk.saves.save(save, desk.setting.now()), tuple)


def handover(root: Path, *arguments: str) -> str:
    return run(*arguments, "--workspace", str(root)).output


def words(html: str) -> str:
    return BeautifulSoup(html, "html.parser").get_text(" ", strip=True)


# History


def test_history_tells_who_saved_what_and_takes_it_back(root: Path) -> None:
    before = (root / TABLE).read_bytes()
    with at_desk(root) as (desk, client):
        saved(desk, TABLE, Cells("02", {"completion": "2026-05-01"}), reason="The buyer asked")
        listed = client.get("/history").text
        assert "The buyer asked" in listed
        assert "2 March 2026, 09:30" in listed
        link = BeautifulSoup(listed, "html.parser").find("a", string="The buyer asked")
        page = client.get(link["href"]).text
        assert "+ put in" in words(page)
        assert "2026-05-01" in words(page)
        assert "from line 1" in words(page)
        back = client.post(link["href"], data={"reason": "A slip"})
        assert (back.status_code, (root / TABLE).read_bytes()) == (303, before)
        assert "Taken back" in said(client.get(back.headers["location"]).text)
        assert [each.reason for each in desk.saves.history(TABLE)] == ["A slip", "The buyer asked"]


def test_taking_back_what_somebody_changed_since_shows_both_and_writes_nothing(root: Path) -> None:
    with at_desk(root) as (desk, client):
        saved(desk, TABLE, Cells("02", {"completion": "2026-05-01"}))
        entry = desk.saves.history()[0]
        saved(desk, TABLE, Cells("02", {"completion": "2026-06-01"}))
        now = (root / TABLE).read_bytes()
        answer = client.post(f"/history/{entry.id}")
        assert answer.status_code == 409
        assert "Somebody else has changed the same since" in said(answer.text)
        assert (root / TABLE).read_bytes() == now


def test_what_a_check_would_refuse_is_taken_back_only_even_so(root: Path) -> None:
    with at_desk(root) as (desk, client):
        text = (root / ARTICLE).read_text()
        broken = text.replace("Call {{", "Normally call {{")
        (root / ARTICLE).write_text(broken)
        saved(desk, ARTICLE, Whole(text), reason="Mended")
        entry = desk.saves.history(ARTICLE)[0]
        answer = client.post(f"/history/{entry.id}")
        assert answer.status_code == 409
        assert "'Normally' leaves the reader to find out" in said(answer.text)
        assert (root / ARTICLE).read_text() == text
        assert client.post(f"/history/{entry.id}", data={"even-so": "yes"}).status_code == 303
        assert (root / ARTICLE).read_text() == broken


def test_a_role_takes_back_only_what_it_may_change(root: Path) -> None:
    with at_desk(root) as (desk, client):
        saved(desk, TABLE, Cells("02", {"completion": "2026-05-01"}))
        entry, now = desk.saves.history()[0], (root / TABLE).read_bytes()
        client.cookies.set("desk-role", "editor")
        desk.saves.opened(ARTICLE)
        saved(desk, "housetypes/options/car-charger.yaml", Whole((root / "housetypes/options/car-charger.yaml").read_text() + "# x\n"))  # fmt: skip
        option = desk.saves.history()[0]
        assert "Your role may not change these files" in said(client.post(f"/history/{option.id}").text)  # fmt: skip
        client.cookies.set("desk-role", "site")
        assert "Your role may not change these files" in said(client.post(f"/history/{entry.id}").text)  # fmt: skip
        assert (root / TABLE).read_bytes() == now
        client.cookies.set("desk-role", "sales")
        assert client.post(f"/history/{entry.id}").status_code == 303
        assert (root / TABLE).read_bytes() != now


@pytest.mark.parametrize(
    ("file", "roles"),
    [
        (ARTICLE, {"technical", "editor"}),
        ("housetypes/options/car-charger.yaml", {"technical"}),
        (TABLE, {"technical", "sales", "customer-care"}),
        ("developments/riverside/photos/a.jpg", {"technical", "site", "editor"}),
        (PLOT, {"technical", "site", "sales", "customer-care", "editor"}),
        ("developments/riverside/development.yaml", {"technical", "sales"}),
        ("developments/riverside/plots/deep/02.yaml", {"technical", "sales"}),
        ("mkdocs.yml", set()),
        ("site_templates/x.yaml", set()),
    ],
)
def test_taking_back_a_file_needs_a_right_whose_forms_write_it(file: str, roles: set[Role]) -> None:
    entry = JournalEntry("0" * 16, "2026-03-02T09:30:00", "sales", "", {file: ("a", "b")})
    assert {role for role in ROLES if may_change(Who(role), entry)} == roles
    assert all(not may_change(Who(role), replace(entry, files={**entry.files, "mkdocs.yml": ("a", "b")})) for role in ROLES)  # fmt: skip


def test_a_file_that_was_not_in_utf_8_is_not_taken_back_and_that_is_told(root: Path) -> None:
    text = (root / ARTICLE).read_text()
    repository = ("git", "-C", str(root), "-c", "user.name=A", "-c", "user.email=a@b.example")
    (root / ARTICLE).write_bytes(text.encode() + b"\xe9\n")
    for arguments in (("init", "-q"), ("add", "."), ("commit", "-qm", "One")):
        subprocess.run([*repository, *arguments], check=True)
    (root / ARTICLE).write_text(text)
    subprocess.run([*repository, "commit", "-qam", "Two"], check=True)
    with at_desk(root) as (desk, client):
        entry = desk.saves.history(ARTICLE)[0]
        answer = client.post(f"/history/{entry.id}")
        assert answer.status_code == 409
        assert f"'{ARTICLE}' is not in UTF-8. Save it again as UTF-8 first." in said(answer.text)
        assert (root / ARTICLE).read_text() == text


def test_no_save_of_that_name_is_no_page(root: Path) -> None:
    with at_desk(root) as (_, client):
        assert client.get("/history/0123456789abcdef").status_code == 404
        assert client.get("/history?file=../../etc/passwd").status_code == 200


def test_an_article_tells_what_it_changes_in_every_home_and_how_far_it_is_translated(
    root: Path,
) -> None:
    with at_desk(root) as (desk, client):
        article = next(iter(sorted(desk.board.plot("riverside/01").standing.articles)))
        here = f"/articles/{article}"
        page = client.get(here).text
        assert "not translated: guides show the first language" in words(page)
        sent = form_at(client, here, here)
        sent.pop("act", None)
        sent["body"] += "\nIt is so.\n"
        before = (root / f"content/articles/{article}.md").read_bytes() if (root / f"content/articles/{article}.md").is_file() else None  # fmt: skip
        work = client.post(f"{here}/reach", data=sent).headers["location"]
        lines = ended(desk, work).told.lines
        assert lines[0] == "2 of 2 homes would change."
        assert any("changed in 2 homes: riverside/01, riverside/02." in each for each in lines[1:])
        after = (root / f"content/articles/{article}.md").read_bytes() if before else None
        assert before == after, "nothing is written"
        (root / f"content/languages/cy/articles/{article}.md").parent.mkdir(parents=True, exist_ok=True)  # fmt: skip
        (root / f"content/languages/cy/articles/{article}.md").write_text("---\nmade_from: 0000000000000000\n---\nTestun.\n")  # fmt: skip
        assert f"content/languages/cy/articles/{article}.md" in client.get(here).text


# Find and recall


def test_who_has_it_as_a_page_a_table_and_letters(root: Path) -> None:
    with at_desk(root) as (desk, client):
        page = client.get("/recall", params={"kind": "stopcock"}).text
        assert "2 homes of 2 have it" in words(page)
        table = client.get("/recall/table.csv", params={"kind": "stopcock"})
        rows = list(csv.DictReader(io.StringIO(table.text.removeprefix("\ufeff"))))
        assert [(each["plot"], each["equipment"]) for each in rows] == [("riverside/01", "Stopcock"), ("riverside/02", "Stopcock")]  # fmt: skip
        assert rows[1]["where"].startswith("Hall")
        found = json.loads(handover(root, "find", "--kind", "stopcock", "--format", "json"))
        assert [(each["plot"], each["where"]) for each in found["matches"]] == [(each["plot"], each["where"]) for each in rows]  # fmt: skip
        sent = form_at(client, "/recall?kind=stopcock", "/recall/letters")
        page = client.post("/recall/letters", data=sent).headers["location"]
        assert ended(desk, page).state == "done"
        assert "2 letters, one for each home." in words(client.get(page).text)
        answer = client.get(f"{page}/made")
        assert answer.headers["content-type"] == "application/pdf"
        assert answer.headers["content-disposition"] == 'attachment; filename="recall-letters.pdf"'
        letters = pypdfium2.PdfDocument(answer.content)
        texts = [letters[n].get_textpage().get_text_bounded() for n in range(len(letters))]
        assert len(texts) == 2
        assert "1 Riverside" in texts[0]
        assert "2 Riverside" in texts[1]
        assert "2 March 2026" in texts[0]


def test_capitals_and_signs_do_not_matter_and_lookalikes_are_told(root: Path) -> None:
    standard = root / "housetypes/cottage.yaml"
    text = standard.read_text()
    assert "make:" in text
    with at_desk(root) as (desk, client):
        piece = next(each for plot in desk.board.view().plots for each in plot.pieces if each.make)
        shouted = f" {piece.make.upper()}- "
        assert "2 homes of 2" in words(client.get("/recall", params={"make": shouted}).text)
        near = client.get("/recall", params={"make": piece.make[:-1] + "x"}).text
        assert "No home has it" in words(near)
        assert piece.make in words(near)


def test_a_slip_in_a_kind_does_not_look_like_an_answer(root: Path) -> None:
    with at_desk(root) as (_, client):
        page = words(client.get("/recall", params={"kind": "stopcok"}).text)
        assert "No home has anything of kind 'stopcok'. Did you mean 'stopcock'?" in page


def test_a_home_that_could_not_be_asked_is_in_the_table(root: Path) -> None:
    (root / TABLE).write_text((root / TABLE).read_text().replace("02,2 Riverside,ZZ99 9ZZ,cottage", "02,2 Riverside,ZZ99 9ZZ,cotage"))  # fmt: skip
    with at_desk(root) as (_, client):
        assert "Not asked. The data makes no home of riverside/02" in said(client.get("/recall?kind=stopcock").text)  # fmt: skip
        table = client.get("/recall/table.csv", params={"kind": "stopcock"}).text
        assert "riverside/02,2 Riverside,ZZ99 9ZZ,,not asked: its data makes no home" in table


def test_a_marker_that_nobody_knows_is_no_letter(root: Path) -> None:
    with at_desk(root) as (_, client):
        answer = client.post("/recall/letters", data={"kind": "stopcock", "text": "Dear {ownr}"})
        assert answer.status_code == 422
        assert "Nobody knows what '{ownr}' stands for." in said(answer.text)
        assert "Dear {ownr}" in answer.text


def test_what_has_no_value_leaves_no_gap_in_a_letter() -> None:
    text = "# About {thing}\n\n{a}\n{b}\n\nRead {guide}. Call us.\n\nOnly {guide}."
    letter = filled(text, "x", {"thing": "taps", "a": "one\ntwo", "b": "", "guide": ""})
    assert letter.paragraphs == (("# About taps",), ("one", "two"), ("Call us.",))
    with pytest.raises(UsageError, match="no words"):
        check_text(" \n", ())


# Articles


def test_an_article_is_corrected_and_nothing_else_of_its_file_changes(root: Path) -> None:
    before = (root / ARTICLE).read_text()
    with at_desk(root) as (desk, client):
        page = "/articles/water-off"
        sent = form_at(client, page, page)
        sent["body"] = sent["body"].replace("Call ", "Now call ")
        answer = client.post(page, data={**sent, "act": "save", "reason": "Clearer"})
        assert answer.status_code == 303, said(answer.text)
        assert (root / ARTICLE).read_text() == before.replace("Call ", "Now call ")
        assert desk.saves.history(ARTICLE)[0].reason == "Clearer"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Normally it is on.", "'Normally' leaves the reader to find out"),
        ("It is on the left side of the door.", "on the le"),
        ("See [this](article:nowhere).", "nowhere"),
        ("{{ nobody }}", "nobody"),
        ("<b>Bold</b>", "HTML"),
    ],
)
def test_what_the_check_is_against_is_told_live_and_not_saved(root: Path, text: str, says: str) -> None:  # fmt: skip
    before = (root / ARTICLE).read_bytes()
    with at_desk(root) as (_, client):
        page = "/articles/water-off"
        sent = form_at(client, page, page)
        sent["body"] += f"\n{text}\n"
        live = client.post(f"{page}/try", data=sent)
        assert live.status_code == 200
        assert says in words(live.text)
        assert "<html" not in live.text
        answer = client.post(page, data={**sent, "act": "save"})
        assert answer.status_code == 422
        assert BeautifulSoup(answer.text, "html.parser").find("textarea", id="body").text.rstrip().endswith(text)  # fmt: skip
        assert (root / ARTICLE).read_bytes() == before


def test_the_page_of_a_text_that_nobody_saved_can_be_looked_at(root: Path) -> None:
    with at_desk(root) as (_, client):
        page = "/articles/water-off"
        sent = form_at(client, page, page)
        sent["body"] += "\nQuite a new sentence.\n"
        live = BeautifulSoup(client.post(f"{page}/try", data=sent).text, "html.parser")
        address = live.find(attrs={"data-preview": True})["data-preview"]
        shown = client.get(address)
        assert "Quite a new sentence." in shown.text
        assert "script-src" not in shown.headers["content-security-policy"]
        assert "Quite a new sentence." not in client.get("/live/g/riverside~01/articles/water-off/").text  # fmt: skip


def test_two_editors_meet_and_the_second_sees_both(root: Path) -> None:
    with at_desk(root) as (desk, client):
        page = "/articles/water-off"
        sent = form_at(client, page, page)
        saved(desk, ARTICLE, Whole((root / ARTICLE).read_text().replace("Call ", "Ring ").replace("Turn off your water", "Stop your water")))  # fmt: skip
        sent["body"] = sent["body"].replace("Call ", "Telephone ")
        answer = client.post(page, data={**sent, "act": "save"})
        assert answer.status_code == 409
        assert "Somebody else has changed the same" in said(answer.text)
        soup = BeautifulSoup(answer.text, "html.parser")
        assert "Telephone " in soup.find("textarea", id="body").text
        assert soup.find("input", id="title")["value"] == "Stop your water"
        again = {each["name"]: each.get("value", "") for each in soup.select("main form[data-tries] input[name]")}  # fmt: skip
        again["body"] = soup.find("textarea", id="body").text.removeprefix("\n")
        assert client.post(page, data={**again, "act": "save"}).status_code == 303
        text = (root / ARTICLE).read_text()
        assert "Telephone " in text
        assert "title: Stop your water" in text


def test_an_article_is_read_again_today(root: Path) -> None:
    with at_desk(root) as (_, client):
        page = "/articles/water-off"
        sent = form_at(client, page, page)
        assert client.post(page, data={**sent, "act": "reviewed"}).status_code == 303
        assert f"reviewed: {DAY.isoformat()}" in (root / ARTICLE).read_text()


def test_a_shipped_article_that_is_changed_becomes_the_workspaces_own(root: Path) -> None:
    (root / "content/library.yaml").unlink()
    with at_desk(root) as (desk, client):
        listed = client.get("/articles?todo=").text
        assert "the shipped library" in listed
        name = next(name for name, each in desk.board.looking().workspace.articles.items() if each.ships and any(name in plot.articles for plot in desk.board.view().plots))  # fmt: skip
        page = f"/articles/{name}"
        sent = form_at(client, page, page)
        sent["title"] = "A title of our own"
        answer = client.post(page, data={**sent, "act": "save"})
        assert answer.status_code == 303, said(answer.text)
        assert "title: A title of our own" in (root / f"content/articles/{name}.md").read_text()
        assert "this workspace" in words(client.get("/articles?find=title+of+our").text)


def test_front_matter_is_saved_where_it_can_be_read(root: Path) -> None:
    with at_desk(root) as (_, client):
        page = "/articles/water-off"
        sent = form_at(client, f"{page}/front-matter", page)
        bad = client.post(page, data={**sent, "head": sent["head"].replace("system: water", "system: wat"), "act": "save"})  # fmt: skip
        assert bad.status_code == 422
        assert "wat" in words(bad.text)
        good = client.post(page, data={**sent, "head": sent["head"].replace("first_weeks: 1", "first_weeks: 2"), "act": "save"})  # fmt: skip
        assert good.status_code == 303
        assert "first_weeks: 2" in (root / ARTICLE).read_text()


def test_sales_change_no_article(root: Path) -> None:
    with at_desk(root) as (_, client):
        client.cookies.set("desk-role", "sales")
        before = (root / ARTICLE).read_bytes()
        assert client.post("/articles/water-off", data={"title": "x", "act": "save"}).status_code == 403  # fmt: skip
        assert (root / ARTICLE).read_bytes() == before
        assert client.get("/articles/..%2f..%2fetc").status_code == 404


# Stickers on site


@pytest.fixture
def stuck(root: Path) -> Path:
    """The workspace with stickers on three pieces, issued for both plots."""
    file = root / "housetypes/cottage.yaml"
    text = file.read_text()
    for piece in ("consumer-unit", "kitchen-fan"):
        text = text.replace(f"{piece}: {{kind", f"{piece}: {{sticker: standard, kind")
    file.write_text(text)
    handover(root, "stickers", "issue", "riverside/01", "riverside/02", "--date", "2026-02-20")
    return root


def codes(client: Client) -> dict[str, str]:
    soup = BeautifulSoup(client.get(ON_SITE).text, "html.parser")
    return {each["data-place"]: each["data-code"] for each in soup.select("[data-place]")}


def verdict(html: str) -> str:
    found = BeautifulSoup(html, "html.parser").select_one(".verdict")
    return found.get_text(" ", strip=True) if found else ""


def test_the_right_sticker_is_ticked_and_the_last_one_says_that_all_are(stuck: Path) -> None:
    with at_desk(stuck) as (_, client):
        wanted = codes(client)
        assert len(wanted) > 1
        for number, (place, code) in enumerate(wanted.items(), 1):
            answer = client.post(ON_SITE, data={"place": place, "code": code.lower()})
            assert verdict(answer.text).startswith("✓ RIGHT")
            text = (stuck / PLOT).read_text()
            assert f"{place}: 2026-03-02" in text
            assert ("scanned: 2026-03-02" in text) == (number == len(wanted))
        assert "fixed: 2026-03-02" in text
        assert "a drain is in the way" in text.lower()
        assert "ALL SCANNED" in client.get(ON_SITE).text
    told = handover(stuck, "ready", "riverside/02", "--date", "2026-03-02")
    assert "The stickers have not been" not in told


def test_a_wrong_sticker_is_a_loud_no_in_words_and_ticks_nothing(stuck: Path) -> None:
    with at_desk(stuck) as (_, client):
        wanted = codes(client)
        (place, code), (_, other) = list(wanted.items())[:2]
        before = (stuck / PLOT).read_bytes()
        assert verdict(client.post(ON_SITE, data={"place": place, "code": other}).text).startswith("✕ NO: wrong sticker")  # fmt: skip
        neighbour = BeautifulSoup(client.get("/on-site/riverside/01").text, "html.parser").select_one("[data-code]")["data-code"]  # fmt: skip
        assert "belongs to plot riverside/01" in verdict(client.post(ON_SITE, data={"place": place, "code": neighbour}).text)  # fmt: skip
        slip = code[:-1] + ("0" if code[-1] != "0" else "1")
        assert verdict(client.post(ON_SITE, data={"place": place, "code": slip}).text).startswith("? NOT READ")  # fmt: skip
        assert client.post(ON_SITE, data={"place": "nowhere", "code": code}).status_code == 404
        assert (stuck / PLOT).read_bytes() == before


def photograph(code: str, times: int = 1) -> bytes:
    """A photograph of stickers: symbols on a table, a little turned."""
    matrix = web_symbol(f"HTTPS://GUIDES.EXAMPLE/Q/{code}")
    side = 8
    picture = Image.new("RGB", (900, 500 * times), "grey")
    for n in range(times):
        symbol = Image.new("RGB", ((len(matrix) + 8) * side,) * 2, "white")
        draw = ImageDraw.Draw(symbol)
        for y, row in enumerate(matrix):
            for x, dark in enumerate(row):
                if dark:
                    draw.rectangle([(x + 4) * side, (y + 4) * side, (x + 5) * side - 1, (y + 5) * side - 1], fill="black")  # fmt: skip
        picture.paste(symbol.rotate(7, expand=True, fillcolor="grey"), (120, 40 + 480 * n))
    file = io.BytesIO()
    picture.save(file, "JPEG", quality=80)
    return file.getvalue()


def test_a_photograph_of_the_sticker_will_do(stuck: Path) -> None:
    with at_desk(stuck) as (_, client):
        place, code = next(iter(codes(client).items()))
        picture = {"photograph": ("p.jpg", photograph(code), "image/jpeg")}
        assert verdict(client.post(ON_SITE, data={"place": place}, files=picture).text).startswith("✓ RIGHT")  # fmt: skip
        assert f"{place}: 2026-03-02" in (stuck / PLOT).read_text()
        none = {"photograph": ("p.jpg", b"\xff\xd8\xff not a picture", "image/jpeg")}
        assert verdict(client.post(ON_SITE, data={"place": place}, files=none).text).startswith("? NOT READ")  # fmt: skip


def test_ticks_of_a_telephone_are_judged_again_before_they_count(stuck: Path) -> None:
    with at_desk(stuck) as (desk, client):
        wanted = list(codes(client).items())
        (place, code), (other, _) = wanted[:2]
        ticks = [f"{place} {code} 2026-03-01", f"{other} {code} 2026-03-01", f"{place}", "x y z"]
        answer = client.post(f"{ON_SITE}/sync", data={"tick": ticks})
        assert "3 of the stickers that were scanned without signal are not the right ones" in said(answer.text)  # fmt: skip
        text = (stuck / PLOT).read_text()
        assert f"{place}: 2026-03-01" in text
        assert f"found: {{{place}: 2026-03-01}}" in text
        again = client.post(f"{ON_SITE}/sync", data={"tick": ticks[:1]})
        assert again.status_code == 200
        assert len(desk.saves.history(PLOT)) == 1


def test_a_code_is_read_from_an_address_or_as_it_is_typed() -> None:
    assert code_in("HTTPS://GUIDES.EXAMPLE/Q/9GRCTKTB784599") == "9GRCTKTB784599"
    assert code_in(" 9grc-tktb 784599 ") == "9GRCTKTB784599"
    assert code_in("9GRCTKTB784598") == ""
    assert code_in("") == ""


# House types


def test_a_plot_that_was_looked_at_in_the_background_shows_what_its_files_say_now(root: Path) -> None:  # fmt: skip
    desk = desk_of(root)
    assert desk.board.plot("riverside/02").standing.facts.completion is None
    saved(desk, TABLE, Cells("02", {"completion": "2026-05-01"}))
    desk.board.looking()
    while desk.board._look_at_next():
        pass
    assert str(desk.board.plot("riverside/02").standing.facts.completion) == "2026-05-01"


def test_a_house_type_shows_what_is_wrong_on_its_plan_and_beside_it(root: Path) -> None:
    file = root / "housetypes/cottage.yaml"
    file.write_text(file.read_text().replace("  hall-alarm:", "  old-hall-alarm:").replace("old-hall-alarm: {kind: smoke-alarm", "old-hall-alarm: {kind: extract-fan"))  # fmt: skip
    with at_desk(root) as (_, client):
        assert "Cottage" in client.get("/house-types").text
        page = BeautifulSoup(client.get("/house-types/cottage").text, "html.parser")
        remarks = [each.get_text(" ", strip=True) for each in page.select(".remarks li")]
        signs = {each.find("text").text: each.find("title").text for each in page.select("svg .sign")}  # fmt: skip
        numbered = [each for each in page.select(".remarks li") if each.select_one(".signed")]
        assert remarks
        assert len(signs) == len(numbered) > 0
        for each in numbered:
            number = each.select_one(".signed").text
            assert signs[number].startswith(f"{number}: {each.find('strong').text}. ")
        assert client.get("/house-types/none").status_code == 404


@pytest.fixture(scope="module")
def model(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A building model of the cottage's neighbour, written by the tests' own writer."""
    path = tmp_path_factory.mktemp("model") / "heron.ifc"
    write_model(read_house_type(PROJECT / "housetypes/twite.yaml"), path, Style(), called())
    return path


def hidden(html: str, name: str) -> str:
    return str(BeautifulSoup(html, "html.parser").find("input", attrs={"name": name})["value"])


def read_model(desk: Desk, client: Client, sent: dict[str, str], files: Any) -> Response:
    """A model that is sent, read beside the pages, and looked at."""
    answer = client.post("/house-types-from-models", data=sent, files=files)
    assert answer.status_code == 303, said(answer.text)
    work = answer.headers["location"]
    for _ in range(1_200):
        job = desk.jobs.of(work.removeprefix("/jobs/"))
        assert job is not None
        if job.finished:
            break
        time.sleep(0.05)
    told = client.get(work)
    return client.get(told.headers["location"]) if told.status_code == 303 else told


def test_a_model_makes_a_house_type_that_was_looked_at_first_and_was_not_there_yet(
    root: Path, model: Path
) -> None:
    page, file = "/house-types-from-models", root / "housetypes/heron.yaml"
    files = {"model": ("heron.ifc", model.read_bytes(), "application/octet-stream")}
    with at_desk(root) as (desk, client):
        looked = read_model(desk, client, {"name": "heron", "title": "Heron"}, files)
        assert looked.status_code == 200, said(looked.text)
        assert "values:" in looked.text, words(looked.text)
        assert not file.exists()
        written = {"act": "save", "job": hidden(looked.text, "job")}
        file.write_text("# A colleague was faster.\n")
        answer = client.post(page, data=written)
        told = said(client.get(answer.headers["location"]).text)
        assert told.startswith("Not done. Somebody else has changed this house type meanwhile.")
        assert file.read_text() == "# A colleague was faster.\n"
        assert desk.saves.history() == ()
        file.unlink()
        answer = client.post(page, data=written)
        assert answer.status_code == 303, said(answer.text)
        told = handover(root, "new", "housetype", "kestrel", "--from", str(model))
        assert [each.reason for each in desk.saves.history("housetypes/heron.yaml")] == ["House type heron from a model"]  # fmt: skip
        alike = (root / "housetypes/kestrel.yaml").read_text()
        assert file.read_text().count("\n") == alike.count("\n"), told
        assert '"heron.ifc"' in (root / "origins/housetypes/heron.json").read_text()
        again = read_model(desk, client, {"name": "heron"}, files)
        assert "The model says what it said before" in words(again.text)
        (saved,) = desk.saves.history("housetypes/heron.yaml")
        record = root / "origins/housetypes/heron.json"
        assert (record.is_file(), list(saved.files)) == (True, ["housetypes/heron.yaml", "origins/housetypes/heron.json"])  # fmt: skip
        assert client.post(f"/history/{saved.id}").status_code == 303
        assert (file.exists(), record.exists()) == (False, False)


def test_a_house_type_is_drawn_and_checked_before_any_development_can_have_it(root: Path) -> None:
    """It lacks the meter that the development names, as one from a model does at first."""
    development = root / "developments/riverside/development.yaml"
    meter = "utilities: {electricity: {supplier: A supplier, meter: electric-meter}}\n"
    development.write_text(development.read_text() + meter)
    lines = (root / "housetypes/cottage.yaml").read_text().splitlines()
    heron = "\n".join(each for each in lines if "hall-alarm" not in each)
    (root / "housetypes/heron.yaml").write_text(heron)
    with at_desk(root) as (_, client):
        page = BeautifulSoup(client.get("/house-types/heron").text, "html.parser")
        assert page.select(".plans svg")
        assert "'Ground floor' has no smoke alarm in 'Hall'." in page.select_one(".remarks").text


@pytest.mark.parametrize(
    ("name", "file", "says"),
    [
        ("Heron!", "a.ifc", "Write a short name"),
        ("../x", "a.ifc", "Write a short name"),
        ("standard", "a.ifc", "Write a short name"),
        ("heron", "a.exe", "A model is a file .ifc"),
    ],
)
def test_what_is_no_model_is_told_and_writes_nothing(root: Path, name: str, file: str, says: str) -> None:  # fmt: skip
    before = sorted(root.rglob("*.yaml"))
    with at_desk(root) as (_, client):
        answer = client.post("/house-types-from-models", data={"name": name, "act": "try"}, files={"model": (file, b"not one", "x/y")})  # fmt: skip
        assert answer.status_code == 422
        assert says in said(answer.text)
        assert ("a.ifc waits here." in words(answer.text)) == (file == "a.ifc")
        assert client.post("/house-types-from-models", data={"act": "save", "job": "none"}).status_code == 303  # fmt: skip
        client.cookies.set("desk-role", "sales")
        assert client.post("/house-types-from-models", data={"name": "heron"}).status_code == 403
    assert sorted(root.rglob("*.yaml")) == before


def test_a_file_that_is_no_model_is_told_and_waits_to_be_brought_again(root: Path) -> None:
    with at_desk(root) as (desk, client):
        told = read_model(desk, client, {"name": "heron"}, {"model": ("a.ifc", b"not one", "x/y")})
        assert "This is no IFC file: it does not begin with" in words(told.text)
        assert gettempdir() not in told.text
        back = BeautifulSoup(told.text, "html.parser").find("a", string="Back")["href"]
        form = client.get(back).text
        assert "a.ifc waits here." in words(form)
        assert BeautifulSoup(form, "html.parser").find("input", id="name")["value"] == "heron"
    assert not (root / "housetypes/heron.yaml").exists()


# Plots from a spreadsheet


def test_a_table_that_is_none_of_plots_is_told_in_words(root: Path) -> None:
    with at_desk(root) as (_, client):
        files = {"spreadsheet": ("rota.csv", b"Monday,Tuesday\nAda,Ben\n", "text/csv")}
        answer = client.post("/spreadsheet", data={"development": "riverside"}, files=files)
    assert answer.status_code == 422
    assert said(answer.text) == "Nothing was written. No row of this file names the columns of plots. Name them in one row: plot, address, postcode, house type, hand, options, completion."  # fmt: skip


def test_plots_that_changed_while_a_spreadsheet_was_read_are_not_written_over(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = root / TABLE
    theirs = table.read_text().replace("1 Riverside,", "1a Riverside,")

    def meanwhile(*arguments: Any) -> Any:
        found = plots_from(*arguments)
        table.write_text(theirs)
        return found

    brought = table.read_text().replace("2 Riverside,", "2b Riverside,").encode()
    with at_desk(root) as (desk, client):
        files = {"spreadsheet": ("sales.csv", brought, "text/csv")}
        looked = client.post("/spreadsheet", data={"development": "riverside"}, files=files)
        number = BeautifulSoup(looked.text, "html.parser").find("input", attrs={"name": "number"})["value"]  # fmt: skip
        monkeypatch.setattr(spreadsheet, "plots_from", meanwhile)
        answer = client.post(
            "/spreadsheet/again", data={"number": number, "development": "riverside", "act": "save"}
        )
        assert answer.status_code == 409
        assert said(answer.text) == "Nothing was written. Somebody else has changed the same plots meanwhile. Look at it again."  # fmt: skip
        assert table.read_text() == theirs
        monkeypatch.undo()
        again = client.post(
            "/spreadsheet/again", data={"number": number, "development": "riverside", "act": "save"}
        )
        assert again.status_code == 303
        assert "2b Riverside" in table.read_text()
        assert len(desk.saves.history(TABLE)) == 1
