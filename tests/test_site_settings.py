"""``mkdocs.yml`` and the theme of a workspace: nothing that they bring along runs unless somebody says so."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner, Result
from jinja2 import Environment, FileSystemLoader, UndefinedError
from jinja2.exceptions import SecurityError
from mkdocs.structure.files import File, Files
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page

from builder.cli import main
from builder.errors import Findings, FindingsError
from builder.sources.site_settings import read_site_settings, site_settings
from builder.writers.paper.reading import MarkdownReader
from builder.writers.site.engine import configured, fenced
from tests.conftest import COTTAGE

PROJECT = Path(__file__).parent.parent
WHOLE = (PROJECT / "mkdocs.yml").read_text(encoding="utf-8")
RUNS = "open('executed', 'w').close()"
HOOK = f"{RUNS}\n\ndef on_config(config):\n    {RUNS}\n    return config\n"


@pytest.fixture
def workspace(tmp_path: Path) -> Path:
    """The cottage, with the settings and theme that ship, and a hook beside them."""
    folder = Path(shutil.copytree(COTTAGE, tmp_path / "cottage"))
    shutil.copyfile(PROJECT / "mkdocs.yml", folder / "mkdocs.yml")
    shutil.copytree(PROJECT / "site_templates/theme", folder / "site_templates/theme")
    (folder / "tell.py").write_text(HOOK, encoding="utf-8")
    return folder


def run(command: str, workspace: Path, *options: str) -> Result:
    out = ["--out", str(workspace / "public")] if command == "build" else []
    given = [command, "--workspace", str(workspace), "--date", "2026-03-01", *out, *options]
    return CliRunner().invoke(main, given)


def test_the_settings_that_ship_are_sound() -> None:
    findings = Findings()
    assert read_site_settings(PROJECT / "mkdocs.yml", findings) == yaml.safe_load(WHOLE)
    assert list(findings) == []


ATTACKS = (
    "hooks: [tell.py]", "hooks:\n  - tell.py", "INHERIT: other.yml", "use_directory_urls: false",
    "plugins: [handover, tell]", "plugins: [handover, {macros: {module_name: tell}}]",
    "plugins:\n  handover: {}\n  tell: {}", "markdown_extensions: [tell]",
    "markdown_extensions: [{tell: {}}]", "markdown_extensions: [pymdownx.snippets: {base_path: /etc}]",
    'x: !!python/object/apply:os.system ["touch executed"]', "x: !!python/name:os.system",
    "site_name: !ENV [HOME, x]", "markdown_extensions: [toc: {slugify: !!python/name:os.system}]",
    "theme: {name: tell}", "theme: {name: material, custom_dir: ../elsewhere}",
    "theme: {name: material, custom_dir: /etc}", "theme: {name: material, font: {text: Roboto}}",
    "theme: {name: material, icon: {logo: ../../x}}", "extra_javascript: [https://x.example/x.js]",
    "extra_css: [https://x.example/x.css]", "extra: {analytics: {provider: google}}", "watch: [/]",
    "extra_templates: [x.html]", "nav: [x.md]", "edit_uri: x", "remote_name: x", "- a list", "text",
    "site_name: [", "site_name: {{ x }}", "\x00", "plugins: 7", "theme: 7", "docs_dir: ../..",
    "docs_dir: /etc", "markdown_extensions: {toc: {}}", "a: &a [*a]", "site_name: x\nsite_name: y",
)  # fmt: skip


@pytest.mark.parametrize("attack", ATTACKS)
def test_settings_that_are_refused(
    attack: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tell.py").write_text(RUNS, encoding="utf-8")
    file = tmp_path / "mkdocs.yml"
    key = attack.partition(":")[0]
    kept = "".join(f"{json.dumps(name)}: {json.dumps(each)}\n"
                   for name, each in yaml.safe_load(WHOLE).items() if name != key)  # fmt: skip
    file.write_text(f"{kept}{attack}\n", encoding="utf-8")
    for read in (site_settings, MarkdownReader):
        with pytest.raises(FindingsError) as told:
            read(file)
        assert all(each.place.file == "mkdocs.yml" for each in told.value.findings)
    assert not (tmp_path / "executed").exists()


@pytest.mark.parametrize("command", ["check", "build"])
@pytest.mark.parametrize(
    "attack", ["hooks: [tell.py]", "x: !!python/object/apply:os.system ['touch executed']"]
)
def test_commands_say_so_and_run_nothing(
    command: str, attack: str, workspace: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(workspace)
    (workspace / "mkdocs.yml").write_text(f"{attack}\n{WHOLE}", encoding="utf-8")
    result = run(command, workspace)
    assert result.exit_code == 1
    assert "mkdocs.yml:1:" in result.output
    assert not isinstance(result.exception, (OSError, ValueError, TypeError))
    assert not (workspace / "executed").exists()
    assert not list(workspace.glob("public/g/*"))


def test_whoever_trusts_the_code_of_a_workspace_says_so(
    workspace: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(workspace)
    (workspace / "mkdocs.yml").write_text(f"hooks: [tell.py]\n{WHOLE}", encoding="utf-8")
    assert run("check", workspace, "--own-code").exit_code == 0
    assert not (workspace / "executed").exists()
    result = run("build", workspace, "--own-code")
    assert result.exit_code == 0, result.output
    assert (workspace / "executed").exists()


@pytest.mark.parametrize(
    "attack",
    [
        "{{ config.load_file('x') }}", "{{ config.__class__.__mro__ }}", "{{ page.file.copy_file(true) }}",
        "{{ ''.__class__.__base__.__subclasses__() }}", "{{ cycler.__init__.__globals__.os.system('x') }}",
        "{{ config.plugins['handover'].on_serve() }}", "{{ nav.__init__.__globals__ }}",
        "{{ url_filter.__globals__.os }}", "{{ range(9999999999) }}", "{{ config.plugins.run_event('x') }}",
        "{{ self._TemplateReference__context.environment }}", "{{ lipsum.__globals__.os.system('x') }}",
    ],
)  # fmt: skip
def test_a_theme_of_its_own_gets_nowhere(attack: str, workspace: Path) -> None:
    environment = fenced(Environment(loader=FileSystemLoader(workspace)))
    with pytest.raises((SecurityError, UndefinedError, OverflowError)):
        environment.from_string(attack).render(**engine_values(workspace))


def engine_values(workspace: Path) -> dict[str, Any]:
    """What the engine gives to templates, with its own objects."""
    config = configured(workspace, workspace / "content", workspace / "public", None)
    file = File("a.md", str(workspace), str(workspace), use_directory_urls=True)
    return {"config": config, "page": Page("A", file, config), "nav": Navigation([], []),
            "files": Files([file]), "url_filter": configured}  # fmt: skip


def test_a_theme_of_its_own_is_reported_and_builds(workspace: Path) -> None:
    page = workspace / "site_templates/theme/main.html"
    page.write_text(page.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    told = run("check", workspace).output
    assert "site_templates/theme/main.html:1:1: warning site.own-theme" in told
    assert run("build", workspace).exit_code == 0


@pytest.mark.parametrize(
    "name", ["offline/worker.js", "theme/assets/more.js", "demonstration/page.js"]
)
def test_a_script_of_its_own_is_reported(name: str, workspace: Path) -> None:
    file = workspace / "site_templates" / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text("alert(1)", encoding="utf-8")
    assert f"site_templates/{name}:1:1: warning site.own-theme" in run("check", workspace).output


@pytest.mark.parametrize(
    "name", ["site_templates/theme/assets/kept.css", "site_templates/pages/home.md"]
)
def test_a_link_out_of_the_workspace_is_found(name: str, workspace: Path) -> None:
    (workspace / name).parent.mkdir(parents=True, exist_ok=True)
    secret = workspace.parent / "secret.txt"
    secret.write_text("CANARY", encoding="utf-8")
    (workspace / name).unlink(missing_ok=True)
    (workspace / name).symlink_to(secret)
    assert f"{name}:1:1: error file.outside-workspace" in run("check", workspace).output
    result = run("build", workspace)
    assert result.exit_code == 1
    assert f"{name}:1:1: error file.outside-workspace" in result.output
    published = workspace.glob("public/**/*")
    assert not any(b"CANARY" in each.read_bytes() for each in published if each.is_file())
