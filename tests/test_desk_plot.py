"""A plot at the desk, form by form: what is written, what is refused at its field, and what is told."""

from datetime import date
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from httpx import Client, Response

from builder.build.building import publish
from builder.build.report import Target
from builder.saving.saves import Opened
from tests.desk.desks import browsing, committed, desk_of, form_at, form_in, git, said

ONE, TWO = "/plots/riverside/01", "/plots/riverside/02"
DAY = date(2026, 3, 2)


def sent(client: Client, page: str, action: str, **values: object) -> Response:
    """A form of a page with some fields changed; what it leads to."""
    fields = {**form_at(client, page, action), "act": "save"}
    fields |= {name.replace("__", "."): value for name, value in values.items()}
    answer = client.post(action, data=fields)
    return client.get(answer.headers["location"]) if answer.status_code == 303 else answer


def written(root: Path, number: str) -> str:
    return (root / f"developments/riverside/plots/{number}.yaml").read_text(encoding="utf-8")


def test_values_are_written_where_they_belong_and_comments_stay(cottage: Path) -> None:
    file = cottage / "developments/riverside/plots/01.yaml"
    file.parent.mkdir(exist_ok=True)
    file.write_text("# Ask the plumber first.\nserials:\n  stopcock: S-1  # on its side\n", encoding="utf-8")  # fmt: skip
    with browsing(desk_of(cottage)) as client:
        page = sent(client, f"{ONE}/record", f"{ONE}/record", handover__alarms_tested="2026-03-01", handover__commissioning__water__day="2026-02-20", handover__commissioning__water__by="plumber", handover__commissioning__water__stopcock_tried="yes")  # fmt: skip
        assert "Saved in developments/riverside/plots/01.yaml." in said(page.text)
    text = written(cottage, "01")
    assert text.startswith("# Ask the plumber first.\nserials:\n  stopcock: S-1  # on its side\n")
    assert "alarms_tested: 2026-03-01" in text
    assert "water: {day: 2026-02-20, by: plumber, stopcock_tried: true}" in text


@pytest.mark.parametrize(("act", "theirs", "status"), [
    ("try", {"plot__postcode": "ZZ99 9ZX"}, 200),
    ("save", {"plot__postcode": "ZZ99 9ZX", "plot__address": "1 Riverside Walk"}, 409),
])  # fmt: skip
def test_a_form_that_is_sent_again_takes_back_nothing_of_others(
    act: str, theirs: dict[str, str], status: int, cottage: Path
) -> None:
    """What was tried, or was changed by both, stands in the form; whatever else others saved does too."""
    page, action = f"{ONE}/changes", f"{ONE}/row"
    with browsing(desk_of(cottage)) as client:
        mine = {**form_at(client, page, action), "plot.address": "1 Riverside Way"}
        assert "Saved in" in said(sent(client, page, action, **theirs).text)
        told = client.post(action, data={**mine, "act": act})
        assert told.status_code == status
        again = {**form_in(told.text, action), "act": "save"}
        assert client.post(action, data=again).status_code == 303
    row = (cottage / "developments/riverside/plots.csv").read_text(encoding="utf-8").splitlines()[1]
    assert row.startswith("01,1 Riverside Way,ZZ99 9ZX,")


