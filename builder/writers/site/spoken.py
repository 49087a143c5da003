"""What the scripts of a guide are told, in scripts of words alone that come before them: whose home it is,
and their words in another language."""

import json
from collections.abc import Iterable, Iterator
from io import BytesIO

from builder.languages.language import Language
from builder.writers.site.assets import Assets

HOME = "home.js"
"""The file that says whose home it is, beside the first page of a guide."""
SPOKEN = "spoken.js"
"""The file of words, in the folder of the language."""
_SAYS = {"say": None}
_WITHIN = {"parse_template_string": True}
"""Texts are said inside others too."""


def home_file(address: str) -> dict[str, bytes]:
    """What says whose home a guide is about, by the beginning of its address. Nothing else in a frame differs
    from home to home, so that homes that are alike have the very same pages."""
    return {HOME: f"window.handoverHome = {json.dumps(address)};\n".encode()}


def texts_of_scripts(assets: Assets) -> tuple[str, ...]:
    """All texts that the scripts of a theme say, in the first language."""
    scripts = (assets.content(name) for name in sorted(assets.files) if name.endswith(".js"))
    return tuple(dict.fromkeys(text for each in scripts for text in _texts(each)))


def _texts(script: bytes) -> Iterator[str]:
    # Only guides in several languages need what finds texts.
    from babel.messages.extract import extract  # noqa: PLC0415

    for _, message, _, _ in extract("javascript", BytesIO(script), _SAYS, options=_WITHIN):
        yield message if isinstance(message, str) else message[0]


def spoken_names(languages: Iterable[Language]) -> Iterator[str]:
    """The paths in a guide of the words of its scripts, in its other languages."""
    return (f"{each.code}/{SPOKEN}" for each in languages)


def spoken_files(languages: Iterable[Language], texts: tuple[str, ...]) -> dict[str, bytes]:
    """The same with what they hold."""
    return {f"{each.code}/{SPOKEN}": spoken(each, texts) for each in languages}


def spoken(language: Language, texts: tuple[str, ...]) -> bytes:
    """The words of scripts in a language: texts by what they are in the first, months as they stand in
    days, and beginnings of words that are alike to who looks for one."""
    words = {each: language.text(each) for each in texts if language.knows(each)}
    said = {"words": words, "months": language.months, "alike": language.alike}
    return f"window.handoverSaid = {json.dumps(said, separators=(',', ':'))};\n".encode()
