"""How our templates are compiled: what ``finalize`` makes of a value is printed as it stands."""

from typing import Any

from jinja2 import nodes
from jinja2.compiler import CodeGenerator, Frame


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
