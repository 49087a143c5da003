"""A builder's look in its guides: a small style sheet over the theme's, and the logo. Knows no site engine."""

from collections.abc import Iterator, Mapping
from pathlib import Path

from builder.craft.logos import published_logo
from builder.guide.pages import Guide, GuideLook
from builder.home.palette import Tones

STYLE = "look.css"


def look_files(look: GuideLook | None, root: Path) -> Mapping[str, bytes]:
    """The files of a guide's look, by their names in it; ``root``: the workspace."""
    return dict(_files(look, root)) if look else {}


def look_names(guide: Guide) -> tuple[str, ...]:
    """The names of those files."""
    look = guide.look
    if look is None:
        return ()
    return (STYLE, look.logo.name) if look.logo else (STYLE,)


def shown_in_frame(name: str, look: GuideLook | None) -> Mapping[str, str]:
    """What the frame says of a builder: its name, and of its look the style sheet, the logo, and what
    that shows."""
    if look is None:
        return {"name": name}
    logo = {"logo": look.logo.name, "shows": look.logo.shows} if look.logo else {}
    return {"name": name, "style": STYLE, **logo}


def _files(look: GuideLook, root: Path) -> Iterator[tuple[str, bytes]]:
    yield STYLE, _style(look).encode()
    if look.logo:
        yield look.logo.name, published_logo(root / look.logo.file)


def _style(look: GuideLook) -> str:
    return f"{_tones(look.light)}@media (prefers-color-scheme:dark){{{_tones(look.dark)}}}\n"


def _tones(tones: Tones) -> str:
    """The names that the theme's style sheet has for them."""
    return (
        f":root{{--brand:{tones.colour};--brand-ink:{tones.ink};--link:{tones.colour};"
        f"--paper:{tones.ground};--card:{tones.card}}}"
    )
