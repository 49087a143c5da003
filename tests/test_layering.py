"""The house rules of imports: data flows one way, and one package alone knows the site engine."""

import ast
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "builder"
ORDER = (
    "errors", "model", "recent", "digests", "compiled", "shipped", "disk", "read_once", "tables", "craft", "languages",
    "sources", "layers", "home", "rules", "selection", "guide",
    "trial", "unforeseen", "preparing", "readiness", "questions", "saving", "demonstration", "importers",
    "writers", "proof", "register", "build", "deploy", "board", "desk", "cli",
)  # fmt: skip
"""The order of the house: a stage imports only stages that stand before it."""

ALONE = {"errors": set(), "model": set(), "proof": {"errors", "recent"}}
"""What three stages may import at most: proof reads what was written, knowing nothing of how."""


@cache
def modules() -> dict[str, Path]:
    return {
        ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(
            ".__init__"
        ): path
        for path in sorted(PACKAGE.rglob("*.py"))
    }


@cache
def nodes(path: Path) -> tuple[ast.AST, ...]:
    """Everything that a file says, at any depth."""
    return tuple(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))


@cache
def imports(path: Path) -> frozenset[str]:
    """Every module that a file imports, at its top or late inside a function."""
    found = set[str]()
    for node in nodes(path):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: a relative import"
            found.add(node.module or "")
            found.update(f"{node.module}.{alias.name}" for alias in node.names)
    return frozenset(found)


def stage(module: str) -> str:
    return module.split(".")[1] if "." in module else "builder"


def ours(path: Path) -> set[str]:
    known = modules()
    return {name for name in imports(path) if name in known and name != "builder"}


@pytest.mark.parametrize("name", ORDER)
def test_a_stage_imports_only_earlier_stages(name: str) -> None:
    allowed = ALONE.get(name, set(ORDER[: ORDER.index(name)]))
    for module, path in modules().items():
        if stage(module) == name:
            imported = {stage(other) for other in ours(path)} - {name}
            assert imported <= allowed, f"{module} imports {imported - allowed}"


def test_every_module_belongs_to_a_stage() -> None:
    assert {stage(module) for module in modules()} == {*ORDER, "builder"}


def test_only_the_site_writer_imports_the_engine() -> None:
    knowing = {
        module
        for module, path in modules().items()
        if any(name == "mkdocs" or name.startswith("mkdocs.") for name in imports(path))
    }
    assert knowing == {
        "builder.writers.site.engine",
        "builder.writers.site.preview",
        "builder.writers.site.plugin",
        "builder.writers.site.frame",
    }


def test_writers_do_not_import_each_other() -> None:
    for module, path in modules().items():
        if module.startswith("builder.writers."):
            writer = module.split(".")[2]
            others = {name for name in ours(path) if name.startswith("builder.writers.")}
            assert all(name.split(".")[2] == writer for name in others), module


def test_no_import_cycle() -> None:
    graph = {module: ours(path) - {module} for module, path in modules().items()}
    done: set[str] = set()

    def visit(module: str, way: tuple[str, ...]) -> None:
        assert module not in way, " → ".join((*way[way.index(module) :], module))
        if module not in done:
            for other in sorted(graph[module]):
                visit(other, (*way, module))
            done.add(module)

    for module in graph:
        visit(module, ())


def test_only_the_command_line_prints_and_exits() -> None:
    for module, path in modules().items():
        if stage(module) == "cli":
            continue
        for node in nodes(path):
            if isinstance(node, ast.Call):
                called = ast.unparse(node.func)
                assert called not in ("print", "sys.exit", "exit", "click.echo"), (
                    f"{module}: {called}"
                )


def test_one_name_is_one_thing() -> None:
    found = Counter(
        node.name
        for path in modules().values()
        for node in nodes(path)
        if isinstance(node, ast.ClassDef)
    )
    assert [name for name, times in found.items() if times > 1] == []


def test_modules_and_functions_stay_small() -> None:
    for module, path in modules().items():
        text = path.read_text(encoding="utf-8")
        assert text.count("\n") < 400, module
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.FunctionDef):
                assert (node.end_lineno or 0) - node.lineno < 45, f"{module}.{node.name}"


def test_every_public_class_and_module_says_what_it_is() -> None:
    for module, path in modules().items():
        tree = ast.parse(path.read_text(encoding="utf-8"))
        if path.name != "__init__.py" or tree.body:
            assert ast.get_docstring(tree), module
        for node in tree.body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                assert ast.get_docstring(node), f"{module}.{node.name}"
