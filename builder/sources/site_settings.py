"""Reads ``mkdocs.yml`` as data, and refuses what would run code or change what guides promise.

The site engine imports whatever its settings name: hooks, plugins, extensions of Markdown, objects of
Python. A workspace may come from anybody, so that the builder reads the settings itself and hands the
engine what it has checked.
"""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import yaml

from builder.errors import Finding, Findings, FindingsError, HandoverError, suggestion
from builder.model.site_settings import SiteSettings
from builder.sources.checking import check
from builder.sources.entry import Entry, dotted, plain
from builder.sources.folder import Folder
from builder.sources.own_templates import own_templates
from builder.sources.yaml_reader import read_yaml

SETTINGS = "mkdocs.yml"
PLUGINS = frozenset(("handover", "material/search", "search"))
EXTENSIONS = frozenset(
    ("abbr", "admonition", "attr_list", "def_list", "fenced_code", "footnotes", "md_in_html",
     "sane_lists", "smarty", "tables", "toc")
)  # fmt: skip
"""Extensions that come with the library of Markdown. Any other name is a module that is run."""

OWN_CODE = "--own-code"
"""The option of the command line by which somebody trusts the code of a workspace."""

_TRUST = f"Take it out, or say {OWN_CODE} on the command line if you trust whoever wrote it."
_NEVER_NEEDED = frozenset(
    ("extra_css", "extra_javascript", "extra_templates", "nav", "repo_url", "site_url", "edit_uri")
)


def site_settings(path: Path, *, own_code: bool = False) -> Mapping[str, Any]:
    """The settings in a file, as plain values. FindingsError: what is wrong with them.

    ``own_code``: whatever they name, tags of Python aside, which nothing but the engine reads.
    """
    findings = Findings()
    if own_code:
        return _settings_as_they_stand(path)
    settings = read_site_settings(path, findings)
    if settings is None or findings.errors:
        raise FindingsError(findings.errors)
    return settings


class _AsTheyStand(yaml.SafeLoader):
    """Reads settings whose code somebody trusts; tags that only the engine knows are passed over."""


_AsTheyStand.add_multi_constructor("", lambda _loader, _tag, _node: None)


def _settings_as_they_stand(path: Path) -> Mapping[str, Any]:
    try:
        read = yaml.load(path.read_text(encoding="utf-8"), _AsTheyStand)  # noqa: S506 - a safe loader
    except (yaml.YAMLError, OSError, UnicodeDecodeError) as error:
        raise HandoverError(f"'{path}' cannot be read: {error}") from error
    return read if isinstance(read, dict) else {}


def site_findings(root: Path, *, own_code: bool = False) -> tuple[Finding, ...]:
    """What is wrong with the settings, templates and theme of a workspace, and what they run."""
    findings = Findings()
    if not own_code and (root / SETTINGS).exists():
        read_site_settings(root / SETTINGS, findings)
    findings.extend(own_templates(root))
    return tuple(findings)


def read_site_settings(path: Path, findings: Findings) -> Mapping[str, Any] | None:
    """The settings in a file as plain values, or nothing and one finding for each mistake."""
    folder = Folder(path.parent)
    text = folder.read(path, findings)
    entry = None if text is None else read_yaml(text, folder.name(path), findings)
    if entry is None:
        return None
    found = list(_refused(entry))
    findings.extend(found)
    named = {key: each for key, each in entry.children.items() if key not in _keys_said(found)}
    checked = check(Entry(named, entry.place), SiteSettings, findings)
    return None if found or checked is None else plain(entry)


def _keys_said(found: list[Finding]) -> set[str]:
    """The keys at the top of which something was said already."""
    return {each.path.partition(".")[0].partition("[")[0] for each in found}


def _refused(entry: Entry) -> Iterator[Finding]:
    """What would run code, or take settings or files from elsewhere."""
    for key, each in entry.children.items():
        if key == "hooks":
            yield _runs_code(each, (key,), "'hooks' run code of this workspace.")
        elif key == "INHERIT":
            yield _finding(each, (key,), "'INHERIT' takes settings from another file.",
                           "Write those settings here.")  # fmt: skip
        elif key == "use_directory_urls" and each.value is not True:
            yield _finding(each, (key,), "Guides are folders, so that their addresses stay short and last.",
                           "Write 'use_directory_urls: true', or delete the line.")  # fmt: skip
        elif key in _NEVER_NEEDED:
            yield _finding(each, (key,), f"'{key}' has no place in a guide.",
                           "Delete it: the builder sees to its pages, and files of a theme stand in site_templates/theme/assets.")  # fmt: skip
    yield from _unknown(entry, "plugins", PLUGINS, "plugin")
    yield from _unknown(entry, "markdown_extensions", EXTENSIONS, "extension of Markdown")


def _unknown(entry: Entry, key: str, known: frozenset[str], what: str) -> Iterator[Finding]:
    for address, name, each in _names(entry, key):
        if name not in known:
            wrong = f"'{name}' is a {what} that runs code which the builder does not know."
            if what.startswith("e"):
                wrong = wrong.replace("is a ", "is an ", 1)
            close = suggestion(name, known, f"Known here without {OWN_CODE}")
            yield _runs_code(each, address, wrong, f"{close} {_TRUST}")


def _names(entry: Entry, key: str) -> Iterator[tuple[tuple[str | int, ...], str, Entry]]:
    """The names that a list of plugins or extensions holds, each with its place."""
    listed = entry.children.get(key)
    if listed is None:
        return
    for name, each in listed.children.items():
        yield (key, name), name, each
    for index, item in enumerate(listed.value if isinstance(listed.value, tuple) else ()):
        if isinstance(item.value, str):
            yield (key, index), item.value, item
        for name, each in item.children.items():
            yield (key, index, name), name, each


def _runs_code(
    entry: Entry, address: tuple[str | int, ...], wrong: str, right: str = _TRUST
) -> Finding:
    return Finding("site.runs-code", entry.named_at, wrong, right, path=dotted(address))


def _finding(entry: Entry, address: tuple[str | int, ...], wrong: str, right: str) -> Finding:
    return Finding("site.settings", entry.named_at, wrong, right, path=dotted(address))
