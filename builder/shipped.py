"""Finds what ships with the builder: templates, the article library, the standard, the site settings."""

from pathlib import Path

_PACKAGE = Path(__file__).parent


def shipped(name: str) -> Path:
    """A file or folder that ships with the builder, installed or in a working copy."""
    installed = _PACKAGE / "shipped" / name
    return installed if installed.exists() else _PACKAGE.parent / name


def own_or_shipped(root: Path, name: str) -> Path:
    """The workspace's own file or folder of this name, else the one that ships."""
    own = root / name
    return own if own.exists() else shipped(name)
