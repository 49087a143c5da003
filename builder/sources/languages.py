"""Reads the languages of a workspace: their catalogues and translated texts, over those that ship."""

import gettext
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from babel import Locale
from babel.core import UnknownLocaleError
from frozendict import frozendict

from builder.errors import Finding, Findings, Place
from builder.languages.catalogue import ReadCatalogue, read_catalogue
from builder.languages.language import FIRST_CODE, Language
from builder.model.article import Article
from builder.model.symptom import Symptom
from builder.shipped import LAYER, below, shipped
from builder.sources.folder import Folder

FOLDER = "content/languages"


@dataclass(frozen=True, slots=True)
class Translated:
    """What a workspace says in another language: its words, and the articles and symptoms whose texts
    somebody has read, by their ids."""

    language: Language
    articles: Mapping[str, Article] = field(default_factory=dict)
    symptoms: Mapping[str, Symptom] = field(default_factory=dict)

    def has(self, page: str) -> bool:
        """Whether an article or a symptom is in this language, by the id of its page; other pages are."""
        sort, _, name = page.partition(":")
        known = {"article": self.articles, "symptom": self.symptoms}.get(sort)
        return known is None or name in known


@dataclass(frozen=True, slots=True)
class LanguageSource:
    """A language, and the catalogues that it was read from."""

    translated: Translated
    catalogues: tuple[ReadCatalogue, ...]


def read_languages(folder: Folder, findings: Findings) -> Mapping[str, LanguageSource]:
    """The languages of a workspace by their codes; mistakes go to ``findings``.

    Words of its own stand for those that ship, one text at a time.
    """
    ships = Folder(shipped(), LAYER) if below(folder.root, FOLDER) is not None else None
    read: dict[str, list[ReadCatalogue]] = {}
    for each in (ships, folder):
        for path in each.matching(f"{FOLDER}/*/*.po") if each else ():
            code = path.parent.name
            if each and _is_known(code, each, path, findings):
                read.setdefault(code, []).extend(_read(each, path, code, findings))
    return {code: _made(code, catalogues) for code, catalogues in sorted(read.items())}


def _is_known(code: str, folder: Folder, path: Path, findings: Findings) -> bool:
    """Whether a folder is named by the code of a language."""
    try:
        known = code != FIRST_CODE and bool(Locale.parse(code, sep="-"))
    except (UnknownLocaleError, ValueError):
        known = False
    if not known:
        findings.add(
            Finding(
                "language.unknown",
                Place(folder.name(path)),
                f"'{code}' is not the code of another language.",
                "Name the folder by the code of its language, such as 'cy' for Welsh.",
            )
        )
    return known


def _read(folder: Folder, path: Path, code: str, findings: Findings) -> Iterator[ReadCatalogue]:
    text = folder.read_on(path, findings)
    if text is None:
        return
    made, found = read_catalogue(text, folder.name(path), code)
    findings.extend(found)
    if made is not None:
        yield made


def _made(code: str, catalogues: list[ReadCatalogue]) -> LanguageSource:
    texts = {ours: forms for each in catalogues for ours, forms in each.texts.items()}
    plural = catalogues[0].plural if catalogues else "(n != 1)"
    unread = [each for each in catalogues if not each.read_by]
    language = Language(
        code,
        texts=frozendict(texts),
        plural=gettext.c2py(plural),
        read_by="" if unread or not catalogues else catalogues[-1].read_by,
        place=Place(catalogues[0].file) if catalogues else None,
    )
    return LanguageSource(Translated(language), tuple(catalogues))