def test_what_changes_while_a_page_is_made_is_not_written_over(
    cottage: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page shows what was looked at, and somebody saves before it is told what it is based on."""
    desk, table = desk_of(cottage), cottage / "developments/riverside/plots.csv"
    page, action, opened = f"{ONE}/changes", f"{ONE}/row", desk.saves.opened
    theirs = table.read_text(encoding="utf-8").replace(",1 Riverside,", ",1 Riverside Walk,")

    def opened_later(file: str) -> Opened:
        table.write_text(theirs, encoding="utf-8")
        return opened(file)

    with browsing(desk) as client:
        monkeypatch.setattr(desk.saves, "opened", opened_later)
        mine = {**form_at(client, page, action), "plot.address": "1 Riverside Way", "act": "save"}
        monkeypatch.undo()
        assert client.post(action, data=mine).status_code == 409
        assert table.read_text(encoding="utf-8") == theirs


@pytest.mark.parametrize(
    ("field", "value", "wrong"),
    [
        ("handover__alarms_tested", "yesterday", "'yesterday' is not a date. Write year, month and day: 2026-03-31."),
        ("handover__alarms_tested", "2026-02-30", "'2026-02-30' is a day that does not exist. Write a day of the calendar."),
        ("handover__commissioning__water__by", "magician", "'magician' is not one of the choices."),
        ("handover__commissioning__heating__pressure", "much", "'much' is not a number. Write a number without its unit."),
        ("serials__stopcock", "<b>", "'<b>' is markup, and data is plain text. Write the words only."),
    ],
)  # fmt: skip
def test_a_mistake_is_told_at_its_field_and_nothing_is_written(
    field: str, value: str, wrong: str, cottage: Path
) -> None:
    with browsing(desk_of(cottage)) as client:
        page = sent(client, f"{ONE}/record", f"{ONE}/record", **{field: value})
    assert page.status_code == 422
    assert wrong in said(page.text)
    assert not (cottage / "developments/riverside/plots/01.yaml").exists()


def test_what_is_emptied_is_taken_out_with_what_held_it(cottage: Path) -> None:
    with browsing(desk_of(cottage)) as client:
        page, action = f"{ONE}/record", f"{ONE}/record"
        sent(client, page, action, handover__demonstration__day="2026-03-01", handover__demonstration__by="sales", handover__alarms_tested="2026-03-01")  # fmt: skip
        assert "demonstration" in written(cottage, "01")
        sent(client, page, action, handover__demonstration__day="", handover__demonstration__by="")
        assert "demonstration" not in written(cottage, "01")
        assert "alarms_tested: 2026-03-01" in written(cottage, "01")


def test_trying_writes_nothing_and_tells_the_pages(cottage: Path) -> None:
    table = cottage / "developments/riverside/plots.csv"
    before = table.read_text(encoding="utf-8")
    with browsing(desk_of(cottage)) as client:
        page = sent(client, f"{ONE}/changes", f"{ONE}/options", option=["car-charger"], act="try")
        assert "Tried, and not saved yet." in said(page.text)
        assert "Car charger: new" in said(page.text)
    assert table.read_text(encoding="utf-8") == before


def test_a_departure_comes_and_is_taken_back(cottage: Path) -> None:
    before = written(cottage, "02")
    with browsing(desk_of(cottage)) as client:
        page = sent(client, f"{TWO}/departure?thing=equipment.stopcock", f"{TWO}/departure", equipment__stopcock__place="in the hall, on the left", note="A drain was there.")  # fmt: skip
        assert "'left' would be wrong in the plots of the other hand." in said(page.text)
        page = sent(client, f"{TWO}/departure?thing=equipment.stopcock", f"{TWO}/departure", equipment__stopcock__place="low in the hall, on the {left}", note="A drain was there.")  # fmt: skip
        assert "The departure is saved" in said(page.text)
        assert "A drain was there." in page.text
        why = client.get(f"{TWO}/home?section=equipment&find=stopcock").text
        assert "departure stopcock-differs" in why
        assert "low in the hall, on the right" in why, "in this home, which is of the opposite hand"
        page = sent(client, f"{TWO}/changes", f"{TWO}/departure/back", departure="stopcock-differs")  # fmt: skip
        assert "is taken back." in said(page.text)
    assert written(cottage, "02") == before


def test_something_that_no_drawing_has_is_added_and_told_at_its_field(cottage: Path) -> None:
    page, action = f"{TWO}/departure?thing=equipment.~", f"{TWO}/departure"
    new = {"equipment__~__kind": "smoke-alarm", "equipment__~__room": "kitchen"}
    with browsing(desk_of(cottage)) as client:
        assert 'name="equipment.~.kind" required' in client.get(page).text
        assert 'value="equipment.~"' in client.get(f"{TWO}/changes").text
        shown = sent(client, page, action, **new, **{"equipment__~__place": "on the left"}, note="The owner asked.")  # fmt: skip
        assert shown.status_code == 422
        assert "'left' would be wrong in the plots of the other hand." in said(shown.text)
        assert 'value="on the left"' in shown.text
        shown = sent(client, page, action, **new, **{"equipment__~__place": "on the {left}, on the ceiling"}, note="The owner asked.")  # fmt: skip
        assert "The departure is saved" in said(shown.text), said(shown.text)
        assert "on the right, on the ceiling" in client.get(f"{TWO}/home?section=equipment&find=ceiling").text  # fmt: skip
        shown = sent(client, page, action, **new, **{"equipment__~__place": "over the door"}, note="And one more.")  # fmt: skip
        assert "The departure is saved" in said(shown.text), said(shown.text)
    text = written(cottage, "02")
    assert "smoke-alarm-differs:" in text
    assert "smoke-alarm-2-differs:" in text


def test_a_departure_without_a_reason_is_refused(cottage: Path) -> None:
    with browsing(desk_of(cottage)) as client:
        page = sent(client, f"{ONE}/departure?thing=equipment.stopcock", f"{ONE}/departure", equipment__stopcock__make="Other", note="")  # fmt: skip
    assert page.status_code == 422
    assert "Not saved." in said(page.text)


def test_the_home_is_sold_on_and_its_guide_moves(cottage: Path) -> None:
    publish(Target(cottage, ("riverside/01",), cottage / "public", DAY))
    with browsing(desk_of(cottage, day=date(2026, 6, 10))) as client:
        page = sent(client, f"{ONE}/owner", f"{ONE}/owner", later_owners__new__since="2026-05-01")
        assert "Recorded." in said(page.text)
        assert "Another's since 1 May 2026" in page.text
        page = sent(client, f"{ONE}/owner", f"{ONE}/address")
        assert "Tick that the old address is to lead nowhere." in said(page.text)
        page = sent(client, f"{ONE}/owner", f"{ONE}/address", sure="yes")
        assert "The guide has another address." in said(page.text)


def test_only_covers_that_ask_to_be_told_are_offered_as_told(cottage: Path) -> None:
    standard = cottage / "housetypes/standard.yaml"
    text = standard.read_text(encoding="utf-8")
    assert "notice" not in text
    with browsing(desk_of(cottage)) as client:
        assert "later_owners.new.notice_given" not in form_at(
            client, f"{ONE}/owner", f"{ONE}/owner"
        )
        assert "notice_given" not in client.get(f"{ONE}/owner").text
    covers = (
        "covers:\n"
        "  structural: {name: The structural cover, contact: customer-care, matters: [structure], ends: 10 years, notice: 4 weeks, basis: common practice}\n"
        "  builder: {name: Your builder, contact: customer-care, matters: [structure], ends: 2 years, basis: common practice}\n"
    )
    own = "" if "\ncovers:" in text else covers
    standard.write_text(f"{text}\nmatters: {{structure: {{name: The structure, includes: the walls}}}}\n{own}", encoding="utf-8")  # fmt: skip
    with browsing(desk_of(cottage)) as client:
        page = client.get(f"{ONE}/owner").text
    offered = [each.get_text(strip=True) for each in BeautifulSoup(page, "html.parser").select("[name$=notice_given]") for each in each.parents if each.name == "label"]  # fmt: skip
    assert offered == ["The structural cover, for the structure, within 4 weeks"]


def test_no_page_sends_a_colleague_to_a_terminal(cottage: Path) -> None:
    with browsing(desk_of(cottage)) as client:
        for page in ("/plots/riverside/02", "/", "/?owed=technical"):
            assert "Run: handover" not in client.get(page).text


def test_codes_and_confirmed_columns_are_in_the_history_too(cottage: Path) -> None:
    """Each save is a commit, and so is what codes and a spreadsheet write beside it."""
    committed(cottage)
    sheet = "Plot,Address,Postcode,House type,Hand\n09,9 Riverside,ZZ99 9ZZ,cottage,as drawn\n"
    with browsing(desk_of(cottage)) as client:
        assert "issued. Publish the guide before you stick them on" in said(
            sent(client, f"{ONE}/papers", f"{ONE}/stickers").text
        )
        page = client.post("/spreadsheet", data={"development": "riverside"}, files={"spreadsheet": ("sales.csv", sheet)})  # fmt: skip
        number = BeautifulSoup(page.text, "html.parser").find("input", {"name": "number"})["value"]
        client.post("/spreadsheet/again", data={"number": number, "development": "riverside", "act": "save"})  # fmt: skip
        assert git(cottage, "status", "--short", "developments") == ""
        assert git(cottage, "log", "--format=%s|%an", "-2").splitlines() == ["Plots of riverside from a spreadsheet|technical", "Codes of riverside/01|technical"]  # fmt: skip
        listed = BeautifulSoup(client.get("/history").text, "html.parser")
        save = listed.find("a", string="Codes of riverside/01")["href"]
        shown = client.get(save)
        assert "register.csv" in shown.text
        assert "Take this save back" not in shown.text
        back = client.post(save, data={"reason": "They are not wanted"})
        assert (back.status_code, "A code is for ever" in back.text) == (409, True)  # fmt: skip
    assert (cottage / "developments/riverside/register.csv").is_file()


def test_the_history_of_a_plot_is_that_of_its_row_too(cottage: Path) -> None:
    with browsing(desk_of(cottage)) as client:
        sent(client, f"{ONE}/changes", f"{ONE}/options", option=["car-charger"])
        sent(client, f"{ONE}/record", f"{ONE}/record", handover__alarms_tested="2026-03-01")
        sent(client, f"{TWO}/record", f"{TWO}/record", handover__alarms_tested="2026-03-01")
        (*_, tab) = BeautifulSoup(client.get(ONE).text, "html.parser").select("nav.tabs a")
        page = client.get(tab["href"])
        listed = [
            each.text for each in BeautifulSoup(page.text, "html.parser").select("tbody th a")
        ]
        assert listed == ["Handover record of riverside/01", "Options of riverside/01"]
        assert client.get("/history?plot=riverside/77").status_code == 404
