"""Guides that workers of a scheduler write: the same bytes, or a clear word and nothing half done."""

import os
import shutil
import sys
from collections.abc import Iterator
from concurrent.futures.process import BrokenProcessPool
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from distributed import Client

from builder.errors import HandoverError
from builder.publish import executors, plot_writing
from builder.publish.building import Target, publish
from builder.publish.executors import Futures, Ground, look_round
from builder.publish.plot_writing import Answer, Order
from builder.publish.sources import Sources, tool_digest
from builder.publish.verifying import verify
from tests.broken_workspaces import run
from tests.conftest import COTTAGE
from tests.local_cluster import local_cluster
from tests.test_publish import contents

DAY = date(2026, 3, 1)
PLOTS = 5
"""Plots of the cottage's two editions, and of others that differ in where the stopcock is."""


@pytest.fixture(scope="module")
def scheduler() -> Iterator[str]:
    """Two workers, each a process."""
    with local_cluster(2) as address:
        yield address


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the cottage and more plots, built by processes of this machine."""
    folder = tmp_path_factory.mktemp("built")
    shutil.copytree(COTTAGE, folder / "cottage")
    _add_plots(folder / "cottage")
    report = publish(Target(folder / "cottage", (), folder / "here", DAY))
    assert len(report.published) == PLOTS, list(map(str, report.findings))
    return folder


@pytest.fixture
def site(built: Path, tmp_path: Path) -> Path:
    """A workspace of that kind to change: its codes are drawn already."""
    return Path(shutil.copytree(built / "cottage", tmp_path / "cottage"))


def _add_plots(cottage: Path) -> None:
    """Most of them are editions of their own."""
    table = cottage / "developments" / "riverside" / "plots.csv"
    rows = "".join(
        f"{plot:02},{plot} Riverside,ZZ99 9ZZ,cottage,as-drawn,,2026-04-{plot:02}\n"
        for plot in range(3, PLOTS + 1)
    )
    table.write_text(table.read_text() + rows)
    for plot in range(4, PLOTS + 1):
        moved = f'equipment: {{stopcock: {{place: "behind panel {plot}"}}}}'
        departure = (
            f"moved: {{note: A drain is in the way., date: 2026-02-11, changes: {{{moved}}}}}"
        )
        path = cottage / "developments" / "riverside" / "plots" / f"{plot:02}.yaml"
        path.write_text(f"departures:\n  {departure}\n")


def dies_once(order: Order) -> Answer:
    """Stands in for writing on one worker: its process is gone before the work is done."""
    os._exit(1)


def replace_writing(name: str) -> None:
    """Run on a worker: orders are carried out by something else from now on."""
    plot_writing.write = globals()[name]


def allow_failures(number: int, dask_scheduler: Any = None) -> None:
    """Run on a scheduler: how many workers may die of one order."""
    dask_scheduler.allowed_failures = number


def test_workers_of_a_scheduler_write_the_same_bytes(
    built: Path, site: Path, tmp_path: Path, scheduler: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert site.parent == tmp_path
    # A folder as people type it, from where they stand: workers stand elsewhere.
    monkeypatch.chdir(tmp_path)
    result = run(
        "build", "--workspace", "cottage", "--out", "far", "--date", "2026-03-01",
        "--executor", scheduler,
    )  # fmt: skip
    assert f"{PLOTS} guides published." in result.output
    assert contents(tmp_path / "far") == contents(built / "here")


def test_a_worker_that_dies_in_the_middle_is_made_up_for(
    built: Path, site: Path, tmp_path: Path, scheduler: str
) -> None:
    with Client(scheduler, set_as_default=False) as client:
        first = min(client.nthreads())
        client.run(replace_writing, "dies_once", workers=[first])
        report = publish(Target(site, (), tmp_path / "far", DAY, scheduler))
        assert first not in client.nthreads()
    assert len(report.published) == PLOTS
    assert contents(tmp_path / "far") == contents(built / "here")


def test_orders_that_no_worker_survives_leave_whole_guides_and_a_clear_word(
    built: Path, site: Path, tmp_path: Path, scheduler: str
) -> None:
    shutil.copytree(built / "here", tmp_path / "far")
    shutil.copytree(built / ".here.records", tmp_path / ".far.records")
    before = contents(tmp_path / "far")
    article = site / "content" / "articles" / "water-off.md"
    article.write_text(article.read_text() + "\nNew words.\n")
    with Client(scheduler, set_as_default=False) as client:
        client.wait_for_workers(2, timeout=30)
        client.run_on_scheduler(allow_failures, 0)
        client.run(replace_writing, "dies_once")
        with pytest.raises(HandoverError) as caught:
            publish(Target(site, (), tmp_path / "far", DAY, scheduler))
        client.run_on_scheduler(allow_failures, 3)
    assert str(caught.value) == (
        f"Workers of the scheduler at {scheduler} ended before their work was done. Finished guides "
        "are published whole, all others are as they were. Build again."
    )
    assert contents(tmp_path / "far") == before
    assert verify(tmp_path / "far").sound


def test_a_scheduler_that_is_not_there(
    site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(executors, "CONNECTING", 1)
    result = run(
        "build", "--workspace", str(site), "--out", str(tmp_path / "far"),
        "--executor", "tcp://127.0.0.1:9",
    )  # fmt: skip
    assert result.exit_code == 1
    assert (
        "No scheduler answers at tcp://127.0.0.1:9. Start one there with 'dask scheduler', or build "
        "without --executor." in result.output
    )
    assert "Traceback" not in result.output
    assert not (tmp_path / "far" / "g").exists()


@pytest.mark.parametrize(
    "address", ["scheduler", "127.0.0.1:8786", "http://host:8786", "tcp://host"]
)
def test_what_is_no_address_of_a_scheduler(address: str, site: Path, tmp_path: Path) -> None:
    with pytest.raises(
        HandoverError, match=f"'{address}' is no address of a scheduler. Write tcp://"
    ):
        publish(Target(site, (), tmp_path / "far", DAY, address))


def test_without_the_library(site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(HandoverError, match=r"pip install 'handover-pack-builder\[distributed\]'"):
        publish(Target(site, (), tmp_path / "far", DAY, "tcp://127.0.0.1:9"))


def test_what_a_worker_must_see(cottage: Path, tmp_path: Path) -> None:
    python, tool = sys.version, tool_digest()
    workplace = tmp_path / "public" / ".building-1"
    workplace.mkdir(parents=True)
    ground = Ground(cottage, Sources(cottage).digest, workplace)
    assert "does not see the folder" in look_round(ground, tool, python)
    (workplace / "shared-disk").write_text("")
    assert look_round(ground, tool, python) == ""
    assert [path.name for path in workplace.iterdir()] == ["shared-disk"]
    assert "another version" in look_round(ground, tool, "3.0")
    assert "another version" in look_round(ground, "0" * 64, python)
    (cottage / "mkdocs.yml").write_text("site_name: Another\n")
    assert "sees another workspace" in look_round(ground, tool, python)
    shutil.rmtree(cottage)
    assert look_round(ground, tool, python) == (
        f"does not see the workspace '{cottage}'. Every worker needs the same folders by the same "
        "paths, on a shared disk."
    )


def test_a_worker_with_another_disk_is_named_before_anything_is_written(
    site: Path, tmp_path: Path, scheduler: str
) -> None:
    with Client(scheduler, set_as_default=False) as client:
        client.wait_for_workers(2, timeout=30)
        client.run(replace_ground)
        with pytest.raises(HandoverError, match=r"^Worker tcp://.* does not see the workspace"):
            publish(Target(site, (), tmp_path / "far", DAY, scheduler))
        client.run(replace_ground, back=True)
    assert not (tmp_path / "far" / "g").exists()


def replace_ground(*, back: bool = False) -> None:
    """Run on a worker: it has nothing where others have their workspace, or sees it again."""
    seen = executors.look_round
    if back:
        executors.look_round = seen.__wrapped__  # type: ignore[attr-defined]
        return

    def elsewhere(ground: Ground, tool: str, python: str) -> str:
        return seen(Ground(Path("/nowhere"), ground.sources, ground.workplace), tool, python)

    elsewhere.__wrapped__ = seen  # type: ignore[attr-defined]
    executors.look_round = elsewhere


def test_workers_of_several_threads_are_refused(site: Path, tmp_path: Path) -> None:
    with local_cluster(1, threads=2) as address, pytest.raises(HandoverError) as caught:
        publish(Target(site, (), tmp_path / "far", DAY, address))
    assert "does 2 things at once in one process" in str(caught.value)
    assert f"dask worker {address} --nthreads 1" in str(caught.value)


def test_a_scheduler_whose_workers_are_all_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody is left waiting for ever; a worker that comes back in time is waited for."""
    watch = executors._Watch(_Alive([True, False, False, True, False, False, False]), "tcp://a:1")
    monkeypatch.setattr(executors, "ROUNDS", 3)
    for _ in range(6):
        watch.look()
    with pytest.raises(HandoverError, match="The scheduler at tcp://a:1 has no workers"):
        watch.look()


class _Alive:
    def __init__(self, answers: list[bool]) -> None:
        self._answers = iter(answers)

    def nthreads(self) -> dict[str, int]:
        return {"tcp://b:2": 1} if next(self._answers) else {}


def test_a_process_of_this_machine_that_is_killed_is_a_clear_word(
    site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("builder.publish.building.write", dies_once)
    with pytest.raises(HandoverError) as caught:
        publish(Target(site, (), tmp_path / "here", DAY))
    assert isinstance(caught.value.__cause__, BrokenProcessPool)
    assert str(caught.value).startswith(
        "A process that writes guides ended before its work was done."
    )
    assert not (tmp_path / "here" / "g").exists()
    assert not list((tmp_path / "here").glob(".building-*"))


def test_results_come_as_they_are_finished_and_none_is_lost() -> None:
    with executors._processes(2) as near:
        assert isinstance(near, Futures)
        assert sorted(near.results(abs, range(-50, 0))) == list(range(1, 51))
