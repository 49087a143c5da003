"""What differs between a plot, or a workspace, as it is and as it would be: findings and pages."""

from collections.abc import Iterable, Mapping

from builder.errors import Finding
from builder.guide.pages import ChangedPage, Guide, Page


def only_in(these: Iterable[Finding], others: Iterable[Finding]) -> tuple[Finding, ...]:
    """What is found here and is not found there, wherever its line has moved to; the gravest first."""
    known = {_what_it_says(each) for each in others}
    found = [each for each in these if _what_it_says(each) not in known]
    return tuple(sorted(found, key=lambda each: (-each.severity, each.place)))


def _what_it_says(finding: Finding) -> tuple[object, ...]:
    return finding.code, finding.place.file, finding.path, finding.wrong, finding.severity


def pages_changed(now: Guide | None, then: Guide | None) -> tuple[ChangedPage, ...]:
    """The pages that would differ, in their order. Of a guide that cannot be made nothing changes: what
    is published stays."""
    if now is None or then is None:
        return ()
    before: Mapping[str, Page] = {page.id: page for page in now.pages}
    after = {page.id: page for page in then.pages}
    found = [
        ChangedPage(page.id, page.title, "changed" if page.id in before else "new")
        for page in after.values()
        if page != before.get(page.id)
    ]
    gone = [ChangedPage(each.id, each.title, "gone") for each in before.values() if each.id not in after]  # fmt: skip
    return (*found, *gone)
