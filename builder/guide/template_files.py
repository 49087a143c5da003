"""The template files of a folder, ours or those of a workspace, ready to be filled in."""

from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from builder.compiled import keep_compiled
from builder.guide.fence import environment_for, values_within
from builder.languages.language import Language
from builder.languages.templates import SAYS, install_words
from builder.shipped import Layered


def template_files(
    folder: Layered, language: Language | None = None, **options: Any
) -> Environment:
    """Templates that escape what they print, and stop at a value that is not there.

    ``language``: the one that they speak, where they speak one. ``options``: further ones of Jinja.
    """
    environment = environment_for(
        ours=folder.ours,
        loader=FileSystemLoader(folder.folders),
        undefined=StrictUndefined,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=[SAYS],
        **options,
    )
    keep_compiled(environment)
    if language is not None:
        install_words(environment, language, None if folder.ours else values_within)
    return environment
