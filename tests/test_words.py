"""The words of the library: easy to read by an independent measure, British, said once, and sourced."""

import gc
import re
import warnings
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from statistics import mean, median
from typing import Any

import pytest
import textstat
import yaml
from spylls.hunspell import Dictionary

from builder.rules.articles import WHOLE, sentences
from tests.conftest import PROJECT

HERE = Path(__file__).parent / "words"
ARTICLES = {path.stem: path for path in sorted((PROJECT / "content/articles").glob("*.md"))}
DATA = (
    *sorted((PROJECT / "content/symptoms").glob("*.yaml")),
    *sorted((PROJECT / "content/demonstration").glob("*.yaml")),
    *sorted((PROJECT / "builder/nations").glob("*.yaml")),
    PROJECT / "housetypes/standard.yaml",
)
NO_TEXT = {
    "words", "kind", "system", "article", "equipment", "mentions", "when", "see", "read", "matter",
    "basis", "to", "has", "is", "call", "role", "roles", "path", "drawn", "sticker", "counts_as",
}  # fmt: skip
"""Keys of data below which ids stand, and what people type."""
HARDEST, HARD_AT_MOST, WORDS_AT_MOST = 8, 6, 12
LONG = 12
"""Words of a paragraph that may not stand in two articles. Shorter ones are steps."""
PUBLISHED_AT_LEAST = 430


def parts(path: Path) -> tuple[dict[str, Any], str]:
    """The front matter of an article, all of it as text, and its body."""
    front, body = path.read_text(encoding="utf-8").split("\n---\n", 1)
    return yaml.load(front, Loader=yaml.CBaseLoader), body


def said(path: Path) -> list[str]:
    """The sentences of an article: its body, its actions and its cautions."""
    front, body = parts(path)
    cautions = front.get("cautions", {}).values()
    told = [
        *front.get("actions", []),
        *(each[key] for each in cautions for key in ("danger", "stop")),
    ]
    return [" ".join(each.text.split()) for each in sentences("\n\n".join([body, *told]))]


def read(path: Path) -> list[str]:
    """The whole sentences of an article. Names of things and cells of tables make any text look easy."""
    return [each for each in said(path) if len(each.split()) >= WHOLE]


def grade(text: str) -> float:
    """The school grade of a text by Flesch and Kincaid, as another library works it out."""
    return float(textstat.flesch_kincaid_grade(text))


@pytest.fixture(scope="module")
def grades() -> dict[str, float]:
    return {name: grade(". ".join(read(path)) + ".") for name, path in ARTICLES.items()}


def test_articles_are_easy_to_read(grades: dict[str, float]) -> None:
    hardest = sorted(grades, key=lambda name: -grades[name])[:10]
    assert median(grades.values()) <= HARD_AT_MOST
    assert {name: hard_sentence(ARTICLES[name]) for name in hardest if grades[name] > HARDEST} == {}


def hard_sentence(path: Path) -> str:
    return max(read(path), key=grade)


def test_sentences_are_short() -> None:
    lengths = {
        name: mean(len(each.split()) for each in read(path)) for name, path in ARTICLES.items()
    }
    assert mean(lengths.values()) <= WORDS_AT_MOST
    assert {name: round(each, 1) for name, each in lengths.items() if each > WORDS_AT_MOST} == {}


WORD = re.compile(r"[^\W\d_]+(?:['\u2019][^\W\d_]+)*")


def texts() -> Iterator[tuple[str, str]]:
    for path in ARTICLES.values():
        front, body = parts(path)
        yield path.name, " ".join(each.text for each in sentences(body))
        yield from ((path.name, each) for each in strings(front))
    for path in DATA:
        data = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CBaseLoader)
        yield from ((path.name, each) for each in strings(data))


def strings(value: Any) -> Iterator[str]:
    """Texts of more than one word; one word alone is an id."""
    if isinstance(value, dict):
        for key, each in value.items():
            if key not in NO_TEXT:
                yield from strings(each)
    elif isinstance(value, list):
        for each in value:
            yield from strings(each)
    elif " " in value:
        yield re.sub(r"\{[^}]*\}", " ", value)


def british() -> Dictionary:
    """The dictionary. Its reader leaves files open, which the collector closes here."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ResourceWarning)
        dictionary = Dictionary.from_files("/usr/share/hunspell/en_GB")
        gc.collect()
    return dictionary


def test_words_are_spelt_as_in_britain() -> None:
    """Against hunspell's dictionary of British English, as Debian ships it."""
    dictionary = british()
    lines = (HERE / "trade.txt").read_text(encoding="utf-8").splitlines()
    trade = {line for line in lines if not line.startswith("#")}
    known: dict[str, bool] = {}
    unknown: dict[str, str] = {}
    for name, text in texts():
        for word in WORD.findall(text.replace("\u2019", "'")):
            if word not in known:
                known[word] = word in trade or dictionary.lookup(word)
            if not known[word]:
                unknown.setdefault(word, name)
    assert unknown == {}
    assert trade <= known.keys(), "words of the trade that nobody uses"
    assert not dictionary.lookup("color")


def plain(text: str) -> tuple[str, ...]:
    return tuple(re.findall(r"\w+", re.sub(r"\]\([^)]*\)", "]", text).lower()))


def test_no_paragraph_stands_twice() -> None:
    places: dict[tuple[str, ...], list[str]] = {}
    for name, path in ARTICLES.items():
        body = re.sub(r"\{%.*?%\}", "", parts(path)[1], flags=re.DOTALL)
        for line in body.splitlines():
            told = plain(re.sub(r"\{\{.*?\}\}", "", line))
            if len(told) >= LONG:
                places.setdefault(told, []).append(name)
    assert {" ".join(told): names for told, names in places.items() if len(names) > 1} == {}


def test_what_to_do_first_is_not_said_again() -> None:
    """No sentence of a body has nearly all words of one of the article's actions, and no others."""
    again = {}
    for name, path in ARTICLES.items():
        front, body = parts(path)
        for action in front.get("actions", []):
            told = set(plain(action))
            for each in sentences(body):
                other = set(plain(each.text))
                if len(told & other) / len(told | other) > 0.8:
                    again[name] = (action, each.text)
    assert again == {}


def sources() -> Iterator[tuple[str, dict[str, str]]]:
    for name, path in ARTICLES.items():
        for key, source in parts(path)[0]["sources"].items():
            yield f"{name}/{key}", source
    for path in sorted((PROJECT / "content/symptoms").glob("*.yaml")):
        data = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CBaseLoader)
        for name, symptom in data["symptoms"].items():
            for key, source in symptom["sources"].items():
                yield f"symptom {name}/{key}", source


def test_facts_have_published_sources() -> None:
    bases = Counter(source["basis"] for name, source in sources() if not name.startswith("symptom"))
    assert bases["published"] >= PUBLISHED_AT_LEAST
    assert bases["from memory"] == 0


def test_sources_are_laws_standards_and_public_bodies() -> None:
    """Each is named in ``words/bodies.yaml``: so no seller, maker or warranty body can slip in."""
    bodies = yaml.safe_load((HERE / "bodies.yaml").read_text(encoding="utf-8"))
    names = [name for each in bodies.values() for name in each]
    unknown = {}
    for name, source in sources():
        if source["basis"] == "published":
            told = f"{source['document']} {source.get('edition', '')} {source['where']}"
            if not any(each in told for each in names):
                unknown[name] = told
    assert unknown == {}
