"""Templates are compiled, and files that ship are read, once for all runs; what one environment allows is
never another's."""

import tempfile
from pathlib import Path

import pytest
from jinja2 import DictLoader, Environment, TemplateSyntaxError
from jinja2.exceptions import SecurityError
from jinja2.sandbox import ImmutableSandboxedEnvironment

from builder import compiled as module
from builder import read_once as reading
from builder.compiled import compiled, keep_compiled
from builder.read_once import read_once

LEAVING = "{{ ''.__class__.__name__ }}"


@pytest.fixture(autouse=True)
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of temporary files, empty."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return tmp_path


def environment(
    source: str = "Hello {{ name }}", kind: type[Environment] = Environment
) -> Environment:
    made = kind(loader=DictLoader({"page.html": source}), autoescape=True)
    keep_compiled(made)
    return made


def rendered(made: Environment) -> str:
    return made.get_template("page.html").render(name="you")


def files(folder: Path) -> list[Path]:
    return sorted(each for each in folder.rglob("*") if each.is_file())


def count_compilations(made: Environment, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of all templates that an environment compiles from now on."""
    seen: list[str] = []
    compile_ = made.compile

    def counted(source: str, name: str, filename: str | None = None) -> object:
        seen.append(name)
        return compile_(source, name, filename)

    monkeypatch.setattr(made, "compile", counted)
    return seen


def test_the_next_run_takes_what_was_compiled(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert rendered(environment()) == "Hello you"
    assert len(files(kept)) == 1
    again = environment()
    seen = count_compilations(again, monkeypatch)
    assert (rendered(again), seen) == ("Hello you", [])


@pytest.mark.parametrize("changed", ["source", "builder"])
def test_another_source_or_builder_is_compiled_anew(
    monkeypatch: pytest.MonkeyPatch, changed: str
) -> None:
    rendered(environment())
    if changed == "builder":
        monkeypatch.setattr(module, "tool_digest", lambda: "another")
    again = environment("Good day {{ name }}" if changed == "source" else "Hello {{ name }}")
    seen = count_compilations(again, monkeypatch)
    assert rendered(again) == ("Good day you" if changed == "source" else "Hello you")
    assert seen == ["page.html"]


def test_what_a_sandbox_refuses_stays_refused() -> None:
    assert rendered(environment(LEAVING)) == "str"
    with pytest.raises(SecurityError):
        rendered(environment(LEAVING, ImmutableSandboxedEnvironment))


@pytest.mark.parametrize("left", [b"", b"j2", bytes(range(40))])
def test_a_broken_file_is_written_again(kept: Path, left: bytes) -> None:
    rendered(environment())
    (file,) = files(kept)
    whole = file.read_bytes()
    file.write_bytes(left)
    assert rendered(environment()) == "Hello you"
    assert file.read_bytes() == whole


def test_the_folder_is_shut_for_others_before_anything_is_kept(kept: Path) -> None:
    rendered(environment())
    (file,) = files(kept)
    file.unlink()
    file.parent.chmod(0o777)
    rendered(environment())
    assert file.is_file()
    assert file.parent.stat().st_mode & 0o077 == 0


def test_a_full_disk_stops_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(tempfile, "NamedTemporaryFile", full)
    assert rendered(environment()) == "Hello you"


def test_no_place_at_all_stops_nobody(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(kept / "nowhere"))
    assert rendered(environment()) == "Hello you"


def test_a_text_of_no_file_is_compiled_once_too(monkeypatch: pytest.MonkeyPatch) -> None:
    first = environment()
    compiled(first, "{{ 1 + 1 }}", "article.md", "content/article.md")
    again = environment()
    seen = count_compilations(again, monkeypatch)
    code = compiled(again, "{{ 1 + 1 }}", "article.md", "content/article.md")
    assert (code.co_filename, seen) == ("content/article.md", [])
    with pytest.raises(TemplateSyntaxError):
        compiled(again, "{{ 1 + ", "article.md", "content/article.md")


def read(source: Path) -> tuple[str, bool]:
    """What stands in a file that ships, and whether it was read for it."""
    asked = list[str]()

    def text() -> str:
        asked.append(source.read_text(encoding="utf-8"))
        return asked[0]

    return read_once("words", [source], text), bool(asked)


@pytest.fixture
def ships(kept: Path) -> Path:
    """A file that ships."""
    source = kept / "ships.md"
    source.write_text("Shut the valve.", encoding="utf-8")
    return source


def test_what_ships_is_read_by_the_first_run_alone(ships: Path) -> None:
    assert read(ships) == ("Shut the valve.", True)
    assert read(ships) == ("Shut the valve.", False)


@pytest.mark.parametrize("changed", ["file", "builder"])
def test_what_ships_is_read_anew_where_it_or_the_builder_has_changed(
    ships: Path, monkeypatch: pytest.MonkeyPatch, changed: str
) -> None:
    read(ships)
    if changed == "builder":
        monkeypatch.setattr(reading, "tool_digest", lambda: "another")
    else:
        ships.write_text("Open the valve.", encoding="utf-8")
    assert read(ships) == (ships.read_text(encoding="utf-8"), True)


@pytest.mark.parametrize("left", [b"", b"\x80\x05", bytes(range(40)), b"cbuilder.gone\nGone\n."])
def test_what_was_cut_off_is_read_again(ships: Path, kept: Path, left: bytes) -> None:
    read(ships)
    (place,) = kept.rglob("*.pickle")
    place.write_bytes(left)
    assert read(ships) == ("Shut the valve.", True)
    assert read(ships) == ("Shut the valve.", False)
    assert place.stat().st_mode & 0o077 == 0


def test_what_ships_is_read_where_there_is_no_place_to_keep_it(
    ships: Path, kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(kept / "nowhere"))
    assert read(ships) == read(ships) == ("Shut the valve.", True)
