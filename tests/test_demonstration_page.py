"""The tablet page in a real browser, opened as a file, with the network off."""

import hashlib
import json
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from builder.shipped import layered
from builder.writers.demonstration.page import FOLDER, page_of
from tests.broken_workspaces import run
from tests.chromium import AXE
from tests.conftest import PROJECT
from tests.demonstrations import canonical, demo_sheet, things, workspace_sheet

TEMPLATES = layered(PROJECT, FOLDER)
PLOT = "riverside/02"
TABLET, PHONE = (768, 1024), (320, 640)
AWKWARD = 'Scuff, "left" of the door \\ 5 < 6 & 7 > é 😀 \u2028 end'
"""What people type, and what breaks a careless way to JSON."""


class Tablet:
    """One device that is offline, with one page open from a file."""

    def __init__(self, browser: Browser, file: Path, size: tuple[int, int] = TABLET) -> None:
        self.context: BrowserContext = browser.new_context(
            viewport={"width": size[0], "height": size[1]}, offline=True, accept_downloads=True
        )
        self.file = file
        self.complaints: list[str] = []
        self.requests: list[str] = []

    def open(self) -> Page:
        page = self.context.new_page()
        page.on("console", lambda message: self.complaints.append(message.text))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("request", lambda request: self.requests.append(request.url))
        page.goto(self.file.as_uri())
        return page

    def __enter__(self) -> "Tablet":
        return self

    def __exit__(self, *_: object) -> None:
        self.context.close()


@pytest.fixture
def page_file(cottage: Path, tmp_path: Path) -> Path:
    add_meter(cottage)
    out = tmp_path / "sheet.html"
    made = run("demonstration", PLOT, "--workspace", str(cottage), "--out", str(out))
    assert made.exit_code == 0, made.output
    return out


def add_meter(cottage: Path) -> None:
    housetype = cottage / "housetypes" / "cottage.yaml"
    meter = "  meter: {kind: stopcock, name: Meter, room: outside, place: in the white box}\n"
    housetype.write_text(
        housetype.read_text().replace("equipment:\n", f"equipment:\n{meter}")
        + "utilities:\n  electricity: {name: Electricity, supplier: Marram Energy, meter: meter}\n"
    )


def fill_in(page: Page) -> None:
    """A whole day: every box, every key, a reading, a note, an open item, three ways to sign."""
    page.get_by_label("Shown by").select_option("site-manager")
    page.get_by_label("Date", exact=True).fill("2026-03-31")
    for box in page.locator("input[type=checkbox]").all():
        box.check()
    for key in page.locator("[data-key]").all():
        key.fill(key.get_attribute("data-count") or "")
    page.get_by_label("Reading").fill("00417.5")
    page.get_by_label("Second figure, where the meter shows one").fill("31")
    page.locator("[data-note]").first.fill(AWKWARD)
    page.get_by_label("1. To be done").fill("A scratch on the door")
    page.get_by_label("1. Promised for").fill("2026-05-01")
    sign(page, "Buyer")
    page.locator("[data-name=builder]").fill("Typed by the builder")


def sign(page: Page, who: str) -> None:
    canvas = page.get_by_role("img", name=f"Box to sign in: {who}", exact=True)
    canvas.scroll_into_view_if_needed()
    box = canvas.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 20, box["y"] + 20)
    page.mouse.down()
    page.mouse.move(box["x"] + 200, box["y"] + 90, steps=8)
    page.mouse.up()


def export(page: Page, to: Path) -> dict[str, object]:
    with page.expect_download() as download:
        page.get_by_role("button", name="Save the record as a file").click()
    assert download.value.suggested_filename == "riverside_02-2026-03-31-demonstration.json"
    download.value.save_as(to)
    record: dict[str, object] = json.loads(to.read_text(encoding="utf-8"))
    return record


