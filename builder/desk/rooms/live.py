"""The guide of a plot as it would be published now, served beside the pages of the plot.

No script runs in it here: every job of a guide is done without one, and so nothing that an author
writes can act on the desk. The published guide has its scripts.
"""

import mimetypes
import re

from starlette.exceptions import HTTPException

from builder.desk.answers import FileAnswer
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.room import DeskRoom, page
from builder.guide.pages import Guide

POLICY = "; ".join((
    "default-src 'none'", "img-src 'self' data:", "style-src 'self' 'unsafe-inline'", "font-src 'self'",
    "form-action 'none'", "base-uri 'none'", "frame-ancestors 'self'",
))  # fmt: skip
"""A guide is looked at: it runs nothing, and sends nothing."""
_SCRIPT = re.compile(rb"<script\b.*?</script>", re.DOTALL | re.IGNORECASE)
"""What the policy would refuse, and a browser would complain of."""


def address_of(reference: str, path: str = "") -> str:
    """Where the live guide of a plot stands. One step for both parts of its name, as a code is."""
    return f"/live/g/{reference.replace('/', '~')}/{path}"


def show(desk: Desk, asked: Asked) -> FileAnswer:
    """One file of a live guide."""
    reference = asked.named["plot"].replace("~", "/", 1)
    if reference not in desk.board.looking().workspace.plots:
        raise HTTPException(404)
    return _answer_of(desk, desk.board.plot(reference).guide, asked.named["path"])


def on_trial(desk: Desk, asked: Asked) -> FileAnswer:
    """One file of a guide with a text that nobody has saved yet."""
    return _answer_of(desk, desk.trials.of(asked.named["number"]), asked.named["path"])


def _answer_of(desk: Desk, guide: Guide | None, path: str) -> FileAnswer:
    name = f"{path}index.html" if path == "" or path.endswith("/") else path
    content = desk.live.file(guide, name, desk.board.templates) if guide is not None else None
    return _file(content, name)


def shared(desk: Desk, asked: Asked) -> FileAnswer:
    """One file of the theme, which all guides share."""
    return _file(desk.live.asset(asked.named["path"], desk.board.templates), asked.named["path"])


def _file(content: bytes | None, name: str) -> FileAnswer:
    if content is None:
        raise HTTPException(404)
    kind = mimetypes.guess_type(name)[0] or "application/octet-stream"
    content = _SCRIPT.sub(b"", content) if kind == "text/html" else content
    kind = f"{kind}; charset=utf-8" if kind.startswith("text/") else kind
    return FileAnswer(content, kind, policy=POLICY)


ROOM = DeskRoom(
    "live", "", "",
    (page("/live/g/{plot}/{path:path}", show), page("/live/t/{number}/{path:path}", on_trial), page("/live/assets/{path:path}", shared)),
)  # fmt: skip
