"""How our templates are compiled: what ``finalize`` makes of a value is printed as it stands."""

from typing import Any

from jinja2 import nodes
from jinja2.compiler import CodeGenerator, Frame


class PrintedAsFinalized(CodeGenerator):
    """Compiles for an environment whose ``finalize`` gives finished text for every value.

    The library would look at that text once more and copy it, which takes as long as all the rest
    of a page.
    """

    def _output_child_pre(self, node: nodes.Expr, frame: Frame, finalize: Any) -> None:
        self.write(finalize.src)

    def _output_child_post(self, node: nodes.Expr, frame: Frame, finalize: Any) -> None:
        self.write(")")
