"""Reads the languages of a workspace: their catalogues and translated texts, over those that ship."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TypeVar

from babel import Locale
from babel.core import UnknownLocaleError
from frozendict import frozendict

from builder.errors import Finding, Findings, Place, printable, suggestion
from builder.languages.catalogue import ReadCatalogue, read_catalogue
from builder.languages.language import FIRST, FIRST_CODE, Language
from builder.model.article import Article
from builder.model.symptom import Symptom
from builder.model.translation import ArticleTexts, SymptomTextsFile
from builder.shipped import LAYER, below, shipped
from builder.sources.articles import read_with_front_matter
from builder.sources.folder import Folder
from builder.sources.kept_files import KeptFiles
from builder.sources.library import ArticleSource
from builder.sources.reading import read_file
from builder.sources.symptoms import SymptomSource
from builder.sources.translations import Said, translated_article, translated_symptom

T = TypeVar("T")
FOLDER = "content/languages"
_ONE_OR_MORE: Callable[[int], int] = FIRST.plural
"""How numbers choose a form where no catalogue says so."""
HOMES = "homes.po"
"""The catalogue of a workspace's own texts, which `handover languages` writes."""


@dataclass(frozen=True, slots=True)
class Originals:
    """What is translated: the articles and the symptoms of a workspace, by their ids; ``unread``: the ids of
    articles that cannot be read."""

    articles: Mapping[str, Article]
    symptoms: Mapping[str, Symptom]
    unread: frozenset[str]


def originals_of(
    articles: Mapping[str, ArticleSource],
    symptoms: Mapping[str, SymptomSource],
    unread: frozenset[str],
) -> Originals:
    """What can be translated of these."""
    return Originals(
        {name: each.article for name, each in articles.items()},
        {name: each.symptom for name, each in symptoms.items() if each.symptom is not None},
        unread,
    )


@dataclass(frozen=True, slots=True)
class Translated:
    """What a workspace says in another language: its words, and the articles and symptoms whose texts
    somebody has read, by their ids. ``sought``: what the others are called and found by, by the ids of
    their pages. Nobody is shown it, so it need not be read first."""

    language: Language
    articles: Mapping[str, Article] = field(default_factory=dict)
    symptoms: Mapping[str, Symptom] = field(default_factory=dict)
    sought: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def has(self, page: str) -> bool:
        """Whether an article or a symptom is in this language, by the id of its page; other pages are."""
        sort, _, name = page.partition(":")
        known = {"article": self.articles, "symptom": self.symptoms}.get(sort)
        return known is None or name in known


@dataclass(frozen=True, slots=True)
class LanguageSource:
    """A language, the catalogues that it was read from, and what there is to say of each translation."""

    translated: Translated
    catalogues: tuple[ReadCatalogue, ...]
    said: tuple[Said, ...] = ()


class LanguageSources(Mapping[str, LanguageSource]):
    """The languages of a workspace by their codes. One in which it has nothing of its own is read when it
    is first asked for: most workspaces have homes in the first language alone."""

    def __init__(
        self, read: Mapping[str, LanguageSource], unread: Mapping[str, "_LanguageReading"]
    ) -> None:
        self._read, self._unread = dict(read), unread

    def __getitem__(self, code: str) -> LanguageSource:
        if code not in self._read:
            self._read[code] = self._unread[code].language()
        return self._read[code]

    def __iter__(self) -> Iterator[str]:
        return iter(sorted({*self._read, *self._unread}))

    def __len__(self) -> int:
        return len({*self._read, *self._unread})

    __eq__ = object.__eq__
    __hash__ = object.__hash__


def read_languages(
    folder: Folder, originals: Originals, findings: Findings, kept: KeptFiles
) -> LanguageSources:
    """The languages of a workspace; mistakes in what is its own go to ``findings``.

    What is its own stands for what ships, one text at a time. ``kept``: what an earlier reading made of
    each file, which holds while neither the file nor what it translates has changed.
    """
    layers = [folder]
    if below(folder.root, FOLDER) is not None:
        layers.insert(0, Folder(shipped(), LAYER))
    known = {
        code: _LanguageReading(code, layers, originals, findings, kept)
        for code in _codes(layers, findings)
    }
    own = {path.name for path in folder.folders(FOLDER)} & known.keys()
    read = {code: known[code].language() for code in sorted(own)}
    return LanguageSources(read, {code: known[code] for code in known.keys() - own})


def _codes(layers: Iterable[Folder], findings: Findings) -> set[str]:
    return {
        path.name
        for layer in layers
        for path in layer.folders(FOLDER)
        if _is_known(path, layer, findings)
    }


def _is_known(path: Path, folder: Folder, findings: Findings) -> bool:
    """Whether a folder is named by the code of a language."""
    code = path.name
    try:
        known = code != FIRST_CODE and bool(Locale.parse(code, sep="-"))
    except (UnknownLocaleError, ValueError):
        known = False
    if not known:
        findings.add(
            Finding(
                "language.unknown",
                Place(folder.name(path)),
                f"'{printable(code)}' is not the code of another language.",
                "Name the folder by the code of its language, such as 'cy' for Welsh.",
            )
        )
    return known


