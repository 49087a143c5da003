"""Previews: `handover preview` and plain `mkdocs serve` show a plot, and follow changes."""

import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

import pytest

from tests.broken_workspaces import run
from tests.conftest import PROJECT


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


@contextmanager
def serving(*command: str, cwd: Path) -> Iterator[IO[str]]:
    """What the command says on the way."""
    process = subprocess.Popen(
        [sys.executable, "-m", *command],
        cwd=cwd,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    assert process.stdout is not None
    with process:
        try:
            yield process.stdout
        finally:
            process.terminate()


def wait_for(url: str, words: str) -> str:
    """The page at an address, once it says something."""
    page = ""
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        try:
            with urllib.request.urlopen(url, timeout=2) as answer:
                page = answer.read().decode("utf-8")
        except OSError:
            page = ""
        if words in page:
            return page
        time.sleep(0.25)
    raise AssertionError(f"{url} never said '{words}': {page[:500]}")


def test_preview_follows_a_change(cottage: Path) -> None:
    port = free_port()
    address = f"127.0.0.1:{port}"
    with serving(
        "builder.cli",
        "preview",
        "riverside/02",
        "--workspace",
        str(cottage),
        "--address",
        address,
        cwd=cottage,
    ):
        url = f"http://{address}/equipment/stopcock/"
        assert "in the cupboard, low on the left" in wait_for(url, "Stopcock")
        plot = cottage / "developments" / "riverside" / "plots" / "02.yaml"
        plot.write_text(plot.read_text().replace("low on the {right}", "high on the {right}"))
        wait_for(url, "in the cupboard, high on the left")
        plot.write_text(plot.read_text().replace("room: hall", "room: hal"))
        mistakes = wait_for(f"http://{address}/", "To mend first")
        assert "developments/riverside/plots/02.yaml:7:26" in mistakes
        assert "Did you mean 'hall'?" in mistakes
        plot.write_text(plot.read_text().replace("room: hal,", "room: hall,"))
        wait_for(url, "in the cupboard, high on the left")


def test_mkdocs_serve_previews_the_plot_of_its_settings() -> None:
    address = f"127.0.0.1:{free_port()}"
    with serving("mkdocs", "serve", "--dev-addr", address, cwd=PROJECT):
        wait_for(f"http://{address}/", "Teasel Row")


def test_the_calendar_of_a_preview_is_there(cottage: Path) -> None:
    address = f"127.0.0.1:{free_port()}"
    command = ("builder.cli", "preview", "riverside/01", "--address", address)
    with serving(*command, cwd=cottage) as said:
        assert said.readline() == (
            f"The guide of riverside/01: http://{address}/  Written again at each save. Stop with Ctrl+C.\n"
        )
        assert 'href="../calendar.ics"' in wait_for(f"http://{address}/dates/", "calendar.ics")
        assert "BEGIN:VEVENT" in wait_for(f"http://{address}/calendar.ics", "END:VCALENDAR")


@pytest.mark.parametrize(
    ("address", "says"), [
        ("8000", "'8000' is no address. Write HOST:PORT, as 127.0.0.1:8000."),
        ("127.0.0.1:70000", "'127.0.0.1:70000' is no address. Write HOST:PORT"),
        ("host.invalid:8000", "Nothing can be served at 'host.invalid:8000': "),
    ],
)  # fmt: skip
def test_an_address_that_is_none_is_told(cottage: Path, address: str, says: str) -> None:
    result = run("preview", "riverside/01", "--workspace", str(cottage), "--address", address)
    assert result.exit_code == 2
    assert says in result.output


def test_a_port_that_is_taken_is_told(cottage: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        result = run("preview", "riverside/01", "--workspace", str(cottage),
                     "--address", f"127.0.0.1:{port}")  # fmt: skip
    assert result.exit_code == 2
    assert result.output == (
        f"Error: Another program is serving at '127.0.0.1:{port}', perhaps another preview. "
        f"Stop it, or name another address: --address 127.0.0.1:{port + 1}.\n"
    )


def test_preview_of_a_plot_with_mistakes(cottage: Path) -> None:
    house_type = cottage / "housetypes" / "cottage.yaml"
    house_type.write_text(house_type.read_text().replace("kind: stopcock", "kind: stopcok"))
    result = run("preview", "riverside/01", "--workspace", str(cottage))
    assert result.exit_code == 1
    assert "Did you mean 'stopcock'?" in result.output


def test_the_plan_of_a_house_type_follows_a_change(cottage: Path) -> None:
    """With its findings; and whatever is saved in between, the page is there."""
    address = f"127.0.0.1:{free_port()}"
    file = cottage / "housetypes" / "cottage.yaml"
    before = file.read_text(encoding="utf-8")
    command = ("builder.cli", "preview", "--plan", "housetypes/cottage.yaml", "--address", address)
    with serving(*command, cwd=cottage):
        url = f"http://{address}/"
        assert "Kitchen" in wait_for(url, "<svg")
        version = wait_for(f"{url}version", "")
        file.write_text(before.replace("name: Kitchen,", "name: Scullery,"), encoding="utf-8")
        wait_for(url, "Scullery")
        assert wait_for(f"{url}version", "") != version
        file.write_text(before.replace("hinge: left", "hinge: lefty"), encoding="utf-8")
        assert "cottage.yaml" in wait_for(url, "lefty")
        for broken in ("rooms: [", "", "house_type: {name: x}\n", "\x00"):
            file.write_text(broken, encoding="utf-8")
            wait_for(url, "cottage")
        file.write_text(before, encoding="utf-8")
        wait_for(url, "Kitchen")
