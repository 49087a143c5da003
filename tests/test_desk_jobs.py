"""Long work at the desk: one after the other, whatever becomes of the pages that watch."""

import asyncio
import json
import os
import re
import time
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from builder.desk.events import progress
from builder.desk.jobs import Job, Jobs, Say, Told
from builder.errors import HandoverError
from tests.desk.desks import browsing, desk_of

NOW = datetime(2026, 3, 2, 9, 30)


def counting(folder: str, name: str, say: Say) -> Told:
    """Work that writes when it begins and ends, and tells of three steps."""
    with open(f"{folder}/order", "a", encoding="utf-8") as order:
        order.write(f"{name} begins\n")
    for step in range(3):
        say(f"step {step}")
    with open(f"{folder}/order", "a", encoding="utf-8") as order:
        order.write(f"{name} ends\n")
    return Told((f"{name} is done.",))


def refusing(say: Say) -> Told:
    raise HandoverError("Another build is writing. Try again when it has ended.")


def dying(say: Say) -> Told:
    say("one step")
    os._exit(9)


def stumbling(say: Say) -> Told:
    raise KeyError("12 Private Lane")


@pytest.fixture
def jobs() -> Iterator[Jobs]:
    jobs = Jobs(lambda: NOW)
    yield jobs
    jobs.close()


def finished(jobs: Jobs, job: Job) -> Job:
    for _ in range(1_200):
        now = jobs.of(job.id)
        assert now is not None
        if now.finished:
            return now
        time.sleep(0.05)
    raise AssertionError("the work does not end")


def test_work_is_done_one_piece_after_the_other(jobs: Jobs, tmp_path: Path) -> None:
    begun = [jobs.begin(name, counting, (str(tmp_path), name), back="/", by="sales", total=3) for name in ("first", "second")]  # fmt: skip
    ended = [finished(jobs, each) for each in begun]
    assert [each.told.lines for each in ended] == [("first is done.",), ("second is done.",)]
    assert [each.state for each in ended] == ["done", "done"]
    assert [each.steps for each in ended] == [3, 3]
    order = (tmp_path / "order").read_text(encoding="utf-8").splitlines()
    assert order == ["first begins", "first ends", "second begins", "second ends"]


def test_work_that_is_refused_says_why(jobs: Jobs) -> None:
    job = finished(jobs, jobs.begin("x", refusing, (), back="/", by="sales"))
    assert (job.state, job.told.lines) == ("failed", ("Another build is writing. Try again when it has ended.",))  # fmt: skip


def test_work_that_is_killed_is_told_and_the_next_goes_on(jobs: Jobs, tmp_path: Path) -> None:
    job = finished(jobs, jobs.begin("x", dying, (), back="/", by="sales"))
    assert job.state == "failed"
    assert "stopped before it was finished" in job.told.lines[0]
    after = jobs.begin("y", counting, (str(tmp_path), "next"), back="/", by="sales")
    assert finished(jobs, after).state == "done"


def test_a_mistake_of_the_desk_is_told_by_its_kind_and_printed_nowhere(
    jobs: Jobs, capfd: pytest.CaptureFixture[str]
) -> None:
    job = finished(jobs, jobs.begin("x", stumbling, (), back="/", by="sales"))
    assert job.state == "failed"
    (told,) = job.told.lines
    assert re.sub(r":[0-9]+\)", ":LINE)", told) == "This is a mistake of the desk: KeyError (desk/jobs.py:LINE). Report it in these words."  # fmt: skip
    assert capfd.readouterr() == ("", "")


def test_events_tell_how_far_it_is_until_it_ends(jobs: Jobs, tmp_path: Path) -> None:
    job = jobs.begin("x", counting, (str(tmp_path), "one"), back="/", by="sales", total=3)

    async def heard() -> list[str]:
        return [each async for each in progress(jobs, job.id)]

    told = [json.loads(each.removeprefix("data: ")) for each in asyncio.run(heard()) if each.startswith("data: ")]  # fmt: skip
    assert told[-1]["state"] == "done"
    assert told[-1]["steps"] == 3


def test_publishing_goes_on_when_its_page_is_closed(cottage: Path) -> None:
    desk = desk_of(cottage)
    with browsing(desk) as client:
        answer = client.post("/plots/riverside/01/publish")
        assert answer.status_code == 303
        page = answer.headers["location"]
        with client.stream("GET", f"{page}/events") as events:
            next(events.iter_lines())  # The page is opened, and closed at once.
        job = desk.jobs.of(page.removeprefix("/jobs/"))
        assert job is not None
        assert finished(desk.jobs, job).state == "done"
        assert "1 guide published" in client.get(page).text
        assert client.get("/jobs").text.count("Publish riverside/01") == 1
        assert "published" in client.get("/plots/riverside/01").text
    assert len(list((cottage / "public/g").iterdir())) == 1


def test_a_plot_with_a_mistake_is_not_published(cottage: Path) -> None:
    (cottage / "developments/riverside/plots").mkdir(exist_ok=True)
    (cottage / "developments/riverside/plots/01.yaml").write_text("serial: {}\n", encoding="utf-8")
    with browsing(desk_of(cottage)) as client:
        answer = client.post("/plots/riverside/01/publish")
        page = client.get(answer.headers["location"]).text
    assert "Something is wrong with this plot." in page
    assert "is not known here." in page
    assert not (cottage / "public").exists()
