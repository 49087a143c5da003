"""The run sheet on paper: A4, tagged, with boxes to tick and room to write.

Typst sets it from a template and plain values, with the fonts inside Typst alone, so that the same
sheet gives the same bytes on every machine, without a network.
"""

import json
from collections.abc import Container
from pathlib import Path

from builder.craft.typesetting import set_template
from builder.demonstration.sheet import RunSheet
from builder.languages.foreign import foreign_pattern
from builder.languages.language import FIRST, Language
from builder.writers.demonstration.words import plain_sheet

TEMPLATE = "site_templates/demonstration/sheet.typ"


def paper_of(
    sheet: RunSheet, template: Path, language: Language = FIRST, unsaid: Container[str] = ()
) -> bytes:
    """The PDF of a run sheet, in the language that it was made in; ``unsaid``: texts that it shows in the
    first, which are marked so."""
    words = {ours: language.text(ours) for ours in language.texts}
    plain = plain_sheet(sheet, language)
    told = {"sheet": plain, "words": words, "foreign": foreign_pattern(plain, unsaid)}
    values = {name: json.dumps(each) for name, each in told.items()}
    return set_template(template, values, "run sheet")
