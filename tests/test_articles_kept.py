"""Articles are looked at again in time, and a reader of twelve can read them."""

from datetime import date
from pathlib import Path

import pytest

from builder.errors import Finding, Findings
from builder.preparing import prepare
from builder.rules.articles import articles_are_kept, reading_age
from builder.rules.terms import one_term
from builder.sources.workspace import read_workspace
from tests.conftest import PROJECT

REVIEWED = date(2026, 2, 2)


def kept(cottage: Path, day: date) -> list[Finding]:
    return list(articles_are_kept(read_workspace(cottage, Findings()), day))


def article(cottage: Path, reviewed: str, body: str) -> None:
    path = cottage / "content" / "articles" / "water-off.md"
    front = path.read_text(encoding="utf-8").split("---")[1]
    lines = [line for line in front.splitlines() if line and not line.startswith("reviewed")]
    text = "\n".join(["---", *lines, f"reviewed: {reviewed}", "---", body, ""])
    path.write_text(text, encoding="utf-8")


@pytest.mark.parametrize(
    ("body", "age"),
    [
        # 17 letters, 6 words, 1 sentence: 4.71 * 17 / 6 + 0.5 * 6 - 21.43 = -5.085, and 5 more.
        ("The cat sat on the mat.", -0.085),
        # 25 letters, 4 words, 2 sentences: 4.71 * 25 / 4 + 0.5 * 4 / 2 - 21.43 = 9.0075, and 5.
        ("Turn it. Isolating everything.", 14.0075),
        # Names of things and cells of tables are no sentences.
        ("The cat sat on the mat. Yes. One thing.", -0.085),
        ("", 0.0),
    ],
)
def test_the_reading_age_worked_by_hand(body: str, age: float) -> None:
    """The Automated Readability Index, from memory: 4.71 letters a word + 0.5 words a sentence."""
    assert reading_age(body) == pytest.approx(age)


def test_marks_and_templates_are_not_read() -> None:
    plain = "Turn the tap. Call for help."
    dressed = "{% if has_kind('tap') %}\n1. **Turn** the [tap](article:tap). {# why #}Call for help.\n{% endif %}"
    assert reading_age(dressed) == pytest.approx(reading_age(plain))


def test_hard_words_are_reported_with_both_ages(cottage: Path) -> None:
    article(
        cottage,
        "2026-02-02",
        "Counterintuitively, thermostatically controlled installations necessitate recalibration.",
    )
    (finding,) = [each for each in kept(cottage, REVIEWED) if each.code == "articles.reading-age"]
    # 81 letters, 6 words, 1 sentence: 4.71 * 81 / 6 + 3 - 21.43 + 5 = 50.2.
    assert finding.wrong == (
        "A reader needs an age of 50.2 years for this article; the house keeps to 12."
    )
    assert finding.right == (
        "Write shorter sentences and shorter words. The hardest begins: "
        "'Counterintuitively, thermostatically controlled …'."
    )
    assert finding.place.file == "content/articles/water-off.md"


def test_a_long_sentence_is_named_at_its_line(cottage: Path) -> None:
    words = " ".join(["tap"] * 26)
    article(cottage, "2026-02-02", f"Turn it.\n\n- {{{{ home.plot.id }}}} runs.\n- Now {words}!\n")
    (finding,) = [each for each in kept(cottage, REVIEWED) if each.code == "articles.long-sentence"]
    assert finding.wrong.startswith("This sentence has 27 words: 'Now tap tap")
    assert finding.right == "Make two of it; a sentence has at most 25 words."
    text = (cottage / finding.place.file).read_text(encoding="utf-8").split("\n")
    assert text[finding.place.line - 1][finding.place.column - 1 :].startswith("Now tap")


def test_a_sentence_of_25_words_is_short_enough(cottage: Path) -> None:
    article(cottage, "2026-02-02", f"Turn it. {' '.join(['tap'] * 25)}.")
    assert "articles.long-sentence" not in {each.code for each in kept(cottage, REVIEWED)}


@pytest.mark.parametrize(
    ("day", "codes"),
    [
        (date(2026, 2, 1), ["articles.review-ahead"]),
        (date(2026, 2, 2), []),
        (date(2029, 2, 2), []),
        (date(2029, 2, 3), ["articles.review-past"]),
    ],
)
def test_a_review_holds_for_three_years(cottage: Path, day: date, codes: list[str]) -> None:
    article(cottage, "2026-02-02", "Turn the tap.")
    found = [each for each in kept(cottage, day) if each.place.file.endswith("water-off.md")]
    assert [each.code for each in found] == codes


