"""A colleague at the desk, in a real browser: with a mouse, or with the keyboard alone."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Download, Locator, Page, expect

MOST_STEPS = 600
"""Steps of the Tab key on one page before something counts as out of reach."""


class Colleague:
    """Does what a person does: reads names and labels, and never an address or a file."""

    def __init__(self, page: Page, *, keyboard: bool) -> None:
        self.page, self.keyboard = page, keyboard

    def reach(self, target: Locator) -> None:
        """Go to a field, a button or a link with the Tab key, and see that it can be seen to be there."""
        target.wait_for(state="attached")
        handle = target.element_handle()
        assert handle is not None
        for _ in range(MOST_STEPS):
            if handle.evaluate("each => each === document.activeElement"):
                outline = handle.evaluate("each => getComputedStyle(each).outlineStyle")
                assert outline != "none", "whoever uses the keyboard does not see where they are"
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"the keyboard does not reach {target}")

    def press(self, name: str, *, exact: bool = True) -> None:
        """Press a button."""
        self._go(self.page.get_by_role("button", name=name, exact=exact))

    def follow(self, name: str, *, inside: str | None = None) -> None:
        """Follow a link; ``inside``: the landmark that it stands in."""
        place = self.page.get_by_role("navigation", name=inside) if inside else self.page
        self._go(place.get_by_role("link", name=name, exact=True).first)

    def _go(self, target: Locator) -> None:
        if self.keyboard:
            self.reach(target)
            self.page.keyboard.press("Enter")
        else:
            target.click()

    def write(self, label: str, text: str) -> None:
        """Write into a field, over what stands there."""
        field = self.page.get_by_label(label, exact=True)
        if not self.keyboard:
            field.fill(text)
            return
        self.reach(field)
        if field.get_attribute("type") == "date":
            year, month, day = text.split("-")
            # Chromium orders a day by its own language, which is American English in the tests.
            self.page.keyboard.type(f"{month}{day}{year}")
        else:
            self.page.keyboard.press("ControlOrMeta+a")
            self.page.keyboard.type(text)
        expect(field).to_have_value(text)

    def choose(self, label: str, words: str) -> None:
        """Choose from a list."""
        field = self.page.get_by_label(label, exact=True)
        if self.keyboard:
            self.reach(field)
            self.page.keyboard.type(words[:40])
            assert field.evaluate("each => each.selectedOptions[0].text") == words
        else:
            field.select_option(label=words)

    def tick(self, label: str) -> None:
        """Tick a box."""
        box = self.page.get_by_role("checkbox", name=label)
        if self.keyboard:
            self.reach(box)
            self.page.keyboard.press("Space")
        else:
            box.check()
        expect(box).to_be_checked()

    def bring(self, label: str, file: Path) -> None:
        """Choose a file. What the system asks then is no part of the page."""
        field = self.page.get_by_label(label, exact=True)
        if self.keyboard:
            self.reach(field)
        field.set_input_files(file)

    @contextmanager
    def getting(self, folder: Path) -> Iterator[list[Path]]:
        """What is downloaded meanwhile, as files of a folder."""
        files: list[Path] = []
        with self.page.expect_download() as expected:
            yield files
        download: Download = expected.value
        place = folder / download.suggested_filename
        download.save_as(place)
        files.append(place)

    def read(self, words: str) -> None:
        """See that a page says something."""
        expect(self.page.locator("main")).to_contain_text(words, timeout=120_000)
