"""Every command that README, DEVELOPERS and the pages of docs/ name does what they say, on the demo as it stands."""

import os
import re
import shlex
import shutil
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from builder.cli import main
from tests.broken_workspaces import run
from tests.conftest import PROJECT
from tests.demonstrations import signed, whole_record, workspace_sheet

TEXTS = (PROJECT / "README.md", PROJECT / "DEVELOPERS.md", *sorted(PROJECT.glob("docs/**/*.md")))
FOLDERS = ("developments", "housetypes", "mkdocs.yml", "schemas")
NAMED = "content/articles/boiler-care.md"
"""An article that a command names. All others are read as they ship, once for all commands: read anew each
time, they are half of what this module costs."""
PLOT, DAY = "mill-lane/07", "2026-11-25"
KEPT = ("plot", "02", "07")
"""The rows of the copy's table: its header and two plots, so that it is built in seconds."""
THEIR_TYPES = ("standard", "tormentil", "twite")
STANDS_FOR = {
    "PLOT": PLOT, "ID": "boiler-care", "DEVELOPMENT": "mill-lane", "<development>": "mill-lane", "NAME": "Oskerry", "FOLDER": "walk",
    "FILE": "export.json", "DEST": "host", "DIR": ".", "PLOT|DEVELOPMENT": PLOT, "PATH": "equipment.stopcock.place", "FILE:LINE": "housetypes/twite.yaml:1",
}  # fmt: skip
"""What is put in for words that stand for something of the reader's own."""
ELSEWHERE = {
    r"^print(?!.*--paper (?!large))": "test_paper.py::test_all_papers_of_a_plot_go_into_a_folder_of_their_own",
    r"--plan": "test_preview.py::test_the_plan_of_a_house_type_follows_a_change",
    r"^preview": "test_preview.py::test_preview_follows_a_change",
    r"^new .*\.ifc": "test_models.py::test_a_house_type_comes_back_to_the_millimetre",
    r"^update .*\.ifc": "test_models.py::test_an_update_changes_what_the_model_says_and_nothing_that_a_person_wrote",
    r"\.dxf": "test_drawn_plans.py::test_doors_and_windows_come_back_from_their_swings_and_lines",
    r"s3://": "test_deploy.py::test_a_store_that_speaks_s3",
    r"--former-host": "test_deploy.py::test_an_old_host_gets_pages_that_lead_on",
    r"^stickers merge": "test_register.py::test_two_branches_are_put_together_and_nothing_is_lost",
    r"--executor": "test_executor.py::test_",
    r"^desk": "test_desk",
    r"^compare": "test_editor_commands.py::test_both_sides_on_one_page",
}  # fmt: skip
"""What serves for ever, needs a model, a host or two branches, or takes long: the test that runs it."""
DATED = ("build", "check", "demonstration", "ready", "print", "record", "stickers issue", "stickers void")  # fmt: skip
MAY_FAIL = ("ready", "check --strict")
"""Commands that tell, by exit code 1, that something is still to be done in the demo."""
MADE_BY = {"housetype": "housetypes/{}.yaml", "development": "developments/{}", "article": "content/articles/{}.md"}  # fmt: skip


def said() -> list[str]:
    """Every command line that the texts name, in their order; ``…`` goes on from the one before."""
    found: list[str] = []
    for text in TEXTS:
        for line in text.read_text(encoding="utf-8").splitlines():
            whole = ""
            for each in re.findall(r"`((?:handover|…) [^`]*)`|^    (handover .*)$", line):
                named = (each[0] or each[1]).split("  #")[0].strip()
                named = _going_on(whole, named) if named.startswith("…") else named
                whole = named
                found.append(named)
    return list(dict.fromkeys(found))


def _going_on(before: str, more: str) -> str:
    """A command line that goes on from the one before: the words before its options, and these."""
    head = before.split()
    at = next((place for place, each in enumerate(head) if each.startswith("--")), len(head))
    return " ".join([*head[:at], *more.split()[1:]])


def test_the_texts_name_commands() -> None:
    assert len(said()) > 50
    assert "handover find --kind gas-combination-boiler --make Oskerry" in said()
    assert "handover print mill-lane/07 --paper large-print" in said()
    assert "handover new housetype heron --from plan.dxf --layer ROOMS" in said()


def test_every_command_that_there_is_is_named() -> None:
    named = {words[1] for words in map(str.split, said())}
    assert set(main.commands) <= named


