"""A plot as it is, and as it would be or was: what a check says only then, and which pages differ."""

from collections.abc import Mapping

from builder.board.looking import Looked
from builder.errors import Finding
from builder.guide.pages import ChangedPage, Page


def new_findings(now: Looked, then: Looked) -> tuple[Finding, ...]:
    """What is found then and is not found now, the gravest first."""
    known = {_said(each) for each in now.findings}
    new = [each for each in then.findings if _said(each) not in known]
    return tuple(sorted(new, key=lambda each: (-each.severity, each.place)))


def _said(finding: Finding) -> tuple[object, ...]:
    """What a finding says, wherever its line has moved to."""
    return finding.code, finding.place.file, finding.path, finding.wrong, finding.severity


def pages_changed(now: Looked, then: Looked) -> tuple[ChangedPage, ...]:
    """The pages of a guide that would differ, in its order; none where no guide can be made."""
    if now.prepared is None or then.prepared is None:
        return ()
    before: Mapping[str, Page] = {page.id: page for page in now.prepared.guide.pages}
    after = {page.id: page for page in then.prepared.guide.pages}
    found = [
        ChangedPage(page.id, page.title, "changed" if page.id in before else "new")
        for page in after.values()
        if page != before.get(page.id)
    ]
    gone = [ChangedPage(each.id, each.title, "gone") for each in before.values() if each.id not in after]  # fmt: skip
    return (*found, *gone)
