"""Fixtures that many tests share."""

import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests.demo import Demo, build_twice

# A slow machine is no finding: examples are the same in every run, and take as long as they take.
settings.register_profile(
    "gate", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("gate")

HERE = Path(__file__).parent
PROJECT = HERE.parent
COTTAGE = HERE / "workspaces" / "cottage"


@pytest.fixture
def cottage(tmp_path: Path) -> Path:
    """A copy of the small whole example, to change."""
    workspace = tmp_path / "cottage"
    shutil.copytree(COTTAGE, workspace)
    return workspace


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    """The demo, built twice."""
    return build_twice(tmp_path_factory.mktemp("demo"))
