"""Changes of one plot from a page of the desk: tried first, then saved, or the reasons why not."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from builder.board.looking import Looked
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.forms.fields import Field
from builder.errors import Finding, Severity
from builder.guide.pages import ChangedPage
from builder.saving.changes import Change, Save
from builder.saving.merging import Contest
from builder.saving.trying import only_in, pages_changed
from builder.saving.yaml_text import UnchangeableError

_OUTDATED = "outdated"
BASED_ON = "based-on."
"""What stands before the name of a file in the name of the field with the digest of it that a page showed."""


@dataclass(frozen=True, slots=True)
class Attempt:
    """What a save would do to a plot, or has done.

    ``findings``: what a check would say that it does not say now. ``pages``: the pages of its guide
    that would differ. ``contests``: what somebody else has changed meanwhile. ``saved``: it is on the
    disk; ``tried``: it was looked at. ``unmakeable``: why the change cannot be made at all.
    """

    findings: tuple[Finding, ...] = ()
    pages: tuple[ChangedPage, ...] = ()
    contests: tuple[Contest, ...] = ()
    saved: bool = False
    nothing: bool = False
    unmakeable: str = ""
    tried: bool = False

    @property
    def errors(self) -> tuple[Finding, ...]:
        """The findings that keep it from being saved."""
        return tuple(each for each in self.findings if each.severity is Severity.ERROR)

    @property
    def warnings(self) -> tuple[Finding, ...]:
        """The other findings that matter."""
        return tuple(each for each in self.findings if each.severity is Severity.WARNING)


@dataclass(frozen=True, slots=True)
class ShownForm:
    """A form as its page shows it: its fields, and, once it was ``sent`` and not saved, what its attempt
    came to and what was ``left`` that is about none of its fields."""

    fields: tuple[Field, ...]
    attempt: Attempt = Attempt()
    left: tuple[Finding, ...] = ()
    sent: Asked | None = None

    @property
    def status(self) -> int:
        """The number of the answer: 409 for what others have changed too, 422 for what cannot be saved
        (RFC 9110, 15.5.10 and 15.5.21)."""
        return 409 if self.attempt.contests else 422 if self.attempt.errors else 200

    def values(self, desk: Desk, looked: Looked, *files: str) -> dict[str, Any]:
        """What every page with a form shows. ``files``: those of a plot that it changes."""
        return {
            "based_on": as_looked_at(desk, looked, *files),
            "result": self.attempt,
            "left": self.left,
            "reason": self.sent.text("reason") if self.sent else "",
        }


def as_looked_at(desk: Desk, looked: Looked, *files: str) -> Mapping[str, str]:
    """The digests of files of a plot, of which a page shows what was looked at. Where somebody has changed
    the plot since, they are digests of nothing: then a save shows both sides, and writes over neither."""
    digests = {file: desk.saves.opened(file).digest for file in files}
    return digests if desk.board.stands(looked) else dict.fromkeys(digests, _OUTDATED)


def save_of(asked: Asked, changes: Mapping[str, tuple[Change, ...]], otherwise: str) -> Save:
    """A save of what a form changed: who, why, and the files as its page showed them."""
    based_on = {
        name.removeprefix(BASED_ON): values[-1]
        for name, values in asked.form.items()
        if name.startswith(BASED_ON) and values
    }
    based = {name: based_on.get(name, "") for name in changes}
    return Save(asked.who.role, asked.reason(otherwise), changes, based)


def attempt(desk: Desk, reference: str, save: Save, *, only_try: bool) -> Attempt:
    """Try a save on a plot, and save it where nothing stands in the way."""
    try:
        draft = desk.saves.draft(save)
    except UnchangeableError as error:
        return Attempt(unmakeable=str(error))
    if draft.contests:
        return Attempt(contests=draft.contests)
    if not draft.changed:
        return Attempt(nothing=True)
    with desk.board.one_look():
        now, then = desk.board.plot(reference), desk.board.trial(reference, draft.becomes)
    tried = Attempt(
        only_in(then.findings, now.findings), pages_changed(now.guide, then.guide), tried=True
    )
    if only_try or tried.errors:
        return tried
    done = desk.saves.save(save, desk.setting.now())
    if isinstance(done, tuple):
        return Attempt(contests=done)
    return replace(tried, saved=True)


def with_findings(
    shown: Iterable[Field], file: str, base: tuple[str, ...], findings: Iterable[Finding]
) -> tuple[tuple[Field, ...], tuple[Finding, ...]]:
    """The fields with what was found of each, in the words of the check; and what is of no field.

    A finding names a value by its path in the file, or in the home: then without ``base``.
    """
    listed, left = {each.path: each for each in shown}, []
    for each in findings:
        path = _field_at(each, file, base, listed)
        if path is None:
            left.append(each)
        else:
            own = listed[path]
            listed[path] = replace(own, wrong=(*own.wrong, f"{each.wrong} {each.right}"))
    return tuple(listed.values()), tuple(left)


def _field_at(
    finding: Finding, file: str, base: tuple[str, ...], shown: Mapping[tuple[str, ...], Field]
) -> tuple[str, ...] | None:
    path = tuple(finding.path.split(".")) if finding.path else ()
    tries = [path, (*base, *path)] if finding.place.file == file or base else [path]
    for one in tries:
        for length in range(len(one), 0, -1):
            if one[:length] in shown:
                return one[:length]
        inside = [each for each in shown if len(one) > len(base) and each[: len(one)] == one]
        if inside:
            return inside[0]
    return None