def test_a_day_is_filled_in_offline_kept_exported_and_recorded(
    browser: Browser, page_file: Path, cottage: Path, tmp_path: Path
) -> None:
    with Tablet(browser, page_file) as tablet:
        page = tablet.open()
        fill_in(page)
        page.close()
        again = tablet.open()
        assert again.get_by_label("Reading").input_value() == "00417.5"
        assert again.locator("input[type=checkbox]:not(:checked)").count() == 0
        assert again.locator("[data-note]").first.input_value() == AWKWARD
        assert drawn(again, "buyer"), "the signature is drawn again"
        assert "Not shown yet: 0. Not tried yet: 0." in again.locator("#left").inner_text()
        file = tmp_path / "export.json"
        record = export(again, file)
        assert again.locator("#text").input_value() == file.read_text(encoding="utf-8")
        assert tablet.complaints == []
        assert [url for url in tablet.requests if not url.startswith(("file:", "blob:"))] == []
    told = {name: value for name, value in record.items() if name != "digest"}
    assert record["digest"] == hashlib.sha256(canonical(told).encode("utf-8")).hexdigest()
    assert record["meters"] == {
        "meter": {"reading": "00417.5", "day": "2026-03-31", "further": {"second": "31"}}
    }
    assert record["signatures"]["builder"] == {"name": "Typed by the builder", "strokes": []}  # type: ignore[index]
    assert record["stops"]["arrival"]["note"] == AWKWARD.replace("\u2028", " ")  # type: ignore[index]
    sheet = workspace_sheet(cottage, PLOT)
    shown = {(stop, name) for stop, each in record["stops"].items() for name in each["shown"]}  # type: ignore[attr-defined]
    assert shown == {(stop, thing.id) for stop, thing in things(sheet)}
    result = run("record", str(file), "--workspace", str(cottage), "--date", "2026-04-01")
    assert (result.exit_code, result.output.splitlines()[0]) == (0, "No findings.")
    kept = cottage / "developments/riverside/records/02/2026-03-31-demonstration.json"
    assert kept.read_bytes() == file.read_bytes()


def drawn(page: Page, signer: str) -> bool:
    """Whether a signature's box has ink in it."""
    ink = page.evaluate(
        "signer => document.querySelector(`[data-signer=${signer}] canvas`).getContext('2d')"
        ".getImageData(0, 0, 600, 200).data.some(value => value > 0)",
        signer,
    )
    return bool(ink)


def test_a_browser_without_web_crypto_makes_the_same_digest(
    browser: Browser, page_file: Path, cottage: Path, tmp_path: Path
) -> None:
    """Some browsers keep it from pages opened as files: then the page's own SHA-256 is used."""
    with Tablet(browser, page_file) as tablet:
        tablet.context.add_init_script(
            "Object.defineProperty(crypto, 'subtle', {value: undefined})"
        )
        page = tablet.open()
        assert page.evaluate("crypto.subtle === undefined")
        fill_in(page)
        record = export(page, tmp_path / "export.json")
        told = {name: value for name, value in record.items() if name != "digest"}
        assert record["digest"] == hashlib.sha256(canonical(told).encode("utf-8")).hexdigest()
        for length in (0, 1, 55, 56, 63, 64, 65, 119, 120, 1000):
            ours = page.evaluate(
                "length => hexadecimal(sha256(new Uint8Array(length).fill(97)))", length
            )
            assert ours == hashlib.sha256(b"a" * length).hexdigest(), length
    result = run(
        "record", str(tmp_path / "export.json"), "--workspace", str(cottage), "--date", "2026-04-01"
    )
    assert result.exit_code == 0, result.output


def test_what_is_missing_or_mistyped_is_told_before_the_export(
    browser: Browser, page_file: Path
) -> None:
    with Tablet(browser, page_file) as tablet:
        page = tablet.open()
        save, told = (
            page.get_by_role("button", name="Save the record as a file"),
            page.locator("#told"),
        )
        save.click()
        assert told.inner_text() == "Choose who showed the home."
        assert page.evaluate("document.activeElement.id") == "by"
        page.get_by_label("Shown by").select_option("sales")
        page.get_by_label("Reading").fill("12a")
        save.click()
        assert (
            told.inner_text() == "Write a reading in digits, with a point where the meter has one."
        )
        page.get_by_label("Reading").fill("12")
        page.locator("[data-key]").first.fill("1.5")
        save.click()
        assert told.inner_text() == "Count keys in whole numbers."


