"""Guides that workers of a scheduler write: the same bytes, or a clear word and nothing half done."""

import shutil
import sys
from collections.abc import Iterator
from concurrent.futures.process import BrokenProcessPool
from datetime import date
from pathlib import Path

import pytest
from distributed import Client

from builder.build import executors
from builder.build.building import publish
from builder.build.executors import Futures, WorkerGround, look_round
from builder.build.report import Target
from builder.build.source_files import SourceFiles
from builder.deploy.verifying import verify
from builder.digests import tool_digest
from builder.errors import HandoverError
from tests.broken_workspaces import run
from tests.conftest import COTTAGE
from tests.local_cluster import (
    allow_failures,
    dies_once,
    local_cluster,
    replace_ground,
    replace_writing,
)
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


def test_workers_of_a_scheduler_write_the_same_bytes(
    built: Path, scheduler: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # A folder as people type it, from where they stand: workers stand elsewhere.
    monkeypatch.chdir(built)
    result = run(
        "build", "--workspace", "cottage", "--out", "far", "--date", "2026-03-01",
        "--executor", scheduler,
    )  # fmt: skip
    assert f"{PLOTS} guides published." in result.output
    assert contents(built / "far") == contents(built / "here")


def test_a_worker_that_dies_in_the_middle_is_made_up_for(built: Path, scheduler: str) -> None:
    with Client(scheduler, set_as_default=False) as client:
        first = min(client.nthreads())
        client.run(replace_writing, "dies_once", workers=[first])
        report = publish(Target(built / "cottage", (), built / "again", DAY, scheduler))
        assert first not in client.nthreads()
    assert len(report.published) == PLOTS
    assert contents(built / "again") == contents(built / "here")


def test_orders_that_no_worker_survives_leave_whole_guides_and_a_clear_word(
    built: Path, site: Path, tmp_path: Path, scheduler: str
) -> None:
    shutil.copytree(built / "here", tmp_path / "far")
    shutil.copytree(built / ".here.records", tmp_path / ".far.records")
    before = contents(tmp_path / "far")
    article = site / "content" / "articles" / "water-off.md"
    article.write_text(article.read_text() + "\nNew words.\n")
    with Client(scheduler, set_as_default=False) as client:
        client.wait_for_workers(1, timeout=30)
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
    assert not verify(tmp_path / "far").problems


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
    ground = WorkerGround(cottage, SourceFiles(cottage).digest, workplace)
    assert "does not see the folder" in look_round(ground, tool, python)
    (workplace / "shared-disk").write_text("")
    assert "does not see the records" in look_round(ground, tool, python)
    (tmp_path / ".public.records").mkdir()
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
        client.wait_for_workers(1, timeout=30)
        client.run(replace_ground)
        with pytest.raises(HandoverError, match=r"^Worker tcp://.* does not see the workspace"):
            publish(Target(site, (), tmp_path / "far", DAY, scheduler))
        client.run(replace_ground, back=True)
    assert not (tmp_path / "far" / "g").exists()


def test_workers_of_several_threads_are_refused(tmp_path: Path) -> None:
    client = _Stub([{"tcp://b:2": 1, "tcp://b:3": 4}])
    with pytest.raises(HandoverError) as caught:
        executors._check(client, "tcp://a:1", WorkerGround(tmp_path, "", tmp_path))
    assert str(caught.value) == (
        "Worker tcp://b:3 does 4 things at once in one process. Start each with one thread: "
        "dask worker tcp://a:1 --nthreads 1 --nworkers auto."
    )


def test_a_scheduler_without_workers(tmp_path: Path) -> None:
    with pytest.raises(HandoverError) as caught:
        executors._check(_Stub([{}]), "tcp://a:1", WorkerGround(tmp_path, "", tmp_path))
    assert str(caught.value) == (
        "The scheduler at tcp://a:1 has no workers. Start some: "
        "dask worker tcp://a:1 --nthreads 1 --nworkers auto."
    )


def test_a_worker_without_the_builder(tmp_path: Path) -> None:
    client = _Stub([{"tcp://b:2": 1}], ModuleNotFoundError("No module named 'builder'"))
    with pytest.raises(HandoverError) as caught:
        executors._check(client, "tcp://a:1", WorkerGround(tmp_path, "", tmp_path))
    assert str(caught.value) == (
        "Worker tcp://b:2 cannot run the builder: ModuleNotFoundError: No module named 'builder'. "
        "Install the same version of it there."
    )


def test_a_scheduler_whose_workers_are_all_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody is left waiting for ever; a worker that comes back in time is waited for."""
    one, none = {"tcp://b:2": 1}, dict[str, int]()
    client = _Stub([one, none, none, one, none, none, none])
    watch = executors._Watch(client, "tcp://a:1")
    monkeypatch.setattr(executors, "ROUNDS", 3)
    for _ in range(6):
        watch.look()
    with pytest.raises(HandoverError, match="The scheduler at tcp://a:1 has no workers"):
        watch.look()


class _Stub:
    """Stands in for a client: its workers at each look, and what they answer."""

    def __init__(self, looks: list[dict[str, int]], answer: object = "") -> None:
        self._looks, self._answer = looks, answer

    def nthreads(self) -> dict[str, int]:
        return self._looks.pop(0)

    def wait_for_workers(self, number: int, timeout: float) -> None:
        if len(self._looks[0]) < number:
            raise TimeoutError

    def run(self, *_: object, on_error: str) -> dict[str, object]:
        assert on_error == "return"
        return {"tcp://b:2": self._answer}


def test_a_process_of_this_machine_that_is_killed_is_a_clear_word(
    site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("builder.build.building.write", dies_once)
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


def test_a_workspace_has_one_digest_however_its_path_is_spelled(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A worker is told the true path; the demo is where the builder's own files lie too."""
    project = Path(__file__).parent.parent.resolve()
    link = tmp_path / "link"
    link.symlink_to(project)
    monkeypatch.chdir(project)
    spelled = (Path("."), project, link, project / "tests" / "..", Path("tests/.."))
    assert len({SourceFiles(each).digest for each in spelled}) == 1
