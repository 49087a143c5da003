"""Release: what would change for how many homes, publishing, sending, and the way back in one act."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from builder.board.board import BoardView
from builder.board.standing import Standing, text_at
from builder.build.releases import releases
from builder.desk.answers import Answer, GoTo, PageAnswer, refused
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.room import DeskRoom, form, page
from builder.desk.work import deploying, publishing, taking_back
from builder.readiness.need import Stage

HERE = "/release"
SHOWN = 60


@dataclass(frozen=True, slots=True)
class Waiting:
    """What waits to be published in one development, or in all: plots that were never published, plots
    of which something has changed, and plots that cannot be published because something is wrong."""

    development: str
    name: str
    new: tuple[Standing, ...]
    changed: tuple[Standing, ...]
    stopped: tuple[Standing, ...]
    current: int

    @property
    def number(self) -> int:
        """How many guides would be written."""
        return len(self.new) + len(self.changed)


def show(desk: Desk, asked: Asked) -> PageAnswer:
    """What would change, and what was released."""
    view = desk.board.view()
    waiting = tuple(waiting_in(view, name) for name in view.workspace.developments)
    values = {
        "view": view,
        "waiting": waiting,
        "total": sum(each.number for each in waiting),
        "reasons": reasons(view),
        "shown": SHOWN,
        "destination": desk.setting.destination,
        "releases": releases(desk.setting.out),
        "busy": desk.jobs.busy,
    }
    return PageAnswer("release.html", "Release", "release", values)


def waiting_in(view: BoardView, development: str) -> Waiting:
    """What waits in one development."""
    own = [each for each in view.plots if each.facts.development == development]
    sound = [each for each in own if each.readiness and each.readiness.ready(Stage.PUBLISHED)]
    entry = view.workspace.developments[development].entry
    return Waiting(
        development,
        text_at(entry, "development", "name") or development,
        tuple(each for each in sound if each.publication is None),
        tuple(each for each in sound if each.publication and each.publication.changed),
        tuple(each for each in own if each.readiness and not each.readiness.ready(Stage.PUBLISHED)),
        sum(each.publication is not None and not each.publication.changed for each in sound),
    )


def reasons(view: BoardView) -> Mapping[str, int]:
    """Of what has changed since guides were published, how many homes each thing concerns."""
    counted = Counter(each for plot in view.plots if plot.publication for each in plot.publication.changed)  # fmt: skip
    return dict(counted.most_common(SHOWN))


def publish(desk: Desk, asked: Asked) -> Answer:
    """Publish one development, or all of them."""
    view, named = desk.board.view(), asked.text("development")
    if named and named not in view.workspace.developments:
        return refused(HERE, "There is no such development.")
    names = [named] if named else list(view.workspace.developments)
    waiting = [waiting_in(view, each) for each in names]
    if not any(each.number for each in waiting):
        return refused(HERE, "Nothing waits to be published there.")
    number = sum(1 for each in view.plots if each.facts.development in names)
    title = f"Publish {waiting[0].name if named else 'all developments'}"
    return begin_publishing(desk, title, (named,) if named else (), number, HERE, asked.who.role)  # fmt: skip


def send(desk: Desk, asked: Asked) -> Answer:
    """Send the published guides to where people read them."""
    destination = desk.setting.destination
    if destination is None:
        return refused(HERE, "This desk was started without a destination: handover desk --destination DEST.")  # fmt: skip
    job = desk.jobs.begin("Send the guides", deploying, (desk.setting.out, destination), back=HERE, by=asked.who.role)  # fmt: skip
    return GoTo(f"/jobs/{job.id}")


def back(desk: Desk, asked: Asked) -> Answer:
    """Take the last release back, and send what stands then."""
    kept, number = releases(desk.setting.out), asked.text("release")
    if not kept or kept[0].number != number:
        return refused(HERE, "Another release has come since you opened this page. Look again.")
    arguments = (desk.setting.out, number, desk.setting.destination)
    job = desk.jobs.begin("Take the last release back", taking_back, arguments, back=HERE, by=asked.who.role, total=len(kept[0].replaced))  # fmt: skip
    return GoTo(f"/jobs/{job.id}")


ROOM = DeskRoom(
    "release", "Release", HERE,
    (
        page(HERE, show),
        form(f"{HERE}/publish", publish, "publish"),
        form(f"{HERE}/send", send, "release"),
        form(f"{HERE}/back", back, "release"),
    ),
)  # fmt: skip


def begin_publishing(
    desk: Desk, title: str, plots: tuple[str, ...], number: int, back: str, by: str
) -> GoTo:
    """The way to the page of the work. ``number``: how many plots are dealt with; ``plots``: none named
    are all."""
    setting = desk.setting
    arguments = (setting.root, setting.out, plots, setting.today(), desk.hour(), by)
    job = desk.jobs.begin(title, publishing, arguments, back=back, by=by, total=number)
    return GoTo(f"/jobs/{job.id}")