@dataclass(frozen=True)
class _LanguageReading:
    """Reads one language from the layers that have it, the lowest first."""

    code: str
    layers: list[Folder]
    originals: Originals
    findings: Findings
    kept: KeptFiles

    def language(self) -> LanguageSource:
        catalogues = tuple(self._catalogues())
        articles, symptoms = dict(self._articles()), dict(self._symptoms())
        said = tuple(each for _, each in (*articles.values(), *symptoms.values()))
        translated = Translated(
            self._language_of(catalogues),
            {name: made for name, (made, each) in articles.items() if each.published},
            {name: made for name, (made, each) in symptoms.items() if each.published},
            {
                **{said.of: (made.front.title, *made.front.words) for made, said in articles.values() if not said.published},
                **{said.of: (made.title, *made.words) for made, said in symptoms.values() if not said.published},
            },
        )  # fmt: skip
        return LanguageSource(translated, catalogues, said)

    def _matching(self, pattern: str) -> Iterator[tuple[Folder, Path]]:
        for layer in self.layers:
            for path in layer.matching(f"{FOLDER}/{self.code}/{pattern}"):
                yield layer, path

    def _made_once(
        self, what: str, layer: Folder, path: Path, make: Callable[[Findings], T], *parts: object
    ) -> T:
        """What is made of one file, from the last time where neither it nor the other parts changed."""
        instead = layer.instead.get(layer.name(path))
        return self.kept.made(what, path, make, self.findings, instead, *parts)

    def _language_of(self, catalogues: tuple[ReadCatalogue, ...]) -> Language:
        """The very same language while its catalogues are: all that is made with it is made once."""
        folder = self.layers[-1].root / FOLDER / self.code
        return self.kept.made_of_folder(
            "spoken",
            folder,
            lambda _: _language_of(self.code, catalogues),
            self.findings,
            catalogues,
        )

    def _catalogues(self) -> Iterator[ReadCatalogue]:
        for layer, path in self._matching("*.po"):
            if path.name == HOMES and layer.name(path).startswith(LAYER):
                continue  # The texts of the homes that the builder is shown with.
            make = partial(_catalogue, layer, path, self.code)
            made = self._made_once("catalogue", layer, path, make)
            if made is not None:
                yield made

    def _articles(self) -> Iterator[tuple[str, tuple[Article, Said]]]:
        known = (*self.originals.articles, *self.originals.unread)
        for layer, path in self._matching("articles/*.md"):
            make = partial(self._article, layer, path)
            original = self.originals.articles.get(path.stem)
            made = self._made_once("article in a language", layer, path, make, original, known)
            if made is not None:
                yield path.stem, made

    def _article(
        self, layer: Folder, path: Path, findings: Findings
    ) -> tuple[Article, Said] | None:
        read = read_with_front_matter(layer, path, ArticleTexts, findings)
        if read is None or path.stem in self.originals.unread:
            return None
        place = Place(layer.name(path))
        article = _thing_translated(path.stem, self.originals.articles, "article", place, findings)
        if article is None:
            return None
        return translated_article(article, read.front, read.body, place, read.body_line)

    def _symptoms(self) -> Iterator[tuple[str, tuple[Symptom, Said]]]:
        originals = self.originals.symptoms
        for layer, path in self._matching("symptoms/*.yaml"):
            make = partial(self._symptoms_in, layer, path)
            yield from self._made_once("symptoms in a language", layer, path, make, originals)

    def _symptoms_in(
        self, layer: Folder, path: Path, findings: Findings
    ) -> tuple[tuple[str, tuple[Symptom, Said]], ...]:
        read = read_file(layer, path, SymptomTextsFile, findings)
        if read is None or read.record is None:
            return ()
        entries, made = read.entry.children["symptoms"].children, []
        for name, texts in read.record.symptoms.items():
            place = entries[name].named_at
            symptom = _thing_translated(name, self.originals.symptoms, "symptom", place, findings)
            if symptom is not None:
                made.append((name, translated_symptom(name, symptom, texts, place)))
        return tuple(made)


def _catalogue(layer: Folder, path: Path, code: str, findings: Findings) -> ReadCatalogue | None:
    text = layer.read_on(path, findings)
    made, found = read_catalogue(text or "", layer.name(path), code)
    findings.extend(found)
    return made


def _thing_translated(
    name: str, known: Mapping[str, T], what: str, place: Place, findings: Findings
) -> T | None:
    """What a translation is of; one that ships may be of what a workspace goes without."""
    if name not in known and not place.file.startswith(LAYER):
        findings.add(
            Finding(
                "language.of-nothing",
                place,
                f"There is no {what} '{name}' to be translated.",
                suggestion(name, tuple(known), f"The {what}s here"),
            )
        )
    return known.get(name)


def _language_of(code: str, catalogues: tuple[ReadCatalogue, ...]) -> Language:
    texts = {ours: forms for each in catalogues for ours, forms in each.texts.items()}
    plural = next((each.plural for each in catalogues if each.plural), _ONE_OR_MORE)
    return Language(code, texts=frozendict(texts), plural=plural)
