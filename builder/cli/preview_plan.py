"""``handover preview --plan``: the plan of a house type in a browser, drawn again at each save."""

from datetime import date
from hashlib import sha256
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import click

from builder.errors import Findings, HandoverError, Severity, UsageError
from builder.guide.about import About
from builder.selection.choosing import choose
from builder.shipped import own_or_shipped
from builder.sources.workspace import read_workspace
from builder.trial import home_of_house_type
from builder.writers.plan_page.page import plan_page


def preview_plan(root: Path, file: Path, address: str) -> None:
    """Serve the page of one house type until the author stops it."""
    name = house_type_of(root, file)
    host, _, port = address.partition(":")
    try:
        server = ThreadingHTTPServer((host, int(port or 8000)), _handler(root, name))
    except (OSError, ValueError) as error:
        raise UsageError(f"'{address}' cannot be served at: {error}.") from error
    click.echo(f"The plan of {name}: http://{host}:{server.server_address[1]}/  Stop with Ctrl+C.")
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        server.server_close()


def house_type_of(root: Path, file: Path) -> str:
    """The house type that a file is, named by its path or by its id."""
    name = file.stem
    if not (root / "housetypes" / f"{name}.yaml").is_file():
        raise UsageError(f"There is no house type '{name}' in '{root / 'housetypes'}'.")
    return name


def version_of(root: Path, name: str) -> str:
    """Changes with everything that the plan and its findings are made from."""
    files = [
        root / "housetypes" / "standard.yaml",
        root / "housetypes" / f"{name}.yaml",
        *sorted(root.glob("developments/*/development.yaml")),
    ]
    content = b"".join(path.read_bytes() for path in files if path.is_file())
    return sha256(content).hexdigest()[:16]


def page_of(root: Path, name: str) -> str:
    """The page of a house type as its file is now."""
    version, findings = version_of(root, name), Findings()
    try:
        workspace = read_workspace(root, findings)
        traced = home_of_house_type(workspace, name, date.today(), findings)
    except HandoverError as error:
        raise UsageError(str(error)) from error
    file = f"housetypes/{name}.yaml"
    own = [each for each in findings if each.place.file == file or each.severity is Severity.ERROR]
    pressing = sorted(own, key=lambda each: (-each.severity, each.place))
    about = About(traced.home, choose((), traced.home), traced.kept) if traced is not None else None
    return plan_page(name, version, about, pressing)


def _handler(root: Path, name: str) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            if self.path == "/version":
                self._answer(version_of(root, name), "text/plain")
            elif self.path == "/handover.css":
                style = own_or_shipped(root, "site_templates/theme/assets/handover.css")
                self._answer(style.read_text(encoding="utf-8"), "text/css")
            elif self.path == "/":
                self._answer(page_of(root, name), "text/html")
            else:
                self.send_error(HTTPStatus.NOT_FOUND)

        def _answer(self, text: str, kind: str) -> None:
            content = text.encode("utf-8")
            self.send_response(HTTPStatus.OK)
            self.send_header("Content-Type", f"{kind}; charset=utf-8")
            self.send_header("Content-Length", str(len(content)))
            self.send_header("Cache-Control", "no-store")
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *_: object) -> None:
            """Nothing is told of each request."""

    return Handler
