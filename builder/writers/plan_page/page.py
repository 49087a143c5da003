"""One page with the plans of a house type and all that is wrong with it. It asks for itself again."""

from collections.abc import Sequence

from markupsafe import Markup

from builder.errors import Finding, Severity
from builder.guide.about import About
from builder.guide.plan.svg import full_svg

_STYLE = """
body { font: 16px/1.5 system-ui, sans-serif; margin: 1rem; color: #1d2b2a; background: #fff; }
main { display: grid; gap: 1rem; grid-template-columns: minmax(20rem, 3fr) minmax(16rem, 2fr); }
figure { margin: 0 0 1.5rem; } figure svg { width: 100%; height: auto; max-height: 80vh; }
li { margin: 0 0 .75rem; } code { overflow-wrap: anywhere; } h2 { margin: 0 0 .5rem; }
.error b { border-bottom: 3px solid #a3231f; } .warning b { border-bottom: 3px double #8a5a00; }
@media (max-width: 50rem) { main { grid-template-columns: 1fr; } }
"""
_AGAIN = """
let shown = document.documentElement.dataset.version;
setInterval(async () => {
  const answer = await fetch('/version').catch(() => null);
  if (answer && await answer.text() !== shown) location.reload();
}, 700);
"""


def plan_page(title: str, version: str, about: About | None, findings: Sequence[Finding]) -> str:
    """The page. ``version`` changes with the file; without ``about`` there is nothing to draw."""
    plans = (
        _plans(about)
        if about is not None
        else Markup("<p>There is nothing to draw until its mistakes are mended.</p>")
    )
    listed = Markup("").join(_finding(each) for each in findings)
    counts = ", ".join(
        f"{count} {severity.word}{'' if count == 1 else 's'}"
        for severity in sorted(Severity, reverse=True)
        if (count := sum(each.severity is severity for each in findings))
    )
    return Markup(
        '<!doctype html><html lang="en" data-version="{version}"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width"><title>{title}</title><link rel="stylesheet" href="/handover.css"><style>{style}</style></head>'
        "<body><h1>{title}</h1><main><section>{plans}</section><section><h2>{counts}</h2><ol>{listed}</ol></section></main>"
        "<script>{again}</script></body></html>"
    ).format(version=version, title=title, style=Markup(_STYLE), plans=plans, counts=counts or "No findings", listed=listed, again=Markup(_AGAIN))  # fmt: skip  # noqa: S704  (words of our own)


def _plans(about: About) -> Markup:
    figures = [
        Markup("<figure><figcaption>{}</figcaption>{}</figure>").format(base.title, full_svg(about.plans.full(floor), f"plan-{floor}"))
        for floor, base in about.plans.bases.items()
    ]  # fmt: skip
    return Markup("").join(figures) if figures else Markup("<p>No room has an outline yet.</p>")


def _finding(finding: Finding) -> Markup:
    return Markup('<li class="{}"><b>{}</b> <code>{}</code> {}<br>{}<br>{}</li>').format(
        finding.severity.word,
        finding.severity.word,
        finding.place,
        finding.path,
        finding.wrong,
        finding.right,
    )
