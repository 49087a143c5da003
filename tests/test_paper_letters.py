"""A Chinese name or an emoji is named on paper, told by ``check``, and stops nothing."""

import random
import shutil
import unicodedata
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner

from builder.cli import main
from builder.craft.glyphs import lacking, printable_on_paper
from builder.writers.paper.book import NOTE
from tests.conftest import COTTAGE
from tests.paper_letters import without_shape


def test_what_is_known_is_what_the_fonts_have() -> None:
    """Typst is asked for a sample of letters: those that it refuses are those that are named."""
    every = [chr(each) for each in range(0xA0, 0x20000)
             if unicodedata.category(chr(each)) not in ("Cc", "Cs", "Co", "Cn", "Cf", "Mn", "Me")]  # fmt: skip
    sample = random.Random(7).sample(every, 700) + [chr(each) for each in range(0xA0, 0x530)]
    sample = [each for each in sample if unicodedata.name(each, "")]
    assert {each for each in sample if list(lacking(each))} == without_shape(sample)


@pytest.mark.parametrize(
    ("written", "printed"),
    [
        ("Chen Wei (\u9648\u4f1f)", "Chen Wei ([Chinese: U+9648 U+4F1F])"),
        ("Home \U0001f3e0", "Home [picture: U+1F3E0]"),
        ("\U0001f525\ufe0f", "[picture: U+1F525]"),
        ("\U0001f469\u200d\U0001f527!", "[picture: U+1F469 U+1F527]!"),
        ("Zoë, Łukasz, Αθηνά, Вода, שלום: 20 m² → ½", "Zoë, Łukasz, Αθηνά, Вода, שלום: 20 m² → ½"),
        ("\u0e04\ud55c\u3042", "[Thai, Korean, Japanese: U+0E04 U+D55C U+3042]"),
        ("a\ufe0fb", "ab"),
    ],
)
def test_what_stands_on_paper(written: str, printed: str) -> None:
    assert printable_on_paper(written) == printed


def test_every_paper_of_every_plot_is_printed(tmp_path: Path) -> None:
    workspace = Path(shutil.copytree(COTTAGE, tmp_path / "cottage"))
    standard = workspace / "housetypes" / "cottage.yaml"
    standard.write_text(
        standard.read_text().replace("make: Tarn", "make: Tarn \u9648\u4f1f \U0001f6b0")
    )
    given = ["--workspace", str(workspace), "--date", "2026-11-25"]
    told = CliRunner().invoke(main, ["check", *given])
    assert told.exit_code == 0, told.output
    assert "warning words.paper-letter" in told.output
    assert "'[Chinese: U+9648 U+4F1F] [picture: U+1F6B0]' stands there instead." in told.output
    result = CliRunner().invoke(
        main,
        [
            "print",
            *given,
            "--paper",
            "book",
            "--paper",
            "emergency",
            "--out",
            str(tmp_path / "paper"),
        ],
    )
    assert result.exit_code == 0, result.output
    assert "4 papers printed." in result.output
    for book in (tmp_path / "paper").rglob("guide-book.pdf"):
        document = pypdfium2.PdfDocument(book)
        text = " ".join(page.get_textpage().get_text_range() for page in document)
        assert "[Chinese: U+9648 U+4F1F]" in " ".join(text.split())
        assert NOTE.split(",")[0] in " ".join(document[0].get_textpage().get_text_range().split())
