"""Long work at the desk: one after the other, whatever becomes of the pages that watch."""

import asyncio
import json
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import datetime
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest

from builder.desk.jobs import Job, Jobs, progress
from builder.desk.kept_work import KeptWork, MadeFile, WorkReport
from tests.conftest import PROJECT
from tests.desk.desks import browsing, committed, desk_of, ended, form_at, git
from tests.desk.works import counting, dying, making, refusing, stumbling

NOW = datetime(2026, 3, 2, 9, 30)


def jobs_over(folder: Path) -> Jobs:
    return Jobs(lambda: NOW, KeptWork(folder))


@pytest.fixture
def jobs(tmp_path: Path) -> Iterator[Jobs]:
    jobs = jobs_over(tmp_path)
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


def test_a_file_that_work_made_waits_on_the_disk_for_its_owner_alone(
    jobs: Jobs, tmp_path: Path
) -> None:
    job = finished(jobs, jobs.begin("x", making, (), back="/", by="sales"))
    assert job.made_at == f"/jobs/{job.id}/made"
    again, folder = jobs_over(tmp_path), tmp_path / ".handover" / "work"
    for each in (jobs, again):
        assert each.made(job.id) == b"%PDF"
        assert each.made(f"../{folder.name}/{job.id}") is None
    remembered = again.of(job.id)
    assert remembered is not None
    assert (remembered.state, remembered.told.lines) == ("done", ("It is made.",))
    for path in folder.iterdir():
        assert path.stat().st_mode & 0o077 == 0, path


def test_only_so_much_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("builder.desk.jobs.MOST", 3)
    monkeypatch.setattr("builder.desk.jobs.MOST_MADE", 1)
    kept = KeptWork(tmp_path)
    for number in range(6):
        name = f"earlier-{number}"
        kept.begun(name, {"title": "x", "back": "/", "by": "sales", "begun": f"2026-02-0{number + 1}T09:30:00"})  # fmt: skip
        kept.ended(name, WorkReport(made=MadeFile("x.pdf", "application/pdf", b"x")))
    jobs = jobs_over(tmp_path)
    newest = finished(jobs, jobs.begin("x", making, (), back="/", by="sales"))
    jobs.close()
    assert [each.id for each in jobs.all()] == [newest.id, "earlier-5", "earlier-4", "earlier-3"]
    assert [each.number for each in kept.all()] == ["earlier-3", "earlier-4", "earlier-5", newest.id]  # fmt: skip
    assert [each.made_at != "" for each in jobs.all()] == [True, True, False, False]


@pytest.mark.skipif(sys.platform == "win32", reason="no process is killed so there")
def test_a_new_desk_tells_what_became_of_work_when_its_desk_was_killed(cottage: Path) -> None:
    command = [sys.executable, "-m", "tests.desk.begun", cottage]
    begun = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=PROJECT)
    with begun as desk:
        assert desk.stdout is not None
        first, second = desk.stdout.readline().split()
        for _ in range(1_200):
            if (cottage / "begun").exists():
                break
            time.sleep(0.05)
        desk.kill()
    with browsing(desk_of(cottage)) as client:
        page = client.get(f"/jobs/{first}").text
        assert "Under way" in page, "its own process goes on"
        page = client.get(f"/jobs/{second}").text
        assert "Cut off" in page
        assert "The desk ended while this was waiting or under way." in page
        assert '<a href="/recall">Back</a>' in page
        (cottage / "end").touch()
        for _ in range(1_200):
            page = client.get(f"/jobs/{first}").text
            if "Under way" not in page:
                break
            time.sleep(0.05)
        assert "All was done." in page
        listed = client.get("/jobs").text
        assert listed.index("Second") < listed.index("First")
    assert not (cottage / "order").exists(), "what was cut off is not begun by itself"


def test_what_is_damaged_or_foreign_in_the_folder_is_left_out(tmp_path: Path) -> None:
    kept = KeptWork(tmp_path)
    kept.begun("sound-one", {"title": "x", "back": "/", "by": "sales", "begun": "yesterday"})
    folder = tmp_path / ".handover/work"
    for name, text in (("damaged1.json", "{"), ("a-list-1.json", "[]"), ("..json", "{}"), ("short.json", "{}")):  # fmt: skip
        (folder / name).write_text(text, encoding="utf-8")
    (job,) = jobs_over(tmp_path).all()
    assert (job.id, job.state) == ("sound-one", "cut off")


# Printing for a whole development


def test_stickers_and_papers_of_a_whole_development(cottage: Path) -> None:
    desk = desk_of(committed(cottage))
    with browsing(desk) as client:
        here = "/printing/riverside"
        assert "2 plots." in client.get(here).text
        sent = form_at(client, here, f"{here}/stickers")
        page = client.post(f"{here}/stickers", data=sent).headers["location"]
        assert ended(desk, page).state == "failed"
        assert "There is no sticker to print: no piece has a code." in client.get(page).text
        page = client.post(f"{here}/stickers", data={**sent, "issue": "yes"}).headers["location"]
        assert ended(desk, page).told.lines == ("2 stickers on 1 sheet, every code read back.",)
        assert git(cottage, "show", "--format=%s|%an", "--name-only", "HEAD").split("\n\n") == [
            "Codes of riverside|technical", "developments/riverside/register.csv\ndevelopments/riverside/register.seal\n",
        ]  # fmt: skip
        made = client.get(f"{page}/made")
        assert made.headers["content-disposition"] == 'attachment; filename="riverside-stickers.pdf"'  # fmt: skip
        assert made.content.startswith(b"%PDF")
        page = client.post(f"{here}/papers", data={"paper": ["emergency", "run-sheet"]}).headers["location"]  # fmt: skip
        assert ended(desk, page).told.lines == ("4 papers printed.",)
        archive = ZipFile(BytesIO(client.get(f"{page}/made").content))
        assert archive.namelist() == [f"riverside/{plot}/{file}.pdf" for plot in ("01", "02") for file in ("emergency-card", "run-sheet")]  # fmt: skip
        assert all(archive.read(each).startswith(b"%PDF") for each in archive.namelist())


@pytest.mark.parametrize(("form", "sent", "says"), [
    ("papers", {}, "Tick what is to be printed."),
    ("papers", {"paper": "../x"}, "Tick what is to be printed."),
    ("stickers", {"stock": "x", "start": "1"}, "Choose the label sheets that are in the printer."),
    ("stickers", {"stock": "a4-8-of-99x67", "start": "0"}, "The first free label is a number from 1 to 8."),
    ("stickers", {"stock": "a4-8-of-99x67", "start": "9"}, "The first free label is a number from 1 to 8."),
])  # fmt: skip
def test_what_cannot_be_printed_is_told(
    cottage: Path, form: str, sent: dict[str, str], says: str
) -> None:
    with browsing(desk_of(cottage)) as client:
        page = client.post(f"/printing/riverside/{form}", data=sent).headers["location"]
        assert says in client.get(page).text
        assert client.post("/printing/nowhere/papers", data=sent).status_code == 404