def test_what_ships_was_reviewed_after_a_day_long_ago_and_nobody_is_told(cottage: Path) -> None:
    (cottage / "content/library.yaml").unlink()
    workspace = read_workspace(cottage, Findings())
    assert any(each.ships for each in workspace.articles.values())
    ahead = [each.place.file for each in articles_are_kept(workspace, date(2020, 1, 1)) if each.code == "articles.review-ahead"]  # fmt: skip
    assert ahead
    assert all(file.startswith("content/") for file in ahead)


def test_all_that_ship_and_are_past_their_review_are_told_once(cottage: Path) -> None:
    (cottage / "content/library.yaml").unlink()
    workspace = read_workspace(cottage, Findings())
    shipped = [each for each in workspace.articles.values() if each.ships]
    first = min(each.article.front.reviewed for each in shipped)
    told = [
        each for each in articles_are_kept(workspace, date(2044, 1, 1))
        if each.place.file.startswith("shipped/")
    ]  # fmt: skip
    assert [(each.code, each.wrong, each.right) for each in told] == [(
        "articles.review-past",
        f"{len(shipped)} articles that ship were last reviewed more than 3 years ago, the first on {first.isoformat()}.",
        "Take a newer version of the builder; 'handover articles --due' lists them.",
    )]  # fmt: skip


def test_a_review_that_is_past_names_both_days(cottage: Path) -> None:
    article(cottage, "2026-02-02", "Turn the tap.")
    (finding,) = [
        each for each in kept(cottage, date(2030, 1, 1)) if each.place.file.endswith("water-off.md")
    ]
    assert (
        finding.wrong == "This article was last reviewed on 2026-02-02; it was due on 2029-02-02."
    )
    assert finding.right == "Read it again, check its sources, and write today's date."


def test_every_article_of_the_library_can_be_read_at_twelve() -> None:
    workspace = read_workspace(PROJECT, Findings())
    ages = {name: reading_age(each.article.body) for name, each in workspace.articles.items()}
    assert len(ages) > 80
    assert {name: age for name, age in ages.items() if age > 12} == {}


def test_a_sticker_without_an_article_is_reported(cottage: Path) -> None:
    """The consumer unit of the cottage gets a page and no article; with a sticker it needs one."""
    standard = cottage / "housetypes" / "standard.yaml"
    text = standard.read_text(encoding="utf-8")
    codes = {each.code for each in prepare(cottage, [], REVIEWED).findings}
    assert "equipment.no-article" in codes
    assert "stickers.no-article" not in codes
    standard.write_text(
        text.replace("turns_off: electricity", "turns_off: electricity, sticker: large"),
        encoding="utf-8",
    )
    found = [
        each
        for each in prepare(cottage, [], REVIEWED).findings
        if each.code == "stickers.no-article"
    ]
    assert [(each.wrong, each.right) for each in found] == [
        (
            "No article of this guide is about 'Consumer unit'.",
            "Name one under 'article', or add 'consumer-unit' to the 'equipment' of one.",
        )
    ]


def test_another_name_of_a_thing_is_noted(cottage: Path) -> None:
    path = cottage / "content" / "articles" / "water-off.md"
    text = path.read_text(encoding="utf-8").replace(
        "summary: Where your stopcock is.",
        "summary: Where your stop valves are.\nwords: [stop valve]",
    )
    more = 'Look at the [Fuse Box](article:fuse-box), {{ "fuse box" }} and its flue.\n'
    path.write_text(f"{text}\n{more}", encoding="utf-8")
    found = list(one_term(read_workspace(cottage, Findings())))
    assert [(each.wrong, each.right) for each in found] == [
        ("'stop valves' is called 'stopcock' on other pages.", "Say 'stopcock', and list 'stop valves' under 'words', for those who look for it."),
        ("'Fuse Box' is called 'consumer unit' on other pages.", "Say 'consumer unit', and list 'Fuse Box' under 'words', for those who look for it."),
    ]  # fmt: skip
    lines = path.read_text(encoding="utf-8").split("\n")
    assert lines[found[1].place.line - 1] == more.rstrip()


def test_the_library_has_one_name_for_each_thing() -> None:
    assert list(one_term(read_workspace(PROJECT, Findings()))) == []
