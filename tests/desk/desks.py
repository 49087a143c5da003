"""Desks for tests: over a copy of the cottage, on a day and at an hour that stand still."""

import shutil
import socket
import subprocess
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from pathlib import Path
from threading import Thread
from time import sleep
from typing import Any

import uvicorn
from bs4 import BeautifulSoup
from httpx import Client
from starlette.types import ASGIApp

from builder.desk.application import application
from builder.desk.desk import Desk, Proxy, Setting
from builder.desk.jobs import Job
from builder.desk.serving import PromptConnection

HOST = "127.0.0.1:8700"
HERE = f"http://{HOST}"
DAY = date(2026, 3, 2)
COTTAGE = Path(__file__).parent.parent / "workspaces" / "cottage"
OWN = {"Origin": HERE, "Sec-Fetch-Site": "same-origin"}
"""What a browser says of a form that was sent from a page of the desk."""


class Clock:
    """An hour that goes on when a test says so."""

    def __init__(self) -> None:
        self.hour = datetime(2026, 3, 2, 9, 30)

    def __call__(self) -> datetime:
        return self.hour

    def wait(self, **time: int) -> None:
        self.hour += timedelta(**time)


def copy_of(workspace: Path, folder: Path) -> Path:
    """A workspace that a test may change."""
    root = folder / "workspace"
    shutil.copytree(workspace, root)
    return root


def git(root: Path, *words: str) -> str:
    """What git says in the repository of a workspace."""
    who = ("-c", "user.name=x", "-c", "user.email=x@y.example")
    return subprocess.run(["git", "-C", str(root), *who, *words], check=True, capture_output=True, text=True).stdout  # fmt: skip


def committed(root: Path) -> Path:
    """The workspace as the first commit of a git repository."""
    for words in (("init", "-q"), ("add", "-A"), ("commit", "-qm", "As it was")):
        git(root, *words)
    return root


def desk_of(
    root: Path, clock: Clock | None = None, accounts: Path | None = None, proxy: Proxy | None = None,
    *, day: date = DAY, hosts: Iterable[str] = (HOST,), destination: str | None = None,
) -> Desk:  # fmt: skip
    return Desk(
        Setting(
            root, root / "public", frozenset(hosts), accounts, proxy, destination,
            today=lambda: day, now=clock or Clock(),
        )
    )  # fmt: skip


def ended(desk: Desk, page: str) -> Job:
    """A piece of long work, by the address of its page, once it goes on no longer."""
    for _ in range(2_400):
        job = desk.jobs.of(page.removeprefix("/jobs/"))
        assert job is not None
        if job.finished:
            return job
        sleep(0.05)
    raise AssertionError("the work does not end")


@contextmanager
def opened(
    root: Path, day: date = DAY, destination: str | None = None, accounts: Path | None = None
) -> Iterator[str]:
    """The address of a desk that a real browser may call."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        host = f"127.0.0.1:{listening.getsockname()[1]}"
        desk = desk_of(root, accounts=accounts, day=day, hosts=(host,), destination=destination)
        with running(application(desk), listening):
            yield f"http://{host}"


def whole(address: str) -> None:
    """Wait until a desk has looked at every plot: a page that waits for it loads itself again."""
    with Client(base_url=address, timeout=120) as client:
        while "still to be looked at" in client.get("/").text:
            sleep(1)


@contextmanager
def running(
    application: ASGIApp, listening: socket.socket, http: type[PromptConnection] = PromptConnection
) -> Iterator[None]:
    """An application that is served as ``handover desk`` serves it."""
    server = uvicorn.Server(
        uvicorn.Config(application, http=http, ws="none", access_log=False, log_level="error", server_header=False)
    )  # fmt: skip
    thread = Thread(target=server.run, args=([listening],), daemon=True)
    thread.start()
    while not server.started:
        sleep(0.01)
    try:
        yield
    finally:
        server.should_exit = True
        thread.join()


@contextmanager
def served(
    application: ASGIApp, http: type[PromptConnection] = PromptConnection
) -> Iterator[Client]:
    """Who calls an application that is served at this machine."""
    with socket.create_server(("127.0.0.1", 0)) as listening, running(application, listening, http):
        address = f"http://127.0.0.1:{listening.getsockname()[1]}"
        with Client(base_url=address, headers={**OWN, "Host": HOST}, timeout=60) as client:
            yield client


@contextmanager
def browsing(desk: Desk) -> Iterator[Client]:
    """A client that calls a desk as a browser at the same machine does; it follows no redirect."""
    with served(application(desk)) as client:
        yield client


def form_at(client: Client, page: str, action: str) -> dict[str, Any]:
    """All fields of a form of a page, as a browser would send them untouched."""
    return form_in(client.get(page).text, action)


def form_in(html: str, action: str) -> dict[str, Any]:
    """The same of a page that is there already."""
    soup = BeautifulSoup(html, "html.parser")
    found = next(each for each in soup.find_all("form") if each.get("action") == action)
    sent: dict[str, Any] = {}
    for each in found.find_all(["input", "select", "textarea"]):
        name, kind = each.get("name"), each.get("type")
        if not name or kind in ("file", "image"):
            continue
        if each.name == "select":
            chosen = [o.get("value", o.text) for o in each.find_all("option") if o.has_attr("selected")]  # fmt: skip
            first = each.find("option")
            sent[name] = chosen if each.has_attr("multiple") else (chosen or [first.get("value", first.text) if first else ""])[0]  # fmt: skip
        elif kind == "checkbox":
            if each.has_attr("checked"):
                sent.setdefault(name, []).append(each["value"])
        else:
            sent[name] = (
                each.text.removeprefix("\n") if each.name == "textarea" else each.get("value", "")
            )
    return sent


def said(html: str) -> str:
    """What a page says was done, or not."""
    soup = BeautifulSoup(html, "html.parser")
    return " ".join(each.get_text(" ", strip=True) for each in soup.select(".notice, .wrong"))
