"""Begins the publishing of plots beside the pages, one after the other."""

from builder.desk.answers import GoTo
from builder.desk.desk import Desk
from builder.desk.work import publishing


def begin_publishing(
    desk: Desk, title: str, plots: tuple[str, ...], number: int, back: str, by: str
) -> GoTo:
    """The way to the page of the work. ``number``: how many plots are dealt with; ``plots``: none named
    are all."""
    setting = desk.setting
    when = setting.now().isoformat(sep=" ", timespec="minutes")
    arguments = (setting.root, setting.out, plots, setting.today(), when, by)
    job = desk.jobs.begin(title, publishing, arguments, back=back, by=by, total=number)
    return GoTo(f"/jobs/{job.id}")
