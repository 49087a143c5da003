"""Fixtures that many tests share, and where they work: in memory, where there is room."""

import gc
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner
from filelock import FileLock
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, sync_playwright

from builder.build.executors import SELDOM
from builder.cli.commands import main
from builder.preparing import Preparation, prepare
from tests.chromium import AXE, CHROMIUM, FLAGS
from tests.demo import Demo, built_twice
from tests.demonstrations import DAY
from tests.lighthouse_table import print_lighthouse
from tests.mistake_table import print_mistakes

# A slow machine is no finding: examples are the same in every run, and take as long as they take.
settings.register_profile(
    "gate", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("gate")

# As in a process that writes guides: what tests share is large and stays, and each look through all of
# it for memory that holds itself takes as long as some tests.
gc.set_threshold(*SELDOM)

IN_MEMORY = Path("/dev/shm")
"""Tests make and remove folders by the ten thousand, each of which costs a disk some milliseconds."""
ROOM = 8 * 1024**3
"""Bytes that must be free there: all tests on several processes leave less than 2 GiB."""
if (
    "TMPDIR" not in os.environ
    and os.access(IN_MEMORY, os.W_OK)
    and shutil.disk_usage(IN_MEMORY).free > ROOM
):
    os.environ["TMPDIR"] = str(IN_MEMORY)  # for commands that tests run too
    tempfile.tempdir = None

HERE = Path(__file__).parent
PROJECT = HERE.parent
COTTAGE, FAR = HERE / "workspaces" / "cottage", HERE / "workspaces" / "far"


def pytest_collection_finish() -> None:
    """What is there before the first test stays to the end: nobody need look through it again."""
    gc.freeze()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Shows the tables that tests leave."""
    print_mistakes(terminalreporter)
    print_lighthouse(terminalreporter)


@pytest.fixture
def cottage(tmp_path: Path) -> Path:
    """A copy of the small whole example, to change."""
    workspace = tmp_path / "cottage"
    shutil.copytree(COTTAGE, workspace)
    return workspace


@pytest.fixture(scope="session")
def far(tmp_path_factory: pytest.TempPathFactory) -> Preparation:
    """Homes unlike those of the demo, as somebody new begins their workspace: the standard that a first command writes,
    then the homes."""
    folder = tmp_path_factory.mktemp("far")
    begun = CliRunner().invoke(main, ["new", "development", "spare", "--workspace", str(folder)])
    assert begun.exit_code == 0, begun.output
    shutil.rmtree(folder / "developments" / "spare")
    shutil.copytree(FAR, folder, dirs_exist_ok=True)
    return prepare(folder, (), DAY)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Debian's Chromium, for all tests of a module."""
    assert CHROMIUM.exists(), "Install Debian's chromium: the gate never skips these tests."
    assert AXE.exists(), "Run: make tools"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Demo:
    """The demo, built twice; once for all processes that share the tests."""
    folder = tmp_path_factory.getbasetemp()
    if worker_id != "master":
        folder = folder.parent
    with FileLock(folder / "demo.lock"):
        return built_twice(folder / "demo")