@pytest.fixture(scope="module")
def demo_copy(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Two plots of the demo as they stand, with codes and built, to be changed by the commands."""
    root = tmp_path_factory.mktemp("said") / "demo"
    root.mkdir()
    for name in FOLDERS:
        source = PROJECT / name
        (shutil.copytree if source.is_dir() else shutil.copy)(source, root / name)
    (root / NAMED).parent.mkdir(parents=True)
    shutil.copy(PROJECT / NAMED, root / NAMED)
    _only_two_plots(root)
    (root / "export.json").write_text(signed(whole_record(workspace_sheet(root, PLOT))), encoding="utf-8")  # fmt: skip
    here = Path.cwd()
    os.chdir(root)
    for command in ("stickers issue", "build"):
        result = run(*command.split(), "--date", DAY)
        assert result.exit_code == 0, result.output
    yield root
    os.chdir(here)


def _only_two_plots(root: Path) -> None:
    for development in (root / "developments").iterdir():
        if development.name != "mill-lane":
            shutil.rmtree(development)
    for path in (root / "housetypes").glob("*.yaml"):
        if path.stem not in THEIR_TYPES:
            path.unlink()
    folder = root / "developments/mill-lane"
    rows = (folder / "plots.csv").read_text(encoding="utf-8-sig").splitlines()
    kept = [row for row in rows if re.split("[,;]", row)[0] in KEPT]
    (folder / "plots.csv").write_text("\n".join(kept) + "\n", encoding="utf-8")
    for path in (*folder.glob("register.*"), *folder.glob("plots/*"), *folder.glob("records/*")):
        if path.stem not in KEPT:
            shutil.rmtree(path) if path.is_dir() else path.unlink()


@pytest.mark.parametrize("command", said())
def test_a_command_that_is_named_works(command: str, demo_copy: Path) -> None:
    words = shlex.split(_in_one_word(command))[1:]
    elsewhere = [test for part, test in ELSEWHERE.items() if re.search(part, " ".join(words))]
    if elsewhere:
        assert _is_there(elsewhere[0])
        return
    words = [_put_in(before, each, demo_copy) for before, each in pairwise(("", *words))]
    _get_ready(words)
    if any(" ".join(words[:2]).startswith(each) for each in DATED):
        words += ["--date", DAY]
    result = run(*words)
    is_a_name = re.search("Missing argument|COMMAND", result.output) and "--" not in command
    if result.exit_code == 2 and is_a_name:
        result = run(*words, "--help")
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    allowed = (0, 1) if " ".join(words).startswith(MAY_FAIL) else (0,)
    assert result.exit_code in allowed, result.output


def _in_one_word(command: str) -> str:
    """The command with one word for each thing in angle brackets."""
    return re.sub(r"<[^>]*>", lambda found: STANDS_FOR.get(found[0], "mill-lane"), command)


def _is_there(test: str) -> bool:
    """Whether a test is there, by its file and name or the beginning of them."""
    file, _, name = test.partition("::")
    return any(
        f"def {name or 'test_'}" in path.read_text(encoding="utf-8")
        for path in (PROJECT / "tests").glob(f"{file.removesuffix('.py')}*.py")
    )


def _put_in(before: str, word: str, root: Path) -> str:
    if before == "--model":
        return "Combi 24"
    if before == "--housetype":
        return THEIR_TYPES[1]
    if word == "CODE":
        register = (root / "developments/mill-lane/register.csv").read_text(encoding="utf-8")
        lines = [line for line in register.splitlines() if ",07," in line and ",stopcock" in line]
        return lines[0].split(",")[0]
    return STANDS_FOR.get(word, word)


def _get_ready(words: list[str]) -> None:
    """What a command takes for granted: a file that others gave, a place where nothing lies yet."""
    match words:
        case ["new", kind, name, *_] if kind in MADE_BY:
            place = Path(MADE_BY[kind].format(name))
            if place.exists() and not (PROJECT / place).exists():
                shutil.rmtree(place) if place.is_dir() else place.unlink()
        case ["new", "plot", reference, *_] if not Path("developments", reference.split("/")[0]).exists():  # fmt: skip
            assert run("new", "development", reference.split("/")[0]).exit_code == 0
        case ["import", what, _, *_]:
            words[2] = f"{what}.xlsx"
            asked = "mill-lane" if what == "plots" else PLOT
            assert run("export", what, asked, "--out", words[2]).exit_code == 0
        case _:
            pass


def test_every_target_of_make_and_every_module_that_is_named_is_there() -> None:
    makefile = (PROJECT / "Makefile").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z]+):", makefile, re.MULTILINE))
    for text in TEXTS:
        content = text.read_text(encoding="utf-8")
        assert set(re.findall(r"`make ([a-z]+)|^    make ([a-z]+)", content)) <= {
            pair for each in targets for pair in ((each, ""), ("", each))
        }
        for module in re.findall(r"`python -m ([\w.]+)", content):
            path = PROJECT / module.replace(".", "/")
            assert path.with_suffix(".py").is_file() or (path / "__main__.py").is_file(), module


def test_every_module_of_the_tests_that_can_be_run_is_named() -> None:
    text = (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8") + (PROJECT / "Makefile").read_text(encoding="utf-8")  # fmt: skip
    for path in (PROJECT / "tests").rglob("*.py"):
        if '__name__ == "__main__"' in path.read_text(encoding="utf-8"):
            module = ".".join(path.relative_to(PROJECT).with_suffix("").parts)
            names = (module, path.relative_to(PROJECT).as_posix(), f"`tests/{path.parent.name}/`")
            assert any(each in text for each in names), module


def test_every_template_and_table_of_ours_that_is_named_is_there() -> None:
    for text in TEXTS:
        named = re.findall(r"`((?:site_templates|builder|tests)/[\w./-]+\.\w+)`", text.read_text(encoding="utf-8"))  # fmt: skip
        assert [each for each in named if not (PROJECT / each).exists()] == []


def test_the_commands_without_make_are_those_of_make() -> None:
    readme = (PROJECT / "README.md").read_text(encoding="utf-8")
    makefile = (PROJECT / "Makefile").read_text(encoding="utf-8")
    installs = re.findall(r"python -m pip install (.*)", readme)
    assert len(installs) == 2
    assert all(f"$(PIP) {each}" in makefile for each in installs)


def test_numbers_that_change_are_not_said() -> None:
    for text in TEXTS:
        if text.name != "rules.md":
            found = re.findall(r"\b\d+ (?:rules|guides|articles|kinds|symptoms)\b", text.read_text(encoding="utf-8"))  # fmt: skip
            assert not found, text
