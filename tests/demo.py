"""The demo as it is built and served: shared by the tests that look at finished pages."""

import copy
import functools
import gzip
import re
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import yaml

PROJECT = Path(__file__).parent.parent
BUILD = (
    sys.executable,
    "-m",
    "builder.cli",
    "build",
    "--workspace",
    str(PROJECT),
    "--date",
    "2026-11-25",
)

BUILT_AGAIN = ("harbour-view/07", "mill-lane/07", "maes-y-coed/02", "lough-row/01", "marlpit-yard/01", "shore-court/04")  # fmt: skip


@dataclass(frozen=True)
class Demo:
    """The demo as it was built, and some plots of each development once more, from the same input."""

    public: Path
    again: Path
    output: str

    @functools.cached_property
    def guides(self) -> dict[str, Path]:
        """The folder of each plot's guide, by the plot's reference."""
        found = re.findall(r"^(\S+/\S+)  \d+ pages  \S+/g/(\w+)/$", self.output, re.MULTILINE)
        return {reference: self.public / "g" / code for reference, code in found}


def built_twice(folder: Path) -> Demo:
    """The demo in a folder, built there now unless it has been."""
    outs, output = (folder / "public", folder / "again"), folder / "output.txt"
    if not output.exists():
        folder.mkdir(exist_ok=True)
        said = [
            subprocess.run(
                [*BUILD, *plots, "--out", str(out)], capture_output=True, text=True, check=False
            )
            for plots, out in zip(((), BUILT_AGAIN), outs, strict=True)
        ]
        assert [each.returncode for each in said] == [0, 0], [each.stderr for each in said]
        output.write_text(said[0].stdout, encoding="utf-8")
    return Demo(*outs, output.read_text(encoding="utf-8"))


def independent_layers(reference: str) -> list[dict[str, object]]:
    """The layers of a demo plot's equipment, read by a plain YAML reader and nothing of ours."""
    development, number = reference.split("/")
    row = rows(development)[number]
    names = [name for name in row["options"].split("+") if name]
    files = [
        PROJECT / "housetypes" / "standard.yaml",
        PROJECT / "developments" / development / "development.yaml",
        PROJECT / "housetypes" / f"{row['house_type']}.yaml",
        *(PROJECT / "housetypes" / "options" / f"{name}.yaml" for name in names),
    ]
    layers = [_plainly_read(file) for file in files]
    own = PROJECT / "developments" / development / "plots" / f"{number}.yaml"
    if own.exists():
        departures = _plainly_read(own).get("departures") or {}
        layers += [departure["changes"] for departure in departures.values()]
    # Whoever merges layers may write into the first of them.
    return copy.deepcopy(layers)


@functools.cache
def _plainly_read(file: Path) -> dict[str, Any]:
    """A file of data, once for all plots: the plain reader takes most of the time of these tests."""
    found: dict[str, Any] = yaml.safe_load(file.read_text(encoding="utf-8"))
    return found


def rows(development: str) -> dict[str, dict[str, str]]:
    """The rows of a demo table, split by hand: no cell of the demo holds a line break."""
    text = (PROJECT / "developments" / development / "plots.csv").read_text(encoding="utf-8-sig")
    separator = ";" if ";" in text else ","
    cells = [split_line(line, separator) for line in text.splitlines() if line]
    header = cells[0]
    return {line[0]: dict(zip(header, line, strict=False)) for line in cells[1:]}


def split_line(line: str, separator: str) -> list[str]:
    cells, quoted = [""], False
    for character in line:
        if character == '"':
            quoted = not quoted
        elif character == separator and not quoted:
            cells.append("")
        else:
            cells[-1] += character
    return cells


_PACKED = (".html", ".css", ".js", ".json", ".svg", ".txt", ".ics")
"""Files that hosts compress."""


@contextmanager
def served(public: Path, *, packed: bool = False) -> Iterator[str]:
    """The published tree on this machine alone, with the headers that a host would send. ``packed``:
    texts are compressed, as hosts do."""
    sections = re.findall(
        r"^(/\S*)\*\n((?:  .*\n)+)", (public / "_headers").read_text(), re.MULTILINE
    )

    class Handler(SimpleHTTPRequestHandler):
        def end_headers(self) -> None:
            for path, lines in sections:
                for line in lines.splitlines() if self.path.startswith(path) else ():
                    self.send_header(*line.strip().split(": ", 1))
            super().end_headers()

        def do_GET(self) -> None:
            file = Path(self.translate_path(self.path))
            file = file / "index.html" if file.is_dir() else file
            if not (packed and file.suffix in _PACKED and file.is_file()):
                super().do_GET()
                return
            content = gzip.compress(file.read_bytes(), 6, mtime=0)
            self.send_response(200)
            self.send_header("Content-Type", f"{self.guess_type(str(file))}; charset=utf-8")
            self.send_header("Content-Encoding", "gzip")
            self.send_header("Content-Length", str(len(content)))
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *_: object) -> None:
            pass

    class Server(ThreadingHTTPServer):
        def handle_error(self, *_: object) -> None:
            """A browser that closes before the answer ends is no fault of the host."""

    server = Server(("127.0.0.1", 0), functools.partial(Handler, directory=public))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
