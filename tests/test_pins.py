"""The pins hold for every Python that is promised, the lowest first; each file is known by its digest."""

import re
import tomllib
from collections.abc import Iterator
from importlib.metadata import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet
from packaging.utils import canonicalize_name

PROJECT = Path(__file__).parent.parent
FILES = ("requirements.txt", "constraints.txt")
LOWEST, OF_DEBIAN_12 = "3.11.0", "3.11.2"
PYTHONS = (LOWEST, OF_DEBIAN_12, "3.12.0", "3.13.0", "3.14.0")
_PIN = re.compile(r"^(?P<requirement>\S+==\S+(?: ; [^\\]+)?) \\$", re.MULTILINE)
_HASHED = re.compile(r"(?:    --hash=sha256:[0-9a-f]{64}(?: \\\n|\n))+")


def pins(file: str) -> list[Requirement]:
    text = (PROJECT / file).read_text(encoding="utf-8")
    return [Requirement(found["requirement"]) for found in _PIN.finditer(text)]


def project() -> dict[str, object]:
    text = (PROJECT / "pyproject.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)["project"]  # type: ignore[no-any-return]


def asked_for(*extras: str) -> Iterator[Requirement]:
    """What the project needs, with what its extras name."""
    of_extras = project()["optional-dependencies"]
    named = [*project()["dependencies"], *(each for extra in extras for each in of_extras[extra])]  # type: ignore[misc,index,attr-defined]
    for each in map(Requirement, named):
        if each.name == project()["name"]:
            yield from asked_for(*each.extras)
        else:
            yield each


def holding(file: str, python: str) -> dict[str, Requirement]:
    """The pins that hold on a Python on Linux, by the names of packages."""
    on = {"python_full_version": python, "python_version": python.rpartition(".")[0]}
    on |= {"platform_python_implementation": "CPython", "implementation_name": "cpython"}
    return {
        canonicalize_name(each.name): each
        for each in pins(file)
        if each.marker is None or each.marker.evaluate(on)
    }


@pytest.mark.parametrize("python", PYTHONS)
@pytest.mark.parametrize(
    ("file", "extras"),
    [("requirements.txt", ("desk", "models")), ("constraints.txt", ("test", "bench"))],
)
def test_every_dependency_has_one_pin_that_fits_it(
    file: str, extras: tuple[str, ...], python: str
) -> None:
    held = holding(file, python)
    for each in asked_for(*extras):
        pin = held[canonicalize_name(each.name)]
        (only,) = pin.specifier
        assert each.specifier.contains(only.version, prereleases=True), each


@pytest.mark.parametrize("python", [LOWEST, OF_DEBIAN_12])
def test_no_pin_wants_a_newer_python(python: str) -> None:
    """Asks every package that is installed here at its pin which Pythons it is for."""
    wrong = []
    for name, pin in holding("constraints.txt", python).items():
        about = metadata(name)
        # Two readers of metadata are in use, and one raises an error where a package names no Python.
        wanted = about.get("Requires-Python")
        if pin.specifier.contains(about["Version"], prereleases=True) and wanted:
            wrong += [] if SpecifierSet(wanted).contains(python) else [f"{name}: {wanted}"]
    assert not wrong


def test_one_version_of_a_package_serves_all_pythons() -> None:
    """Another version of a Markdown extension writes other bytes."""
    for file in FILES:
        names = [each.name for each in pins(file)]
        assert len(names) == len(set(names))


@pytest.mark.parametrize("file", FILES)
def test_every_pin_has_digests_and_no_address_is_named(file: str) -> None:
    text = (PROJECT / file).read_text(encoding="utf-8")
    assert not _HASHED.sub("", _PIN.sub("", text)).strip()
    assert len(_HASHED.findall(text)) == len(pins(file)) > 50
    assert "://" not in text


def test_what_users_install_is_part_of_what_tests_install() -> None:
    assert set(map(str, pins("requirements.txt"))) <= set(map(str, pins("constraints.txt")))