def test_a_signature_can_be_cleared_and_the_record_wiped(browser: Browser, page_file: Path) -> None:
    with Tablet(browser, page_file) as tablet:
        page = tablet.open()
        sign(page, "Buyer")
        assert drawn(page, "buyer")
        assert "Signatures: 1." in page.locator("#left").inner_text()
        page.get_by_role("button", name="Clear this signature: Buyer").click()
        assert not drawn(page, "buyer")
        page.locator("[data-name=buyer]").fill("Somebody")
        page.get_by_text("Wipe the record from this device").click()
        page.get_by_role("button", name="Wipe the record now").click()
        assert page.evaluate("localStorage.length") == 0
        page.close()
        assert tablet.open().locator("[data-name=buyer]").input_value() == ""


def test_two_plots_on_one_tablet_keep_their_own(
    browser: Browser, page_file: Path, cottage: Path, tmp_path: Path
) -> None:
    other = tmp_path / "other.html"
    assert (
        run(
            "demonstration", "riverside/01", "--workspace", str(cottage), "--out", str(other)
        ).exit_code
        == 0
    )
    with Tablet(browser, page_file) as tablet:
        first = tablet.open()
        first.get_by_label("Reading").fill("417")
        first.close()
        tablet.file = other
        assert tablet.open().get_by_label("Reading").input_value() == ""
        tablet.file = page_file
        assert tablet.open().get_by_label("Reading").input_value() == "417"


def test_the_policy_lets_nothing_else_run(
    browser: Browser, page_file: Path, tmp_path: Path
) -> None:
    """A changed script, an added one, and a picture from elsewhere are refused by the page itself."""
    text = page_file.read_text(encoding="utf-8")
    assert "http://" not in text
    assert "https://" not in text
    tampered = tmp_path / "tampered.html"
    tampered.write_text(
        text.replace("keep();\n</script>", "keep();window.slipped = 1;\n</script>").replace(
            "</main>", "</main><script>window.added = 1</script><img src='https://x.example/a.png'>"
        )
    )
    with Tablet(browser, tampered) as tablet:
        page = tablet.open()
        assert page.evaluate("[window.slipped, window.added]") == [None, None]
        assert sum("Content Security Policy" in each for each in tablet.complaints) >= 3


@pytest.mark.parametrize(
    ("plot", "size", "scheme"),
    [
        ("mill-lane/01", TABLET, "light"),
        ("mill-lane/01", PHONE, "dark"),
        ("harbour-view/05", TABLET, "dark"),
        ("harbour-view/05", PHONE, "light"),
    ],
    ids=["house-tablet-light", "house-phone-dark", "flat-tablet-dark", "flat-phone-light"],
)
def test_the_page_is_accessible_and_fits(
    plot: str, size: tuple[int, int], scheme: str, browser: Browser, tmp_path: Path
) -> None:
    file = tmp_path / "sheet.html"
    file.write_text(page_of(demo_sheet(plot), TEMPLATES), encoding="utf-8")
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme="dark" if scheme == "dark" else "light",
        bypass_csp=True,
    )
    page = context.new_page()
    page.goto(file.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    small = page.evaluate(
        "[...document.querySelectorAll('label.tick, button, select, input:not([type=checkbox]), textarea,"
        " nav a, summary')].filter(each => each.offsetParent && each.getBoundingClientRect().height < 44)"
        ".map(each => each.outerHTML)"
    )
    assert small == []
    page.add_script_tag(path=str(AXE))
    found = page.evaluate("axe.run(document, {rules: {'target-size': {enabled: true}}})")
    context.close()
    assert [
        f"{each['id']}: {node['html'][:120]} {node['failureSummary']}"
        for each in found["violations"]
        for node in each["nodes"]
    ] == []


def test_the_page_is_the_same_every_time() -> None:
    sheet = demo_sheet("mill-lane/03")
    assert page_of(sheet, TEMPLATES) == page_of(sheet, TEMPLATES)
