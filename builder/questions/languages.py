"""The languages of a workspace: how far each is, and the texts of homes that one still has to say."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from builder.errors import Findings
from builder.guide.walk.script import Script, script_of, without_basis
from builder.home.translated import texts_of
from builder.model.demonstration import Showing
from builder.model.home import Home
from builder.model.record import entries_of
from builder.questions.homes import Homes
from builder.sources.languages import HOMES, LanguageSource

_FILE = re.compile(r"[\w./-]+/[\w-]+\.[a-z]+")


@dataclass(frozen=True, slots=True)
class LanguageKept:
    """How far a language is: the texts that its catalogues say and lack, the articles and symptoms that
    guides show in it, those that they do not, and the plots whose guides it is in."""

    code: str
    name: str
    said: int
    lacking: int
    shown: int
    not_shown: int
    plots: tuple[str, ...]


def languages_kept(homes: Homes) -> Iterator[LanguageKept]:
    """Every language of a workspace, by its code."""
    for code, source in homes.workspace.languages.items():
        plots = tuple(
            name for name, each in homes.homes.items() if code in each.traced.home.languages
        )
        yield _kept_of(code, source, plots)


def _kept_of(code: str, source: LanguageSource, plots: tuple[str, ...]) -> LanguageKept:
    shown = sum(each.published for each in source.said)
    return LanguageKept(
        code,
        source.translated.language.name,
        sum(len(each.texts) for each in source.catalogues),
        sum(each.open for each in source.catalogues),
        shown,
        len(source.said) - shown,
        plots,
    )


def texts_to_say(homes: Homes, code: str) -> tuple[str, ...]:
    """The texts of the homes whose guides are in a language: names of rooms and kinds, places, notes,
    what people are called for, what is said at a demonstration; in the order of the letters. Those that another catalogue says already, such
    as the one that ships, are left out."""
    source = homes.workspace.languages.get(code)
    said = {
        text
        for each in (source.catalogues if source else ())
        if not each.file.endswith(f"/{HOMES}")
        for text in each.texts
    }
    script = script_of(homes.workspace, Findings())
    spoken = [
        each.traced.home for each in homes.homes.values() if code in each.traced.home.languages
    ]
    found = {
        text for home in spoken for text in (*texts_of_home(home), *_shown_words(home, script))
    }
    return tuple(sorted(text for text in found - said if is_words(text)))


def texts_of_home(home: Home) -> Iterator[str]:
    """Every text of a home that is published, as often as it stands there."""
    for name, section in entries_of(home).items():
        yield from texts_of(section, Home.model_fields[name].rebuild_annotation())
    for piece in home.equipment.values():
        for name, value in piece.facts.items():
            if isinstance(value, str) and not home.kinds[piece.kind].facts[name].rhythm:
                yield value


def _shown_words(home: Home, script: Script) -> Iterator[str]:
    """What is shown of the things in a home, and said of them."""
    kinds = dict.fromkeys(each.kind for each in home.equipment.values())
    kinds |= {each.kind: None for zone in home.zones.values() for each in zone.emitters.values()}
    rooms = dict.fromkeys(each.kind for each in home.rooms.values())
    showings = (
        *(script.of_kind(each, home) for each in kinds),
        *(script.room_kinds[each] for each in rooms if each in script.room_kinds),
        *script.subjects.values(),
    )
    for each in showings:
        yield from texts_of(without_basis(each), Showing)
    yield from script.before.values()


def is_words(text: str) -> bool:
    """Whether there is anything to translate: a letter at least, and no name of a file."""
    return any(each.isalpha() for each in text) and not _FILE.fullmatch(text)
