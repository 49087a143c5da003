"""How Jinja templates are compiled, once for all runs of a machine's user.

What is compiled is code, so it lies where Jinja keeps such files: in a folder of temporary files that
is this user's alone. It is never kept in a workspace or beside a published tree, which may come from
somebody else.
"""

import hashlib
from contextlib import suppress
from types import CodeType
from typing import Any

from jinja2 import BytecodeCache, Environment, FileSystemBytecodeCache, nodes
from jinja2.bccache import Bucket
from jinja2.compiler import CodeGenerator, Frame

from builder.digests import tool_digest


def keep_compiled(environment: Environment) -> None:
    """Have an environment keep what it compiles, where this machine has a safe place for it."""
    with suppress(OSError, RuntimeError):
        environment.bytecode_cache = _Compiled(type(environment))


def compiled(environment: Environment, source: str, name: str, file: str) -> CodeType:
    """The code of a template that no loader reads. Jinja's TemplateSyntaxError: it is not one."""
    cache: BytecodeCache | None = environment.bytecode_cache
    if cache is None:
        return environment.compile(source, name, file)
    bucket = cache.get_bucket(environment, name, file, source)
    if bucket.code is None:
        bucket.code = environment.compile(source, name, file)
        cache.set_bucket(bucket)
    return bucket.code


class _Compiled(FileSystemBytecodeCache):
    """Compiled templates by their files and the kind of environment, for one version of the builder:
    what a sandbox allows, and what is printed how, is settled when a template is compiled."""

    def __init__(self, kind: type[Environment]) -> None:
        super().__init__()
        self._kind = f"{kind.__module__}.{kind.__qualname__}"

    def get_cache_key(self, name: str, filename: str | None = None) -> str:
        return super().get_cache_key(f"{tool_digest()} {self._kind} {name}", filename)

    def get_source_checksum(self, source: str) -> str:
        return hashlib.sha256(source.encode()).hexdigest()

    def dump_bytecode(self, bucket: Bucket) -> None:
        """A full disk is no reason to stop: the next run compiles again."""
        with suppress(OSError):
            super().dump_bytecode(bucket)


class PrintedAsFinalized(CodeGenerator):
    """Compiles for an environment whose ``finalize`` gives finished text for every value.

    The library would look at that text once more and copy it, which takes as long as all the rest
    of a page.
    """

    def visit_Output(self, node: nodes.Output, frame: Frame) -> None:  # noqa: N802 - the library's name
        """Text alone has a line too, which the library notes for values only."""
        self.newline(node)
        super().visit_Output(node, frame)

    def _output_child_to_const(self, node: nodes.Expr, frame: Frame, finalize: Any) -> str:
        """Texts and numbers of a template as they are printed; all else waits for ``finalize``, which
        says what is no text."""
        known = isinstance(node, nodes.TemplateData) or isinstance(
            node.as_const(frame.eval_ctx), str | int | float
        )
        if not known:
            raise nodes.Impossible
        return super()._output_child_to_const(node, frame, finalize)

    def _output_child_pre(self, node: nodes.Expr, frame: Frame, finalize: Any) -> None:
        self.write(finalize.src)

    def _output_child_post(self, node: nodes.Expr, frame: Frame, finalize: Any) -> None:
        self.write(")")
