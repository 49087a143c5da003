"""The stickers of a home of every development of the demo: each sheet prints, and every code decodes, also from a poor scan."""

from datetime import date
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
import pytest
import zxingcpp

from builder.errors import Findings
from builder.preparing import prepare
from builder.register.labelling import labels_of
from builder.register.printing import print_sheet
from builder.register.reading import read_register
from builder.register.stocks import stocks_of
from tests.demo import BUILT_AGAIN, PROJECT

STOCK = "a4-10-of-99x57"


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, set[str]]:
    """One PDF of their stickers, read back at 300 dpi as it was printed, and all their addresses."""
    preparation = prepare(PROJECT, BUILT_AGAIN, date(2026, 3, 1))
    folder = preparation.workspace.folder
    labels = [
        label
        for prepared in preparation.plots.values()
        for label in labels_of(
            prepared, read_register(folder, prepared.plot.development, Findings())
        )
    ]
    assert {name.split("/")[0] for name in preparation.plots} == set(
        preparation.workspace.developments
    )
    assert len(labels) >= len(BUILT_AGAIN) * 10
    out = tmp_path_factory.mktemp("sheets") / "all.pdf"
    placed = print_sheet(labels, stocks_of(PROJECT)[STOCK], 4, PROJECT, out)
    assert placed[0].position == 4
    assert len({(each.page, each.position) for each in placed}) == len(labels)
    return out, {label.address for label in labels}


def scanned(page: pypdfium2.PdfPage, chance: np.random.Generator) -> np.ndarray:
    """A page as a worn office scanner at 200 dpi sees it: askew, soft, grey and noisy."""
    picture = np.array(page.render(scale=200 / 72, grayscale=True).to_pil().convert("L"))
    height, width = picture.shape
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), chance.uniform(-1.5, 1.5), 1.0)
    askew = cv2.warpAffine(picture, turn, (width, height), borderValue=255)
    soft = cv2.GaussianBlur(askew, (0, 0), 0.7).astype(float)
    grey = 40 + 0.65 * soft + chance.normal(0, 6, soft.shape)
    return np.clip(grey, 0, 255).astype(np.uint8)


def test_every_code_decodes_from_a_poor_scan_at_200_dpi(sheet: tuple[Path, set[str]]) -> None:
    file, addresses = sheet
    chance = np.random.default_rng(20260301)
    document = pypdfium2.PdfDocument(file)
    read = {
        found.text for page in document for found in zxingcpp.read_barcodes(scanned(page, chance))
    }
    document.close()
    assert len(addresses - read) == 0, f"{len(addresses - read)} of {len(addresses)} were not read"
    assert read == addresses


def test_a_sheet_is_the_same_to_the_byte(sheet: tuple[Path, set[str]], tmp_path: Path) -> None:
    preparation = prepare(PROJECT, ["harbour-view/05"], date(2026, 3, 1))
    register = read_register(preparation.workspace.folder, "harbour-view", Findings())
    labels = labels_of(preparation.plots["harbour-view/05"], register)
    for name in ("one.pdf", "two.pdf"):
        print_sheet(labels, stocks_of(PROJECT)[STOCK], 1, PROJECT, tmp_path / name)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
